//! What may be covered: old coverings and boards.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;
use crate::survey::{Board, Covering};

/// What the surveyed deck is held against.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Readiness {
    /// What to do with each old covering. One that is not listed has to be asked about.
    pub coverings: Vec<CoveringRule>,
    /// Boards that carry the roof on joists; each row is the least thickness for a spacing.
    pub boards: Vec<BoardRule>,
}

/// What to do with one old covering.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoveringRule {
    /// Which covering.
    pub covering: Covering,
    /// What to do with it.
    pub treatment: Treatment,
}

/// What to do with an old covering.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Treatment {
    /// Laminate straight onto it, if it is bonded all over.
    Direct,
    /// Lay new boards over it.
    Overlay,
    /// Take it off.
    Remove,
    /// Ask the supplier.
    Ask,
}

/// Boards of one kind and thickness on joists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardRule {
    /// Which boards.
    pub board: Board,
    /// Least thickness.
    pub thickness: Length,
    /// Widest spacing of joists, centre to centre, for that thickness.
    pub joists: Length,
}

impl Default for Readiness {
    fn default() -> Self {
        let rule = |covering, treatment| CoveringRule { covering, treatment };
        let board = |board, thickness, joists| BoardRule {
            board,
            thickness: Length::from_mm(thickness),
            joists: Length::from_mm(joists),
        };
        Readiness {
            // Bonded felt is laminated over: common practice, no source. The others are the cautious choice.
            coverings: vec![
                rule(Covering::Bare, Treatment::Direct),
                rule(Covering::Felt, Treatment::Direct),
                rule(Covering::Asphalt, Treatment::Overlay),
                rule(Covering::SinglePly, Treatment::Remove),
                rule(Covering::Metal, Treatment::Overlay),
                rule(Covering::Liquid, Treatment::Ask),
                rule(Covering::Concrete, Treatment::Ask),
                rule(Covering::Other, Treatment::Ask),
            ],
            // NHBC Standards 2020, 7.1.4, table 1.
            boards: vec![
                board(Board::Plywood, 15, 450),
                board(Board::Plywood, 18, 600),
                board(Board::Osb3, 15, 450),
                board(Board::Osb3, 18, 600),
            ],
        }
    }
}
