//! All layouts of a chain with a given number of joints.
//!
//! The search chooses in turn: into how many pieces each run goes; for each piece of a joined run its bar, and for
//! each of its laps a window; a bar for each run in one piece. What remains, the lengths of the pieces, is decided
//! by a flow. Neighbouring pieces never come from the same bar: merging them would save a joint, and fewer joints
//! have been tried before.
//!
//! Of layouts that differ in names only, the search keeps the one whose list of bars comes first in the dictionary.
//! Bars of one length that hold the same so far are alike: the first of them is taken. Alike runs take their bars in
//! order. So do the pieces of one run, where its rules hold for them in any order.

use super::flow::Flow;
use super::{Cut, Laid, Task, Verdict};

/// A layout with exactly `joints` joints, or that there is none.
pub(super) fn tree(task: &Task<'_>, joints: u64, budget: &mut u32) -> Verdict {
    let slots: Vec<usize> = (0..task.runs.len()).collect();
    let mut search = Search {
        task,
        parts: vec![1; slots.len()],
        joined: Vec::new(),
        pieces: Vec::new(),
        whole: vec![usize::MAX; slots.len()],
        room: task.bars.clone(),
        held: vec![0; task.bars.len()],
        marks: vec![Vec::new(); task.bars.len()],
        untouched: task.bars.len() as u64,
        to_assign: joints + task.runs.len() as u64,
        spare: task.spare(joints),
        all_used: task.bars.iter().all(|&bar| bar > task.spare(joints)),
        budget,
        doubt: false,
    };
    match search.split(0, joints) {
        Some(cut) => Verdict::Laid(cut),
        None if search.doubt || *search.budget == 0 => Verdict::Undecided,
        None => Verdict::Impossible,
    }
}

struct Search<'a> {
    task: &'a Task<'a>,
    /// Pieces per run.
    parts: Vec<u64>,
    /// Runs in more than one piece.
    joined: Vec<usize>,
    /// Pieces of joined runs with their bars and, but for a run's last piece, the window of the lap after it.
    pieces: Vec<Assigned>,
    /// The bar of each run in one piece.
    whole: Vec<usize>,
    /// What is left of each bar when every piece is as short as may be.
    room: Vec<i64>,
    /// Pieces of joined runs in each bar.
    held: Vec<u32>,
    /// What each bar holds, as far as it tells bars apart.
    marks: Vec<Vec<Mark>>,
    /// Bars that hold nothing yet, and pieces without a bar yet.
    untouched: u64,
    to_assign: u64,
    /// Length to spare in all, and whether that is less than any bar, so that none can be left out.
    spare: i64,
    all_used: bool,
    budget: &'a mut u32,
    /// Whether lengths were found that could not be turned into a layout.
    doubt: bool,
}

/// A run's slot, and which piece in which window where that makes a difference.
type Mark = (usize, u64, i64);

#[derive(Clone, Copy)]
struct Assigned {
    slot: usize,
    part: u64,
    bar: usize,
    window: (i64, i64),
    least: i64,
}

impl Search<'_> {
    fn spend(&mut self, steps: u32) -> bool {
        *self.budget = self.budget.saturating_sub(steps);
        *self.budget > 0
    }

    /// What finding the lengths of the pieces counts for.
    fn price(&self) -> u32 {
        4 + u32::try_from(self.pieces.len() / 8).unwrap_or(u32::MAX)
    }

    /// Chooses how many pieces the runs from `slot` on go into.
    fn split(&mut self, slot: usize, joints: u64) -> Option<Cut> {
        if !self.spend(1) {
            return None;
        }
        let Some(run) = self.task.runs.get(slot) else {
            return if joints == 0 { self.assign(0, 0) } else { None };
        };
        let least = self.task.least_parts(run) - 1;
        let alike = slot > 0 && self.task.runs[slot - 1].alike == run.alike;
        let most =
            joints.min(u64::from(run.site.most_joints)).min(if alike { self.parts[slot - 1] - 1 } else { u64::MAX });
        for cuts in least..=most.max(least) {
            if cuts > most {
                return None;
            }
            self.parts[slot] = cuts + 1;
            if cuts > 0 {
                self.joined.push(slot);
            }
            let found = self.split(slot + 1, joints - cuts);
            if cuts > 0 {
                self.joined.pop();
            }
            self.parts[slot] = 1;
            if found.is_some() {
                return found;
            }
        }
        None
    }

    /// Chooses bars and windows for the pieces of the `at`-th joined run from `part` on.
    fn assign(&mut self, at: usize, part: u64) -> Option<Cut> {
        if !self.spend(1) {
            return None;
        }
        let Some(&slot) = self.joined.get(at) else {
            return self.place(0);
        };
        let task = self.task;
        let run = &task.runs[slot];
        let parts = self.parts[slot];
        if part == parts {
            return if self.spend(self.price()) && self.lengths().is_some() { self.assign(at + 1, 0) } else { None };
        }
        let before = if part > 0 { self.pieces.last().copied() } else { None };
        let in_any_order = in_any_order(task, slot);
        let windows: &[(i64, i64)] = if part + 1 < parts { &run.site.windows } else { &[(0, 0)] };
        for &window in windows {
            if before.is_some_and(|before| part + 1 < parts && window < before.window) {
                continue;
            }
            let mut least = task.least_piece(run);
            if part == 0 {
                least = least.max(window.0 + task.lap);
            }
            if part + 1 == parts {
                least = least.max(run.length + task.lap - before.map_or(0, |before| before.window.1));
            }
            let mark = if in_any_order { (slot, 0, 0) } else { (slot, part + 1, window.0) };
            for bar in 0..task.bars.len() {
                let again = before.is_some_and(|before| bar == before.bar || (in_any_order && bar < before.bar));
                if again || self.room[bar] < least + task.kerf || !self.is_first(bar, slot) {
                    continue;
                }
                self.touch(bar, mark);
                self.room[bar] -= least + task.kerf;
                self.held[bar] += 1;
                self.pieces.push(Assigned { slot, part, bar, window, least });
                let found = if self.can_use_all() { self.assign(at, part + 1) } else { None };
                self.pieces.pop();
                self.held[bar] -= 1;
                self.room[bar] += least + task.kerf;
                self.untouch(bar);
                if found.is_some() {
                    return found;
                }
            }
        }
        None
    }

    /// Chooses bars for the runs in one piece from `slot` on.
    fn place(&mut self, slot: usize) -> Option<Cut> {
        if !self.spend(1) {
            return None;
        }
        let task = self.task;
        let Some(run) = task.runs.get(slot) else {
            return if self.spend(self.price()) { self.finish() } else { None };
        };
        if self.parts[slot] > 1 {
            return self.place(slot + 1);
        }
        let take = run.length + task.kerf;
        let alike = slot > 0 && self.parts[slot - 1] == 1 && task.runs[slot - 1].alike == run.alike;
        let first = if alike { self.whole[slot - 1] } else { 0 };
        for bar in first..task.bars.len() {
            if self.room[bar] < take || !self.is_first(bar, slot) {
                continue;
            }
            self.touch(bar, (slot, 0, 0));
            self.room[bar] -= take;
            self.whole[slot] = bar;
            let found = if self.can_use_all() && self.can_still_fill() { self.place(slot + 1) } else { None };
            self.room[bar] += take;
            self.untouch(bar);
            if found.is_some() {
                return found;
            }
        }
        self.whole[slot] = usize::MAX;
        None
    }

    /// Whether no earlier bar is alike and without a piece of this run.
    fn is_first(&self, bar: usize, slot: usize) -> bool {
        let alike = |other: usize| self.task.bars[other] == self.task.bars[bar] && self.marks[other] == self.marks[bar];
        self.marks[bar].iter().any(|mark| mark.0 == slot) || !(0..bar).any(alike)
    }

    fn touch(&mut self, bar: usize, mark: Mark) {
        self.untouched -= u64::from(self.marks[bar].is_empty());
        self.to_assign -= 1;
        self.marks[bar].push(mark);
    }

    fn untouch(&mut self, bar: usize) {
        self.marks[bar].pop();
        self.to_assign += 1;
        self.untouched += u64::from(self.marks[bar].is_empty());
    }

    /// Whether there are pieces enough for the bars that hold none.
    fn can_use_all(&self) -> bool {
        !self.all_used || self.to_assign >= self.untouched
    }

    /// Whether the bars with pieces of joined runs have room for these at full length.
    fn can_still_fill(&self) -> bool {
        let room: i64 = self.room.iter().zip(&self.held).filter(|&(_, &held)| held > 0).map(|(room, _)| room).sum();
        let more: i64 = self
            .joined
            .iter()
            .map(|&slot| {
                let laps = i64::try_from(self.parts[slot] - 1).unwrap_or(i64::MAX);
                self.task.runs[slot].length + laps * self.task.lap
            })
            .sum::<i64>()
            - self.pieces.iter().map(|piece| piece.least).sum::<i64>();
        more <= room
    }

    /// Starts and lengths of the assigned pieces, if the bars have room for them beside the runs in one piece.
    fn lengths(&self) -> Option<Vec<(i64, i64)>> {
        let task = self.task;
        let bars = task.bars.len();
        let hub = 0;
        // The hub, the bars, one node per piece, one per lap.
        let piece_node = |at: usize| 1 + bars + 2 * at;
        let mut flow = Flow::new(1 + bars + 2 * self.pieces.len());
        let mut load = vec![0_i64; bars];
        for piece in &self.pieces {
            load[piece.bar] += piece.least + task.kerf;
        }
        let mut arcs = Vec::with_capacity(self.pieces.len());
        for (at, piece) in self.pieces.iter().enumerate() {
            let run = &task.runs[piece.slot];
            let parts = self.parts[piece.slot];
            let node = piece_node(at);
            let length = flow.arc(node, 1 + piece.bar, piece.least, task.bars[piece.bar]);
            if piece.part + 1 == parts {
                flow.arc(hub, node, run.length, run.length);
            } else {
                // The lap's node takes the next piece's start and the lap, and gives this piece's end.
                let (from, to) = piece.window;
                let lap = node + 1;
                flow.arc(piece_node(at + 1), lap, from, to - task.lap);
                flow.arc(hub, lap, task.lap, to - from);
                flow.arc(lap, node, from + task.lap, to);
            }
            arcs.push(length);
        }
        for (bar, (&room, &load)) in self.room.iter().zip(&load).enumerate() {
            // Room counts every piece at its least; the flow may use what is left beyond that.
            let most = room + load - task.kerf * i64::from(self.held[bar]);
            // Once the other bars need all other pieces, no more than is to spare stays unused in this one.
            let closed = self.all_used && self.to_assign == self.untouched && !self.marks[bar].is_empty();
            flow.arc(1 + bar, hub, if closed { (most - self.spare).max(0) } else { 0 }, most);
        }
        let amounts = flow.circulation()?;
        let mut ends = Vec::with_capacity(self.pieces.len());
        let mut next_start = 0;
        // From the last piece backwards: an arc into a piece's node carries its end.
        for (at, piece) in self.pieces.iter().enumerate().rev() {
            let run = &task.runs[piece.slot];
            let last = piece.part + 1 == self.parts[piece.slot];
            let end = if last { run.length } else { next_start + amounts[arcs[at] + 2] };
            let start = end - amounts[arcs[at]];
            next_start = start;
            ends.push((start, end - start));
        }
        ends.reverse();
        Some(ends)
    }

    /// Turns a full assignment into a layout, with laps no longer than they must be.
    fn finish(&mut self) -> Option<Cut> {
        let mut lengths = self.lengths()?;
        let task = self.task;
        for at in 0..self.pieces.len() {
            let piece = self.pieces[at];
            if piece.part + 1 == self.parts[piece.slot] {
                continue;
            }
            let (start, length) = lengths[at];
            let (next_start, next_length) = lengths[at + 1];
            let over = start + length - next_start - task.lap;
            let here = over.min(length - piece.least).max(0);
            let there = (over - here).min(next_length - self.pieces[at + 1].least).max(0);
            lengths[at].1 -= here;
            lengths[at + 1] = (next_start + there, next_length - there);
        }
        for at in 1..self.pieces.len() {
            let ((start, length), (next_start, next_length)) = (lengths[at - 1], lengths[at]);
            if self.pieces[at].part > 0 && (next_start <= start || next_start + next_length <= start + length) {
                self.doubt = true;
                return None;
            }
        }
        let mut cut: Cut = vec![Vec::new(); task.bars.len()];
        for (piece, &(start, length)) in self.pieces.iter().zip(&lengths) {
            let part = u32::try_from(piece.part).unwrap_or(u32::MAX);
            cut[piece.bar].push(Laid { slot: piece.slot, part, start, length });
        }
        for (slot, run) in task.runs.iter().enumerate() {
            if self.parts[slot] == 1 {
                cut[self.whole[slot]].push(Laid { slot, part: 0, start: 0, length: run.length });
            }
        }
        Some(cut)
    }
}

/// Whether the pieces of a run may change places: any piece is long enough to be its first or its last, and what lies
/// between these is one window.
fn in_any_order(task: &Task<'_>, slot: usize) -> bool {
    let run = &task.runs[slot];
    let least = task.least_piece(run);
    match run.site.windows[..] {
        [(from, to)] => from + task.lap <= least && run.length - to + task.lap <= least,
        _ => false,
    }
}
