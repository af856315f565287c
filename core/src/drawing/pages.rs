//! Sheets filled from the top down, column by column, as many as it takes.

use super::at::At;
use super::model::{Layer, Sheet};
use super::paper::{self, Paper, STRIP_HEIGHT, Title};
use crate::plan::Plan;

/// Sheets of A4 being filled.
pub(super) struct Pages {
    columns: usize,
    pages: Vec<Layer>,
    /// The column of the last page that is being filled.
    column: usize,
    /// How far down it is filled.
    top: f64,
}

impl Pages {
    pub(super) fn new(columns: usize) -> Self {
        Pages { columns, pages: vec![Layer::new("rows")], column: 0, top: Pages::start() }
    }

    fn start() -> f64 {
        paper::field(Paper::A4).1.y - 2.0
    }

    /// Width of a column.
    pub(super) fn width(&self) -> f64 {
        let (low, high) = paper::field(Paper::A4);
        (high.x - low.x) / self.columns as f64
    }

    /// Whether `height` more fits under what stands in this column.
    pub(super) fn has_room(&self, height: f64) -> bool {
        self.top - height >= paper::field(Paper::A4).0.y + STRIP_HEIGHT + 1.5
    }

    /// Leaves the rest of this column empty.
    pub(super) fn next_column(&mut self) {
        self.top = Pages::start();
        self.column += 1;
        if self.column == self.columns {
            self.column = 0;
            self.pages.push(Layer::new("rows"));
        }
    }

    /// The page with room for `height` more, and the upper left corner of that room.
    pub(super) fn room(&mut self, height: f64) -> (&mut Layer, At) {
        if !self.has_room(height) {
            self.next_column();
        }
        let left = paper::field(Paper::A4).0.x + self.width() * self.column as f64;
        let corner = At::new(left, self.top);
        self.top -= height;
        let last = self.pages.len() - 1;
        (&mut self.pages[last], corner)
    }

    /// The sheets, with border and title strip. `name` is what they are, `remark` how to read them.
    pub(super) fn into_sheets(self, plan: &Plan, name: &str, remark: &str) -> Vec<Sheet> {
        let count = self.pages.len();
        let job = plan.name.as_deref().unwrap_or("roof");
        let pages = self.pages.into_iter().enumerate();
        pages
            .map(|(index, rows)| {
                let mut frame = Layer::new("frame");
                paper::border(&mut frame, Paper::A4);
                let sheet = format!("{name} {} of {count}", index + 1);
                let lines = vec![remark.to_string()];
                paper::title_strip(&mut frame, &Title { job, sheet: &sheet, lines, paper: Paper::A4 });
                Sheet {
                    title: format!("{job}: {sheet}"),
                    width: Paper::A4.width(),
                    height: Paper::A4.height(),
                    layers: vec![rows, frame],
                }
            })
            .collect()
    }
}
