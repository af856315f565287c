//! An independent checker of cut lists: problem and answer in, every fault out. Only the two data types are the
//! library's.

use std::collections::BTreeMap;

use upstand::cutting::{Answer, Chain, Minimise, Piece, Problem};

/// Every fault of an answer; none where it is a right cut list with the totals that it says it has.
pub fn faults(problem: &Problem, answer: &Answer) -> Vec<String> {
    let mut faults = Vec::new();
    let mut made = vec![0u64; problem.runs.len()];
    let mut used = vec![0u64; problem.bars.len()];
    let mut joints = 0;
    for (c, chain) in answer.chains.iter().enumerate() {
        let mut fault = |what: String| faults.push(format!("chain {c}: {what}"));
        if chain.times == 0 || chain.bars.is_empty() {
            fault("nothing is made".into());
        }
        for bar in &chain.bars {
            match used.get_mut(bar.bar) {
                Some(count) => *count += chain.times,
                None => fault(format!("no bar {}", bar.bar)),
            }
        }
        bars(problem, chain, &mut fault);
        for ((run, _), pieces) in by_run(chain) {
            match made.get_mut(run) {
                Some(count) => *count += chain.times,
                None => fault(format!("no run {run}")),
            }
            joints += chain.times * (pieces.len() as u64 - 1);
            pieces_of(problem, run, &pieces, &mut fault);
        }
    }
    for (run, (made, wanted)) in made.iter().zip(&problem.runs).enumerate() {
        if *made != wanted.quantity {
            faults.push(format!("run {run} is made {made} times, not {}", wanted.quantity));
        }
    }
    for (bar, (used, offered)) in used.iter().zip(&problem.bars).enumerate() {
        if offered.available.is_some_and(|available| *used > available) {
            faults.push(format!("bar {bar} is used {used} times"));
        }
    }
    totals(problem, answer, &used, joints, &mut faults);
    faults
}

fn totals(problem: &Problem, answer: &Answer, used: &[u64], joints: u64, faults: &mut Vec<String>) {
    let mut same = |what: &str, found: u64, wanted: u64| {
        if found != wanted {
            faults.push(format!("{what} is {found}, should be {wanted}"));
        }
    };
    same("bar_count", answer.bar_count, used.iter().sum());
    same("joint_count", answer.joint_count, joints);
    let priced = problem.bars.iter().any(|bar| bar.cost.is_some());
    let cost_of = |bar: usize| match (priced, problem.bars.len()) {
        (true, _) => problem.bars[bar].cost.unwrap_or(0),
        (false, 1) => 1,
        (false, _) => problem.bars[bar].length.um() as u64,
    };
    let cost: u64 = used.iter().enumerate().map(|(bar, &count)| count * cost_of(bar)).sum();
    same("cost", answer.cost, cost);
    let bound = &answer.bound;
    if bound.bars > answer.bar_count {
        faults.push(format!("bound of {} bars is above the {} used", bound.bars, answer.bar_count));
    }
    let reached = match problem.minimise {
        Minimise::Cost => cost + joints * problem.rules.joint_cost,
        Minimise::Bars | Minimise::Joints => cost,
    };
    if bound.cost > reached || bound.joints > joints {
        faults.push(format!("bounds {bound:?} are above the answer"));
    }
    if answer.proven() && problem.minimise == Minimise::Bars && bound.cost != cost {
        faults.push(format!("proven at cost {cost} with a bound of {}", bound.cost));
    }
}

fn by_run(chain: &Chain) -> BTreeMap<(usize, u64), Vec<&Piece>> {
    let mut runs: BTreeMap<(usize, u64), Vec<&Piece>> = BTreeMap::new();
    for piece in chain.bars.iter().flat_map(|bar| &bar.pieces) {
        runs.entry((piece.run, piece.copy)).or_default().push(piece);
    }
    for pieces in runs.values_mut() {
        pieces.sort_by_key(|piece| piece.part);
    }
    runs
}

fn bars(problem: &Problem, chain: &Chain, fault: &mut impl FnMut(String)) {
    for (b, bar) in chain.bars.iter().enumerate() {
        let Some(kind) = problem.bars.get(bar.bar) else { continue };
        let usable = kind.length.um() - 2 * problem.rules.trim_off.um();
        let cut: i64 = bar.pieces.iter().map(|piece| piece.length.um()).sum();
        let between = problem.rules.kerf.um() * (bar.pieces.len() as i64 - 1).max(0);
        if bar.pieces.is_empty() {
            fault(format!("bar {b} gives nothing"));
        }
        if cut + between > usable {
            fault(format!("bar {b} gives {cut} um and {between} um of saw cuts from {usable}"));
        }
        let left = (usable - cut - between - problem.rules.kerf.um()).max(0);
        if bar.offcut.um() != left {
            fault(format!("bar {b} leaves {left} um, not {}", bar.offcut));
        }
    }
}

fn pieces_of(problem: &Problem, run: usize, pieces: &[&Piece], fault: &mut impl FnMut(String)) {
    let Some(wanted) = problem.runs.get(run) else { return };
    let rules = &problem.rules;
    let total = wanted.length.um();
    let parts = pieces.len();
    if parts > 1 && !wanted.may_join {
        fault(format!("run {run} may not be joined"));
    }
    if rules.most_joints.is_some_and(|most| parts - 1 > most as usize) {
        fault(format!("run {run} has {} joints", parts - 1));
    }
    let least = wanted.least_piece.unwrap_or(rules.least_piece).um();
    let clear = wanted.clear.unwrap_or(rules.clear).um();
    for (part, piece) in pieces.iter().enumerate() {
        let (begin, end) = (piece.start.um(), piece.start.um() + piece.length.um());
        if piece.part as usize != part || piece.parts as usize != parts {
            fault(format!("run {run}: part {} of {} should be {part} of {parts}", piece.part, piece.parts));
        }
        if piece.length.um() <= 0 || (parts > 1 && piece.length.um() < least) {
            fault(format!("run {run} part {part}: {} is too short", piece.length));
        }
        if (part == 0 && begin != 0) || (part + 1 == parts && end != total) {
            fault(format!("run {run} part {part}: {begin}..{end} um of {total}"));
        }
        let Some(next) = pieces.get(part + 1) else { continue };
        let lap = (next.start.um(), end);
        if lap.1 - lap.0 < rules.lap.um() {
            fault(format!("run {run} part {part} laps by {} um", lap.1 - lap.0));
        }
        if lap.0 < clear || total - lap.1 < clear {
            fault(format!("run {run} part {part}: lap at {lap:?} is too near an end"));
        }
        for (from, to) in &wanted.forbidden {
            if lap.0 < to.um() && lap.1 > from.um() {
                fault(format!("run {run} part {part}: lap at {lap:?} lies in {from} to {to}"));
            }
        }
    }
}
