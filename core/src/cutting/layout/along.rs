//! Layouts along a line: one bar is filled after another, and at most one run crosses from each to the next.

use super::{Cut, Demand, Laid, Task};

/// A layout along a line with the bars in the order given or reversed, if one is found within `budget` steps each.
pub(super) fn along(task: &Task<'_>, budget: u32) -> Option<Cut> {
    let forwards: Vec<usize> = (0..task.bars.len()).collect();
    let mut backwards = forwards.clone();
    backwards.reverse();
    let alike = task.bars.windows(2).all(|pair| pair[0] == pair[1]);
    let orders = if alike { vec![forwards] } else { vec![forwards, backwards] };
    orders.into_iter().find_map(|bars| {
        let spare = task.spare(task.bars.len() as u64 - 1);
        let mut line =
            Line { task, bars, cut: vec![Vec::new(); task.bars.len()], done: vec![false; task.runs.len()], budget };
        line.fill(0, line.room(0), spare, None).then_some(line.cut)
    })
}

struct Line<'a> {
    task: &'a Task<'a>,
    bars: Vec<usize>,
    cut: Cut,
    done: Vec<bool>,
    budget: u32,
}

/// A run of which a first part has been cut.
#[derive(Clone, Copy)]
struct Begun {
    slot: usize,
    /// Where its next piece starts.
    start: i64,
    part: u32,
}

impl Line<'_> {
    fn room(&self, at: usize) -> i64 {
        self.bars.get(at).map_or(0, |&bar| self.task.bars[bar])
    }

    /// Goes on from the bar `at` with `left` of it, `spare` length that may still be wasted, and the run that
    /// crosses into it. On success everything is cut; otherwise nothing has changed.
    fn fill(&mut self, at: usize, left: i64, spare: i64, begun: Option<Begun>) -> bool {
        if spare < 0 || self.budget == 0 {
            return false;
        }
        self.budget -= 1;
        match begun {
            Some(begun) => self.go_on(at, left, spare, begun),
            None => self.begin(at, left, spare),
        }
    }

    fn begin(&mut self, at: usize, left: i64, spare: i64) -> bool {
        let task = self.task;
        if self.done.iter().all(|&done| done) {
            return true;
        }
        if at == self.bars.len() {
            return false;
        }
        let mut tried = usize::MAX;
        for slot in 0..task.runs.len() {
            let run = &task.runs[slot];
            if self.done[slot] || run.alike == tried {
                continue;
            }
            tried = run.alike;
            self.done[slot] = true;
            let fits = run.length + task.kerf <= left;
            if fits && self.cut_off(at, left, spare, Begun { slot, start: 0, part: 0 }, run.length, None) {
                return true;
            }
            if !fits && run.site.most_joints > 0 && self.go_on(at, left, spare, Begun { slot, start: 0, part: 0 }) {
                return true;
            }
            self.done[slot] = false;
        }
        // Close the bar: what is left is wasted, but no lap is lost to the next.
        left < self.room(at) && self.fill(at + 1, self.room(at + 1), spare - left + task.lap + task.kerf, None)
    }

    fn go_on(&mut self, at: usize, left: i64, spare: i64, begun: Begun) -> bool {
        let task = self.task;
        if at == self.bars.len() {
            return false;
        }
        let run = &task.runs[begun.slot];
        let least = task.least_piece(run);
        let rest = run.length - begun.start;
        if rest + task.kerf <= left && (begun.part == 0 || rest >= least) {
            return self.cut_off(at, left, spare, begun, rest, None);
        }
        if begun.part < run.site.most_joints
            && let Some(end) = furthest_end(task, run, begun.start, left - task.kerf)
        {
            let next = Begun { slot: begun.slot, start: end - task.lap, part: begun.part + 1 };
            if self.cut_off(at, left, spare, begun, end - begun.start, Some(next)) {
                return true;
            }
        }
        // Nothing of this run may be cut from what is left of this bar.
        begun.part == 0 && left < self.room(at) && {
            self.fill(at + 1, self.room(at + 1), spare - left + task.lap + task.kerf, Some(begun))
        }
    }

    /// Cuts one piece and goes on: in the same bar when the run is finished, in the next when it crosses.
    fn cut_off(&mut self, at: usize, left: i64, spare: i64, begun: Begun, length: i64, next: Option<Begun>) -> bool {
        let bar = self.bars[at];
        let left = left - length - self.task.kerf;
        self.cut[bar].push(Laid { slot: begun.slot, part: begun.part, start: begun.start, length });
        let fitted = match next {
            None => self.fill(at, left, spare, None),
            Some(_) => self.fill(at + 1, self.room(at + 1), spare - left, next),
        };
        if !fitted {
            self.cut[bar].pop();
        }
        fitted
    }
}

/// The furthest that a piece from `start` may reach with `room`, leaving a lap in a window and a last piece that is
/// long enough.
fn furthest_end(task: &Task<'_>, run: &Demand<'_>, start: i64, room: i64) -> Option<i64> {
    let least = task.least_piece(run);
    let most = (start + room).min(run.length + task.lap - least);
    let windows = run.site.windows.iter().rev();
    let end = windows.map(|&(from, to)| (from, to.min(most))).find(|&(from, end)| end - from >= task.lap)?.1;
    (end - start >= least).then_some(end)
}

/// A layout where the site asks for nothing of joined runs: runs in one piece are packed first, each into the first
/// bar with room, and the others fill what is left, bar by bar. Finds one whenever there is one by length and the
/// runs in one piece could be packed.
pub(super) fn plain(task: &Task<'_>) -> Option<Cut> {
    let free = |run: &Demand<'_>| {
        run.site.most_joints == u32::MAX
            && run.site.least_piece <= task.lap + 1
            && run.site.windows[..] == [(0, run.length)]
    };
    if !task.runs.iter().all(|run| run.site.most_joints == 0 || free(run)) {
        return None;
    }
    let mut left = task.bars.clone();
    let mut cut: Cut = vec![Vec::new(); left.len()];
    let mut whole: Vec<usize> = (0..task.runs.len()).filter(|&slot| task.runs[slot].site.most_joints == 0).collect();
    whole.sort_by_key(|&slot| std::cmp::Reverse(task.runs[slot].length));
    for slot in whole {
        let length = task.runs[slot].length;
        let bar = left.iter().position(|&left| left >= length + task.kerf)?;
        left[bar] -= length + task.kerf;
        cut[bar].push(Laid { slot, part: 0, start: 0, length });
    }
    let mut bar = 0;
    for (slot, run) in task.runs.iter().enumerate().filter(|(_, run)| run.site.most_joints > 0) {
        let (mut start, mut part) = (0, 0);
        loop {
            let room = left.get(bar)? - task.kerf;
            let length = room.min(run.length - start);
            let last = length == run.length - start;
            if last || length > task.lap {
                cut[bar].push(Laid { slot, part, start, length });
                left[bar] -= length + task.kerf;
                if last {
                    break;
                }
                start += length - task.lap;
                part += 1;
            }
            bar += 1;
        }
    }
    Some(cut)
}
