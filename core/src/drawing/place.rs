//! Room on the sheet: what is taken, and whether a label still fits.

use super::at::At;

/// A tilted rectangle: the place of a label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub(super) centre: At,
    /// Unit vector along the longer side.
    pub(super) along: At,
    /// Half the width, along `along`.
    pub(super) half_width: f64,
    /// Half the height, across.
    pub(super) half_height: f64,
}

impl Place {
    /// An upright rectangle.
    pub(super) fn level(centre: At, width: f64, height: f64) -> Self {
        Place { centre, along: At::new(1.0, 0.0), half_width: width / 2.0, half_height: height / 2.0 }
    }

    /// The band of `half` to either side of a line.
    pub(super) fn line(from: At, to: At, half: f64) -> Self {
        let along = to - from;
        Place { centre: (from + to) * 0.5, along: along.unit(), half_width: along.norm() / 2.0, half_height: half }
    }

    /// The point of the rectangle that is nearest to `to`.
    pub(super) fn nearest(&self, to: At) -> At {
        let from = to - self.centre;
        let u = from.dot(self.along).clamp(-self.half_width, self.half_width);
        let v = from.dot(self.along.left()).clamp(-self.half_height, self.half_height);
        self.centre + self.along * u + self.along.left() * v
    }

    /// Whether the two share more than a border: two rectangles are apart if one of their sides' directions parts them.
    pub(super) fn overlaps(&self, other: &Place) -> bool {
        let apart = |axis: At| {
            let reach = |place: &Place| {
                place.half_width * place.along.dot(axis).abs() + place.half_height * place.along.left().dot(axis).abs()
            };
            (other.centre - self.centre).dot(axis).abs() >= reach(self) + reach(other)
        };
        ![self.along, self.along.left(), other.along, other.along.left()].into_iter().any(apart)
    }

    fn bounds(&self) -> (At, At) {
        let reach = |axis: At| {
            self.half_width * self.along.dot(axis).abs() + self.half_height * self.along.left().dot(axis).abs()
        };
        let half = At::new(reach(At::new(1.0, 0.0)), reach(At::new(0.0, 1.0)));
        (self.centre - half, self.centre + half)
    }
}

/// What holds a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Holder {
    /// Lines and symbols: a leader may cross them if it must.
    Drawing,
    /// Text: nothing may cross it.
    Text,
}

/// What is taken of a part of the sheet, kept in square cells so that looking up a place takes the time of its
/// neighbours only.
pub(super) struct Room {
    corner: At,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<u32>>,
    taken: Vec<(Place, Holder)>,
    bounds: (At, At),
}

/// Side of a cell in millimetres: about the length of a label.
const CELL: f64 = 8.0;

impl Room {
    /// An empty room between two corners of the sheet.
    pub(super) fn new(corner: At, far: At) -> Self {
        let columns = ((far.x - corner.x) / CELL) as usize + 1;
        let rows = ((far.y - corner.y) / CELL) as usize + 1;
        Room {
            corner,
            columns,
            rows,
            cells: vec![Vec::new(); columns * rows],
            taken: Vec::new(),
            bounds: (corner, far),
        }
    }

    fn cells_of(&self, place: &Place) -> impl Iterator<Item = usize> + use<> {
        let (low, high) = place.bounds();
        let column = |x: f64| (((x - self.corner.x) / CELL) as usize).min(self.columns - 1);
        let row = |y: f64| (((y - self.corner.y) / CELL) as usize).min(self.rows - 1);
        let (columns, from, to) = (self.columns, (column(low.x), row(low.y)), (column(high.x), row(high.y)));
        (from.1..=to.1).flat_map(move |row| (from.0..=to.0).map(move |column| row * columns + column))
    }

    /// Takes a place, free or not.
    pub(super) fn take(&mut self, place: Place, holder: Holder) {
        let index = self.taken.len() as u32;
        for cell in self.cells_of(&place) {
            self.cells[cell].push(index);
        }
        self.taken.push((place, holder));
    }

    /// Takes the band of `half` to either side of a line; a long one in parts, as the bounds of a long tilted place
    /// cover much of the sheet.
    pub(super) fn take_band(&mut self, from: At, to: At, half: f64) {
        let parts = (((to - from).norm() / (2.0 * CELL)) as usize + 1).min(64);
        let step = (to - from) * (1.0 / parts as f64);
        for part in 0..parts {
            let at = from + step * part as f64;
            self.take(Place::line(at, at + step, half), Holder::Drawing);
        }
    }

    /// Whether a place is inside the room and nothing taken overlaps it.
    pub(super) fn is_free(&self, place: &Place) -> bool {
        self.is_clear_of(place, |_| true)
    }

    /// Whether a place is inside the room and no text is in it.
    pub(super) fn is_free_of_text(&self, place: &Place) -> bool {
        self.is_clear_of(place, |holder| holder == Holder::Text)
    }

    fn is_clear_of(&self, place: &Place, matters: impl Fn(Holder) -> bool) -> bool {
        let (low, high) = place.bounds();
        let inside = low.x >= self.bounds.0.x
            && low.y >= self.bounds.0.y
            && high.x <= self.bounds.1.x
            && high.y <= self.bounds.1.y;
        let clear = |&index: &u32| {
            let (taken, holder) = &self.taken[index as usize];
            !matters(*holder) || !taken.overlaps(place)
        };
        inside && self.cells_of(place).all(|cell| self.cells[cell].iter().all(clear))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tilted_places_overlap_only_where_they_share_ground() {
        let level = Place::level(At::new(0.0, 0.0), 4.0, 2.0);
        let tilted = |x: f64, y: f64| Place {
            centre: At::new(x, y),
            along: At::new(0.6, 0.8),
            half_width: 2.0,
            half_height: 0.5,
        };
        assert!(level.overlaps(&tilted(0.0, 0.0)));
        // Its bounds reach over the level one, its body does not: a corner is parted by its own long side.
        assert!(!level.overlaps(&tilted(3.0, -1.9)));
        assert!(level.overlaps(&tilted(2.5, 1.0)));
        assert!(!level.overlaps(&Place::level(At::new(4.0, 0.0), 4.0, 2.0)));
    }

    #[test]
    fn a_room_finds_what_was_taken_and_its_own_walls() {
        let mut room = Room::new(At::new(20.0, 10.0), At::new(220.0, 200.0));
        room.take_band(At::new(30.0, 20.0), At::new(180.0, 170.0), 0.2);
        assert!(!room.is_free(&Place::level(At::new(100.0, 90.0), 5.0, 3.0)));
        assert!(room.is_free(&Place::level(At::new(100.0, 60.0), 5.0, 3.0)));
        assert!(!room.is_free(&Place::level(At::new(219.0, 60.0), 5.0, 3.0)));
    }
}
