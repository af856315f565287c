//! Instances for the cutting engine: by published recipes, by trade size, and read from files.
//!
//! Every class draws from its own seed, so a class is the same wherever it is drawn. Published sets whose files are not
//! at hand are drawn anew by their recipes; results are those of the recipe, not of the published files.

mod academic;
mod augmented;
mod hard;
mod trade;

pub use academic::academic;
pub use trade::{trade, trade_lists};

use upstand::cutting::exact::{Instance, Item, Stock};

/// A named set of instances.
pub struct Class {
    /// Name of the set.
    pub name: &'static str,
    /// Its instances.
    pub instances: Vec<Instance>,
}

/// SplitMix64 (Steele, Lea and Flood 2014): small, seeded, the same everywhere.
pub struct Draw(u64);

impl Draw {
    /// A stream from a seed.
    pub fn new(seed: u64) -> Self {
        Draw(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from `low` to `high`, both included.
    pub fn within(&mut self, low: u64, high: u64) -> u64 {
        low + self.bits() % (high - low + 1)
    }
}

/// Bin packing: one stock, the lengths as given.
pub fn packing(capacity: u64, lengths: &[u64]) -> Instance {
    Instance {
        stocks: vec![Stock { length: capacity, cost: 1, tie: 0 }],
        items: lengths.iter().map(|&length| Item { length, count: 1, kind: 0 }).collect(),
        ..Instance::default()
    }
}
