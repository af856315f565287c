//! The reader's part of a proof: that the prices hold, what they add up to, and that the bounds follow.

use std::collections::BTreeMap;

use super::answer::{Answer, Prices, Status};
use super::check::Fault;
use super::problem::{Minimise, Problem, Rules, Run};

/// Most sums looked at for one set of prices.
const MOST_SUMS: usize = 60_000_000;

/// Adds what is wrong with an answer's bounds, proof and status.
pub(super) fn check_proof(problem: &Problem, answer: &Answer, faults: &mut Vec<Fault>) {
    let mut fault = |place: &str, message: String| faults.push(Fault { place: place.to_owned(), message });
    let reader = Reader::new(problem);
    let (first, second) = reader.reached(answer);
    let proven_first = reader.read(&answer.proof.first, first.max(second), None).unwrap_or_else(|message| {
        fault("/proof/first", message);
        0
    });
    let proven_second = reader.read(&answer.proof.second, first.max(second), Some(first)).unwrap_or_else(|message| {
        fault("/proof/second", message);
        0
    });
    let (said_first, said_second, first_place, second_place) = match problem.minimise {
        Minimise::Bars | Minimise::Cost => (answer.bound.cost, answer.bound.joints, "/bound/cost", "/bound/joints"),
        Minimise::Joints => (answer.bound.joints, answer.bound.cost, "/bound/joints", "/bound/cost"),
    };
    let searched = answer.proof.nodes > 0;
    let sides = [(first_place, said_first, proven_first, first), (second_place, said_second, proven_second, second)];
    for (place, said, proven, reached) in sides {
        if u128::from(said) > reached {
            fault(place, format!("a bound of {said} above what the answer itself comes to, {reached}"));
        } else if said < proven || (said > proven && !searched) {
            fault(place, format!("a bound of {said}: the prices prove {proven}"));
        }
    }
    if searched && said_first == proven_first && said_second == proven_second {
        fault(
            "/proof/nodes",
            format!("{} nodes of search, though the prices prove all that is said", answer.proof.nodes),
        );
    }
    if searched && said_second > proven_second && u128::from(said_first) != first {
        fault(second_place, format!("a bound of {said_second} among answers that no search has looked at alone"));
    }
    let best = u128::from(said_first) == first && u128::from(said_second) == second;
    if best != (answer.status == Status::ProvenBest) {
        fault(
            "/status",
            format!("{:?}, but the bounds say {}", answer.status, if best { "nothing is better" } else { "otherwise" }),
        );
    }
    let bars = reader.least_bars(answer);
    if u128::from(answer.bound.bars) != bars {
        fault("/bound/bars", format!("{} is said: lengths and cost give {bars}", answer.bound.bars));
    }
}

/// A problem as its prices see it, in micrometres.
struct Reader<'a> {
    problem: &'a Problem,
    /// What each run takes of a chain: its length and one kerf.
    sizes: Vec<u128>,
    /// What a bar alone holds, by the same count.
    holds: Vec<u128>,
    /// Lost of a chain at each joint.
    loss: u128,
    /// Whether chains of several bars need not be looked at: no run can be joined.
    whole: bool,
}

/// Whether a run may be joined and has room for a lap, clear of its ends and of what is forbidden.
fn has_room(run: &Run, rules: &Rules) -> bool {
    let (lap, clear) = (rules.lap.um(), run.clear.unwrap_or(rules.clear).um());
    let forbidden = || run.forbidden.iter().map(|&(from, to)| (from.um(), to.um())).filter(|(from, to)| from < to);
    // If a lap fits anywhere, it also does against whatever keeps it from lying nearer to the start.
    let mut starts = std::iter::once(clear).chain(forbidden().map(|(_, to)| to.max(clear)));
    run.may_join
        && starts.any(|start| {
            start + lap <= run.length.um() - clear && forbidden().all(|(from, to)| start >= to || start + lap <= from)
        })
}

impl<'a> Reader<'a> {
    fn new(problem: &'a Problem) -> Self {
        let rules = &problem.rules;
        let um = |length: crate::Length| u128::from(length.um().unsigned_abs());
        let holds =
            problem.bars.iter().map(|bar| (um(bar.length) + um(rules.kerf)).saturating_sub(2 * um(rules.trim_off)));
        Reader {
            problem,
            sizes: problem.runs.iter().map(|run| um(run.length) + um(rules.kerf)).collect(),
            holds: holds.collect(),
            loss: um(rules.lap) + um(rules.kerf),
            whole: rules.most_joints == Some(0) || !problem.runs.iter().any(|run| has_room(run, rules)),
        }
    }

    fn cost(&self, bar: usize) -> u128 {
        let (offer, counted) = (&self.problem.bars[bar], self.problem.bars.len() == 1);
        match offer.cost {
            Some(cost) => cost.into(),
            None if counted => 1,
            None => u128::from(offer.length.um().unsigned_abs()),
        }
    }

    /// What one bar and one joint add to the first and second aim.
    fn aims(&self, bar: usize) -> (u128, u128) {
        match self.problem.minimise {
            Minimise::Bars | Minimise::Cost => (self.cost(bar), 0),
            Minimise::Joints => (0, self.cost(bar)),
        }
    }

    fn joint(&self) -> (u128, u128) {
        match self.problem.minimise {
            Minimise::Bars => (0, 1),
            Minimise::Cost => (self.problem.rules.joint_cost.into(), 1),
            Minimise::Joints => (1, 0),
        }
    }

    /// What the answer comes to in both aims, by its pieces.
    fn reached(&self, answer: &Answer) -> (u128, u128) {
        let (mut first, mut second, mut pieces) = (0_u128, 0_u128, 0_u128);
        for chain in &answer.chains {
            for bar in chain.bars.iter().filter(|bar| bar.bar < self.problem.bars.len()) {
                let aims = self.aims(bar.bar);
                first += aims.0 * u128::from(chain.times);
                second += aims.1 * u128::from(chain.times);
                pieces += bar.pieces.len() as u128 * u128::from(chain.times);
            }
        }
        let runs: u128 = self.problem.runs.iter().map(|run| u128::from(run.quantity)).sum();
        let joints = pieces.saturating_sub(runs);
        (first + joints * self.joint().0, second + joints * self.joint().1)
    }

    /// What prices prove, or what is wrong with them. `reached` is the larger of the answer's aims, which fixes the scale;
    /// `given` is its first aim, for prices of the second.
    fn read(&self, prices: &Prices, reached: u128, given: Option<u128>) -> Result<u64, String> {
        let Problem { runs, bars, .. } = self.problem;
        if prices.runs.len() != runs.len() || prices.bars.len() != bars.len() {
            return Err(format!("{} runs and {} bars are priced", prices.runs.len(), prices.bars.len()));
        }
        let bits = 128 - reached.leading_zeros();
        let scale = 1_u64 << 56_u32.saturating_sub(bits).min(40);
        if prices.scale != scale {
            return Err(format!("a scale of {}: it must be {scale}", prices.scale));
        }
        if given.is_none() && prices.first != 0 {
            return Err("the first aim is priced in its own proof".to_owned());
        }
        let earned: u128 =
            prices.runs.iter().zip(runs).map(|(&price, run)| u128::from(price) * u128::from(run.quantity)).sum();
        let mut due = u128::from(prices.first) * given.unwrap_or(0);
        for (at, (&price, bar)) in prices.bars.iter().zip(bars).enumerate() {
            match bar.available {
                Some(have) => due = due.saturating_add(u128::from(price).saturating_mul(have.into())),
                None if price > 0 => return Err(format!("bar {at} is priced, but there are as many as wanted")),
                None => {}
            }
        }
        let Some(worth) = earned.checked_sub(due) else {
            return Err(format!("all runs earn {earned}, less than the {due} that is paid"));
        };
        if u128::from(prices.worth) != worth {
            return Err(format!("{worth} is what they are worth, not {}", prices.worth));
        }
        let paid = |aims: (u128, u128)| {
            let own = if given.is_none() { aims.0 } else { aims.1 };
            own.saturating_mul(prices.scale.into()).saturating_add(aims.0.saturating_mul(prices.first.into()))
        };
        let bars: Vec<u128> = prices
            .bars
            .iter()
            .enumerate()
            .map(|(at, &price)| paid(self.aims(at)).saturating_add(price.into()))
            .collect();
        let offer = Offer { bars, joint: paid(self.joint()) };
        if !self.earns_by_length(prices, &offer) {
            self.earns_by_sums(prices, &offer)?;
        }
        // Aims are multiples of what measures all costs.
        let measure = |aim: &dyn Fn((u128, u128)) -> u128| {
            let aims = self.kinds().map(|at| self.aims(at)).chain([self.joint()]);
            aims.map(aim).fold(0, |mut a, mut b| {
                while b > 0 {
                    (a, b) = (b, a % b);
                }
                a
            })
        };
        let unit = measure(&|aims| if given.is_none() { aims.0 } else { aims.1 }).max(1);
        let least =
            u128::from(prices.worth).div_ceil(u128::from(prices.scale).saturating_mul(unit)).saturating_mul(unit);
        u64::try_from(least).map_err(|_| "a bound beyond all numbers".to_owned())
    }

    /// Bars on offer at all.
    fn kinds(&self) -> impl Iterator<Item = usize> {
        (0..self.holds.len()).filter(|&at| self.holds[at] > 0 && self.problem.bars[at].available != Some(0))
    }

    /// Whether no run earns more per length than any bar is paid, alone or as one more of a chain.
    fn earns_by_length(&self, prices: &Prices, offer: &Offer) -> bool {
        let within = |price: u128, size: u128, length: u128, paid: u128| matches!((price.checked_mul(length), paid.checked_mul(size)), (Some(earned), Some(paid)) if earned <= paid);
        prices.runs.iter().zip(&self.sizes).all(|(&price, &size)| {
            self.kinds().all(|at| {
                let further = self.holds[at].saturating_sub(self.loss);
                within(price.into(), size, self.holds[at], offer.bars[at])
                    && (self.whole || within(price.into(), size, further, offer.bars[at].saturating_add(offer.joint)))
            })
        })
    }

    /// Goes through the sums that runs can come to, with the most they earn.
    fn earns_by_sums(&self, prices: &Prices, offer: &Offer) -> Result<(), String> {
        let kinds: Vec<usize> = self.kinds().collect();
        let total: u128 =
            self.sizes.iter().zip(&self.problem.runs).map(|(&size, run)| size * u128::from(run.quantity)).sum();
        let longest = kinds.iter().map(|&at| self.holds[at]).max().unwrap_or(0);
        let one = match kinds[..] {
            [only] if !self.whole && self.holds[only] > self.loss => {
                Some((self.holds[only] - self.loss, offer.bars[only].saturating_add(offer.joint)))
            }
            _ => None,
        };
        let limit = match (self.whole, one) {
            (true, _) => longest,
            // From here on a sum stands for all that are longer by whole bars, which are paid for at once.
            (false, Some((advance, _))) => self.loss + 2 * advance,
            (false, None) => total,
        };
        let lots = self.lots(prices);
        // With one kind of bar: what a sum lacks to the rate at which further bars are paid. A chain earns more than it
        // pays only if it lacks less than its first bar is short of that rate, which is a joint and the loss at one.
        let lack = |sum: u128, earned: i128| {
            one.map_or(Some(0), |(advance, paid)| {
                let due = i128::try_from(sum.checked_mul(paid)?).ok()?;
                due.checked_sub(earned.checked_mul(i128::try_from(advance).ok()?)?)
            })
        };
        let made_up = lots.iter().map(|&(size, price)| Some((-lack(size, price)?).max(0))).sum::<Option<i128>>();
        let allowed = one.map_or(Some(0), |(advance, paid)| {
            i128::try_from(offer.joint.checked_mul(advance)?.checked_add(self.loss.checked_mul(paid)?)?).ok()
        });
        let too_large = || "prices too large to verify".to_owned();
        let most_lack = made_up.zip(allowed).and_then(|(a, b)| a.checked_add(b)).ok_or_else(too_large)?;
        let mut sums: BTreeMap<u128, i128> = BTreeMap::from([(0, 0)]);
        let mut work = 0;
        for (size, price) in lots {
            let mut longer = Vec::new();
            for (&sum, &earned) in &sums {
                let (mut sum, mut earned) = (sum + size, earned.saturating_add(price));
                if let Some((advance, paid)) = one.filter(|_| sum >= limit) {
                    let bars = (sum - limit) / advance + 1;
                    sum -= bars * advance;
                    earned = earned.saturating_sub(i128::try_from(bars.saturating_mul(paid)).unwrap_or(i128::MAX));
                }
                if sum <= limit && lack(sum, earned).ok_or_else(too_large)? <= most_lack {
                    longer.push((sum, earned));
                }
            }
            work += longer.len();
            if work > MOST_SUMS {
                return Err("too many sums of runs to verify the prices".to_owned());
            }
            for (sum, earned) in longer {
                let most = sums.entry(sum).or_insert(earned);
                *most = earned.max(*most);
            }
        }
        let least = if self.whole || one.is_some() { Vec::new() } else { self.least_paid(offer, total)? };
        for (&sum, &earned) in sums.range(1..) {
            let alone = kinds.iter().filter(|&&at| self.holds[at] >= sum).map(|&at| offer.bars[at]).min();
            let chained = match one {
                _ if self.whole => None,
                Some((advance, paid)) => {
                    let bars = sum.saturating_sub(self.loss).div_ceil(advance).max(1);
                    Some(bars.saturating_mul(paid) - offer.joint)
                }
                None => least.iter().find(|&&(length, _)| length >= sum).map(|&(_, paid)| paid),
            };
            let paid = [alone, chained].into_iter().flatten().min().and_then(|paid| i128::try_from(paid).ok());
            if paid.is_some_and(|paid| earned > paid) {
                return Err(format!("runs of {sum} um together earn {earned}, more than a chain for them is paid"));
            }
        }
        Ok(())
    }

    /// Lengths of chains with the least that is paid for that length or more, shortest first.
    fn least_paid(&self, offer: &Offer, total: u128) -> Result<Vec<(u128, u128)>, String> {
        let mut reached: BTreeMap<u128, u128> = BTreeMap::from([(self.loss, 0)]);
        let mut open = vec![self.loss];
        while let Some(length) = open.pop() {
            for at in self.kinds().filter(|&at| self.holds[at] > self.loss) {
                let (longer, paid) = (
                    length + self.holds[at] - self.loss,
                    reached[&length].saturating_add(offer.bars[at]).saturating_add(offer.joint),
                );
                let known = reached.range(longer..).any(|(_, &other)| other <= paid);
                if !known {
                    reached.insert(longer, paid);
                    if reached.len() > 200_000 {
                        return Err("too many chains to verify the prices".to_owned());
                    }
                    if longer < total {
                        open.push(longer);
                    }
                }
            }
        }
        let mut least: Vec<(u128, u128)> =
            reached.into_iter().skip(1).map(|(length, paid)| (length, paid - offer.joint)).collect();
        for at in (1..least.len()).rev() {
            least[at - 1].1 = least[at - 1].1.min(least[at].1);
        }
        Ok(least)
    }

    /// Every priced run with its price, alike ones in lots that make every number up to their quantity.
    fn lots(&self, prices: &Prices) -> Vec<(u128, i128)> {
        let mut lots = Vec::new();
        for ((&price, &size), run) in prices.runs.iter().zip(&self.sizes).zip(&self.problem.runs) {
            let (mut left, mut lot) = (if price > 0 { run.quantity } else { 0 }, 1);
            while left > 0 {
                let now = lot.min(left);
                lots.push((size * u128::from(now), i128::from(price) * i128::from(now)));
                left -= now;
                lot *= 2;
            }
        }
        lots
    }

    /// No answer has fewer bars: by length, and by cost where bars of one kind are what is paid for.
    fn least_bars(&self, answer: &Answer) -> u128 {
        let total: u128 =
            self.sizes.iter().zip(&self.problem.runs).map(|(&size, run)| size * u128::from(run.quantity)).sum();
        let longest = self.kinds().map(|at| self.holds[at]).max().unwrap_or(1).max(1);
        let by_length = total.div_ceil(longest);
        if self.problem.bars.len() == 1 && self.problem.minimise == Minimise::Bars {
            by_length.max(u128::from(answer.bound.cost).div_ceil(self.cost(0).max(1)))
        } else {
            by_length
        }
    }
}

/// What bars and joints are paid.
struct Offer {
    bars: Vec<u128>,
    joint: u128,
}
