//! A cut list unfolded: every bar by itself, though chains that are cut alike are kept once.

use upstand::cutting::{Answer, Piece, Problem};
use upstand::{Code, Error, Length};

use crate::table::{Column, Table, column, index};

/// Bars that are listed one by one; an answer in chains may stand for many more.
const MOST_LISTED: u64 = 1_000_000;

/// The tables of a cut list.
pub(crate) const TABLES: [&str; 2] = ["bars", "pieces"];

/// One bar, and where each of its pieces begins in it. Copies are numbered over the whole cut list.
pub(crate) struct ListedBar {
    pub(crate) kind: usize,
    pub(crate) length: Length,
    pub(crate) offcut: Length,
    pub(crate) useful: bool,
    pub(crate) pieces: Vec<(Length, Piece)>,
}

/// Every bar of an answer, in the order of cutting.
pub(crate) fn unfold(problem: &Problem, answer: &Answer) -> Result<Vec<ListedBar>, Error> {
    if answer.bar_count > MOST_LISTED {
        let message = format!("{} bars are too many to list one by one: see the chains of to_dict()", answer.bar_count);
        return Err(Error::new(Code::TooLarge, "", message));
    }
    let sheet = answer.sheet(problem);
    let mut sheet = sheet.as_slice();
    let mut listed = Vec::new();
    // Copies are numbered within a chain: of each run, so many were made by the chains before it.
    let mut made = vec![0; problem.runs.len()];
    for chain in &answer.chains {
        let (bars, rest) = sheet.split_at(chain.bars.len());
        sheet = rest;
        for _ in 0..chain.times {
            let mut next = made.clone();
            listed.extend(bars.iter().map(|bar| {
                let pieces = bar.pieces.iter().map(|placed| {
                    let mut piece = placed.piece.clone();
                    piece.copy += made[piece.run];
                    next[piece.run] = next[piece.run].max(piece.copy + 1);
                    (placed.from, piece)
                });
                let pieces = pieces.collect();
                ListedBar { kind: bar.bar, length: bar.length, offcut: bar.offcut, useful: bar.useful, pieces }
            }));
            made = next;
        }
    }
    Ok(listed)
}

/// One table of a cut list; bars are numbered from 1.
pub(crate) fn table(bars: &[ListedBar], name: &str) -> Result<Table, Error> {
    match name {
        "bars" => Ok(bars_table(bars)),
        "pieces" => Ok(pieces_table(bars)),
        _ => {
            let message = format!("{name:?} is not a table of a cut list: {}", TABLES.join(", "));
            Err(Error::new(Code::BadArgument, "/name", message))
        }
    }
}

fn bars_table(bars: &[ListedBar]) -> Table {
    use Column::{Index, Number};
    let rows: Vec<_> = bars.iter().enumerate().collect();
    Table(vec![
        ("bar", column(&rows, Index, |(i, _)| index(i + 1))),
        ("kind", column(&rows, Index, |(_, bar)| index(bar.kind))),
        ("length_mm", column(&rows, Number, |(_, bar)| bar.length.mm())),
        ("pieces", column(&rows, Index, |(_, bar)| index(bar.pieces.len()))),
        ("offcut_mm", column(&rows, Number, |(_, bar)| bar.offcut.mm())),
    ])
}

fn pieces_table(bars: &[ListedBar]) -> Table {
    use Column::{Index, Number};
    let rows: Vec<_> = bars
        .iter()
        .enumerate()
        .flat_map(|(i, bar)| bar.pieces.iter().map(move |(at, piece)| (i, *at, piece)))
        .collect();
    Table(vec![
        ("bar", column(&rows, Index, |(i, _, _)| index(i + 1))),
        ("run", column(&rows, Index, |(_, _, piece)| index(piece.run))),
        ("copy", column(&rows, Index, |(_, _, piece)| piece.copy)),
        ("part", column(&rows, Index, |(_, _, piece)| piece.part.into())),
        ("parts", column(&rows, Index, |(_, _, piece)| piece.parts.into())),
        ("at_mm", column(&rows, Number, |(_, at, _)| at.mm())),
        ("start_mm", column(&rows, Number, |(_, _, piece)| piece.start.mm())),
        ("length_mm", column(&rows, Number, |(_, _, piece)| piece.length.mm())),
    ])
}
