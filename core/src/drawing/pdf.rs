//! The PDF writer: one page for each sheet, in millimetres, with the fonts that every reader has.

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::at::At;
use super::helvetica;
use super::model::{Anchor, Ink, Item, Line, Sheet, Stroke, Text};

/// Points of a millimetre: 72 to the inch of 25.4 mm.
const POINTS: f64 = 72.0 / 25.4;
const REGULAR: Name<'_> = Name(b"F0");
const BOLD: Name<'_> = Name(b"F1");

/// Sheets as a PDF document, one page each: the same bytes for the same sheets on every platform.
///
/// Text outside the Latin alphabets of Western Europe is written as `?`: the standard fonts have no more.
///
/// ```
/// use upstand::{Plan, drawing};
///
/// let pdf = drawing::to_pdf(&[drawing::plan_sheet(&Plan::default())]);
/// assert!(pdf.starts_with(b"%PDF-"));
/// ```
pub fn to_pdf(sheets: &[Sheet]) -> Vec<u8> {
    let (catalog, pages, information, regular, bold) =
        (Ref::new(1), Ref::new(2), Ref::new(3), Ref::new(4), Ref::new(5));
    let page_of = |index: usize| Ref::new(6 + 2 * index as i32);
    let content_of = |index: usize| Ref::new(7 + 2 * index as i32);

    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(pages);
    pdf.pages(pages).kids((0..sheets.len()).map(page_of)).count(sheets.len() as i32);
    // No date: the library has no clock, and the same plan must give the same bytes.
    pdf.document_info(information).title(TextStr(sheets.first().map_or("", |sheet| &sheet.title)));
    pdf.type1_font(regular).base_font(Name(b"Helvetica")).encoding_predefined(Name(b"WinAnsiEncoding"));
    pdf.type1_font(bold).base_font(Name(b"Helvetica-Bold")).encoding_predefined(Name(b"WinAnsiEncoding"));
    for (index, sheet) in sheets.iter().enumerate() {
        let mut page = pdf.page(page_of(index));
        page.media_box(Rect::new(0.0, 0.0, short(sheet.width * POINTS), short(sheet.height * POINTS)));
        page.parent(pages);
        page.contents(content_of(index));
        let mut resources = page.resources();
        resources.fonts().pair(REGULAR, regular).pair(BOLD, bold);
        resources.finish();
        page.finish();
        pdf.stream(content_of(index), &content(sheet));
    }
    pdf.finish()
}

fn content(sheet: &Sheet) -> Vec<u8> {
    let mut content = Content::new();
    // From here on a unit is a millimetre; PDF counts y upward as sheets do.
    content.transform([POINTS as f32, 0.0, 0.0, POINTS as f32, 0.0, 0.0]);
    for item in sheet.layers.iter().flat_map(|layer| &layer.items) {
        match item {
            Item::Path { lines, stroke, fill } => {
                prepare(&mut content, *stroke, *fill);
                for line in lines {
                    trace(&mut content, line);
                }
                paint(&mut content, stroke.is_some(), fill.is_some());
            }
            Item::Circle { centre, radius, stroke, fill } => {
                prepare(&mut content, *stroke, *fill);
                circle(&mut content, *centre, *radius);
                paint(&mut content, stroke.is_some(), fill.is_some());
            }
            Item::Text(text) => write(&mut content, text),
        }
    }
    content.finish().into_vec()
}

fn prepare(content: &mut Content, stroke: Option<Stroke>, fill: Option<Ink>) {
    if let Some(fill) = fill {
        let [red, green, blue] = rgb(fill);
        content.set_fill_rgb(red, green, blue);
    }
    if let Some(stroke) = stroke {
        let [red, green, blue] = rgb(stroke.ink);
        content.set_stroke_rgb(red, green, blue);
        content.set_line_width(short(stroke.pen.mm()));
        content.set_dash_pattern(stroke.dash.pattern(stroke.pen).into_iter().map(short), 0.0);
    }
}

fn paint(content: &mut Content, stroke: bool, fill: bool) {
    match (stroke, fill) {
        (true, true) => content.fill_even_odd_and_stroke(),
        (true, false) => content.stroke(),
        (false, true) => content.fill_even_odd(),
        (false, false) => content.end_path(),
    };
}

fn trace(content: &mut Content, line: &Line) {
    for (index, point) in line.points.iter().enumerate() {
        match index {
            0 => content.move_to(short(point.x), short(point.y)),
            _ => content.line_to(short(point.x), short(point.y)),
        };
    }
    if line.closed && !line.points.is_empty() {
        content.close_path();
    }
}

/// Four curves that leave a circle by less than 0.03 % of its radius: control points at 4/3 (sqrt 2 - 1) of it.
fn circle(content: &mut Content, centre: At, radius: f64) {
    let control = radius * 4.0 / 3.0 * (2.0_f64.sqrt() - 1.0);
    let start = centre + At::new(radius, 0.0);
    content.move_to(short(start.x), short(start.y));
    let mut out = At::new(1.0, 0.0);
    for _ in 0..4 {
        let next = out.left();
        let (from, to) = (centre + out * radius, centre + next * radius);
        let (first, second) = (from + next * control, to + out * control);
        content.cubic_to(short(first.x), short(first.y), short(second.x), short(second.y), short(to.x), short(to.y));
        out = next;
    }
    content.close_path();
}

fn write(content: &mut Content, text: &Text) {
    let size = text.lettering.font_size();
    let encoded = helvetica::encoded(&text.text);
    let back = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => 0.5,
        Anchor::End => 1.0,
    } * helvetica::width(&encoded, text.bold)
        * size;
    let at = text.at - text.along * back;
    let [red, green, blue] = rgb(text.ink);
    let (cos, sin) = (short(text.along.x), short(text.along.y));
    content.set_fill_rgb(red, green, blue);
    content.begin_text();
    content.set_font(if text.bold { BOLD } else { REGULAR }, short(size));
    content.set_text_matrix([cos, sin, -sin, cos, short(at.x), short(at.y)]);
    content.show(Str(&encoded));
    content.end_text();
}

fn rgb(ink: Ink) -> [f32; 3] {
    ink.rgb.map(|part| short(f64::from(part) / 255.0))
}

/// A number of the file, to a thousandth: of a millimetre, mostly. NaN, which only a hand-made sheet could hold,
/// becomes 0.
fn short(value: f64) -> f32 {
    if value.is_nan() { 0.0 } else { ((value * 1_000.0).round() / 1_000.0) as f32 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::model::{Layer, Lettering, Pen};

    fn document(sheets: usize) -> String {
        let mut layer = Layer::new("a");
        layer.stroke(Stroke::new(Pen::Medium, Ink::BLACK), [Line::open([At::new(10.0, 20.0), At::new(90.0, 20.0)])]);
        layer.circle(At::new(50.0, 50.0), 3.0, None, Some(Ink::BLACK));
        layer.text(At::new(100.0, 2.0), Anchor::End, Lettering::Small, "0(0)0 m²");
        let sheet = Sheet { title: "t".into(), width: 297.0, height: 210.0, layers: vec![layer] };
        // One character for each byte, so that places in the text are places in the file.
        let ascii = |byte: u8| if byte.is_ascii() { char::from(byte) } else { '?' };
        to_pdf(&vec![sheet; sheets]).into_iter().map(ascii).collect()
    }

    #[test]
    fn every_object_is_where_the_cross_reference_says() {
        let pdf = document(3);
        let start = pdf.rsplit("startxref").next().expect("an end").split_whitespace().next().expect("a place");
        let table = &pdf[start.parse().expect("a number")..];
        let mut lines = table.lines();
        assert_eq!(lines.next(), Some("xref"));
        assert_eq!(lines.next(), Some("0 12"), "five objects of the document and two of each page, with the free one");
        for (number, line) in lines.by_ref().take(12).enumerate().skip(1) {
            let at: usize = line[..10].parse().expect("a place");
            assert!(pdf[at..].starts_with(&format!("{number} 0 obj")), "{line}");
        }
        assert!(pdf.contains("/Count 3"));
    }

    #[test]
    fn a_page_is_as_large_as_its_sheet_and_drawn_in_millimetres() {
        let pdf = document(1);
        // A4 is 841.89 x 595.276 points (ISO 216 and 72 points to the inch).
        assert!(pdf.contains("/MediaBox [0 0 841.89 595.276]"), "{pdf}");
        assert!(pdf.contains("2.8346457 0 0 2.8346457 0 0 cm"));
        assert!(pdf.contains("10 20 m\n90 20 l"));
        // Flush right: five characters of 0.556, 0.278 for the space, two brackets and m and superscript two:
        // 3 x 0.556 + 2 x 0.333 + 0.278 + 0.833 + 0.333 = 3.778 of 3.4722 mm before x = 100.
        assert!(pdf.contains("1 0 0 1 86.882 2 Tm"), "{pdf}");
    }
}
