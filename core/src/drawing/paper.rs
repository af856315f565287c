//! Paper, scales, and what every sheet has: a border, a title block, a scale bar.

use super::at::At;
use super::lettering;
use super::model::{Anchor, Ink, Layer, Lettering, Line, Pen, Stroke};

/// A sheet size of ISO 216, laid with its long side level.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 1189 x 841 mm.
    A0,
    /// 841 x 594 mm.
    A1,
    /// 594 x 420 mm.
    A2,
    /// 420 x 297 mm.
    A3,
    /// 297 x 210 mm.
    #[default]
    A4,
}

impl Paper {
    /// All sizes, the largest first.
    pub const ALL: [Paper; 5] = [Paper::A0, Paper::A1, Paper::A2, Paper::A3, Paper::A4];

    /// Its name, such as `A4`.
    pub const fn name(self) -> &'static str {
        match self {
            Paper::A0 => "A0",
            Paper::A1 => "A1",
            Paper::A2 => "A2",
            Paper::A3 => "A3",
            Paper::A4 => "A4",
        }
    }

    /// The size of this name, if there is one.
    ///
    /// ```
    /// use upstand::drawing::Paper;
    ///
    /// assert_eq!(Paper::named("A3"), Some(Paper::A3));
    /// assert_eq!(Paper::named("foolscap"), None);
    /// ```
    pub fn named(name: &str) -> Option<Paper> {
        Paper::ALL.into_iter().find(|paper| paper.name() == name)
    }

    /// Width in millimetres.
    pub const fn width(self) -> f64 {
        match self {
            Paper::A0 => 1189.0,
            Paper::A1 => 841.0,
            Paper::A2 => 594.0,
            Paper::A3 => 420.0,
            Paper::A4 => 297.0,
        }
    }

    /// Height in millimetres.
    pub const fn height(self) -> f64 {
        match self {
            Paper::A0 => 841.0,
            Paper::A1 => 594.0,
            Paper::A2 => 420.0,
            Paper::A3 => 297.0,
            Paper::A4 => 210.0,
        }
    }
}

/// A reduction of ISO 5455: one to 1, 2, 5, 10, 20, 50 and so on by powers of ten.
///
/// ```
/// use upstand::drawing::Scale;
///
/// // 6 m in 157 mm of paper: 1:50 makes it 120 mm, 1:20 would make it 300 mm.
/// assert_eq!(Scale::fitting(6_000.0, 157.0).ratio(), 50);
/// // 1:25 is no standard scale.
/// assert!(Scale::new(25).is_none());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Scale(u64);

impl Scale {
    /// Full size, 1:1.
    pub const FULL: Scale = Scale(1);

    /// The scale 1:`ratio`, if it is a standard one.
    pub fn new(ratio: u64) -> Option<Self> {
        Scale::all().find(|scale| scale.0 == ratio)
    }

    /// All standard reductions, full size first, down to 1:10^12.
    pub fn all() -> impl Iterator<Item = Scale> {
        (0..12).flat_map(|power| [1, 2, 5].map(|step| Scale(step * 10_u64.pow(power))))
    }

    /// The largest scale at which `length` millimetres take at most `paper` millimetres.
    pub fn fitting(length: f64, paper: f64) -> Self {
        Scale::all().find(|scale| scale.on_paper(length) <= paper).unwrap_or(Scale(1_000_000_000_000))
    }

    /// How many times smaller than life.
    pub const fn ratio(self) -> u64 {
        self.0
    }

    /// What a length in millimetres takes on paper.
    pub fn on_paper(self, length: f64) -> f64 {
        length / self.0 as f64
    }

    /// As it is written on a sheet (ISO 5455).
    pub fn designation(self) -> String {
        format!("SCALE 1:{}", self.0)
    }
}

/// Width of the border (ISO 5457): wider at the left, where sheets are filed.
const BORDER: f64 = 10.0;
const FILING_BORDER: f64 = 20.0;

/// Lower left and upper right corner of what the border leaves.
pub(super) fn field(paper: Paper) -> (At, At) {
    (At::new(FILING_BORDER, BORDER), At::new(paper.width() - BORDER, paper.height() - BORDER))
}

pub(super) const FINE: Stroke = Stroke::new(Pen::Fine, Ink::BLACK);
pub(super) const THIN: Stroke = Stroke::new(Pen::Thin, Ink::BLACK);
pub(super) const BOLD: Stroke = Stroke::new(Pen::Bold, Ink::BLACK);

/// Draws the border.
pub(super) fn border(layer: &mut Layer, paper: Paper) {
    let (low, high) = field(paper);
    layer.stroke(BOLD, [Line::rectangle(low, high.x - low.x, high.y - low.y)]);
}

/// What a title block says.
pub(super) struct Title<'a> {
    pub(super) job: &'a str,
    pub(super) sheet: &'a str,
    /// Further lines: scale, areas.
    pub(super) lines: Vec<String>,
    pub(super) paper: Paper,
}

/// Height of a title block.
pub(super) const TITLE_HEIGHT: f64 = 54.0;

/// Draws a title block in the lower right corner of the field, `width` wide. The boxes for name and date are left to be
/// filled in by hand: the library has no clock.
pub(super) fn title_block(layer: &mut Layer, title: &Title<'_>, width: f64) {
    let (low, high) = field(title.paper);
    let corner = At::new(high.x - width, low.y);
    let at = |x: f64, y: f64| corner + At::new(x, y);
    layer.stroke(BOLD, [Line::rectangle(corner, width, TITLE_HEIGHT)]);
    let room = width - 6.0;
    let short = |text: &str, lettering, bold| lettering::shortened(text, lettering, bold, room);
    for (index, line) in lettering::wrapped(title.job, Lettering::Normal, room / 1.12, 2).into_iter().enumerate() {
        layer.bold(at(3.0, 47.0 - 5.5 * index as f64), Anchor::Start, Lettering::Normal, line);
    }
    layer.text(at(3.0, 35.5), Anchor::Start, Lettering::Small, short(title.sheet, Lettering::Small, false));
    for (index, line) in title.lines.iter().take(3).enumerate() {
        let y = 30.5 - 4.5 * index as f64;
        layer.text(at(3.0, y), Anchor::Start, Lettering::Small, short(line, Lettering::Small, false));
    }
    layer.stroke(THIN, [9.0, 18.0].map(|y| Line::open([at(0.0, y), at(width, y)])));
    layer.stroke(THIN, [Line::open([at(width * 0.55, 0.0), at(width * 0.55, 18.0)])]);
    for (x, y, what) in
        [(0.0, 9.0, "drawn"), (width * 0.55, 9.0, "date"), (0.0, 0.0, "checked on site"), (width * 0.55, 0.0, "date")]
    {
        layer.text(at(x + 1.2, y + 6.2), Anchor::Start, Lettering::Note, what);
    }
}

/// Height of a title strip.
pub(super) const STRIP_HEIGHT: f64 = 14.0;

/// Draws a title strip along the bottom of the field: for sheets that need their height.
pub(super) fn title_strip(layer: &mut Layer, title: &Title<'_>) {
    let (low, high) = field(title.paper);
    let width = high.x - low.x;
    let at = |x: f64, y: f64| low + At::new(x, y);
    layer.stroke(BOLD, [Line::open([at(0.0, STRIP_HEIGHT), at(width, STRIP_HEIGHT)])]);
    let boxes = width - 70.0;
    let job = lettering::shortened(title.job, Lettering::Normal, true, boxes - 56.0);
    layer.bold(at(3.0, 8.2), Anchor::Start, Lettering::Normal, job);
    layer.bold(at(boxes - 3.0, 8.2), Anchor::End, Lettering::Small, title.sheet);
    for line in title.lines.iter().take(1) {
        layer.text(at(3.0, 3.0), Anchor::Start, Lettering::Small, line.as_str());
    }
    for (x, what) in [(boxes, "by"), (boxes + 38.0, "date")] {
        layer.stroke(THIN, [Line::open([at(x, 0.0), at(x, STRIP_HEIGHT)])]);
        layer.text(at(x + 1.2, STRIP_HEIGHT - 2.8), Anchor::Start, Lettering::Note, what);
    }
}

/// Draws a scale bar from its lower left corner; it is at most `most` long.
pub(super) fn scale_bar(layer: &mut Layer, corner: At, scale: Scale, most: f64) {
    // The longest of 1, 2, 5, 10 ... units of a metre that five parts leave room for.
    let part_m = Scale::all()
        .map(|step| step.ratio() as f64 / 1_000.0)
        .take_while(|part| scale.on_paper(part * 5_000.0) <= most)
        .last()
        .unwrap_or(0.001);
    let part = scale.on_paper(part_m * 1_000.0);
    let at = |x: f64, y: f64| corner + At::new(x, y);
    for index in 0..5 {
        let ink = if index % 2 == 0 { Ink::BLACK } else { Ink::WHITE };
        let x = part * f64::from(index);
        layer.fill_stroke(ink, FINE, [Line::rectangle(at(x, 0.0), part, 1.6)]);
    }
    for index in 0..=5 {
        let metres = part_m * f64::from(index);
        // Thousandths at most: rounding keeps 0.6000000000000001 off the sheet.
        let text = format!("{}", (metres * 1_000.0).round() / 1_000.0);
        layer.text(at(part * f64::from(index), 3.0), Anchor::Middle, Lettering::Small, text);
    }
    layer.text(at(part * 5.0 + 4.5, 3.0), Anchor::Start, Lettering::Small, "m");
    layer.bold(at(part * 5.0 + 10.0, 0.0), Anchor::Start, Lettering::Small, scale.designation());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_those_of_the_standard() {
        let ratios: Vec<_> = Scale::all().take(10).map(Scale::ratio).collect();
        // ISO 5455:1979, 5.1.
        assert_eq!(ratios, [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000]);
        assert!([3, 25, 40, 75, 250].iter().all(|&ratio| Scale::new(ratio).is_none()));
        let fifty = Scale::new(50).expect("a standard scale");
        assert_eq!(fifty.designation(), "SCALE 1:50");
        assert!((fifty.on_paper(4_000.0) - 80.0).abs() < 1e-12);
    }

    #[test]
    fn sheets_are_those_of_the_standard() {
        // ISO 216: the long side of each size is the short side of the one above.
        for pair in Paper::ALL.windows(2) {
            assert!((pair[0].height() - pair[1].width()).abs() < 1e-12, "{pair:?}");
            // Half the sheet, to the whole millimetre below.
            assert!((pair[1].height() - (pair[0].width() / 2.0).floor()).abs() < 1e-12, "{pair:?}");
        }
        // From memory: A0 is 841 x 1189 mm, about a square metre, A4 210 x 297 mm.
        assert!((Paper::A0.width() * Paper::A0.height() / 1e6 - 1.0).abs() < 1e-3);
        assert!((Paper::A4.height() - 210.0).abs() < 1e-12 && (Paper::A4.width() - 297.0).abs() < 1e-12);
    }
}
