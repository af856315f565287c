//! Tables for `benches/README.md`, printed as they stand there.

/// A table that is printed line by line, as results come.
pub struct Table(Vec<usize>);

impl Table {
    /// Prints the head. The first column is as wide as `first`, the others as their names, at least nine.
    pub fn begin(first: usize, names: &[&str]) -> Self {
        let width = |(at, name): (usize, &&str)| if at == 0 { first.max(name.len()) } else { name.len().max(9) };
        let table = Table(names.iter().enumerate().map(width).collect());
        table.line(&names.iter().map(|name| (*name).to_owned()).collect::<Vec<_>>());
        println!("|{}", "---|".repeat(names.len()));
        table
    }

    /// Prints one line.
    pub fn line(&self, cells: &[String]) {
        let mut text = String::from("|");
        for (at, (cell, &width)) in cells.iter().zip(&self.0).enumerate() {
            text += &if at == 0 { format!(" {cell:<width$} |") } else { format!(" {cell:>width$} |") };
        }
        println!("{text}");
    }
}

/// How long things took, in milliseconds.
#[derive(Default)]
pub struct Times(Vec<f64>);

impl Times {
    /// Adds one.
    pub fn push(&mut self, ms: f64) {
        self.0.push(ms);
        self.0.sort_by(f64::total_cmp);
    }

    /// How many.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Median, mean and worst; nothing measured counts as 0.
    pub fn summary(&self) -> [f64; 3] {
        let count = self.0.len();
        let mean = self.0.iter().sum::<f64>() / count.max(1) as f64;
        [self.0.get(count / 2).copied().unwrap_or(0.0), mean, self.0.last().copied().unwrap_or(0.0)]
    }
}
