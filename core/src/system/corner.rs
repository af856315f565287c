//! The corner table: what each trim does where two edges meet.
//!
//! A row holds for two kinds of edge and one shape of corner, wherever the ring runs: the corner of a kerb points into
//! the roof, so an inner row governs it. Where the kind changes in a straight line, a row of shape `straight` says how
//! the two runs end; without one both stop square at the point.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::closing::Closing;
use crate::length::Length;
use crate::roof::Kind;

/// Whether a corner points out of the roof or into it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CornerShape {
    /// The roof turns around the inside of the corner (interior angle under 180 degrees).
    Outer,
    /// The corner points into the roof (interior angle over 180 degrees), as those of kerbs do.
    Inner,
    /// The edges are in line and the kind changes: the open ends of two runs.
    Straight,
}

/// One row of the corner table. The order of the two kinds does not matter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CornerRule {
    /// The two kinds of edge that meet.
    pub kinds: (Kind, Kind),
    /// Which way the corner points.
    pub shape: CornerShape,
    /// What the trims of the two edges do, in the order of `kinds`.
    pub ends: (EndRule, EndRule),
    /// How many patches lie on the corner.
    pub patches: u32,
}

/// What one trim does at a corner.
///
/// ```
/// use upstand::system::{Closing, EndRule, Reach};
///
/// let through = EndRule { closing: Some(Closing::Cap), ..EndRule::square(Reach::Outermost) };
/// let text = r#"{"cut": "square", "reach": "outermost", "closing": "cap"}"#;
/// assert_eq!(serde_json::from_str::<EndRule>(text).unwrap(), through);
/// assert!(serde_json::from_str::<EndRule>(r#"{"cut": "torn"}"#).is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndRule {
    /// How the end is cut.
    pub cut: EndCut,
    /// For a square cut, a skew cut or a lap: which line of the other trim the end reaches. A mitre and a return follow
    /// from the angle.
    #[serde(default)]
    pub reach: Reach,
    /// Added to the reach: more is longer. For a return, how far it goes round the corner.
    #[serde(default)]
    pub gain: Length,
    /// What closes the end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closing: Option<Closing>,
}

impl EndRule {
    /// A mitre.
    pub fn mitre() -> Self {
        EndRule { cut: EndCut::Mitre, reach: Reach::Outline, gain: Length::ZERO, closing: None }
    }

    /// A square end at a line of the other trim.
    pub fn square(reach: Reach) -> Self {
        EndRule { cut: EndCut::Square, reach, gain: Length::ZERO, closing: None }
    }

    /// An end cut parallel to the other trim, at a line of it.
    pub fn skew(reach: Reach) -> Self {
        EndRule { cut: EndCut::Skew, ..EndRule::square(reach) }
    }

    /// Whether the end goes past the other trim, so that every line of it reaches the line named, rather than against it.
    pub(crate) fn goes_through(&self) -> bool {
        match self.cut {
            EndCut::Lap => true,
            EndCut::Square | EndCut::Skew => matches!(self.reach, Reach::Outermost | Reach::BehindFace),
            EndCut::Mitre | EndCut::Return => false,
        }
    }
}

/// How the end of a trim is cut at a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EndCut {
    /// In the plane that bisects the corner.
    Mitre,
    /// Square across: running through where it reaches the other's outermost line or the back of its face, else stopping
    /// against it.
    Square,
    /// Square across, lying over the other trim: every line of it reaches the line named.
    Lap,
    /// Bent round the corner along its face, the other facets cut out at the fold, and ending square on the other edge at
    /// `gain` from the corner, but not short of the fold. The other trim is cut back to where the part that is bent round
    /// ends.
    Return,
    /// On the skew, parallel to the other trim: every line of it ends at the line named. Where the corner is square to
    /// within the thickness of the material the end is cut square, and no line of it passes the line named.
    Skew,
}

/// A line of the other trim, parallel to its edge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// The outline itself.
    #[default]
    Outline,
    /// The other trim's outermost line.
    Outermost,
    /// The back of the other trim's face: its outermost line less its thickness. A trim that is fixed before the other
    /// runs through to here, so that the other's face passes outside its end. Where the corner is square to within the
    /// thickness of the material, no line of it goes further than the back of the face. Where it is not, an end that is
    /// cut square goes through a slit in the face, which a skew cut spares.
    BehindFace,
    /// The foot of the other trim's deck flange, where its rise begins.
    Foot,
    /// The inner edge of the other trim's deck flange.
    Seam,
}
