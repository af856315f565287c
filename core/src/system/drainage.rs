//! What rain brings, and what takes it away.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;

/// Rain and the capacities that run-off is held against: for a first look, before a designer's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct DrainageRules {
    /// Rainfall intensity, in litres per second and square metre: 0.0208 is 75 mm an hour.
    pub rain_l_s_m2: f64,
    /// Depth of water that an outlet may have around it.
    pub outlet_head: Length,
    /// What a grating leaves of an outlet's capacity.
    pub outlet_factor: f64,
    /// Gutters below drip edges, the smallest first.
    pub gutters: Vec<Gutter>,
}

/// One size of gutter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Gutter {
    /// What it is called.
    pub name: String,
    /// What it takes away, in litres per second.
    pub capacity_l_s: f64,
}

impl DrainageRules {
    /// What a round outlet takes in, in litres per second, under the head of these rules: as a weir up to half its diameter,
    /// `k D h^1.5 / 7500`, and as an orifice beyond, `k D^2 h^0.5 / 15000`, in millimetres (BS EN 12056-3, from memory: not
    /// confirmed).
    ///
    /// ```
    /// use upstand::{Length, system::DrainageRules};
    ///
    /// let open = DrainageRules { outlet_factor: 1.0, ..DrainageRules::default() };
    /// assert!((open.outlet_capacity_l_s(Length::from_mm(100)) - 2.7608).abs() < 1e-4);
    /// ```
    pub fn outlet_capacity_l_s(&self, diameter: Length) -> f64 {
        let (d, h) = (diameter.mm(), self.outlet_head.mm());
        let flow = if h <= d / 2.0 { d * h * h.sqrt() / 7_500.0 } else { d * d * h.sqrt() / 15_000.0 };
        self.outlet_factor * flow
    }

    /// What a rectangular overflow takes in, in litres per second, under the head of these rules: `L h^1.5 / 24000`, in
    /// millimetres (BS EN 12056-3, from memory: not confirmed).
    ///
    /// ```
    /// use upstand::{Length, system::DrainageRules};
    ///
    /// let rules = DrainageRules::default();
    /// assert!((rules.overflow_capacity_l_s(Length::from_mm(200)) - 1.7255).abs() < 1e-4);
    /// ```
    pub fn overflow_capacity_l_s(&self, length: Length) -> f64 {
        let h = self.outlet_head.mm();
        length.mm() * h * h.sqrt() / 24_000.0
    }

    /// The least length of an overflow that takes in so much, in whole centimetres; none without a head.
    pub(crate) fn overflow_length(&self, flow_l_s: f64) -> Option<Length> {
        let a_metre = self.overflow_capacity_l_s(Length::from_mm(1_000));
        let centimetres = (flow_l_s / a_metre * 100.0 - 1e-9).ceil();
        (a_metre > 0.0 && centimetres < 1e7).then(|| Length::from_mm(10 * centimetres.max(1.0) as i64))
    }
}

impl Default for DrainageRules {
    fn default() -> Self {
        let gutter = |name: &str, capacity_l_s| Gutter { name: name.into(), capacity_l_s };
        DrainageRules {
            // 75.6 mm an hour: BS EN 12056-3 as reprinted in a textbook.
            rain_l_s_m2: 0.021,
            // With a grating half; both from memory of BS EN 12056-3.
            outlet_head: Length::from_mm(35),
            outlet_factor: 0.5,
            // Approved Document H, H3, table 2: half-round eaves gutters. The row of 100 mm is confirmed by a textbook, the others
            // are from memory.
            gutters: vec![
                gutter("75 mm half-round gutter", 0.38),
                gutter("100 mm half-round gutter", 0.78),
                gutter("115 mm half-round gutter", 1.11),
                gutter("125 mm half-round gutter", 1.37),
                gutter("150 mm half-round gutter", 2.16),
            ],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, wanted: f64) {
        assert!((found - wanted).abs() < 1e-4, "{found} is not {wanted}");
    }

    // Closed formulas, and both branches meet at a head of half the diameter.
    #[test]
    fn outlets_take_in_as_weir_and_as_orifice() {
        let capacity = |mm: i64, head: i64, outlet_factor: f64| {
            let rules = DrainageRules { outlet_head: Length::from_mm(head), outlet_factor, ..DrainageRules::default() };
            rules.outlet_capacity_l_s(Length::from_mm(mm))
        };
        near(capacity(100, 35, 1.0), 2.7608);
        near(capacity(100, 35, 0.5), 1.3804);
        near(capacity(150, 35, 0.5), 2.0706);
        near(capacity(100, 50, 1.0), 4.7140);
        assert!((capacity(100, 51, 1.0) - capacity(100, 50, 1.0)) < 0.1);
    }

    // Approved Document H, H3, table 2: roof area and capacity of each gutter; their ratio is the rain.
    #[test]
    fn gutters_of_the_table_take_the_rain_of_their_areas() {
        for (gutter, area) in DrainageRules::default().gutters.iter().zip([18.0, 37.0, 53.0, 65.0, 103.0]) {
            assert!((gutter.capacity_l_s / area - 0.021).abs() < 2e-4, "{}", gutter.name);
        }
    }
}
