//! What is to be cut, from what, under which rules.

use std::time::Duration;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;

/// A cutting problem: bars on offer, runs to make, and the rules of the cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Problem {
    /// The kinds of bar on offer: as sold, or offcuts on hand.
    pub bars: Vec<Bar>,
    /// The runs to make.
    pub runs: Vec<Run>,
    /// Laps, kerfs and the least a piece may be.
    #[serde(default)]
    pub rules: Rules,
    /// What is to be least.
    #[serde(default)]
    pub minimise: Minimise,
}

/// One kind of bar: a length as sold, or an offcut on hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bar {
    /// Length of one bar.
    pub length: Length,
    /// Price of one bar in the smallest unit of money, for all kinds of bar or for none. Without prices a bar costs
    /// its length; a single kind is counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<u64>,
    /// How many there are; by default as many as wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub available: Option<u64>,
}

/// One kind of run: a length to make, in one piece or (if it may be joined) in several that lap.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Length of the finished run.
    pub length: Length,
    /// How many alike.
    #[serde(default = "one")]
    pub quantity: u64,
    /// Whether it may be joined from pieces.
    #[serde(default = "yes")]
    pub may_join: bool,
    /// Least length of a piece of this run; by default the rules' `least_piece`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_piece: Option<Length>,
    /// Least distance of a lap from either end of this run; by default the rules' `clear`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear: Option<Length>,
    /// Stretches (from, to), measured from the run's start, in which no part of a lap may lie.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub forbidden: Vec<(Length, Length)>,
}

impl Problem {
    /// A problem with the default rules: butt joints, no kerf, fewest bars.
    pub fn new(bars: Vec<Bar>, runs: Vec<Run>) -> Self {
        Problem { bars, runs, rules: Rules::default(), minimise: Minimise::default() }
    }

    /// What one bar of this kind costs: its price; without prices its length in micrometres, or 1 if it is the only kind.
    pub(super) fn cost_of(&self, bar: usize) -> u64 {
        let offer = &self.bars[bar];
        offer.cost.unwrap_or(if self.bars.len() == 1 { 1 } else { offer.length.um().unsigned_abs() })
    }
}

impl Bar {
    /// As many bars of this length as wanted, without a price.
    pub fn of(length: Length) -> Self {
        Bar { length, cost: None, available: None }
    }
}

impl Run {
    /// `quantity` alike runs that may be joined.
    pub fn of(length: Length, quantity: u64) -> Self {
        Run { length, quantity, may_join: true, least_piece: None, clear: None, forbidden: Vec::new() }
    }

    /// The same run, to be made in one piece.
    #[must_use]
    pub fn whole(self) -> Self {
        Run { may_join: false, ..self }
    }
}

fn one() -> u64 {
    1
}

fn yes() -> bool {
    true
}

/// The rules of the cut, the same for all runs unless a run says otherwise.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Rules {
    /// Least overlap at a joint; 0 is a butt joint.
    pub lap: Length,
    /// Width of the saw cut, lost between two pieces of one bar.
    pub kerf: Length,
    /// Cut off each end of a bar before use.
    pub trim_off: Length,
    /// Least length of a piece of a joined run. A run made in one piece may be shorter.
    pub least_piece: Length,
    /// Least distance of a lap from either end of its run.
    pub clear: Length,
    /// Cost of a joint, in the unit of the bars' costs; only [`Minimise::Cost`] asks for it.
    pub joint_cost: u64,
    /// Most joints in one run.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_joints: Option<u32>,
    /// Shortest offcut worth keeping.
    pub least_useful: Length,
}

/// What is to be least.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Minimise {
    /// Cost of bars; among equals joints; among equals the most useful offcut.
    #[default]
    Bars,
    /// Cost of bars and joints together (with `joint_cost`); among equals joints.
    Cost,
    /// Joints; among equals the cost of bars.
    Joints,
}

/// How much effort to spend before answering with the best found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Most search nodes: the deterministic limit, which bounds the work within nodes too. The default ends even a hard
    /// problem after some seconds.
    pub nodes: u64,
    /// Wall-clock limit, if any: may end the search earlier, with an honest status.
    pub time: Option<Duration>,
}

impl Effort {
    /// As many nodes as can be searched in the time.
    pub fn within(time: Duration) -> Self {
        Effort { nodes: u64::MAX, time: Some(time) }
    }
}

impl Default for Effort {
    fn default() -> Self {
        Effort { nodes: 1_000, time: None }
    }
}
