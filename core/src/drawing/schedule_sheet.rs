//! The schedule as bars over time: a row for each task, a column for each day with work.
//!
//! Nights and days without work are left out, so that a quarter of an hour can still be seen.

use super::at::At;
use super::lettering;
use super::model::{Anchor, Dash, Ink, Layer, Lettering, Line, Pen, Sheet, Stroke};
use super::paper::{self, BOLD, FINE, Paper, STRIP_HEIGHT, THIN, Title};
use crate::calendar::{Date, Moment};
use crate::caution::Hazard;
use crate::plan::Plan;
use crate::schedule::{Schedule, Task};
use crate::wet::places_text;

/// Height of a row.
const ROW: f64 = 9.0;
/// Height of the heads of the days.
const HEAD: f64 = 14.0;
/// Width of the column of names.
const NAMES: f64 = 88.0;
/// Height of a bar.
const BAR: f64 = 4.6;
/// Height of the legend below the rows.
const LEGEND: f64 = 14.0;
/// The narrowest day in which hours are told apart.
const LEAST_DAY: f64 = 14.0;

/// The sheets, as many as rows and days take; none where the plan has no schedule.
pub(super) fn sheets(plan: &Plan) -> Vec<Sheet> {
    let Some(schedule) = &plan.schedule else { return Vec::new() };
    if schedule.tasks.is_empty() {
        return Vec::new();
    }
    let (low, high) = paper::field(Paper::A4);
    let rows = ((high.y - low.y - STRIP_HEIGHT - HEAD - LEGEND) / ROW) as usize;
    let columns = ((high.x - low.x - NAMES) / LEAST_DAY) as usize;
    let days = days(schedule);
    let names: Vec<String> = plan.roofs.iter().map(|roof| roof.name.clone()).collect();
    // A part of the days with the tasks that are worked on in them, as many rows to a sheet as it holds.
    let parts: Vec<(&[Date], Vec<&Task>)> = days
        .chunks(columns)
        .flat_map(|days| {
            let here = |task: &&Task| task.spells.iter().any(|spell| days.contains(&spell.from.date()));
            let tasks: Vec<&Task> = schedule.tasks.iter().filter(here).collect();
            tasks.chunks(rows).map(|tasks| (days, tasks.to_vec())).collect::<Vec<_>>()
        })
        .collect();
    let count = parts.len();
    let drawn = parts.into_iter().enumerate().map(|(index, (days, tasks))| {
        let chart = Chart::new(schedule, days);
        let mut rows = Layer::new("tasks");
        chart.heads(&mut rows, tasks.len());
        for (row, task) in tasks.into_iter().enumerate() {
            chart.task(&mut rows, row, task, &names);
        }
        let hardener = schedule.tasks.iter().any(|task| task.cautions.iter().any(|text| text == Hazard::Eyes.text()));
        let cautions = if hardener {
            "peroxide hardener: never onto accelerator, goggles on; follow the products' data sheets and the local rules"
        } else {
            "follow the products' data sheets and the local rules"
        };
        legend(&mut rows, cautions);
        let mut frame = Layer::new("frame");
        paper::border(&mut frame, Paper::A4);
        let job = plan.name.as_deref().unwrap_or("roof");
        let sheet = format!("schedule {} of {count}", index + 1);
        let remark = "as forecast and at the system's rates; weather and surface are read again before each task";
        let lines = vec![remark.to_string()];
        paper::title_strip(&mut frame, &Title { job, sheet: &sheet, lines, paper: Paper::A4 });
        let (width, height) = (Paper::A4.width(), Paper::A4.height());
        Sheet { title: format!("{job}: {sheet}"), width, height, layers: vec![rows, frame] }
    });
    drawn.collect()
}

/// The dates with work, in order.
fn days(schedule: &Schedule) -> Vec<Date> {
    let mut days: Vec<Date> =
        schedule.tasks.iter().flat_map(|task| &task.spells).map(|spell| spell.from.date()).collect();
    days.sort_unstable();
    days.dedup();
    days
}

/// A sheet's columns.
struct Chart<'a> {
    days: &'a [Date],
    /// The hours of a day that are shown, in minutes after midnight.
    hours: (i64, i64),
    corner: At,
    day_width: f64,
}

impl<'a> Chart<'a> {
    fn new(schedule: &Schedule, days: &'a [Date]) -> Self {
        let spells = || schedule.tasks.iter().flat_map(|task| &task.spells);
        let minutes = |moment: Moment, date: Date| moment.minutes() - date.midnight().minutes();
        let first = spells().map(|spell| minutes(spell.from, spell.from.date())).min().unwrap_or(0);
        let last = spells().map(|spell| minutes(spell.to, spell.from.date())).max().unwrap_or(1_440);
        let (low, high) = paper::field(Paper::A4);
        Chart {
            days,
            hours: (first / 60 * 60, (last + 59) / 60 * 60),
            corner: At::new(low.x + NAMES, high.y),
            day_width: (high.x - low.x - NAMES) / days.len().max(1) as f64,
        }
    }

    /// Where a minute of a day lies, from the left of the chart; what lies before or after its hours at their ends.
    fn x(&self, day: usize, moment: Moment) -> f64 {
        let (from, to) = self.hours;
        let minute = (moment.minutes() - self.days[day].midnight().minutes()).clamp(from, to);
        let part = (minute - from) as f64 / (to - from).max(1) as f64;
        self.corner.x + (day as f64 + part) * self.day_width
    }

    fn heads(&self, layer: &mut Layer, rows: usize) {
        let (from, to) = self.hours;
        let bottom = self.corner.y - HEAD - rows as f64 * ROW;
        let (left, right) = (self.corner.x - NAMES, self.corner.x + self.day_width * self.days.len() as f64);
        layer.text(At::new(left + 3.0, self.corner.y - HEAD + 2.0), Anchor::Start, Lettering::Note, "task");
        layer.stroke(BOLD, [self.corner.y - HEAD, bottom].map(|y| Line::open([At::new(left, y), At::new(right, y)])));
        // Every hour, or every second, third ... where they would be too narrow for their numbers.
        let hour_width = self.day_width * 60.0 / (to - from).max(60) as f64;
        let every = [1, 2, 3, 4, 6, 12].into_iter().find(|&n| hour_width * f64::from(n) >= 5.0).unwrap_or(24);
        for (day, date) in self.days.iter().enumerate() {
            let x = self.corner.x + day as f64 * self.day_width;
            layer.stroke(BOLD, [Line::open([At::new(x, self.corner.y), At::new(x, bottom)])]);
            let name = date.weekday().short();
            let whole = format!("{name} {date}");
            // The year is left out where there is no room for it, then the date.
            let shorter = whole.replacen(&whole[4..9], "", 1);
            let room = self.day_width - 3.0;
            let fits = |text: &&String| lettering::width(text, Lettering::Small, true) <= room;
            let text = [whole.clone(), shorter].iter().find(fits).cloned().unwrap_or_else(|| name.to_string());
            layer.bold(At::new(x + 1.5, self.corner.y - 5.0), Anchor::Start, Lettering::Small, text);
            for hour in (from / 60..=to / 60).step_by(every as usize) {
                let at = self.x(day, date.midnight().after(hour * 60));
                let grey = Stroke::new(Pen::Fine, Ink::GREY);
                layer.stroke(grey, [Line::open([At::new(at, self.corner.y - HEAD), At::new(at, bottom)])]);
                // The last number of a day would stand on the first of the next.
                if at + 4.5 < x + self.day_width {
                    let foot = At::new(at + 0.6, self.corner.y - HEAD + 2.0);
                    layer.text(foot, Anchor::Start, Lettering::Note, hour.to_string());
                }
            }
        }
    }

    fn task(&self, layer: &mut Layer, row: usize, task: &Task, roofs: &[String]) {
        let top = self.corner.y - HEAD - row as f64 * ROW;
        let left = self.corner.x - NAMES;
        let right = self.corner.x + self.day_width * self.days.len() as f64;
        let room = NAMES - 5.0;
        // A name that has no room in the larger lettering is written in the smaller one.
        let name = format!("{} {}", task.number, task.name);
        let fits = lettering::width(&name, Lettering::Small, true) <= room;
        let size = if fits { Lettering::Small } else { Lettering::Note };
        let name = lettering::shortened(&name, size, true, room);
        layer.bold(At::new(left + 3.0, top - 4.0), Anchor::Start, size, name);
        let amount = match task.unit.as_str() {
            "piece" => format!("{} pieces", task.amount),
            "m2" => format!("{} m\u{b2}", task.amount),
            unit => format!("{} {unit}", task.amount),
        };
        let what =
            format!("{} - {}, {amount}: {}", task.begin.time(), task.end.time(), places_text(&task.places, roofs));
        let what = lettering::shortened(&what, Lettering::Note, false, room);
        layer.text(At::new(left + 3.0, top - 7.6), Anchor::Start, Lettering::Note, what);
        layer.stroke(FINE, [Line::open([At::new(left, top - ROW), At::new(right, top - ROW)])]);
        let low = top - (ROW + BAR) / 2.0;
        for (day, date) in self.days.iter().enumerate() {
            for spell in task.spells.iter().filter(|spell| spell.from.date() == *date) {
                let (from, to) = (self.x(day, spell.from), self.x(day, spell.to));
                let bar = Line::rectangle(At::new(from, low), (to - from).max(0.3), BAR);
                // Wet work is black, dry work white.
                let ink = if task.layer.is_some() { Ink::BLACK } else { Ink::WHITE };
                layer.fill_stroke(ink, THIN, [bar]);
            }
            self.waits(layer, day, *date, task, low + BAR / 2.0);
        }
    }

    /// How long it has to stay dry, and when the window closes in which it may begin.
    fn waits(&self, layer: &mut Layer, day: usize, date: Date, task: &Task, y: f64) {
        let (open, close) = (date.midnight().after(self.hours.0), date.midnight().after(self.hours.1));
        if let Some(safe) = task.safe_from {
            let (from, to) = (task.end.max(open), safe.min(close));
            if from < to {
                let line = Line::open([At::new(self.x(day, from), y), At::new(self.x(day, to), y)]);
                layer.stroke(Stroke::new(Pen::Medium, Ink::BLACK).dashed(Dash::Dashed), [line]);
            }
        }
        if let Some(last) = task.not_after.filter(|&last| open <= last && last <= close) {
            closing(layer, At::new(self.x(day, last), y));
        }
    }
}

/// The mark of a window that closes: a bar with a point towards the time before.
fn closing(layer: &mut Layer, at: At) {
    let half = BAR / 2.0;
    layer.stroke(BOLD, [Line::open([at - At::new(0.0, half), at + At::new(0.0, half)])]);
    layer.fill(Ink::BLACK, [Line::closed([at, at + At::new(-1.8, 1.1), at + At::new(-1.8, -1.1)])]);
}

fn legend(layer: &mut Layer, cautions: &str) {
    let (low, _) = paper::field(Paper::A4);
    let y = low.y + STRIP_HEIGHT + LEGEND - 4.5;
    layer.text(At::new(low.x + 3.0, low.y + STRIP_HEIGHT + 2.2), Anchor::Start, Lettering::Small, cautions);
    let mut x = low.x + 3.0;
    let mut entry = |layer: &mut Layer, text: &str, draw: &dyn Fn(&mut Layer, f64)| {
        draw(layer, x);
        layer.text(At::new(x + 12.0, y - 1.2), Anchor::Start, Lettering::Small, text);
        x += 16.0 + lettering::width(text, Lettering::Small, false);
    };
    let bar = |x: f64| Line::rectangle(At::new(x, y - BAR / 2.0), 9.0, BAR);
    entry(layer, "dry work", &|layer, x| layer.fill_stroke(Ink::WHITE, THIN, [bar(x)]));
    entry(layer, "wet work", &|layer, x| layer.fill_stroke(Ink::BLACK, THIN, [bar(x)]));
    entry(layer, "keep dry", &|layer, x| {
        let line = Line::open([At::new(x, y), At::new(x + 9.0, y)]);
        layer.stroke(Stroke::new(Pen::Medium, Ink::BLACK).dashed(Dash::Dashed), [line]);
    });
    entry(layer, "latest beginning", &|layer, x| closing(layer, At::new(x + 5.0, y)));
}
