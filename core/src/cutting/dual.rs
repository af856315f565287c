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
        if let Some(sums) = self.sums_within(model, step, wide(longest)) {
            return model.kinds.iter().zip(&self.bars).all(|(kind, &bar)| {
                let fitting = sums.partition_point(|&(sum, _)| sum <= wide(kind.usable + model.kerf) / wide(step));
                sums[..fitting].last().is_none_or(|&(_, earned)| earned <= bar)
            });
        }
        let Some(most) = self.most_earned(model, step, wide(longest)) else { return false };
        model.kinds.iter().zip(&self.bars).all(|(kind, &bar)| {
            let at = usize::try_from((kind.usable + model.kerf) / step).unwrap_or(usize::MAX);
            most.get(at).is_some_and(|&earned| earned <= bar)
        })
    }

    /// Chains of one kind of bar, all lengths at once: sums of runs are kept by what they leave over whole bars (less
    /// a lap), with what they have earned less what those bars and joints are paid.
    ///
    /// A chain of `b` bars is at least `(b - 1)` bars less a lap and a part of one long. So sums that fall short of the
    /// rate at which these are paid by more than a joint and a lap's share of a bar, and cannot make up for it by what
    /// is still to come, are dropped, which leaves few.
    fn hold_around(&self, model: &Model, step: i64) -> bool {
        let around = i128::from((model.kinds[0].usable - model.lap) / step);
        let tail = i128::from((model.lap + model.kerf) / step);
        let (bar, joint) = (i128::from(self.bars[0]), i128::from(self.joint));
        let paid = bar + joint;
        let mut chunks: Vec<(i128, i128)> =
            self.chunks(model, step).into_iter().map(|(size, price)| (size as i128, i128::from(price))).collect();
        // What a run gains over the rate, in parts of `around`; the worst first, so that sums are dropped early.
        let gain = |&(size, price): &(i128, i128)| price * around - size * paid;
        chunks.sort_by_key(|chunk| (gain(chunk), *chunk));
        let mut to_come: i128 = chunks.iter().map(|chunk| gain(chunk).max(0)).sum();
        let short_by = joint * around + tail * paid;
        // Sums below a bar, then those of a bar or more, which stand for all that are longer by whole bars.
        let mut sums: Vec<(i128, i128)> = vec![(0, 0)];
        let mut work = 0;
        for chunk in chunks {
            to_come -= gain(&chunk).max(0);
            let (size, price) = chunk;
            let longer = sums.iter().map(|&(sum, net)| {
                let bars = ((sum + size) / around - 1).max(0);
                (sum + size - bars * around, net + price - bars * paid)
            });
            let mut next: Vec<(i128, i128)> = sums.iter().copied().chain(longer).collect();
            next.retain(|&(sum, net)| net * around - sum * paid + to_come + short_by >= 0);
            // Both halves are rising but for where sums wrap around: a stable sort merges such runs in one go.
            next.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)));
            next.dedup_by_key(|&mut (sum, _)| sum);
            work += next.len() as u128;
            if work * 32 > MOST_WORK {
                return false;
            }
            sums = next;
        }
        // A lap's worth over whole bars still fits them; more takes a bar more.
        sums.into_iter().all(|(sum, net)| net <= if sum <= around + tail { bar } else { bar + paid })
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

    /// The sums of runs up to `longest`, in steps, that earn more than every smaller one: rising, with what they earn.
    /// `None` where a table of all lengths is no more work.
    fn sums_within(&self, model: &Model, step: i64, longest: u128) -> Option<Vec<(u128, u64)>> {
        let cells = longest / wide(step);
        let mut sums: Vec<(u128, u64)> = vec![(0, 0)];
        for (size, price) in self.chunks(model, step) {
            let longer = sums.iter().map(|&(sum, earned)| (sum + size as u128, earned + price));
            let mut next: Vec<(u128, u64)> = sums.iter().copied().chain(longer).collect();
            next.retain(|&(sum, _)| sum <= cells);
            // Two rising runs, which a stable sort merges.
            next.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)));
            let mut most = None;
            next.retain(|&(_, earned)| {
                let more = most.is_none_or(|most| earned > most);
                most = most.max(Some(earned));
                more
            });
            if next.len() as u128 * 32 > cells {
                return None;
            }
            sums = next;
        }
        Some(sums)
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
