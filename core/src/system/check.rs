//! What makes a system usable: sizes, rates and tables that do not contradict each other.

use super::{
    Adhesive, Batten, ClosingPieces, CornerRule, Covers, Direction, DrainageRules, Fixing, Layer, Limits, Mat, Patch,
    Readiness, System, Tape, Tissue, Trim,
};
use crate::error::{Code, Error};
use crate::length::Length;

/// The longest roll, and the largest of any other size: 100 km. Keeps every sum of lengths far from overflow.
const LARGEST: Length = Length::from_mm(100_000_000);
/// What a bar must add to a run at least: keeps the number of pieces within reason.
const LEAST_GAIN: Length = Length::from_mm(100);
/// An allowance of more than the net amount is a slip of the decimal point.
const LARGEST_ALLOWANCE: f64 = 1.0;
/// A surface that drinks more than ten times the rate of its primer is another surface.
const MOST_ABSORPTION: f64 = 10.0;
/// Layers, lines, beads: counts per place.
const MOST_LAYERS: u32 = 100;
/// Most rolls of mat on offer beside the system's own: a job is laid in each width.
const MOST_ROLLS: usize = 20;

impl System {
    /// Every problem of the system, in the order of its fields. Whether the corner table has a row for
    /// every corner is checked where trims are set out.
    ///
    /// Paths are JSON Pointers into the job. Codes: [`Code::BadSize`], [`Code::BadRate`], [`Code::BadTable`],
    /// [`Code::BadMat`], [`Code::BadLiquid`],
    /// [`Code::BadSection`].
    ///
    /// ```
    /// use upstand::{Code, Length, System};
    ///
    /// let mut system = System::default();
    /// assert!(system.check().is_empty());
    /// system.mat.lap = system.mat.width;
    /// let problems = system.check();
    /// assert_eq!((problems[0].code(), problems[0].path()), (Code::BadMat, "/system/mat/lap"));
    /// ```
    pub fn check(&self) -> Vec<Error> {
        let mut problems = Problems::default();
        let size = Code::BadSize;
        problems.length(size, "/cutting_increment", self.cutting_increment, 1, Length::from_mm(1_000));
        let Self { trims, .. } = self;
        for (name, trim) in [("drip", &trims.drip), ("abutment", &trims.abutment), ("open_side", &trims.open_side)] {
            problems.trim(&format!("/trims/{name}"), trim);
        }
        for (i, corner) in self.corners.iter().enumerate() {
            let (one, other) = corner.kinds;
            let same = |row: &CornerRule| {
                row.shape == corner.shape && (row.kinds == (one, other) || row.kinds == (other, one))
            };
            if self.corners[..i].iter().any(same) {
                let message = format!("a second row for {} and {} at this shape of corner", one.word(), other.word());
                problems.add(Code::BadTable, &format!("/corners/{i}/kinds"), message);
            }
            problems.count(size, &format!("/corners/{i}/patches"), corner.patches, 0);
            for (end, rule) in [&corner.ends.0, &corner.ends.1].into_iter().enumerate() {
                let gain = Length::from_um(rule.gain.um().saturating_abs());
                problems.length(size, &format!("/corners/{i}/ends/{end}/gain"), gain, 0, LARGEST);
            }
        }
        problems.closing(&self.closing);
        problems.batten(&self.batten);
        problems.fixing(&self.fixing);
        problems.adhesive(&self.adhesive);
        problems.mat(&self.mat);
        problems.tape(&self.tape);
        problems.patch(&self.patch, &self.mat);
        problems.tissue(&self.tissue);
        problems.wet_work(self);
        problems.work(&self.work);
        for (i, row) in self.readiness.boards.iter().enumerate() {
            problems.length(size, &format!("/readiness/boards/{i}/thickness"), row.thickness, 1, LARGEST);
            problems.length(size, &format!("/readiness/boards/{i}/joists"), row.joists, 1, LARGEST);
        }
        problems.coverings(self);
        problems.defects(&self.readiness);
        problems.drainage(&self.drainage);
        problems.limits(&self.limits);
        problems.standards(self);
        problems.0
    }
}

/// What has been found so far, with paths below `/system`.
#[derive(Default)]
pub(super) struct Problems(Vec<Error>);

impl Problems {
    pub(super) fn add(&mut self, code: Code, path: &str, message: String) {
        self.0.push(Error::new(code, format!("/system{path}"), message));
    }

    /// From `least` micrometres to `most`.
    fn length(&mut self, code: Code, path: &str, length: Length, least: i64, most: Length) {
        let least = Length::from_um(least);
        if length < least || length > most {
            self.add(code, path, format!("{length} is out of range: from {least} to {most}"));
        }
    }

    pub(super) fn number(&mut self, code: Code, path: &str, value: f64, (least, most): (f64, f64)) {
        // NaN fails both comparisons.
        if !(value >= least && value <= most) {
            self.add(code, path, format!("{value} is out of range: from {least} to {most}"));
        }
    }

    fn count(&mut self, code: Code, path: &str, count: u32, least: u32) {
        if count < least || count > MOST_LAYERS {
            self.add(code, path, format!("{count} is out of range: from {least} to {MOST_LAYERS}"));
        }
    }

    pub(super) fn allowance(&mut self, path: &str, allowance: f64) {
        self.number(Code::BadRate, &format!("{path}/allowance"), allowance, (0.0, LARGEST_ALLOWANCE));
    }

    fn bars(&mut self, path: &str, bars: &[super::BarSold], more_than: Length, what: &str) {
        if bars.is_empty() {
            self.add(Code::BadSize, &format!("{path}/bars"), "no lengths are sold: at least one is needed".into());
        }
        for (i, bar) in bars.iter().enumerate() {
            if bar.length <= more_than || bar.length > LARGEST {
                let message = format!("{} is not a bar: longer than the {what} and at most {LARGEST}", bar.length);
                self.add(Code::BadSize, &format!("{path}/bars/{i}/length"), message);
            }
        }
    }

    fn trim(&mut self, path: &str, trim: &Trim) {
        self.bars(path, &trim.bars, trim.lap.max(Length::ZERO) + LEAST_GAIN, "lap and 100 mm");
        self.0.extend(trim.section.check(&format!("/system{path}/section")));
        self.length(Code::BadSize, &format!("{path}/lap"), trim.lap, 0, LARGEST);
        self.count(Code::BadSize, &format!("{path}/fixing_lines"), trim.fixing_lines, 0);
        if !trim.fixing_legs.is_empty() && trim.fixing_legs.len() != trim.fixing_lines as usize {
            let message = format!("{} legs for {} lines of fixings", trim.fixing_legs.len(), trim.fixing_lines);
            self.add(Code::BadSize, &format!("{path}/fixing_legs"), message);
        }
        let facets = trim.section.points.len();
        for (i, &leg) in trim.fixing_legs.iter().enumerate() {
            if !(0..facets).any(|facet| trim.section.leg(facet) == Some(leg)) {
                let message = format!("{leg:?} is no leg of the section");
                self.add(Code::BadSize, &format!("{path}/fixing_legs/{i}"), message);
            }
        }
        self.length(Code::BadSize, &format!("{path}/mat_onto"), trim.mat_onto, 0, LARGEST);
    }

    fn closing(&mut self, closing: &ClosingPieces) {
        let code = Code::BadSize;
        let strip = &closing.strip;
        self.bars("/closing/strip", &strip.bars, strip.piece.max(Length::from_um(1)) - Length::from_um(1), "piece");
        self.length(code, "/closing/strip/width", strip.width, 1, LARGEST);
        self.length(code, "/closing/strip/piece", strip.piece, 1_000, LARGEST);
        if closing.cap.pack == 0 {
            self.add(code, "/closing/cap/pack", "0 is not a pack: at least one cap".into());
        }
    }

    fn batten(&mut self, batten: &Batten) {
        let code = Code::BadSize;
        self.bars("/batten", &batten.bars, LEAST_GAIN, "100 mm");
        self.length(code, "/batten/thickness", batten.thickness, 0, LARGEST);
        self.length(code, "/batten/height", batten.height, 0, LARGEST);
        self.length(code, "/batten/kerf", batten.kerf, 0, Length::from_mm(100));
        self.length(code, "/batten/least_piece", batten.least_piece, 0, LARGEST);
        self.length(code, "/batten/joint_clear", batten.joint_clear, 0, LARGEST);
        self.allowance("/batten", batten.allowance);
    }

    fn fixing(&mut self, fixing: &Fixing) {
        let code = Code::BadSize;
        self.length(code, "/fixing/spacing", fixing.spacing, 10_000, LARGEST);
        self.length(code, "/fixing/least_spacing", fixing.least_spacing, 0, fixing.spacing);
        self.length(code, "/fixing/end_distance", fixing.end_distance, 0, LARGEST);
        if fixing.pack == 0 {
            self.add(code, "/fixing/pack", "0 is not a pack: at least one fixing".into());
        }
        self.allowance("/fixing", fixing.allowance);
    }

    fn adhesive(&mut self, adhesive: &Adhesive) {
        self.length(Code::BadSize, "/adhesive/bead", adhesive.bead, 100, Length::from_mm(100));
        self.count(Code::BadSize, "/adhesive/beads_per_lap", adhesive.beads_per_lap, 0);
        self.number(Code::BadLiquid, "/adhesive/cartridge_ml", adhesive.cartridge_ml, (1.0, 100_000.0));
        self.allowance("/adhesive", adhesive.allowance);
    }

    fn mat(&mut self, mat: &Mat) {
        let code = Code::BadMat;
        self.length(code, "/mat/width", mat.width, 1_000, LARGEST);
        self.length(code, "/mat/roll", mat.roll, 1_000, LARGEST);
        if mat.other_rolls.len() > MOST_ROLLS {
            let message = format!("{} other rolls: at most {MOST_ROLLS}", mat.other_rolls.len());
            self.add(code, "/mat/other_rolls", message);
        }
        for (i, roll) in mat.other_rolls.iter().enumerate() {
            // What holds for the lap, the narrowest strip and the shortest piece holds for every roll.
            let least = mat.most_lap.max(mat.lap).um().max(0) + 1;
            let width = least.max(mat.least_strip.um()).max(1_000);
            self.length(code, &format!("/mat/other_rolls/{i}/width"), roll.width, width, LARGEST);
            let length = (mat.end_lap.um().max(0) + 1).max(mat.least_piece.um()).max(1_000);
            self.length(code, &format!("/mat/other_rolls/{i}/length"), roll.length, length, LARGEST);
        }
        self.length(code, "/mat/lap", mat.lap, 0, below(mat.width));
        self.length(code, "/mat/end_lap", mat.end_lap, 0, below(mat.roll));
        self.length(code, "/mat/most_lap", mat.most_lap, mat.lap.um().max(0), below(mat.width));
        self.length(code, "/mat/least_strip", mat.least_strip, 0, mat.width);
        self.length(code, "/mat/least_piece", mat.least_piece, 0, mat.roll);
        self.length(code, "/mat/most_cut_out", mat.most_cut_out, 0, LARGEST);
        self.length(code, "/mat/stagger", mat.stagger, 0, LARGEST);
        self.length(code, "/mat/outlet_clear", mat.outlet_clear, 0, LARGEST);
        if let Direction::AngleDeg(angle) = mat.direction {
            self.number(code, "/mat/direction/angle_deg", angle, (-360.0, 360.0));
        }
        self.number(Code::BadRate, "/mat/mass_g_m2", mat.mass_g_m2, (1.0, 10_000.0));
        self.allowance("/mat", mat.allowance);
    }

    fn tape(&mut self, tape: &Tape) {
        let code = Code::BadMat;
        self.length(code, "/tape/width", tape.width, 1_000, LARGEST);
        self.length(code, "/tape/roll", tape.roll, 1_000, LARGEST);
        self.length(code, "/tape/lap", tape.lap, 0, below(tape.roll));
        self.length(code, "/tape/least_piece", tape.least_piece, 0, tape.roll);
        self.number(Code::BadRate, "/tape/mass_g_m2", tape.mass_g_m2, (0.0, 10_000.0));
        self.allowance("/tape", tape.allowance);
    }

    fn patch(&mut self, patch: &Patch, mat: &Mat) {
        self.length(
            Code::BadMat,
            "/patch/side",
            patch.side,
            1_000,
            mat.rolls().map(|roll| roll.width.min(roll.length)).min().unwrap_or(LARGEST),
        );
        self.count(Code::BadMat, "/patch/at_joint", patch.at_joint, 0);
        self.length(Code::BadMat, "/patch/collar", patch.collar, 0, LARGEST);
        self.count(Code::BadMat, "/patch/at_outlet", patch.at_outlet, 0);
        self.count(Code::BadMat, "/patch/at_pipe", patch.at_pipe, 0);
    }

    fn tissue(&mut self, tissue: &Tissue) {
        let code = Code::BadMat;
        self.length(code, "/tissue/side", tissue.side, 1_000, tissue.width.min(tissue.roll));
        self.length(code, "/tissue/width", tissue.width, 1_000, LARGEST);
        self.length(code, "/tissue/roll", tissue.roll, 1_000, LARGEST);
        self.allowance("/tissue", tissue.allowance);
    }

    fn coverings(&mut self, system: &System) {
        let rules = &system.readiness.coverings;
        for (i, rule) in rules.iter().enumerate() {
            let path = |field| format!("/readiness/coverings/{i}/{field}");
            if rules[..i].iter().any(|before| before.covering == rule.covering) {
                self.add(Code::BadTable, &path("covering"), "this covering has a rule already".to_string());
            }
            if let Some(primer) = &rule.primer {
                let on_deck = |layer: &Layer| layer.material == *primer && layer.covers == Covers::BareDeck;
                if !system.layers.iter().any(on_deck) {
                    let message = format!("no layer on the bare deck has the material name {primer:?}");
                    self.add(Code::BadTable, &path("primer"), message);
                }
            }
            self.number(Code::BadRate, &path("absorption"), rule.absorption, (0.0, MOST_ABSORPTION));
            if let Some(days) = rule.most_weathered_days {
                self.number(Code::BadRate, &path("most_weathered_days"), days, (0.0, 100_000.0));
            }
        }
    }

    fn defects(&mut self, readiness: &Readiness) {
        for (i, rule) in readiness.defects.iter().enumerate() {
            if readiness.defects[..i].iter().any(|before| before.defect == rule.defect) {
                let message = "this defect has a rule already".to_string();
                self.add(Code::BadTable, &format!("/readiness/defects/{i}/defect"), message);
            }
        }
        self.number(Code::BadRate, "/readiness/least_dry_h", readiness.least_dry_h, (0.0, 10_000.0));
    }

    fn drainage(&mut self, rules: &DrainageRules) {
        self.number(Code::BadRate, "/drainage/rain_l_s_m2", rules.rain_l_s_m2, (0.0, 1.0));
        self.length(Code::BadSize, "/drainage/outlet_head", rules.outlet_head, 0, Length::from_mm(1_000));
        self.number(Code::BadRate, "/drainage/outlet_factor", rules.outlet_factor, (0.0, 1.0));
        for (i, gutter) in rules.gutters.iter().enumerate() {
            let path = format!("/drainage/gutters/{i}/capacity_l_s");
            self.number(Code::BadRate, &path, gutter.capacity_l_s, (0.0, 1e6));
            if i > 0 && rules.gutters[i - 1].capacity_l_s > gutter.capacity_l_s {
                let message = "gutters are listed from the smallest to the largest".to_string();
                self.add(Code::BadTable, &path, message);
            }
        }
    }

    fn limits(&mut self, limits: &Limits) {
        let code = Code::BadSize;
        self.number(Code::BadRate, "/limits/moisture_percent", limits.moisture_percent, (0.0, 100.0));
        self.number(Code::BadRate, "/limits/moisture_caution_percent", limits.moisture_caution_percent, (0.0, 100.0));
        self.number(Code::BadRate, "/limits/dew_margin_k", limits.dew_margin_k, (0.0, 20.0));
        self.number(Code::BadRate, "/limits/dew_caution_k", limits.dew_caution_k, (0.0, 20.0));
        self.number(Code::BadRate, "/limits/humidity_percent", limits.humidity_percent, (1.0, 100.0));
        self.number(Code::BadRate, "/limits/pot_life_share", limits.pot_life_share, (0.1, 1.0));
        self.number(Code::BadRate, "/limits/fall", limits.fall, (0.0, 0.17));
        self.number(Code::BadRate, "/limits/design_fall", limits.design_fall, (0.0, 0.17));
        self.length(code, "/limits/pond", limits.pond, 0, LARGEST);
        self.length(code, "/limits/plane_deviation", limits.plane_deviation, 0, LARGEST);
        self.length(code, "/limits/upstand", limits.upstand, 0, LARGEST);
        self.length(code, "/limits/upstand_at_threshold", limits.upstand_at_threshold, 0, LARGEST);
        self.length(code, "/limits/build_up", limits.build_up, 0, LARGEST);
        self.length(code, "/limits/run_uncertainty", limits.run_uncertainty, 0, LARGEST);
        self.length(code, "/limits/least_edge", limits.least_edge, 0, LARGEST);
        if limits.most_points < 3 {
            self.add(code, "/limits/most_points", format!("{} points make no ring: at least 3", limits.most_points));
        }
        self.number(code, "/limits/sharpest_mitre_deg", limits.sharpest_mitre_deg, (0.0, 179.0));
        self.number(code, "/limits/gentlest_square_deg", limits.gentlest_square_deg, (0.0, 90.0));
        self.number(code, "/limits/straight_deg", limits.straight_deg, (0.0, 45.0));
    }
}

impl Problems {
    fn standards(&mut self, system: &System) {
        if let Some(name) = system.standard.as_ref().filter(|_| system.chosen_standard().is_none()) {
            let listed: Vec<&str> = system.standards.iter().map(|standard| standard.name.as_str()).collect();
            let message = format!("no standard is called {name:?}: {}", listed.join(", "));
            self.add(Code::BadTable, "/standard", message);
        }
        for (i, standard) in system.standards.iter().enumerate() {
            let path = |field| format!("/standards/{i}/{field}");
            if system.standards[..i].iter().any(|before| before.name == standard.name) {
                self.add(Code::BadTable, &path("name"), "this name is taken already".to_string());
            }
            self.number(Code::BadRate, &path("fall"), standard.fall, (0.0, 0.17));
            self.number(Code::BadRate, &path("design_fall"), standard.design_fall, (0.0, 0.17));
            self.length(Code::BadSize, &path("upstand"), standard.upstand, 0, LARGEST);
            if let Some(area) = standard.most_area_m2 {
                self.number(Code::BadRate, &path("most_area_m2"), area, (0.0, 1e9));
            }
        }
    }
}

fn below(length: Length) -> Length {
    Length::from_um(length.um().saturating_sub(1))
}

#[cfg(test)]
#[path = "check_tests.rs"]
mod tests;
