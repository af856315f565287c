use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::geometry::Point;
use crate::length::Length;

/// What was found on site. Everything may be left out; what is missing is said in a finding.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Survey {
    /// What lies on the deck now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub covering: Option<Covering>,
    /// Whether it is bonded to the deck all over.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bonded: Option<bool>,
    /// Whether the boards are sound: nothing rotten, broken or loose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sound: Option<bool>,
    /// The boards that carry the roof.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub boards: Option<Boards>,
    /// What is wrong with the deck or its covering, and where.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub defects: Vec<Defect>,
    /// Trial patches of the new roof that were pulled off again.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub bond_tests: Vec<BondTest>,
    /// For how many days the surface has lain open to the weather.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weathered_days: Option<f64>,
    /// Hours since rain or dew last wetted the surface, when the moisture was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dry_h: Option<f64>,
    /// Thickness of new boards that will be laid over the deck as it was measured; 0 for none.
    pub overlay: Length,
    /// Moisture readings of the deck.
    pub moisture: Vec<MoistureReading>,
    /// Levels inside the outline, above the datum of the levels of its points.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub levels: Vec<LevelReading>,
    /// Whether the levels are those of a design, which has to fall more than the finished roof, and not as found.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub levels_designed: bool,
    /// Surface temperature of the deck at the time of work, in degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface_c: Option<f64>,
    /// Temperature of the air at the time of work, in degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_c: Option<f64>,
    /// Relative humidity of the air at the time of work, in percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub humidity_percent: Option<f64>,
    /// Coats that are laid, or meant to be, with their times.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub coats: Vec<Coat>,
}

/// What lies on the deck before work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Covering {
    /// New or bare boards.
    Bare,
    /// Bituminous felt.
    Felt,
    /// Mastic asphalt.
    Asphalt,
    /// A loose or bonded plastic or rubber sheet.
    SinglePly,
    /// An older liquid-applied or laminated membrane.
    Liquid,
    /// Metal sheet.
    Metal,
    /// Concrete or screed.
    Concrete,
    /// Brick, block or stone.
    Masonry,
    /// Anything else.
    Other,
}

impl Covering {
    /// Every covering.
    pub const ALL: [Covering; 9] = [
        Covering::Bare,
        Covering::Felt,
        Covering::Asphalt,
        Covering::SinglePly,
        Covering::Liquid,
        Covering::Metal,
        Covering::Concrete,
        Covering::Masonry,
        Covering::Other,
    ];

    /// Whether the covering, or the layers usually found with it, may hold asbestos.
    pub const fn may_hide_asbestos(self) -> bool {
        matches!(self, Covering::Felt | Covering::Asphalt | Covering::Other)
    }
}

/// Boards on joists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Boards {
    /// Which.
    pub board: Board,
    /// Their thickness.
    pub thickness: Length,
    /// Spacing of the joists below, centre to centre.
    pub joists: Length,
}

/// A kind of boards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Board {
    /// Plywood for wet places (EN 636, class 3).
    Plywood,
    /// Strand board for wet places (OSB/3).
    Osb3,
    /// Solid boards.
    Solid,
    /// Cement boards with fibres.
    FibreCement,
    /// Anything else.
    Other,
}

impl Board {
    /// Whether old ones may hold asbestos.
    pub const fn may_hide_asbestos(self) -> bool {
        matches!(self, Board::FibreCement | Board::Other)
    }
}

/// Something wrong with the deck or with what lies on it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Defect {
    /// What.
    pub what: DefectKind,
    /// Which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// Where on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Point>,
    /// How much of it, in square metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// What was seen, in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A kind of defect.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DefectKind {
    /// Soft or rotten boards or joists.
    Rot,
    /// Broken, delaminated or sagging boards.
    Broken,
    /// Boards that move underfoot.
    LooseBoard,
    /// A covering that has come off what it lay on.
    Debonded,
    /// Blisters or ridges.
    Blister,
    /// Cracks and splits.
    Crack,
    /// Moss, oil, old sealant and the like.
    Contaminated,
}

impl DefectKind {
    /// Every kind.
    pub const ALL: [DefectKind; 7] = [
        DefectKind::Rot,
        DefectKind::Broken,
        DefectKind::LooseBoard,
        DefectKind::Debonded,
        DefectKind::Blister,
        DefectKind::Crack,
        DefectKind::Contaminated,
    ];

    /// For people.
    pub const fn words(self) -> &'static str {
        match self {
            DefectKind::Rot => "rot",
            DefectKind::Broken => "broken boards",
            DefectKind::LooseBoard => "loose boards",
            DefectKind::Debonded => "loose covering",
            DefectKind::Blister => "blisters",
            DefectKind::Crack => "cracks",
            DefectKind::Contaminated => "dirt that resin does not hold on",
        }
    }
}

/// A trial patch of the new roof on the surface that was found, pulled off once it had cured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BondTest {
    /// Whether it held, so that it tore what lies below sooner than it came off.
    pub held: bool,
    /// Which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// Where on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Point>,
}

/// One coat of one layer on one roof. Times are minutes on one clock for the whole record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Coat {
    /// The layer, by its `material` in the system.
    pub layer: String,
    /// Which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// When it was begun.
    pub begun_min: f64,
    /// When it was done.
    pub done_min: f64,
    /// Whether rain or dew fell on it before the next coat.
    #[serde(default)]
    pub wetted: bool,
}

/// One level of the deck inside the outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LevelReading {
    /// Which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// Where on it.
    pub at: Point,
    /// Height above the datum.
    pub level: Length,
}

/// One moisture reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MoistureReading {
    /// Moisture in percent of dry mass.
    pub percent: f64,
    /// Which roof, from 0.
    #[serde(default)]
    pub roof: usize,
    /// Where on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Point>,
}
