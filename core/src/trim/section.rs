//! Lines of a section that other trims meet.

use crate::length::Length;
use crate::system::{Reach, Section};

impl Section {
    /// The outermost line: the greatest outward offset.
    pub fn outermost(&self) -> Length {
        self.points.iter().map(|&(outward, _)| outward).max().unwrap_or_default()
    }

    /// The innermost line: the least outward offset.
    pub fn innermost(&self) -> Length {
        self.points.iter().map(|&(outward, _)| outward).min().unwrap_or_default()
    }

    /// The outward offsets of the two edges of the deck flange, the inner first.
    fn flange(&self) -> (Length, Length) {
        let outward = |i: usize| self.points.get(i).map(|&(outward, _)| outward).unwrap_or_default();
        let (a, b) = (outward(self.deck_flange), outward(self.deck_flange.saturating_add(1)));
        (a.min(b), a.max(b))
    }

    /// The inner edge of the deck flange, where the seam to the deck is.
    pub fn seam(&self) -> Length {
        self.flange().0
    }

    /// The outer edge of the deck flange, where the trim begins to rise or to fall.
    pub fn foot(&self) -> Length {
        self.flange().1
    }

    /// The line that another trim's end reaches.
    pub fn line(&self, reach: Reach) -> Length {
        match reach {
            Reach::Outline => Length::ZERO,
            Reach::Outermost => self.outermost(),
            Reach::Foot => self.foot(),
            Reach::Seam => self.seam(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::Trims;

    #[test]
    fn lines_of_the_demonstration_sections() {
        let trims = Trims::default();
        let raised = &trims.open_side.section;
        let lines = [Reach::Seam, Reach::Foot, Reach::Outline, Reach::Outermost].map(|reach| raised.line(reach));
        assert_eq!(lines, [-90, -22, 0, 27].map(Length::from_mm));
        assert_eq!(trims.drip.section.foot(), trims.drip.section.outermost());
        assert_eq!(trims.abutment.section.innermost(), Length::from_mm(-95));
    }
}
