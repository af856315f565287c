//! Few runs: exact by dynamic programming over subsets of runs.
//!
//! Offcuts on hand make the engine's job hard: a chain may mix them with bars as sold, and every chain draws on the same
//! few. So do rules of the site that forbid what fits by length. With a dozen runs there is a direct way. Let `f(R, u)` be the least that the runs `R` come to when `u` says how
//! many limited bars of each kind are used. Then
//!
//! > `f(R, u) = min over S, v of f(R - S, u - v) + c(S, v)`
//!
//! where `S` is a part of `R` with its first run, made as one chain from the limited bars `v` and as many bars without
//! limit as it needs, at the cost `c(S, v)`. Costs begin as those that length alone asks for. The chains of the best
//! answer are then laid out; one that the site forbids is made dearer (one joint more, or one bar more, whichever
//! is cheaper), and the recursion runs again. A cost is always a lower bound of its chain's, so the first answer whose
//! chains can all be laid out is a best one.
//!
//! O(3^n m^2) for n runs and m ways to use limited bars, in each round.

use super::budget::Budget;
use super::layout::{Cut, Verdict};
use super::model::{Aims, Model};
use super::search::{Found, Made, task};

/// Steps of the recursion in one round.
const MOST_STEPS: u64 = 20_000_000;
/// Rounds before the engine is asked instead.
const MOST_ROUNDS: u64 = 60;
/// Bars and joints tried beyond what length asks for.
const BEYOND: u64 = 3;

/// A best answer; nothing where the problem is too large for this, or is not settled within the rounds.
pub(super) fn search(model: &Model, budget: &Budget<'_>) -> Option<Found> {
    let mut table = Table::new(model)?;
    for round in 1..=MOST_ROUNDS {
        if budget.look(0, 0) {
            return None;
        }
        let (least, chosen) = table.best()?;
        let cuts: Vec<Option<Cut>> = chosen.iter().map(|&choice| table.lay_out(choice)).collect();
        if cuts.iter().all(Option::is_some) {
            let chains = chosen.iter().zip(cuts.into_iter().flatten()).map(|(&choice, cut)| table.made(choice, cut));
            let chains: Vec<Made> = chains.collect();
            return Some(Found {
                chains,
                aims: least,
                least,
                searched: !table.doubt,
                nodes: round,
                ..Found::default()
            });
        }
    }
    None
}

/// One chain: which runs (a bit each), which way of using limited bars.
type Choice = (usize, usize);

/// What a chain is taken to be: bars without limit, and joints beyond those of a tree.
#[derive(Clone, Copy, Default)]
struct Build {
    endless: u64,
    extra: u64,
}

struct Table<'a> {
    model: &'a Model,
    /// The item of each run, alike runs one by one.
    runs: Vec<usize>,
    limited: Vec<usize>,
    /// The kind of bar without limit.
    endless: Option<usize>,
    /// How many limited bars of each kind, by way; the first uses none.
    ways: Vec<Vec<u64>>,
    /// Ways `(used, by the chain, before)` where the first is the sum of the other two.
    sums: Vec<(usize, usize, usize)>,
    /// By choice: the cheapest build that is not known to be impossible, and those tried.
    builds: Vec<Option<Build>>,
    tried: Vec<Vec<Build>>,
    /// Whether a chain was given up without proof that it is impossible.
    doubt: bool,
}

impl<'a> Table<'a> {
    fn new(model: &'a Model) -> Option<Self> {
        let kinds = 0..model.kinds.len();
        let limited: Vec<usize> = kinds.clone().filter(|&kind| model.kinds[kind].available.is_some()).collect();
        let endless: Vec<usize> = kinds.filter(|&kind| model.kinds[kind].available.is_none()).collect();
        let count: u64 = model.items.iter().map(|item| item.count).fold(0, u64::saturating_add);
        let peeled_on_hand = endless.is_empty() && model.peeled_bars() > 0;
        if endless.len() > 1 || !(1..=14).contains(&count) || peeled_on_hand {
            return None;
        }
        let items = model.items.iter().enumerate();
        let runs: Vec<usize> = items.flat_map(|(at, item)| (0..item.count).map(move |_| at)).collect();
        let mut ways = vec![Vec::new()];
        for &kind in &limited {
            let have = model.kinds[kind].available.unwrap_or(0);
            if (ways.len() as u64).saturating_mul(have.saturating_add(1)) > 1_000 {
                return None;
            }
            ways = ways.iter().flat_map(|way| (0..=have).map(|used| [&way[..], &[used]].concat())).collect();
        }
        let steps = 3_u64.checked_pow(u32::try_from(count).ok()?)?;
        if steps.saturating_mul((ways.len() * ways.len()) as u64) > MOST_STEPS {
            return None;
        }
        let mut sums = Vec::new();
        for (used, way) in ways.iter().enumerate() {
            for (chain, part) in ways.iter().enumerate() {
                let rest: Option<Vec<u64>> = way.iter().zip(part).map(|(all, own)| all.checked_sub(*own)).collect();
                sums.extend(rest.and_then(|rest| Some((used, chain, ways.iter().position(|way| *way == rest)?))));
            }
        }
        let size = ways.len() << runs.len();
        let endless = endless.first().copied();
        let mut table = Table {
            model,
            runs,
            limited,
            endless,
            ways,
            sums,
            builds: vec![None; size],
            tried: vec![Vec::new(); size],
            doubt: false,
        };
        for part in 1..1 << table.runs.len() {
            for way in 0..table.ways.len() {
                let at = table.at((part, way));
                table.builds[at] = table.begin((part, way));
            }
        }
        Some(table)
    }

    fn at(&self, (part, way): Choice) -> usize {
        part * self.ways.len() + way
    }

    fn items(&self, part: usize) -> impl Iterator<Item = usize> + '_ {
        self.runs.iter().enumerate().filter(move |(run, _)| part >> run & 1 == 1).map(|(_, &item)| item)
    }

    /// Whole bars taken off the runs of a part; see [`Model::size`].
    fn peeled(&self, part: usize) -> u64 {
        self.items(part).map(|item| self.model.items[item].peeled).sum()
    }

    /// The bars that length alone asks for.
    fn begin(&self, (part, way): Choice) -> Option<Build> {
        let model = self.model;
        let need: u64 = self.items(part).map(|item| model.size(item)).sum();
        let used = self.limited.iter().zip(&self.ways[way]);
        let mut capacity = model.lap + model.kerf;
        for (&kind, &count) in used {
            capacity += i64::try_from(count).ok()? * (model.kinds[kind].usable - model.lap);
        }
        let bars: u64 = self.ways[way].iter().sum();
        let mut endless = u64::from(bars == 0);
        let each = self.endless.map_or(0, |kind| model.kinds[kind].usable - model.lap);
        if self.endless.is_none() && endless > 0 {
            return None;
        }
        capacity += i64::try_from(endless).ok()? * each;
        let short = i64::try_from(need).ok()? - capacity;
        if short > 0 {
            if each <= 0 {
                return None;
            }
            endless += short.unsigned_abs().div_ceil(each.unsigned_abs());
        }
        // Runs that stay whole do not hold bars together.
        let joinable = self.items(part).any(|item| model.items[item].site.most_joints > 0);
        (joinable || bars + endless + self.peeled(part) == 1).then_some(Build { endless, extra: 0 })
    }

    fn aims(&self, (part, way): Choice, build: Build) -> Aims {
        let build = Build { endless: build.endless + self.peeled(part), ..build };
        let bars: u64 = self.ways[way].iter().sum::<u64>() + build.endless;
        let joints = bars - 1 + build.extra;
        let joint = self.model.joint;
        let mut aims = Aims { first: joints * joint.first, second: joints * joint.second };
        let used = self.limited.iter().copied().zip(self.ways[way].iter().copied());
        for (kind, count) in used.chain(self.endless.map(|kind| (kind, build.endless))) {
            aims.first += count * self.model.kinds[kind].aims.first;
            aims.second += count * self.model.kinds[kind].aims.second;
        }
        aims
    }

    /// The best answer by the costs as they stand: what it comes to, and its chains.
    fn best(&self) -> Option<(Aims, Vec<Choice>)> {
        let (all, ways) = (1_usize << self.runs.len(), self.ways.len());
        let costs: Vec<Option<Aims>> =
            (0..all * ways).map(|at| self.builds[at].map(|build| self.aims((at / ways, at % ways), build))).collect();
        let mut least: Vec<Option<(Aims, Choice)>> = vec![None; all * ways];
        least[0] = Some((Aims::default(), (0, 0)));
        for runs in 1..all {
            let first = runs & runs.wrapping_neg();
            let others = runs ^ first;
            let mut part = others;
            loop {
                let chain = part | first;
                for &(used, way, before) in &self.sums {
                    let cost = costs[chain * ways + way];
                    let rest = least[(runs ^ chain) * ways + before];
                    if let (Some(cost), Some((rest, _))) = (cost, rest) {
                        let sum = Aims { first: cost.first + rest.first, second: cost.second + rest.second };
                        let slot = &mut least[runs * ways + used];
                        if slot.is_none_or(|(have, _)| sum < have) {
                            *slot = Some((sum, (chain, way)));
                        }
                    }
                }
                if part == 0 {
                    break;
                }
                part = (part - 1) & others;
            }
        }
        let (mut runs, last) = (all - 1, (all - 1) * ways);
        let mut used = (0..ways)
            .filter(|&used| least[last + used].is_some())
            .min_by_key(|&used| least[last + used].map(|(aims, _)| aims))?;
        let (aims, _) = least[last + used]?;
        let mut chosen = Vec::new();
        while runs > 0 {
            let (_, (chain, way)) = least[runs * ways + used]?;
            chosen.push((chain, way));
            runs ^= chain;
            used = self.sums.iter().find(|&&(sum, own, _)| (sum, own) == (used, way))?.2;
        }
        Some((aims, chosen))
    }

    /// Lays a chain out as it is taken to be; if that cannot be, takes it to be the next dearer one.
    fn lay_out(&mut self, choice: Choice) -> Option<Cut> {
        let at = self.at(choice);
        let build = self.builds[at]?;
        let (bars, runs) = self.spread(choice, build);
        let most = bars.len() as u64 - 1 + build.extra;
        match task(self.model, &bars, &runs).lay_out(most) {
            Verdict::Laid(cut) => return Some(cut),
            Verdict::Impossible => {}
            Verdict::Undecided => self.doubt = true,
        }
        self.tried[at].push(build);
        let least = self.begin(choice)?.endless;
        let bars_beyond = if self.endless.is_some() { BEYOND } else { 0 };
        let next = (least..=least + bars_beyond)
            .flat_map(|endless| (0..=BEYOND).map(move |extra| Build { endless, extra }))
            .filter(|next| {
                !self.tried[at].iter().any(|tried| (tried.endless, tried.extra) == (next.endless, next.extra))
            })
            .min_by_key(|&next| self.aims(choice, next));
        self.doubt |= next.is_none();
        self.builds[at] = next;
        None
    }

    /// The bars (kinds) and runs (items) of a chain, one entry each.
    fn spread(&self, (part, way): Choice, build: Build) -> (Vec<usize>, Vec<usize>) {
        let build = Build { endless: build.endless + self.peeled(part), ..build };
        let used = self.limited.iter().copied().zip(self.ways[way].iter().copied());
        let mut counts: Vec<(usize, u64)> = used.chain(self.endless.map(|kind| (kind, build.endless))).collect();
        counts.sort_unstable();
        let bars = counts.into_iter().flat_map(|(kind, count)| (0..count).map(move |_| kind)).collect();
        (bars, self.items(part).collect())
    }

    fn made(&self, choice: Choice, cut: Cut) -> Made {
        let build = self.builds[self.at(choice)].unwrap_or_default();
        let (bars, runs) = self.spread(choice, build);
        Made { times: 1, bars, runs, cut }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use crate::cutting::{Bar, Effort, Problem, Rules, Run, check, solve};
    use crate::length::Length;

    fn problem(runs: &[i64], bars: &[(i64, u64, Option<u64>)]) -> Problem {
        let mm = Length::from_mm;
        let bars =
            bars.iter().map(|&(length, cost, available)| Bar { length: mm(length), cost: Some(cost), available });
        let rules = Rules { lap: mm(50), least_piece: mm(300), clear: mm(150), ..Rules::default() };
        Problem { rules, ..Problem::new(bars.collect(), runs.iter().map(|&run| Run::of(mm(run), 1)).collect()) }
    }

    #[test]
    fn offcuts_on_hand_are_used_where_they_save_a_bar() {
        // 14 713 mm of runs: five bars hold 5 x 3000 - 4 x 50 = 14 800 mm, so the offcuts can save one only if they bring
        // 14 713 - 11 850 = 2 863 mm. They bring 1 602 mm.
        let few = problem(&[2319, 1068, 6080, 805, 4441], &[(3000, 1, None), (851, 0, Some(2))]);
        let answer = solve(&few, &Effort::default()).expect("enough bars");
        assert_eq!((answer.cost, answer.proven()), (5, true));
        assert_eq!(check(&few, &answer), Ok(()));
        // Two of 1 500 mm bring 2 900 mm and do.
        let more = problem(&[2319, 1068, 6080, 805, 4441], &[(3000, 1, None), (1500, 0, Some(2))]);
        let answer = solve(&more, &Effort::default()).expect("enough bars");
        assert_eq!((answer.cost, answer.proven()), (4, true));
        assert_eq!(check(&more, &answer), Ok(()));
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]
        /// A bar on hand at no cost never makes the answer dearer, and one that is as good as a bought bar saves it.
        #[test]
        fn bars_on_hand_never_cost(
            runs in proptest::collection::vec(200_i64..7000, 1..6), spare in 300_i64..3000, count in 1_u64..4,
        ) {
            let alone = solve(&problem(&runs, &[(3000, 1, None)]), &Effort::default());
            let with = problem(&runs, &[(3000, 1, None), (spare, 0, Some(count))]);
            let full = problem(&runs, &[(3000, 1, None), (3000, 0, Some(1))]);
            if let Ok(alone) = alone {
                let with_spare = solve(&with, &Effort::default()).expect("no fewer bars than alone");
                prop_assert_eq!(check(&with, &with_spare), Ok(()));
                prop_assert!(with_spare.cost <= alone.cost);
                let with_full = solve(&full, &Effort::default()).expect("no fewer bars than alone");
                if alone.proven() && with_full.proven() {
                    prop_assert_eq!(with_full.cost, alone.cost - 1);
                }
            }
        }
    }
}
