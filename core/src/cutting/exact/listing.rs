//! Lists every pattern that an answer better than the best could still use.
//!
//! Let integer prices prove the bound `z`, and let an answer of value `k` be sought. Its patterns cover all items, so what
//! they cost less what they hold in prices adds up to `k` less the prices of all items: the *slack*. None of these
//! differences is negative, so none is above the slack. Where prices nearly prove that `k` cannot be, few
//! patterns are left, and where lengths are the prices, these are the patterns of little waste.
//! (Reduced-cost enumeration, as in Baldacci, Christofides and Mingozzi 2008 for vehicle routing.)

use super::meter::Meter;

/// Items of a pattern with their numbers.
pub(super) type Uses = Vec<(u32, u64)>;

/// Most entries of a table that bounds the search exactly.
const TABLE: u64 = 6_000_000;

/// What a listed pattern must be: made of at most `count` of each item, no longer than `capacity`, of at least
/// `least_price` and `least_length`.
pub(super) struct Ask<'a> {
    pub(super) length: &'a [u64],
    pub(super) count: &'a [u64],
    pub(super) price: &'a [u64],
    pub(super) capacity: u64,
    pub(super) least_price: u64,
    pub(super) least_length: u64,
    /// More patterns than this are not listed.
    pub(super) most: usize,
    pub(super) most_steps: u64,
}

/// All such patterns, or `None` if they are too many or the search for them too long.
pub(super) fn list(ask: &Ask<'_>, meter: &mut Meter<'_>) -> Option<Vec<Uses>> {
    let mut order: Vec<usize> =
        (0..ask.length.len()).filter(|&i| ask.count[i] > 0 && ask.length[i] <= ask.capacity).collect();
    // By falling price per length, as the fractional bound wants it; the longer first among equals.
    order.sort_by(|&a, &b| {
        let (left, right) = (
            u128::from(ask.price[a]) * u128::from(ask.length[b]),
            u128::from(ask.price[b]) * u128::from(ask.length[a]),
        );
        right.cmp(&left).then(ask.length[b].cmp(&ask.length[a])).then(a.cmp(&b))
    });
    let mut shortest: Vec<u64> = order.iter().map(|&i| ask.length[i]).collect();
    for at in (1..shortest.len()).rev() {
        shortest[at - 1] = shortest[at - 1].min(shortest[at]);
    }
    let mut by_length: Vec<(u64, usize)> = order.iter().enumerate().map(|(at, &i)| (ask.length[i], at)).collect();
    by_length.sort_unstable();
    let entries = (order.len() as u64 + 1).saturating_mul(ask.capacity.saturating_add(1));
    let table = (entries <= TABLE).then(|| {
        meter.spend(entries * 2);
        Table::new(ask, &order)
    });
    let (chosen, found) = (Vec::new(), Vec::new());
    let mut walk = Walk { ask, order, shortest, by_length, table, chosen, found, steps: 0, told: 0, meter };
    let ended = walk.descend(0, ask.capacity, 0) && !walk.is_late();
    ended.then_some(walk.found)
}

struct Walk<'a, 'b> {
    ask: &'a Ask<'a>,
    order: Vec<usize>,
    /// Shortest length from each position on.
    shortest: Vec<u64>,
    /// Lengths rising, with positions.
    by_length: Vec<(u64, usize)>,
    table: Option<Table>,
    chosen: Uses,
    found: Vec<Uses>,
    steps: u64,
    /// Steps that the meter has been told of.
    told: u64,
    meter: &'a mut Meter<'b>,
}

impl Walk<'_, '_> {
    /// Tells the meter of the steps so far, and whether the effort is spent.
    fn is_late(&mut self) -> bool {
        self.meter.spend((self.steps - self.told) * 4);
        self.told = self.steps;
        self.meter.spent()
    }

    /// Goes through all choices from position `from` on. Returns whether there was room for all.
    fn descend(&mut self, from: usize, free: u64, price: u64) -> bool {
        let ask = self.ask;
        let slack = ask.capacity - ask.least_length;
        if price >= ask.least_price && free <= slack && !self.chosen.is_empty() {
            if self.found.len() >= ask.most {
                return false;
            }
            let mut uses = self.chosen.clone();
            uses.sort_unstable();
            self.found.push(uses);
        }
        if from >= self.order.len() || free < self.shortest[from] {
            return true;
        }
        if free < 2 * self.shortest[from] && free > slack {
            return self.finish(from, free, price);
        }
        for at in from..self.order.len() {
            self.steps += 1;
            if self.steps > ask.most_steps || (self.steps - self.told > 100_000 && self.is_late()) {
                return false;
            }
            let enough = match &self.table {
                Some(table) => price + table.value(at, free) >= ask.least_price,
                None => {
                    let i = self.order[at];
                    let part = u128::from(free) * u128::from(ask.price[i]);
                    u128::from(ask.least_price.saturating_sub(price)) * u128::from(ask.length[i]) <= part
                }
            };
            if !enough {
                return true;
            }
            let i = self.order[at];
            for copies in 1..=ask.count[i].min(free / ask.length[i]) {
                self.chosen.push((i as u32, copies));
                let fits = self.descend(at + 1, free - copies * ask.length[i], price + copies * ask.price[i]);
                self.chosen.pop();
                if !fits {
                    return false;
                }
            }
        }
        true
    }

    /// As `descend` where exactly one more item is to be added: it must be long enough.
    fn finish(&mut self, from: usize, free: u64, price: u64) -> bool {
        let ask = self.ask;
        let least = free + ask.least_length - ask.capacity;
        let start = self.by_length.partition_point(|l| l.0 < least);
        for k in start..self.by_length.len() {
            let (length, at) = self.by_length[k];
            if length > free {
                break;
            }
            self.steps += 1;
            let i = self.order[at];
            if at < from || price + ask.price[i] < ask.least_price {
                continue;
            }
            if self.found.len() >= ask.most || self.steps > ask.most_steps {
                return false;
            }
            let mut uses = self.chosen.clone();
            uses.push((i as u32, 1));
            uses.sort_unstable();
            self.found.push(uses);
        }
        self.steps += 4;
        true
    }
}

/// Most price by first position and capacity.
struct Table {
    width: usize,
    value: Vec<u64>,
}

impl Table {
    fn new(ask: &Ask<'_>, order: &[usize]) -> Self {
        let width = ask.capacity as usize + 1;
        let mut value = vec![0_u64; (order.len() + 1) * width];
        for (at, &i) in order.iter().enumerate().rev() {
            let (head, tail) = value.split_at_mut((at + 1) * width);
            let row = &mut head[at * width..];
            row.copy_from_slice(&tail[..width]);
            let mut left = ask.count[i].min(ask.capacity / ask.length[i]);
            let mut bundle = 1;
            while left > 0 {
                let copies = bundle.min(left);
                let (length, price) = ((copies * ask.length[i]) as usize, copies * ask.price[i]);
                for c in (length..width).rev() {
                    row[c] = row[c].max(row[c - length] + price);
                }
                left -= copies;
                bundle *= 2;
            }
        }
        Table { width, value }
    }

    fn value(&self, from: usize, capacity: u64) -> u64 {
        self.value[from * self.width + capacity as usize]
    }
}
