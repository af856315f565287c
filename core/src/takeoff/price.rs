//! Prices of the day, put into a system for one job.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::amount::Amount;
use crate::error::{Code, Error};
use crate::money::Money;
use crate::roof::Kind;
use crate::system::{BarSold, Pack, System};

/// What one pack of a material costs: in place of the system's own price.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PackPrice {
    /// Which material, by its name in the take-off: `drip`, `batten`, `mat`, `fixing`, `resin` and so on.
    pub material: String,
    /// Which pack, by its content in the unit of the take-off: m, kg, ml, pieces.
    pub size: f64,
    /// What it costs, in the job's money.
    pub price: Money,
}

/// Every pack of a material that a system sells, with its content in millionths, and where its price is kept.
fn packs<'a>(system: &'a mut System, material: &str) -> Vec<(u64, &'a mut Option<Money>)> {
    fn bars(bars: &mut [BarSold]) -> Vec<(u64, &mut Option<Money>)> {
        bars.iter_mut().map(|bar| (Amount::metres(bar.length).millionths(), &mut bar.price)).collect()
    }
    fn by_mass(packs: &mut [Pack]) -> Vec<(u64, &mut Option<Money>)> {
        packs.iter_mut().map(|pack| (Amount::pack(pack.mass_kg).millionths(), &mut pack.price)).collect()
    }
    if let Some(kind) = Kind::ALL.into_iter().find(|kind| kind.word() == material) {
        let trims = &mut system.trims;
        return match kind {
            Kind::Drip => bars(&mut trims.drip.bars),
            Kind::Abutment => bars(&mut trims.abutment.bars),
            Kind::OpenSide => bars(&mut trims.open_side.bars),
        };
    }
    let single = |size: Amount, price| vec![(size.millionths(), price)];
    match material {
        "batten" => bars(&mut system.batten.bars),
        "closing_strip" => bars(&mut system.closing.strip.bars),
        "end_cap" => single(Amount::from_count(system.closing.cap.pack.into()), &mut system.closing.cap.price),
        "fixing" => single(Amount::from_count(system.fixing.pack.into()), &mut system.fixing.price),
        "adhesive" => single(Amount::pack(system.adhesive.cartridge_ml), &mut system.adhesive.price),
        "mat" => single(Amount::metres(system.mat.roll), &mut system.mat.price),
        "tape" => single(Amount::metres(system.tape.roll), &mut system.tape.price),
        "tissue" => single(Amount::metres(system.tissue.roll), &mut system.tissue.price),
        _ => {
            let layers = system.layers.iter_mut().map(|layer| (&layer.material, &mut layer.packs));
            let hardeners = system.hardeners.iter_mut().map(|hardener| (&hardener.material, &mut hardener.packs));
            let found = layers.chain(hardeners).find(|(name, _)| *name == material);
            found.map(|(_, packs)| by_mass(packs)).unwrap_or_default()
        }
    }
}

/// Puts the prices into the system. Every price that finds no pack is a problem: [`Code::BadValue`].
///
/// ```
/// use upstand::takeoff::{PackPrice, put_prices};
/// use upstand::{Code, Money, System};
///
/// let price = |size| [PackPrice { material: "resin".into(), size, price: Money::from_parts(845_000) }];
/// let mut system = System::default();
/// assert!(put_prices(&mut system, &price(20.0)).is_empty());
/// assert_eq!(system.layers[1].packs[0].price, Some(Money::from_parts(845_000)));
/// let problems = put_prices(&mut system, &price(21.0));
/// assert_eq!((problems[0].code(), problems[0].path()), (Code::BadValue, "/prices/0/size"));
/// ```
pub fn put_prices(system: &mut System, prices: &[PackPrice]) -> Vec<Error> {
    let mut problems = Vec::new();
    for (i, PackPrice { material, size, price }) in prices.iter().enumerate() {
        let mut packs = packs(system, material);
        if packs.is_empty() {
            let message = format!("{material:?} is no material that is bought");
            problems.push(Error::new(Code::BadValue, format!("/prices/{i}/material"), message));
            continue;
        }
        let content = (size * 1e6).round();
        match packs.iter_mut().find(|(of_pack, _)| (*of_pack as f64 - content).abs() < 0.5) {
            Some((_, place)) => **place = Some(*price),
            None => {
                let sizes: Vec<String> = packs.iter().map(|(size, _)| (*size as f64 / 1e6).to_string()).collect();
                let message = format!("no pack of {material} holds {size}: there are packs of {}", sizes.join(", "));
                problems.push(Error::new(Code::BadValue, format!("/prices/{i}/size"), message));
            }
        }
    }
    problems
}
