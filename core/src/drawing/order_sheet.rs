//! The order sheet: what to buy, what the checks found, what must be known before work.

use super::at::At;
use super::lettering;
use super::model::{Anchor, Lettering, Line, Sheet};
use super::pages::Pages;
use super::panel::mark;
use super::paper::{FINE, THIN};
use crate::finding::Grade;
use crate::money::Money;
use crate::plan::Plan;
use crate::takeoff::{Group, PackCount, TakeoffLine};

const ROW: f64 = 6.5;
const HEADING: f64 = 10.0;
const PITCH: f64 = 4.2;
/// Space at either side of a column.
const SIDE: f64 = 3.0;

/// The sheets, as many as it takes.
pub(super) fn sheets(plan: &Plan) -> Vec<Sheet> {
    let mut pages = Pages::new(2);
    if !plan.takeoff.is_empty() {
        heading(&mut pages, "Order", ROW);
        columns_row(&mut pages);
        for line in &plan.takeoff {
            order_row(&mut pages, line);
        }
    }
    costs(&mut pages, plan);
    for (grade, name) in [(Grade::Refuse, "Clear before work"), (Grade::Caution, "Decide"), (Grade::Note, "Note")] {
        let texts: Vec<&str> = plan
            .findings
            .iter()
            .filter(|finding| finding.grade == grade)
            .map(|finding| finding.text.as_str())
            .collect();
        paragraphs(&mut pages, name, &texts, grade == Grade::Refuse);
    }
    let cautions: Vec<&str> = plan.cautions.iter().map(String::as_str).collect();
    paragraphs(&mut pages, "Before you start", &cautions, false);
    pages.into_sheets(plan, "order sheet", "amounts: net + allowance; tick what has come")
}

/// A heading, kept together with `after` of what follows it.
fn heading(pages: &mut Pages, text: &str, after: f64) {
    if !pages.has_room(HEADING + after) {
        pages.next_column();
    }
    let (page, corner) = pages.room(HEADING);
    page.bold(corner + At::new(SIDE, -7.0), Anchor::Start, Lettering::Normal, text);
}

/// Where the columns of the order begin or end, as parts of the width.
const AMOUNT: f64 = 0.60;
const BUY: f64 = 0.62;

fn columns_row(pages: &mut Pages) {
    let width = pages.width();
    let (page, corner) = pages.room(4.0);
    let at = |x: f64| corner + At::new(x, -2.6);
    page.text(at(SIDE), Anchor::Start, Lettering::Note, "material");
    page.text(at(width * AMOUNT), Anchor::End, Lettering::Note, "amount");
    page.text(at(width * BUY), Anchor::Start, Lettering::Note, "buy");
    page.stroke(THIN, [Line::open([corner + At::new(SIDE, -4.0), corner + At::new(width - SIDE, -4.0)])]);
}

fn order_row(pages: &mut Pages, line: &TakeoffLine) {
    let width = pages.width();
    let buy_room = width * (1.0 - BUY) - SIDE - 5.0;
    // Packs that have no room side by side get a row each: nothing to buy is cut off.
    let together = packs(line);
    let rows: Vec<String> = if lettering::width(&together, Lettering::Small, true) <= buy_room {
        vec![together]
    } else {
        together.split(" + ").map(|pack| lettering::shortened(pack, Lettering::Small, true, buy_room)).collect()
    };
    let last = rows.len() - 1;
    let amount = amount(line);
    let name_room = width * AMOUNT - SIDE - lettering::width(&amount, Lettering::Small, false) - 2.0;
    for (index, buy) in rows.into_iter().enumerate() {
        let (page, corner) = pages.room(ROW);
        let at = |x: f64| corner + At::new(x, -4.6);
        if index == 0 {
            let name = lettering::shortened(&line.name, Lettering::Small, false, name_room);
            page.text(at(SIDE), Anchor::Start, Lettering::Small, name);
            page.text(at(width * AMOUNT), Anchor::End, Lettering::Small, amount.as_str());
        }
        page.bold(at(width * BUY), Anchor::Start, Lettering::Small, buy);
        let mut lines = vec![Line::rectangle(corner + At::new(width - SIDE - 3.4, -5.2), 3.4, 3.4)];
        if index == last {
            lines.push(Line::open([corner + At::new(SIDE, -ROW), corner + At::new(width - SIDE, -ROW)]));
        }
        page.stroke(FINE, lines);
    }
}

/// Net amount and allowance with their unit.
fn amount(line: &TakeoffLine) -> String {
    let decimals = if line.unit == "piece" { 0 } else { 2 };
    let unit = if line.unit == "piece" { String::new() } else { format!(" {}", line.unit) };
    if line.allowance > 0.0 {
        format!("{:.decimals$} + {:.decimals$}{unit}", line.net, line.allowance)
    } else {
        format!("{:.decimals$}{unit}", line.net)
    }
}

/// What to buy: whole packs, or the amount itself where no pack is known.
pub(super) fn packs(line: &TakeoffLine) -> String {
    let pack = |pack: &PackCount| match line.unit.as_str() {
        "piece" => format!("{} x {}", pack.count, pack.size),
        unit => format!("{} x {} {unit}", pack.count, pack.size),
    };
    let packs: Vec<String> = line.packs.iter().filter(|pack| pack.count > 0).map(pack).collect();
    match (packs.is_empty(), line.packs.is_empty()) {
        (false, _) => packs.join(" + "),
        (true, true) => "for information".into(),
        (true, false) => "none".into(),
    }
}

/// What it costs, group by group, and what the alternatives would.
fn costs(pages: &mut Pages, plan: &Plan) {
    let money = |money: Option<Money>| money.map(|money| money.to_hundredths().to_string()).unwrap_or_default();
    if let Some(costs) = &plan.costs {
        heading(pages, "Cost of whole packs", ROW * 2.0);
        row_of_three(pages, ["", "in all", "for 1 m\u{b2}"], false);
        for group in &costs.groups {
            let name = match group.group {
                Group::Trims => "trims and their fixing",
                Group::Glass => "glass",
                Group::Liquids => "liquids",
            };
            row_of_three(pages, [name, &group.cost.to_string(), &money(group.per_m2)], false);
        }
        if costs.total.is_some() {
            row_of_three(pages, ["together", &money(costs.total), &money(costs.per_m2)], true);
        } else {
            let missing = format!("without a price: {}", costs.without_price.join(", "));
            row_of_three(pages, [&missing, "", ""], true);
        }
    }
    if let Some(costs) = plan.costs.as_ref().filter(|costs| !costs.stages.is_empty()) {
        heading(pages, "Cost stage by stage", ROW * 2.0);
        row_of_three(pages, ["", "hours", "with labour"], false);
        for stage in &costs.stages {
            let hours = format!("{:.2}", stage.person_hours);
            row_of_three(pages, [&plan.stage_words(stage), &hours, &money(stage.total.or(stage.materials))], false);
        }
        if costs.with_labour.is_some() {
            row_of_three(pages, ["together", &format!("{:.2}", costs.person_hours), &money(costs.with_labour)], true);
            row_of_three(pages, ["for 1 m\u{b2}", "", &money(costs.with_labour_per_m2)], false);
        }
    }
    if !plan.alternatives.is_empty() {
        heading(pages, "Alternatives", ROW * 2.0);
        row_of_three(pages, ["", "bars, joints, mat", "cost"], false);
        for one in &plan.alternatives {
            let amounts = format!("{}, {}, {:.1} m\u{b2}", one.bars, one.joints, one.mat_m2);
            row_of_three(pages, [&one.name, &amounts, &money(one.with_labour.or(one.cost))], false);
        }
    }
}

fn row_of_three(pages: &mut Pages, texts: [&str; 3], bold: bool) {
    let width = pages.width();
    let (page, corner) = pages.room(ROW);
    let right = [width * 0.72, width - SIDE];
    let room = width * 0.40 - SIDE;
    let name = lettering::shortened(texts[0], Lettering::Small, bold, if texts[1].is_empty() { width } else { room });
    let mut write = |x: f64, anchor, text: String| {
        let at = corner + At::new(x, -4.6);
        if bold {
            page.bold(at, anchor, Lettering::Small, text);
        } else {
            page.text(at, anchor, Lettering::Small, text);
        }
    };
    write(SIDE, Anchor::Start, name);
    write(right[0], Anchor::End, texts[1].into());
    write(right[1], Anchor::End, texts[2].into());
    page.stroke(FINE, [Line::open([corner + At::new(SIDE, -ROW), corner + At::new(width - SIDE, -ROW)])]);
}

fn paragraphs(pages: &mut Pages, name: &str, texts: &[&str], refuse: bool) {
    let width = pages.width() - 2.0 * SIDE - 3.4;
    for (index, text) in texts.iter().enumerate() {
        let lines = lettering::wrapped(text, Lettering::Small, width, usize::MAX);
        if index == 0 {
            heading(pages, name, PITCH * lines.len() as f64);
        }
        // A paragraph stays together unless it is longer than what a person would read at once.
        let whole = if lines.len() <= 12 { PITCH * lines.len() as f64 } else { PITCH };
        if !pages.has_room(whole) {
            pages.next_column();
        }
        for (number, line) in lines.into_iter().enumerate() {
            let (page, corner) = pages.room(PITCH);
            if number == 0 {
                mark(page, corner + At::new(SIDE + 0.9, -1.9), refuse);
            }
            page.text(corner + At::new(SIDE + 3.4, -3.1), Anchor::Start, Lettering::Small, line);
        }
        if pages.has_room(1.2) {
            pages.room(1.2);
        }
    }
}
