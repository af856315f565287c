//! A cut list as a person reads it: bar by bar, with where each piece lies on its bar.

use crate::length::Length;

use super::answer::{Answer, Piece};
use super::problem::Problem;

/// One bar, or several cut alike, with its pieces in place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetBar {
    /// Number of the first of these bars, counting from 1 over the whole cut list.
    pub number: u64,
    /// How many bars are cut alike. Their numbers need not follow one another where bars are joined: the bars of a
    /// chain come together, chain after chain.
    pub times: u64,
    /// Index into the problem's bars.
    pub bar: usize,
    /// Length of the bar as it is sold.
    pub length: Length,
    /// The pieces in the order in which they are cut.
    pub pieces: Vec<SheetPiece>,
    /// What is left at the end.
    pub offcut: Length,
    /// Whether the offcut is worth keeping.
    pub useful: bool,
}

/// A piece in its place on a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetPiece {
    /// Where the piece begins, from the bar's start.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// The piece.
    pub piece: Piece,
}

impl Answer {
    /// The cut list bar by bar. `problem` must be the one that this answers.
    ///
    /// ```
    /// use upstand::{Length, cutting::{self, Bar, Effort, Problem, Run}};
    ///
    /// let problem = Problem::new(vec![Bar::of(Length::from_mm(3000))], vec![Run::of(Length::from_mm(1400), 5).whole()]);
    /// let sheet = cutting::solve(&problem, &Effort::default())?.sheet(&problem);
    /// assert_eq!(sheet.iter().map(|bar| bar.times).sum::<u64>(), 3);
    /// let full = sheet.iter().find(|bar| bar.pieces.len() == 2).expect("two runs fit a bar");
    /// assert_eq!((full.times, full.pieces[1].from), (2, Length::from_mm(1400)));
    /// # Ok::<(), upstand::Error>(())
    /// ```
    pub fn sheet(&self, problem: &Problem) -> Vec<SheetBar> {
        let rules = &problem.rules;
        let mut number = 1;
        let mut sheet = Vec::new();
        for chain in &self.chains {
            for (at, cut) in chain.bars.iter().enumerate() {
                let mut from = rules.trim_off;
                let pieces = cut.pieces.iter().map(|piece| {
                    let placed = SheetPiece { from, to: from + piece.length, piece: piece.clone() };
                    from += piece.length + rules.kerf;
                    placed
                });
                sheet.push(SheetBar {
                    number: number + at as u64,
                    times: chain.times,
                    bar: cut.bar,
                    length: problem.bars.get(cut.bar).map_or(Length::ZERO, |bar| bar.length),
                    pieces: pieces.collect(),
                    offcut: cut.offcut,
                    useful: cut.offcut.is_positive() && cut.offcut >= rules.least_useful,
                });
            }
            number += chain.times * chain.bars.len() as u64;
        }
        sheet
    }
}
