//! The built-in demonstration system: an invented set of trims and materials, for trials and examples.
//!
//! Sizes marked "common practice" have no published source; all other figures are inventions that are consistent with
//! each other. None is a product's. Replace them with the data of what you use.

use super::System;
use super::closing::{Closing, ClosingPieces, ClosingStrip, EndCap};
use super::corner::{CornerRule, CornerShape, EndRule, Reach};
use super::demonstration_liquids::{hardeners, layers};
use super::limit::Limits;
use super::readiness::Readiness;
use super::reinforcement::{Direction, Mat, Patch, Tape, Tissue, ZoneChoice};
use super::section::Section;
use super::timber::{Adhesive, Batten, Fixing};
use super::trim::{BarSold, Trim, Trims};
use super::work::Work;
use crate::length::Length;
use crate::roof::Kind;

const fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn section(points: &[(i64, i64)], deck_flange: usize, face: usize) -> Section {
    Section {
        points: points.iter().map(|&(outward, up)| (mm(outward), mm(up))).collect(),
        deck_flange,
        face,
        thickness: Length::from_um(1_800),
        bead_radius: Length::ZERO,
    }
}

fn sold(length: i64) -> Vec<BarSold> {
    vec![BarSold { length: mm(length), price: None }]
}

pub(super) fn system() -> System {
    System {
        name: "demonstration system".into(),
        cutting_increment: mm(1),
        trims: Trims::default(),
        corners: corners(),
        closing: ClosingPieces::default(),
        batten: Batten::default(),
        fixing: Fixing::default(),
        adhesive: Adhesive::default(),
        mat: Mat::default(),
        tape: Tape::default(),
        patch: Patch::default(),
        tissue: Tissue::default(),
        layers: layers(),
        hardeners: hardeners(),
        work: Work::default(),
        readiness: Readiness::default(),
        drainage: super::DrainageRules::default(),
        limits: Limits::default(),
        standard: None,
        standards: super::standard::standards(),
    }
}

impl Default for Trims {
    fn default() -> Self {
        // Lengths of 3 m, laps of 50 mm: common practice.
        Trims {
            drip: Trim {
                name: "drip trim".into(),
                section: section(&[(-85, 0), (27, 0), (27, -58), (21, -58)], 0, 1),
                bars: sold(3000),
                lap: mm(50),
                battened: true,
                bonded: true,
                fixing_lines: 1,
                fixing_legs: Vec::new(),
                flashed: false,
                mat_onto: Length::ZERO,
            },
            abutment: Trim {
                name: "wall trim".into(),
                section: section(&[(-95, 0), (-28, 0), (0, 28), (0, 172)], 0, 2),
                bars: sold(3000),
                lap: mm(50),
                battened: false,
                bonded: false,
                fixing_lines: 2,
                fixing_legs: Vec::new(),
                flashed: true,
                mat_onto: Length::ZERO,
            },
            open_side: Trim {
                name: "raised trim".into(),
                section: section(&[(-90, 0), (-22, 0), (-6, 36), (27, 36), (27, -46), (21, -46)], 0, 3),
                bars: sold(3000),
                lap: mm(50),
                battened: true,
                bonded: true,
                fixing_lines: 1,
                fixing_legs: Vec::new(),
                flashed: false,
                mat_onto: Length::ZERO,
            },
        }
    }
}

/// Like meets like in a mitre. Unlike trims meet at outer corners with one running through and the other stopping
/// against it: the wall trim and the raised trim close the end of what they meet. The wall trim ends behind the raised
/// trim's face, which is fixed after it and hangs outside its end: parallel to it, or the face would have to be slit. At
/// inner corners, where faces would run into one another, all are mitred. An end that stays open is closed: the raised
/// trim's by a cap, the wall trim's by a piece of strip.
fn corners() -> Vec<CornerRule> {
    use CornerShape::{Inner, Outer, Straight};
    use Kind::{Abutment, Drip, OpenSide};

    let (mitre, square) = (EndRule::mitre, EndRule::square);
    let behind = EndRule { closing: Some(Closing::Strip), ..EndRule::skew(Reach::BehindFace) };
    let closed = |closing, reach| EndRule { closing: Some(closing), ..square(reach) };
    let (strip, cap) = (|reach| closed(Closing::Strip, reach), |reach| closed(Closing::Cap, reach));
    let row = |kinds, shape, ends| CornerRule { kinds, shape, ends, patches: 2 };
    vec![
        row((Drip, Drip), Outer, (mitre(), mitre())),
        row((Abutment, Abutment), Outer, (mitre(), mitre())),
        row((OpenSide, OpenSide), Outer, (mitre(), mitre())),
        row((Abutment, Drip), Outer, (strip(Reach::Outermost), square(Reach::Outline))),
        row((Abutment, OpenSide), Outer, (behind, square(Reach::Outline))),
        row((OpenSide, Drip), Outer, (cap(Reach::Outermost), square(Reach::Foot))),
        row((Drip, Drip), Inner, (mitre(), mitre())),
        row((Abutment, Abutment), Inner, (mitre(), mitre())),
        row((OpenSide, OpenSide), Inner, (mitre(), mitre())),
        row((Abutment, Drip), Inner, (mitre(), mitre())),
        row((Abutment, OpenSide), Inner, (mitre(), mitre())),
        row((OpenSide, Drip), Inner, (mitre(), mitre())),
        row((Abutment, Drip), Straight, (strip(Reach::Outline), square(Reach::Outline))),
        row((Abutment, OpenSide), Straight, (strip(Reach::Outline), cap(Reach::Outline))),
        row((OpenSide, Drip), Straight, (cap(Reach::Outline), square(Reach::Outline))),
    ]
}

impl Default for ClosingStrip {
    fn default() -> Self {
        ClosingStrip { name: "flat closing strip".into(), bars: sold(3000), width: mm(75), piece: mm(200) }
    }
}

impl Default for EndCap {
    fn default() -> Self {
        EndCap { name: "end cap".into(), pack: 1, price: None }
    }
}

impl Default for Batten {
    fn default() -> Self {
        Batten {
            bars: sold(4800),
            thickness: mm(25),
            height: mm(50),
            kerf: mm(3),
            least_piece: mm(300),
            joint_clear: mm(100),
            allowance: 0.05,
        }
    }
}

impl Default for Fixing {
    fn default() -> Self {
        // 100-150 mm: common practice.
        Fixing {
            spacing: mm(150),
            least_spacing: mm(100),
            end_distance: mm(25),
            pack: 250,
            price: None,
            allowance: 0.1,
        }
    }
}

impl Default for Adhesive {
    fn default() -> Self {
        // One bead behind bonded faces, two in each lap: common practice.
        Adhesive { bead: mm(8), beads_per_lap: 2, cartridge_ml: 290.0, price: None, allowance: 0.1 }
    }
}

impl Default for Mat {
    fn default() -> Self {
        // 1 m wide, laps of 50 mm, 225 g/m2 for a flexible laminate: common practice.
        Mat {
            width: mm(1000),
            roll: mm(90_000),
            price: None,
            other_rolls: Vec::new(),
            lap: mm(50),
            end_lap: mm(50),
            most_lap: mm(150),
            least_strip: mm(200),
            least_piece: mm(500),
            most_cut_out: mm(1200),
            stagger: mm(300),
            outlet_clear: mm(100),
            mass_g_m2: 225.0,
            direction: Direction::Drip,
            zones: ZoneChoice::One,
            allowance: 0.05,
        }
    }
}

impl Default for Tape {
    fn default() -> Self {
        // 75 mm wide: common practice.
        Tape {
            width: mm(75),
            roll: mm(90_000),
            price: None,
            lap: mm(50),
            least_piece: mm(300),
            mass_g_m2: 225.0,
            allowance: 0.1,
        }
    }
}

impl Default for Patch {
    fn default() -> Self {
        // A hand-sized square, two layers: common practice.
        Patch { side: mm(200), at_joint: 2, collar: mm(150), at_outlet: 2, at_pipe: 2 }
    }
}

impl Default for Tissue {
    fn default() -> Self {
        Tissue { side: mm(250), width: mm(1000), roll: mm(50_000), price: None, allowance: 0.1 }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            // Timber of service class 2 averages no more than 20 % (EN 1995-1-1, 2.3.1.3); as a gate: common practice.
            moisture_percent: 20.0,
            // Stricter gates of 15 to 18 % are in use: common practice.
            moisture_caution_percent: 18.0,
            pot_life_share: 0.75,
            // Finished falls of at least 1:80 (BS 6229:2018, as summarised by warranty guides).
            fall: 0.0125,
            design_fall: 0.025,
            // Shallower puddles are within what a level reads: this project's own.
            pond: mm(5),
            plane_deviation: mm(15),
            // ISO 8502-4 as summarised by coating guides; 85 % stands beside it in coating practice.
            dew_margin_k: 3.0,
            // This project's own: what a thermometer and a hygrometer may be off together, and an evening's cooling.
            dew_caution_k: 2.0,
            humidity_percent: 85.0,
            // Upstands at least 150 mm above the finished roof (BS 6229, as summarised by warranty guides).
            upstand: mm(150),
            // Under doors a warranty guide accepts 75 mm.
            upstand_at_threshold: mm(75),
            build_up: mm(5),
            // This project's own: a fifth of the lap at a joint.
            run_uncertainty: mm(10),
            least_edge: mm(5),
            most_points: 20_000,
            sharpest_mitre_deg: 10.0,
            gentlest_square_deg: 45.0,
            straight_deg: 0.5,
        }
    }
}
