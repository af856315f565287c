//! The drawing model: a sheet of paper, its layers and what is drawn on them.
//!
//! All positions are millimetres of paper, x to the right and y up from the sheet's lower left corner. What writes a
//! sheet to a file turns y over, once. Everything is made of straight lines, circles and text, so that a writer for
//! another format is short.

use super::at::At;

/// One sheet of paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What the sheet shows: its title for a reader that cannot see it.
    pub title: String,
    /// Width in millimetres.
    pub width: f64,
    /// Height in millimetres.
    pub height: f64,
    /// The layers, the lowest first.
    pub layers: Vec<Layer>,
}

/// A named group of items, which a drawing program can switch on and off.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Its name: lower-case letters and hyphens.
    pub name: &'static str,
    /// What is drawn on it, the lowest first.
    pub items: Vec<Item>,
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Lines, open or closed. Closed ones are filled by the even-odd rule, so that a second line cuts a hole.
    Path {
        /// The lines.
        lines: Vec<Line>,
        /// How they are drawn.
        stroke: Option<Stroke>,
        /// What fills them.
        fill: Option<Ink>,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: At,
        /// Its radius in millimetres.
        radius: f64,
        /// How it is drawn.
        stroke: Option<Stroke>,
        /// What fills it.
        fill: Option<Ink>,
    },
    /// One line of text.
    Text(Text),
}

/// A line through several points.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The points.
    pub points: Vec<At>,
    /// Whether the last point is joined to the first.
    pub closed: bool,
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// How thick.
    pub pen: Pen,
    /// How broken.
    pub dash: Dash,
    /// Which colour.
    pub ink: Ink,
}

/// Line thickness: the series of ISO 128-2, each about the square root of two times the one before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pen {
    /// 0.18 mm.
    Fine,
    /// 0.25 mm.
    Thin,
    /// 0.35 mm.
    Medium,
    /// 0.5 mm.
    Bold,
    /// 0.7 mm.
    Heavy,
}

impl Pen {
    /// Thickness in millimetres.
    pub const fn mm(self) -> f64 {
        match self {
            Pen::Fine => 0.18,
            Pen::Thin => 0.25,
            Pen::Medium => 0.35,
            Pen::Bold => 0.5,
            Pen::Heavy => 0.7,
        }
    }
}

/// How a line is broken. Lengths follow the pen: a dash is 12 thicknesses, a long dash 24, a gap 3, a dot half of one
/// (element lengths of ISO 128-2, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    /// Not at all.
    Continuous,
    /// Dash, gap: what lies hidden.
    Dashed,
    /// Long dash, gap, dot, gap.
    Chain,
}

impl Dash {
    /// Lengths of dashes and gaps in turn for a pen; empty for a continuous line.
    pub fn pattern(self, pen: Pen) -> Vec<f64> {
        let elements: &[f64] = match self {
            Dash::Continuous => &[],
            Dash::Dashed => &[12.0, 3.0],
            Dash::Chain => &[24.0, 3.0, 0.5, 3.0],
        };
        elements.iter().map(|element| element * pen.mm()).collect()
    }
}

/// A colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ink {
    /// Red, green and blue, each from 0 to 255.
    pub rgb: [u8; 3],
}

impl Ink {
    /// A colour from its parts.
    pub const fn new(red: u8, green: u8, blue: u8) -> Self {
        Ink { rgb: [red, green, blue] }
    }
    /// Near black: outlines and text.
    pub const BLACK: Ink = Ink::new(0x1a, 0x1a, 0x1a);
    /// Paper.
    pub const WHITE: Ink = Ink::new(0xff, 0xff, 0xff);
    /// Lines that must stay behind others.
    pub const GREY: Ink = Ink::new(0x70, 0x70, 0x70);
    /// Fills that must stay behind everything.
    pub const PALE: Ink = Ink::new(0xec, 0xec, 0xe8);
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where: on the base line, at the side that `anchor` says.
    pub at: At,
    /// Unit vector along which it reads.
    pub along: At,
    /// Which part of the text is at `at`.
    pub anchor: Anchor,
    /// Height of its capitals.
    pub lettering: Lettering,
    /// Whether it is bold.
    pub bold: bool,
    /// Its colour.
    pub ink: Ink,
    /// The text.
    pub text: String,
}

/// Which part of a text lies at its position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Height of capitals: the series of ISO 3098 (from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lettering {
    /// 1.8 mm.
    Note,
    /// 2.5 mm.
    Small,
    /// 3.5 mm.
    Normal,
    /// 5 mm.
    Large,
}

impl Lettering {
    /// Height of capitals in millimetres.
    pub const fn mm(self) -> f64 {
        match self {
            Lettering::Note => 1.8,
            Lettering::Small => 2.5,
            Lettering::Normal => 3.5,
            Lettering::Large => 5.0,
        }
    }

    /// Font size in millimetres: capitals of the common sans-serif faces are 0.72 of it.
    pub fn font_size(self) -> f64 {
        self.mm() / 0.72
    }
}

impl Stroke {
    /// A continuous line.
    pub const fn new(pen: Pen, ink: Ink) -> Self {
        Stroke { pen, dash: Dash::Continuous, ink }
    }

    /// The same line, broken.
    #[must_use]
    pub const fn dashed(self, dash: Dash) -> Self {
        Stroke { dash, ..self }
    }
}

impl Line {
    /// An open line.
    pub fn open(points: impl Into<Vec<At>>) -> Self {
        Line { points: points.into(), closed: false }
    }

    /// A closed line.
    pub fn closed(points: impl Into<Vec<At>>) -> Self {
        Line { points: points.into(), closed: true }
    }

    /// An upright rectangle from its lower left corner.
    pub fn rectangle(corner: At, width: f64, height: f64) -> Self {
        let At { x, y } = corner;
        Line::closed([corner, At::new(x + width, y), At::new(x + width, y + height), At::new(x, y + height)])
    }
}

impl Layer {
    /// An empty layer.
    pub fn new(name: &'static str) -> Self {
        Layer { name, items: Vec::new() }
    }

    /// Draws lines.
    pub fn stroke(&mut self, stroke: Stroke, lines: impl Into<Vec<Line>>) {
        self.items.push(Item::Path { lines: lines.into(), stroke: Some(stroke), fill: None });
    }

    /// Fills closed lines.
    pub fn fill(&mut self, ink: Ink, lines: impl Into<Vec<Line>>) {
        self.items.push(Item::Path { lines: lines.into(), stroke: None, fill: Some(ink) });
    }

    /// Fills closed lines and draws them.
    pub fn fill_stroke(&mut self, ink: Ink, stroke: Stroke, lines: impl Into<Vec<Line>>) {
        self.items.push(Item::Path { lines: lines.into(), stroke: Some(stroke), fill: Some(ink) });
    }

    /// Draws a circle.
    pub fn circle(&mut self, centre: At, radius: f64, stroke: Option<Stroke>, fill: Option<Ink>) {
        self.items.push(Item::Circle { centre, radius, stroke, fill });
    }

    /// Writes level text; nothing where it is empty.
    pub fn text(&mut self, at: At, anchor: Anchor, lettering: Lettering, text: impl Into<String>) {
        let text = text.into();
        if text.is_empty() {
            return;
        }
        self.items.push(Item::Text(Text {
            at,
            along: At::new(1.0, 0.0),
            anchor,
            lettering,
            bold: false,
            ink: Ink::BLACK,
            text,
        }));
    }

    /// Writes level bold text.
    pub fn bold(&mut self, at: At, anchor: Anchor, lettering: Lettering, text: impl Into<String>) {
        let before = self.items.len();
        self.text(at, anchor, lettering, text);
        if let Some(Item::Text(text)) = self.items.get_mut(before) {
            text.bold = true;
        }
    }
}
