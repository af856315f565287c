//! Hatching: parallel lines at 45 degrees inside closed lines.
//!
//! Drawn as lines rather than as a fill pattern: every reader shows them alike, and other formats need no patterns.

use super::at::At;
use super::model::Line;

/// More lines than this are not drawn: an area that needs them is not on a sheet.
const MOST: f64 = 2_000.0;

/// The parts of parallel lines, `spacing` millimetres apart, that lie inside the closed lines by the even-odd rule.
pub(super) fn lines(areas: &[Line], spacing: f64) -> Vec<Line> {
    // The level of a point is its distance from the line x = y, times the square root of two.
    let level = |at: At| at.y - at.x;
    let step = spacing * 2.0_f64.sqrt();
    let levels = || areas.iter().flat_map(|area| &area.points).map(|&at| level(at));
    let low = levels().fold(f64::INFINITY, f64::min);
    let high = levels().fold(f64::NEG_INFINITY, f64::max);
    let count = (high - low) / step;
    if count.is_nan() || count > MOST {
        return Vec::new();
    }
    let mut hatch = Vec::new();
    // Levels are whole multiples of the step, so that neighbouring areas hatch alike.
    let mut index = (low / step).floor() + 1.0;
    while index * step < high {
        let at_level = index * step;
        let mut crossings = Vec::new();
        for area in areas {
            let next = area.points.iter().cycle().skip(1);
            for (&a, &b) in area.points.iter().zip(next) {
                let (la, lb) = (level(a), level(b));
                if (la > at_level) != (lb > at_level) {
                    crossings.push(a + (b - a) * ((at_level - la) / (lb - la)));
                }
            }
        }
        crossings.sort_by(|a, b| a.x.total_cmp(&b.x));
        hatch.extend(crossings.chunks_exact(2).map(|pair| Line::open([pair[0], pair[1]])));
        index += 1.0;
    }
    hatch
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_covers_an_area_in_proportion_to_its_size() {
        // Total length of lines times their spacing tends to the area: 40 x 10 less a hole of 10 x 5.
        let areas = [Line::rectangle(At::new(3.0, 2.0), 40.0, 10.0), Line::rectangle(At::new(10.0, 4.0), 10.0, 5.0)];
        let spacing = 0.05;
        let total: f64 = lines(&areas, spacing).iter().map(|line| (line.points[1] - line.points[0]).norm()).sum();
        assert!((total * spacing - 350.0).abs() < 0.5, "{}", total * spacing);
    }

    #[test]
    fn areas_without_size_have_no_hatching() {
        assert!(lines(&[], 1.0).is_empty());
        assert!(lines(&[Line::closed([])], 1.0).is_empty());
        assert!(lines(&[Line::rectangle(At::new(0.0, 0.0), f64::INFINITY, 1.0)], 1.0).is_empty());
    }
}
