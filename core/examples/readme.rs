//! The README's program.

use upstand::cutting::{Rules, cut_list};
use upstand::{Error, Length};

fn main() -> Result<(), Error> {
    let mm = Length::from_mm;
    let runs = [5950, 4200, 4200, 1800, 900].map(mm);
    let rules = Rules { lap: mm(50), least_piece: mm(300), ..Rules::default() };
    let found = cut_list(&runs, mm(3000), &rules)?;
    println!("{} bars, {} joints; no list has fewer than {}", found.bar_count, found.joint_count, found.bound.bars);
    Ok(())
}
