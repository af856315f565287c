//! The system: one set of materials and rules. Data, never code.
//!
//! Every part has a default, the built-in demonstration system, and any part of it may be replaced in a job: a field
//! that the job leaves out keeps its default. The figures of the demonstration system are common practice of the trade
//! or of the project's own invention, and no product's: the data sheet of what is really used always wins.

mod check;
mod check_liquids;
mod closing;
mod corner;
mod demonstration;
mod demonstration_liquids;
mod drainage;
mod limit;
mod liquid;
mod readiness;
mod reinforcement;
mod section;
mod standard;
mod timber;
mod trim;
mod window;
mod work;

pub use closing::{Closing, ClosingPieces, ClosingStrip, EndCap};
pub use corner::{CornerRule, CornerShape, EndCut, EndRule, Reach};
pub use drainage::{DrainageRules, Gutter};
pub use limit::Limits;
pub use liquid::{Container, Covers, DoseBand, Dosing, Finish, Hardener, Layer, Pack, Rate};
pub use readiness::{BoardRule, CoveringRule, DefectRule, Readiness, Treatment};
pub use reinforcement::{Direction, Mat, MatRoll, Patch, Tape, Tissue, ZoneChoice};
pub use section::{Leg, Section};
pub use standard::Standard;
pub use timber::{Adhesive, Batten, Fixing};
pub use trim::{BarSold, Trim, Trims};
pub use window::{Renewal, Window, WindowBand};
pub use work::{Stage, Work};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::length::Length;

/// One set of materials and rules.
///
/// ```
/// use upstand::System;
///
/// // Wider mat, everything else as in the demonstration system.
/// let system: System = serde_json::from_str(r#"{"mat": {"width": 1250}}"#).unwrap();
/// assert_eq!(system.mat.width, upstand::Length::from_mm(1250));
/// assert_eq!(system.mat.lap, System::default().mat.lap);
/// // A field that no system has is an error.
/// assert!(serde_json::from_str::<System>(r#"{"matt": {}}"#).is_err());
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct System {
    /// Name printed on sheets.
    pub name: String,
    /// What cut lengths are rounded up to.
    pub cutting_increment: Length,
    /// The trim for each kind of edge.
    pub trims: Trims,
    /// What happens where two edges meet.
    pub corners: Vec<CornerRule>,
    /// What closes open ends.
    pub closing: ClosingPieces,
    /// Battens behind trims.
    pub batten: Batten,
    /// Nails or screws through trims.
    pub fixing: Fixing,
    /// Adhesive behind faces and in laps.
    pub adhesive: Adhesive,
    /// Glass mat of the main area.
    pub mat: Mat,
    /// Glass tape over seams.
    pub tape: Tape,
    /// Double patches at corners and trim joints.
    pub patch: Patch,
    /// Surface tissue over visible corners.
    pub tissue: Tissue,
    /// Layers of the wet work, in the order of application.
    pub layers: Vec<Layer>,
    /// Hardeners that layers are mixed with.
    pub hardeners: Vec<Hardener>,
    /// How fast work goes.
    pub work: Work,
    /// Rain, and what takes it away.
    pub drainage: DrainageRules,
    /// What may be covered.
    pub readiness: Readiness,
    /// What the checks hold the job against.
    pub limits: Limits,
    /// Which of the standards takes the place of the limits of falls and upstands; left out, none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standard: Option<String>,
    /// Sets of rules to choose from.
    pub standards: Vec<Standard>,
}

impl Default for System {
    fn default() -> Self {
        demonstration::system()
    }
}
