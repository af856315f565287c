//! Whether prices hold: no chain, of any length, earns more by its runs than it pays for its bars and joints.

use super::model::Model;

/// Most additions spent on one question.
const MOST_WORK: u128 = 40_000_000;

/// What runs earn and what bars and joints are paid.
pub(super) struct Dual {
    /// Per item of the model, for the run at full length.
    pub(super) runs: Vec<u64>,
    /// Per kind of the model.
    pub(super) bars: Vec<u64>,
    pub(super) joint: u64,
}

impl Dual {
    /// Whether the prices hold for every chain. `false` also where that is too much work to find out.
    pub(super) fn holds(&self, model: &Model) -> bool {
        if self.hold_by_length(model) {
            return true;
        }
        let earned: u128 =
            self.runs.iter().zip(&model.items).map(|(&price, item)| u128::from(price) * u128::from(item.count)).sum();
        if earned >= 1 << 61 || self.bars.iter().any(|&bar| bar >= 1 << 60) || self.joint >= 1 << 60 {
            return false;
        }
        let step = self.step(model);
        if model.all_whole() {
            return self.hold_in_bars(model, step);
        }
        match &model.kinds[..] {
            [only] if only.usable > 2 * model.lap + model.kerf => self.hold_around(model, step),
            _ => self.hold_in_chains(model, step),
        }
    }

    /// The quick case: the price of every run per unit of its length is no more than bars are paid for theirs.
    ///
    /// A chain holds one bar's usable length and kerf, and a bar less a lap for each further one with its joint.
    fn hold_by_length(&self, model: &Model) -> bool {
        let alone = model.all_whole();
        self.runs.iter().zip(&model.items).all(|(&price, item)| {
            let size = wide(item.length + model.kerf);
            let within = |length: i64, paid: u128| length <= 0 || u128::from(price) * wide(length) <= paid * size;
            model.kinds.iter().zip(&self.bars).all(|(kind, &bar)| {
                within(kind.usable + model.kerf, bar.into())
                    && (alone || within(kind.usable - model.lap, u128::from(bar) + u128::from(self.joint)))
            })
        })
    }

    /// The greatest unit that measures all runs, and bars where their lengths are added up.
    fn step(&self, model: &Model) -> i64 {
        let runs = model.items.iter().map(|item| item.length + model.kerf);
        let bars = model.kinds.iter().filter(|_| !model.all_whole()).map(|kind| kind.usable - model.lap);
        runs.chain(bars).fold(0, gcd).max(1)
    }

    /// Each bar alone: the most that runs earn in it.
    fn hold_in_bars(&self, model: &Model, step: i64) -> bool {
        let longest = model.kinds.iter().map(|kind| kind.usable + model.kerf).max().unwrap_or(0);
        let Some(most) = self.most_earned(model, step, wide(longest)) else { return false };
        model.kinds.iter().zip(&self.bars).all(|(kind, &bar)| {
            let at = usize::try_from((kind.usable + model.kerf) / step).unwrap_or(usize::MAX);
            most.get(at).is_some_and(|&earned| earned <= bar)
        })
    }

    /// Chains of one kind of bar, all lengths at once: sums of runs are kept by what they leave over whole bars (less
    /// a lap), with what they have earned less what those bars and joints are paid.
    fn hold_around(&self, model: &Model, step: i64) -> bool {
        let advance = model.kinds[0].usable - model.lap;
        let tail = model.lap + model.kerf;
        let around = usize::try_from(advance / step).unwrap_or(usize::MAX);
        let chunks = self.chunks(model, step);
        if chunks.len() as u128 * 2 * around as u128 > MOST_WORK {
            return false;
        }
        const NONE: i64 = i64::MIN / 4;
        let (bar, joint) = (self.bars[0] as i64, self.joint as i64);
        // Sums below one bar, and sums of a bar or more.
        let mut short = vec![NONE; around];
        let mut long = vec![NONE; around];
        short[0] = 0;
        for (size, price) in chunks {
            let (turns, rest) = (size / around, size % around);
            let before = (short.clone(), long.clone());
            let paid = |turns: usize| i64::try_from(turns).unwrap_or(i64::MAX).saturating_mul(bar + joint);
            for at in 0..around {
                let (turns, to) =
                    if at + rest >= around { (turns + 1, at + rest - around) } else { (turns, at + rest) };
                let gain = (price as i64).saturating_sub(paid(turns));
                let from_short = before.0[at].saturating_add(gain).max(NONE);
                let target = if turns == 0 { &mut short } else { &mut long };
                target[to] = target[to].max(from_short);
                long[to] = long[to].max(before.1[at].saturating_add(gain).max(NONE));
            }
        }
        // A lap's worth over whole bars still fits them; more takes one bar more.
        let fits = |at: usize| at as i64 * step <= tail;
        short.iter().all(|&earned| earned <= bar)
            && long.iter().enumerate().all(|(at, &net)| net <= if fits(at) { -joint } else { bar })
    }

    /// Chains of several kinds of bar, up to one that holds every run.
    fn hold_in_chains(&self, model: &Model, step: i64) -> bool {
        let total: u128 = model.items.iter().map(|item| wide(item.length + model.kerf) * u128::from(item.count)).sum();
        let Some(most) = self.most_earned(model, step, total) else { return false };
        if most.len() as u128 * model.kinds.len() as u128 > MOST_WORK {
            return false;
        }
        for (kind, &bar) in model.kinds.iter().zip(&self.bars) {
            let at = usize::try_from((kind.usable + model.kerf) / step).unwrap_or(usize::MAX).min(most.len() - 1);
            if most[at] > bar {
                return false;
            }
        }
        // The least paid for bars that advance by so much, counting a joint for each.
        let mut least = vec![u64::MAX; most.len()];
        least[0] = 0;
        for at in 1..least.len() {
            for (kind, &bar) in model.kinds.iter().zip(&self.bars).filter(|(kind, _)| kind.usable > model.lap) {
                let advance = usize::try_from((kind.usable - model.lap) / step).unwrap_or(usize::MAX);
                least[at] = least[at].min(least[at.saturating_sub(advance)].saturating_add(bar + self.joint));
            }
        }
        let tail = usize::try_from((model.lap + model.kerf) / step).unwrap_or(usize::MAX);
        (1..most.len()).all(|at| {
            let need = at.saturating_sub(tail).max(1);
            most[at] <= least[need].saturating_sub(self.joint)
        })
    }

    /// The most that runs earn within each length up to `longest`, in steps.
    fn most_earned(&self, model: &Model, step: i64, longest: u128) -> Option<Vec<u64>> {
        let cells = longest / wide(step) + 1;
        let chunks = self.chunks(model, step);
        if cells * (chunks.len() as u128 + 1) > MOST_WORK {
            return None;
        }
        let cells = usize::try_from(cells).ok()?;
        let mut most = vec![0_u64; cells];
        for (size, price) in chunks {
            for at in (size..cells).rev() {
                most[at] = most[at].max(most[at - size] + price);
            }
        }
        Some(most)
    }

    /// Every run with its price, alike ones in lots of 1, 2, 4, ... that together make every number up to their count.
    fn chunks(&self, model: &Model, step: i64) -> Vec<(usize, u64)> {
        let mut chunks = Vec::new();
        for (item, &price) in model.items.iter().zip(&self.runs).filter(|&(_, &price)| price > 0) {
            let mut left = item.count;
            let mut lot = 1;
            while left > 0 {
                let now = lot.min(left);
                let size = wide(item.length + model.kerf) / wide(step) * u128::from(now);
                chunks.push((usize::try_from(size).unwrap_or(usize::MAX / 2), price.saturating_mul(now)));
                left -= now;
                lot *= 2;
            }
        }
        chunks
    }
}

fn wide(length: i64) -> u128 {
    u128::from(length.unsigned_abs())
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
