//! How to cut, and why nothing better exists.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;

/// A complete cut list with its bound.
///
/// Every run of the problem is made exactly once per unit of its quantity. The list is canonical: the same problem
/// and effort give the same bytes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// Whether it is proven best.
    pub status: Status,
    /// Bars used.
    pub bar_count: u64,
    /// Joints in all: pieces less runs.
    pub joint_count: u64,
    /// Cost of the bars used, without joints: in the unit of the bars' costs where they are given; else a count
    /// of bars where one kind is on offer, and micrometres of bar where there are several.
    pub cost: u64,
    /// What no answer can beat.
    pub bound: Bound,
    /// The chains: bars that share runs, each with the number of times it is made alike.
    pub chains: Vec<Chain>,
    /// What makes the bound checkable.
    pub proof: Proof,
}

/// Whether anything better can exist.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Nothing better exists: no answer has a lower cost, and none of this cost has fewer joints (with
    /// [`Minimise::Joints`](super::Minimise::Joints) the other way about).
    ProvenBest,
    /// The best found within the effort allowed; see the bound for how much better another could be.
    BestFound,
}

/// Lower bounds that travel with an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bound {
    /// No answer uses fewer bars.
    pub bars: u64,
    /// No answer costs less (with [`Minimise::Joints`](super::Minimise::Joints): none with as few joints as this
    /// one; with [`Minimise::Cost`](super::Minimise::Cost): bars and joints together).
    pub cost: u64,
    /// No answer of the same cost has fewer joints (with [`Minimise::Joints`](super::Minimise::Joints): no answer at all).
    pub joints: u64,
}

/// Bars that are joined to one another by laps, alone if there is one only.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Chain {
    /// How many times this chain is made.
    pub times: u64,
    /// Its bars.
    pub bars: Vec<CutBar>,
}

/// One bar and its pieces, in the order in which they are cut.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CutBar {
    /// Index into the problem's bars.
    pub bar: usize,
    /// The pieces, from the bar's start.
    pub pieces: Vec<Piece>,
    /// What is left at the bar's end after trim-off and kerf.
    pub offcut: Length,
}

/// One piece of one run.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    /// Index into the problem's runs.
    pub run: usize,
    /// Which of the alike runs within this chain, from 0.
    pub copy: u64,
    /// Which part of the run, from 0 at its start.
    pub part: u32,
    /// Of how many.
    pub parts: u32,
    /// Where along the run the piece begins.
    pub start: Length,
    /// Length of the piece.
    pub length: Length,
}

/// What proves the bound: integer prices, and how much search closed what they leave open.
///
/// The reader's part is in the [module's page](super#proof).
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Proof {
    /// Prove what no answer undercuts: cost (with [`Minimise::Joints`](super::Minimise::Joints) joints).
    pub first: Prices,
    /// Prove the other bound among answers that are as good as this one in the first.
    pub second: Prices,
    /// Search nodes that closed what the prices leave open; 0 where the prices alone prove both bounds.
    pub nodes: u64,
}

/// Integer prices that no chain can earn more of than it costs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Prices {
    /// What a chain earns by one of each run.
    pub runs: Vec<u64>,
    /// What a chain pays for one of each kind of bar beyond its share of the aim: 0 for bars without limit.
    pub bars: Vec<u64>,
    /// What a chain pays for one unit of the first aim; 0 in the first prices.
    pub first: u64,
    /// What a chain pays for one unit of the aim that is proven: 2 to the 40, or, where the larger of the answer's aims
    /// has `n` bits and `n` is above 16, 2 to the `56 - n`.
    pub scale: u64,
    /// What all runs earn, less what all limited bars and the answer's first aim are paid: no answer's aim is below
    /// `worth / scale`.
    pub worth: u64,
}

impl Answer {
    /// Whether nothing better can exist.
    pub fn proven(&self) -> bool {
        self.status == Status::ProvenBest
    }

    /// Pieces to cut, over all chains.
    pub fn piece_count(&self) -> u64 {
        let chains = self.chains.iter();
        chains.map(|chain| chain.times * chain.bars.iter().map(|bar| bar.pieces.len() as u64).sum::<u64>()).sum()
    }
}
