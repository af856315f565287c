use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What happens at an edge of the roof.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Water leaves here, over a drip, into a gutter or free.
    Drip,
    /// Water stops here at a wall or kerb.
    Abutment,
    /// Water is held back here by a raised trim.
    OpenSide,
}

impl Kind {
    /// All kinds, in the order of work on site: drips, then walls, then open sides (common practice, no source).
    pub const ALL: [Kind; 3] = [Kind::Drip, Kind::Abutment, Kind::OpenSide];

    /// The letter that begins the marks of its runs.
    pub const fn letter(self) -> char {
        match self {
            Kind::Drip => 'D',
            Kind::Abutment => 'A',
            Kind::OpenSide => 'S',
        }
    }

    /// The word on the wire.
    pub const fn word(self) -> &'static str {
        match self {
            Kind::Drip => "drip",
            Kind::Abutment => "abutment",
            Kind::OpenSide => "open_side",
        }
    }
}
