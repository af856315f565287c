//! Cutting to length, with laps: which bars to buy and how to cut them.
//!
//! Knows nothing of roofs: [`Problem`] in, [`Answer`] out. [`cut_list`] is the common case in one call, [`solve`] the general
//! one, [`solve_with`] the same while watched, [`check`] verifies an answer without the solver, [`trade_offs`] lists what fewer joints would cost.
//!
//! # Problem
//! *Runs* of given lengths are to be made from *bars* of given lengths. A run may be joined from *pieces* where it
//! is longer than a bar, or where that saves one; neighbouring pieces overlap by at least the *lap* (0 for a butt joint). A saw
//! cut loses the *kerf* between two pieces of one bar, and each end of a bar is trimmed off first. Rules of the site may ask for a
//! *least piece*, keep laps *clear* of a run's ends and out of *forbidden* stretches, and limit the joints of a run. Bars have
//! costs, and there may be only so many of some kind. Wanted is the least cost of bars, and among equals the fewest joints
//! (or another order: [`Minimise`]).
//!
//! # Theorem
//! Draw bars and runs as nodes and pieces as links. A *chain* is a connected part of that graph.
//!
//! **Without rules of the site, some best answer's chains are trees. A tree of `b` bars and any runs has exactly `b - 1`
//! joints, and there is a layout of runs `R` as one exactly when**
//!
//! ```text
//! sum of (length + kerf) over R  <=  sum of (usable + kerf) over the bars  -  (b - 1) * (lap + kerf)
//! ```
//!
//! **and the runs that may not be joined can be packed into the bars one by one.**
//!
//! *Trees.* Along a cycle of the graph, lengthen every other piece and shorten those between by the same amount: no
//! bar's load and no run's length changes. Go on until a piece vanishes. Its run then has a joint less, its bar a cut less,
//! and nothing has grown. Repeat until no cycle is left.
//!
//! *Joints.* A tree with `a` runs and `b` bars has `a + b - 1` links, which are its pieces, and joints are pieces less runs.
//!
//! *Necessary.* All pieces with their kerfs are, in sum, the runs' lengths, `b - 1` laps and `a + b - 1` kerfs. A bar with
//! `q` pieces needs `q - 1` cuts, so that pieces with one kerf each take at most its usable length and one kerf.
//!
//! *Sufficient.* Pack the runs that may not be joined. Then fill what is left, bar after bar, with the other runs one after
//! another, cutting where a bar ends and beginning the next piece a lap earlier. Passing from one bar to the next loses at
//! most a lap and a kerf: that much where a run crosses; where what is left of a bar is no more than a lap and
//! a kerf, it is skipped, and there is no joint. `b` bars are passed `b - 1` times.
//!
//! So joining is choosing *what to cut from* before cutting: the problem is classical cutting stock with stock of
//! several lengths, where the stock is chains of 1, 2, 3, ... bars. (The literature calls such splitting bin packing with
//! size-increasing fragmentation.) Every bound and exact method for cutting stock applies.
//!
//! A run longer than a bar, where one kind of bar is on offer, may be shortened by a bar less a lap as often as leaves it longer
//! than a lap: both sides of the condition lose the same. So no chain needs to be much longer than the runs it balances.
//!
//! # Rules of the site
//! They bite when a chain is laid out. Layouts are then more than trees: where a piece may not become small, two runs
//! may have to share two bars. A chain is laid out along a line if that can be, and otherwise all its layouts are gone through:
//! which runs are joined, the bar of each piece, the window of each lap. What remains, the lengths, is a flow with bounds, and has
//! whole micrometres as soon as it has any solution. A chain without layout is refused and the search goes on without it. A layout
//! may need more joints than a tree has: such a chain is offered with one joint more, with two, and with three or more,
//! and pays for them. Chains too large to go through are refused too, but then nothing is called proven that does not meet a
//! bound of the problem without rules. A stricter rule therefore never gives a better answer than one that is proven best.
//!
//! # Proof
//! An answer carries integer prices. For whoever wants to verify them, this is all there is to it; [`check`] does
//! it, sharing no code with the solver.
//!
//! A chain *earns* `runs[i]` by each run `i` in it. It *pays*, in the first proof, `scale` for each unit of its bars'
//! and joints' cost (with [`Minimise::Joints`]: for each joint), and `bars[k]` more for each limited bar `k`. In the second proof
//! it pays `scale` for each joint (with `Joints`: each unit of cost) and `first` for each unit of what the first is about.
//!
//! 1. No chain earns more than it pays. Because a chain holds the usable length of a bar and a kerf, and for each further bar
//!    its usable length less a lap, this is so at once if no run earns more per length (with kerf) than that. Otherwise
//!    go through the sums that runs can come to, each taken at most as often as wanted, with the most they earn. Sums that differ
//!    by whole bars less a lap need as many bars more, so that with one kind of bar they are kept as one: chains of any length are covered
//!    by as many sums as a bar has units. Where no run may be joined, or none has room for a lap, chains
//!    are single bars.
//! 2. Therefore the chains of any answer together pay at least what all runs earn. Subtract the most that limited bars, and in
//!    the second proof the first aim of this answer, are paid: that is `worth`, and no answer's aim is below `worth / scale`.
//! 3. Costs are multiples of what measures all of them, and joints are whole, so round up.
//!
//! Rounding up does not always reach the optimum, and prices know nothing of the site. Where a finished search closed the rest,
//! [`Proof::nodes`] is not 0.
//!
//! # Method and complexity
//! Cutting stock is NP-hard in the strong sense. The engine packs by column generation over chains, dives and
//! branching; see its sources for the literature. Effort is bounded by counted nodes, and by counted work within them, so that the same
//! problem and effort give the same bytes; a time limit, if given, or whoever watches ([`solve_with`]) ends the search earlier, with an honest status.
//!
//! # Limits
//! - At most [`MOST_RUNS`] kinds of run, [`MOST_BARS`] kinds of bar, and [`MOST_PIECES`] pieces to a bar or a run.
//! - At most 400 kinds of chain are offered to the engine. Where several kinds of bar would make more, the answer is called
//!   proven only if prices prove it, as these cover every chain.
//! - The most useful offcut, the last of the aims, is sought but not proven.
//!
//! # Sources
//! Gilmore and Gomory, *Operations Research* 9 (1961) 849 and 11 (1963) 863: cutting stock by patterns. Casazza and
//! Ceselli, *Computers and Operations Research* 46 (2014) 1 (from memory): bin packing with item fragmentation, and that forests
//! suffice. Edmonds and Karp, *Journal of the ACM* 19 (1972) 248: flows.

mod answer;
mod assemble;
mod budget;
mod check;
mod check_proof;
mod cut_list;
mod dual;
#[doc(hidden)]
pub mod exact;
mod gather;
mod greedy;
mod layout;
mod model;
mod problem;
mod prove;
mod search;
mod sheet;
mod solve;
mod stock;
mod subset;
mod trade_offs;
mod validate;
mod wire;

pub use answer::{Answer, Bound, Chain, CutBar, Piece, Prices, Proof, Status};
pub use budget::Progress;
pub use check::{Fault, check};
pub use cut_list::cut_list;
pub use problem::{Bar, Effort, Minimise, Problem, Rules, Run};
pub use sheet::{SheetBar, SheetPiece};
pub use solve::{solve, solve_with};
pub use trade_offs::{TradeOff, trade_offs};
pub use validate::{MOST_BARS, MOST_PIECES, MOST_QUANTITY, MOST_RUNS};
