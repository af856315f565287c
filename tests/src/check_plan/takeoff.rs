//! Orders: whole packs cover net and allowance, and amounts follow from the plan.

use upstand::trim::Material;
use upstand::{Job, Plan};

use super::Faults;

pub(super) fn check(_job: &Job, plan: &Plan, faults: &mut Faults) {
    let mut materials: Vec<&str> = plan.takeoff.iter().map(|line| line.material.as_str()).collect();
    let all = materials.len();
    materials.sort_unstable();
    materials.dedup();
    faults.same(materials.len(), all, || "two lines of one material".into());
    for line in &plan.takeoff {
        let here = format!("take-off {}", line.material);
        faults.expect(line.net >= 0.0 && line.allowance >= 0.0, || format!("{here}: less than nothing"));
        let ordered: f64 = line.packs.iter().map(|pack| pack.size * pack.count as f64).sum();
        let wanted = line.net + line.allowance;
        faults.expect(ordered >= wanted - 1e-9 * wanted.max(1.0), || {
            format!("{here}: {ordered} does not cover {wanted}")
        });
    }
    for list in &plan.cut_lists {
        let name = match list.material {
            Material::Drip => "drip",
            Material::Abutment => "abutment",
            Material::OpenSide => "open_side",
            Material::Batten => "batten",
            Material::Mat | Material::Tape => continue,
        };
        let line = plan.takeoff.iter().find(|line| line.material == name);
        let ordered = line.map_or(0, |line| line.packs.iter().map(|pack| pack.count).sum());
        faults.same(ordered, list.bought, || format!("take-off {name}: bars"));
    }
}
