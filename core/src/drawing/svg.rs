//! The SVG writer: one user unit is one millimetre of paper.
//!
//! `width` and `height` in millimetres with a `viewBox` of the same numbers make a user unit one millimetre (SVG 1.1,
//! section 7), so a sheet printed at full size is to scale. Numbers have at most three decimals.

use std::fmt::Write;

use super::at::At;
use super::model::{Anchor, Ink, Item, Line, Sheet, Stroke, Text};

/// Faces that every common system has; [`super::lettering`] allows for the widest of them.
const FACES: &str = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif";

impl Sheet {
    /// The sheet as an SVG document: the same bytes for the same sheet on every platform.
    pub fn to_svg(&self) -> String {
        let (width, height) = (number(self.width), number(self.height));
        let mut svg = open(&width, &height, &self.title);
        self.layers(&mut svg, "");
        svg.push_str("</svg>\n");
        svg
    }

    fn layers(&self, svg: &mut String, suffix: &str) {
        let (width, height) = (number(self.width), number(self.height));
        let _ = writeln!(svg, "<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>");
        for layer in self.layers.iter().filter(|layer| !layer.items.is_empty()) {
            let _ = writeln!(svg, "<g id=\"{}{suffix}\">", escape(layer.name));
            for item in &layer.items {
                self.item(svg, item);
            }
            svg.push_str("</g>\n");
        }
    }

    fn item(&self, svg: &mut String, item: &Item) {
        match item {
            Item::Path { lines, stroke, fill } => {
                svg.push_str("<path d=\"");
                for line in lines {
                    self.line(svg, line);
                }
                svg.push('"');
                paint(svg, *stroke, *fill);
                svg.push_str("/>\n");
            }
            Item::Circle { centre, radius, stroke, fill } => {
                let (x, y) = self.turned(*centre);
                let _ = write!(svg, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"", number(*radius));
                paint(svg, *stroke, *fill);
                svg.push_str("/>\n");
            }
            Item::Text(text) => self.text(svg, text),
        }
    }

    fn line(&self, svg: &mut String, line: &Line) {
        for (index, &point) in line.points.iter().enumerate() {
            let (x, y) = self.turned(point);
            svg.push_str(match index {
                0 => "M",
                1 => "L",
                _ => " ",
            });
            let _ = write!(svg, "{x} {y}");
        }
        if line.closed && !line.points.is_empty() {
            svg.push('Z');
        }
    }

    fn text(&self, svg: &mut String, text: &Text) {
        let (x, y) = self.turned(text.at);
        let _ = write!(svg, "<text font-size=\"{}\" fill=\"{}\"", number(text.lettering.font_size()), ink(text.ink));
        if text.along == At::new(1.0, 0.0) {
            let _ = write!(svg, " x=\"{x}\" y=\"{y}\"");
        } else {
            // A matrix of sine and cosine: no angle has to be computed.
            let (cos, sin) = (number(text.along.x), number(-text.along.y));
            let _ = write!(svg, " transform=\"matrix({cos} {sin} {} {cos} {x} {y})\"", number(text.along.y));
        }
        match text.anchor {
            Anchor::Start => {}
            Anchor::Middle => svg.push_str(" text-anchor=\"middle\""),
            Anchor::End => svg.push_str(" text-anchor=\"end\""),
        }
        if text.bold {
            svg.push_str(" font-weight=\"bold\"");
        }
        let _ = writeln!(svg, ">{}</text>", escape(&text.text));
    }

    /// The one place where y is turned over.
    fn turned(&self, at: At) -> (String, String) {
        (number(at.x), number(self.height - at.y))
    }
}

/// Several sheets as one SVG document, one below the other.
pub(super) fn stacked(sheets: &[Sheet]) -> String {
    if let [sheet] = sheets {
        return sheet.to_svg();
    }
    let width = sheets.iter().map(|sheet| sheet.width).fold(0.0, f64::max);
    let height = sheets.iter().map(|sheet| sheet.height).sum();
    let title = sheets.first().map_or("", |sheet| sheet.title.as_str());
    let mut svg = open(&number(width), &number(height), title);
    let mut top = 0.0;
    for (index, sheet) in sheets.iter().enumerate() {
        let _ = writeln!(svg, "<g id=\"sheet-{}\" transform=\"translate(0 {})\">", index + 1, number(top));
        sheet.layers(&mut svg, &format!("-{}", index + 1));
        svg.push_str("</g>\n");
        top += sheet.height;
    }
    svg.push_str("</svg>\n");
    svg
}

fn open(width: &str, height: &str, title: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" font-family=\"{FACES}\" fill=\"none\" \
         stroke-linecap=\"butt\" stroke-linejoin=\"miter\" fill-rule=\"evenodd\">\n<title>{}</title>\n",
        escape(title)
    )
}

fn paint(svg: &mut String, stroke: Option<Stroke>, fill: Option<Ink>) {
    if let Some(fill) = fill {
        let _ = write!(svg, " fill=\"{}\"", ink(fill));
    }
    if let Some(stroke) = stroke {
        let _ = write!(svg, " stroke=\"{}\" stroke-width=\"{}\"", ink(stroke.ink), number(stroke.pen.mm()));
        let pattern = stroke.dash.pattern(stroke.pen);
        if !pattern.is_empty() {
            let lengths: Vec<_> = pattern.into_iter().map(number).collect();
            let _ = write!(svg, " stroke-dasharray=\"{}\"", lengths.join(" "));
        }
    }
}

fn ink(ink: Ink) -> String {
    let [red, green, blue] = ink.rgb;
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// Thousandths, trailing zeros dropped. NaN, which only a hand-made sheet could hold, becomes 0.
fn number(value: f64) -> String {
    let thousandths = (value * 1_000.0).round() as i64;
    let sign = if thousandths < 0 { "-" } else { "" };
    let (whole, rest) = (thousandths.unsigned_abs() / 1_000, thousandths.unsigned_abs() % 1_000);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let text = format!("{sign}{whole}.{rest:03}");
    text.trim_end_matches('0').to_string()
}

/// Text that is safe between tags and in attributes. Characters that XML 1.0 forbids become U+FFFD.
fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\t' | '\n' | '\r' => escaped.push(' '),
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => escaped.push('\u{fffd}'),
            other => escaped.push(other),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::model::{Dash, Layer, Lettering, Pen};

    #[test]
    fn numbers_are_short_and_never_negative_zero() {
        let cases = [
            (80.0, "80"),
            (0.35, "0.35"),
            (-0.0001, "0"),
            (-12.3456, "-12.346"),
            (1.0 / 3.0, "0.333"),
            (f64::NAN, "0"),
            (100.05, "100.05"),
        ];
        for (value, text) in cases {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn a_user_unit_is_a_millimetre_and_y_is_turned_over() {
        let mut layer = Layer::new("a");
        layer.stroke(
            Stroke::new(Pen::Medium, Ink::BLACK).dashed(Dash::Chain),
            [Line::open([At::new(10.0, 20.0), At::new(90.0, 20.0)])],
        );
        layer.text(At::new(1.0, 2.0), Anchor::Start, Lettering::Small, "a < b & \u{1}");
        let sheet = Sheet { title: "t".into(), width: 210.0, height: 297.0, layers: vec![layer] };
        let svg = sheet.to_svg();
        assert!(svg.contains("width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\""));
        assert!(svg.contains("d=\"M10 277L90 277\""));
        // Period of the chain line of 0.35 mm: 30.5 thicknesses, 10.675 mm (ISO 128-2, from memory).
        assert!(svg.contains("stroke-width=\"0.35\" stroke-dasharray=\"8.4 1.05 0.175 1.05\""));
        assert!(svg.contains(">a &lt; b &amp; \u{fffd}</text>"));
    }
}
