//! Layouts against all layouts, by going through every piece on a grid of whole units.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;

/// Fewest joints of any layout, by trying every start and end of every piece in every bar.
struct Every<'a> {
    task: &'a Task<'a>,
    known: BTreeMap<State, Option<u64>>,
}

/// The run that is being made, where its last piece starts and ends, its joints so far, and what each bar holds.
type State = (usize, i64, i64, u32, Vec<i64>);

impl Every<'_> {
    fn fewest(&mut self, state: &State) -> Option<u64> {
        let &(slot, start, end, joints, ref loads) = state;
        let Some(run) = self.task.runs.get(slot) else { return Some(0) };
        if end == run.length {
            return self.fewest(&(slot + 1, 0, 0, 0, loads.clone()));
        }
        if let Some(&known) = self.known.get(state) {
            return known;
        }
        let mut best: Option<u64> = None;
        let starts = if end == 0 { 0..=0 } else { start + 1..=end - self.task.lap };
        for next in starts {
            let joint = end > 0;
            let clear = run.site.windows.iter().any(|&(from, to)| from <= next && end <= to);
            if joint && (!clear || joints == run.site.most_joints) {
                continue;
            }
            for next_end in end + 1..=run.length {
                let length = next_end - next;
                let alone = !joint && next_end == run.length;
                if !alone && (length < run.site.least_piece || run.site.most_joints == 0) {
                    continue;
                }
                for bar in 0..loads.len() {
                    let mut loads = loads.clone();
                    loads[bar] += length + self.task.kerf;
                    if loads[bar] <= self.task.bars[bar] {
                        let more = self.fewest(&(slot, next, next_end, joints + u32::from(joint), loads));
                        let more = more.map(|more| more + u64::from(joint));
                        best = [best, more].into_iter().flatten().min();
                    }
                }
            }
        }
        self.known.insert(state.clone(), best);
        best
    }
}

/// Joints of a layout, after checking it against the task.
fn joints_of(task: &Task<'_>, cut: &Cut) -> u64 {
    for (pieces, &room) in cut.iter().zip(&task.bars) {
        assert!(pieces.iter().map(|piece| piece.length + task.kerf).sum::<i64>() <= room);
    }
    let mut joints = 0;
    for (slot, run) in task.runs.iter().enumerate() {
        let mut pieces: Vec<&Laid> = cut.iter().flatten().filter(|piece| piece.slot == slot).collect();
        pieces.sort_by_key(|piece| piece.part);
        assert_eq!(pieces[0].start, 0);
        assert_eq!(pieces.last().map(|piece| piece.start + piece.length), Some(run.length));
        for (at, piece) in pieces.iter().enumerate() {
            assert_eq!(piece.part as usize, at);
            assert!(pieces.len() == 1 || piece.length >= run.site.least_piece);
        }
        for pair in pieces.windows(2) {
            let (from, to) = (pair[1].start, pair[0].start + pair[0].length);
            assert!(to - from >= task.lap && from > pair[0].start && to < pair[1].start + pair[1].length);
            assert!(run.site.windows.iter().any(|window| window.0 <= from && to <= window.1));
        }
        assert!(pieces.len() as u64 - 1 <= u64::from(run.site.most_joints));
        joints += pieces.len() as u64 - 1;
    }
    joints
}

fn site() -> impl Strategy<Value = (u32, i64, Vec<(i64, i64)>)> {
    let windows = prop_oneof![
        3 => Just(vec![(0, 99)]),
        1 => (0_i64..4, 1_i64..9).prop_map(|(from, length)| vec![(from, from + length)]),
        1 => (0_i64..3, 0_i64..4, 1_i64..4, 0_i64..5).prop_map(|(a, b, c, d)| vec![(a, a + b), (a + b + c, a + b + c + d)]),
    ];
    (prop_oneof![Just(0), Just(1), Just(2), Just(u32::MAX)], 0_i64..5, windows)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]
    #[test]
    fn every_layout_that_exists_is_found_and_no_other(
        mut bars in proptest::collection::vec(3_i64..9, 1..4),
        runs in proptest::collection::vec((1_i64..14, site()), 1..4),
        lap in 0_i64..3,
        kerf in 0_i64..2,
    ) {
        bars.sort_unstable();
        let mut runs: Vec<(i64, Site)> = runs
            .into_iter()
            .map(|(length, (most_joints, least_piece, mut windows))| {
                windows.iter_mut().for_each(|window| window.1 = window.1.min(length));
                windows.retain(|window| window.1 - window.0 >= lap);
                let most_joints = if windows.is_empty() { 0 } else { most_joints };
                (length, Site { most_joints, least_piece, windows })
            })
            .collect();
        runs.sort();
        let mut demands: Vec<Demand<'_>> = Vec::new();
        for (at, (length, site)) in runs.iter().enumerate() {
            let alike = if at > 0 && runs[at - 1] == runs[at] { demands[at - 1].alike } else { at };
            demands.push(Demand { length: *length, site, alike });
        }
        let task = Task { bars, runs: demands, lap, kerf, step: 1 };
        let fewest = Every { task: &task, known: BTreeMap::new() }.fewest(&(0, 0, 0, 0, vec![0; task.bars.len()]));
        let tied = task.bars.len() as u64 - 1;
        match task.lay_out(u64::MAX) {
            Verdict::Laid(cut) => {
                let joints = joints_of(&task, &cut);
                prop_assert!(fewest.is_some_and(|fewest| joints <= fewest.max(tied)), "{joints} {fewest:?}");
            }
            Verdict::Impossible => prop_assert_eq!(fewest, None),
            // Only where more than two joints beyond a tree's might do, of which there are too many to go through.
            Verdict::Undecided => {
                prop_assert!(fewest.is_none_or(|fewest| fewest > tied + 2) && task.spare(tied + 3) >= 0);
            }
        }
        let within_tree = fewest.is_some_and(|fewest| fewest <= tied);
        prop_assert_eq!(matches!(task.lay_out(tied), Verdict::Laid(_)), within_tree);
    }
}

/// A run of two bars whose middle may not be joined: the first and the last piece come from one bar.
#[test]
fn one_bar_may_hold_both_ends_of_a_run() {
    let site = Site { most_joints: u32::MAX, least_piece: 10, windows: vec![(0, 90), (110, 200)] };
    let runs = vec![Demand { length: 200, site: &site, alike: 0 }];
    let task = Task { bars: vec![100, 100], runs, lap: 0, kerf: 0, step: 1 };
    let Verdict::Laid(cut) = task.lay_out(u64::MAX) else { panic!("a layout with two joints exists") };
    assert_eq!(joints_of(&task, &cut), 2);
    assert_eq!(task.lay_out(1), Verdict::Impossible);
}

/// Two runs in two bars without waste, where a tree would leave a piece of 100: both runs are joined.
#[test]
fn two_runs_may_share_two_bars() {
    let site = |length| Site { most_joints: u32::MAX, least_piece: 300, windows: vec![(0, length)] };
    let sites = [site(1100), site(900)];
    let runs =
        vec![Demand { length: 1100, site: &sites[0], alike: 0 }, Demand { length: 900, site: &sites[1], alike: 1 }];
    let task = Task { bars: vec![1000, 1000], runs, lap: 0, kerf: 0, step: 1 };
    let Verdict::Laid(cut) = task.lay_out(u64::MAX) else { panic!("a layout with two joints exists") };
    assert_eq!(joints_of(&task, &cut), 2);
    assert_eq!(task.lay_out(1), Verdict::Impossible);
}

/// Without rules of the site every chain that fits by length can be laid out, however long.
#[test]
fn a_long_chain_is_filled_bar_by_bar() {
    let site = Site { most_joints: u32::MAX, least_piece: 0, windows: vec![(0, 7000)] };
    let runs = (0..2000).map(|_| Demand { length: 7000, site: &site, alike: 0 }).collect();
    let task = Task { bars: vec![3000; 4746], runs, lap: 50, kerf: 0, step: 1 };
    assert_eq!(task.spare(4745) / 3000, 0);
    let Verdict::Laid(cut) = task.lay_out(u64::MAX) else { panic!("it fits by length") };
    assert!(joints_of(&task, &cut) <= 4745);
}
