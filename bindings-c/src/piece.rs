use upstand::trim::{EndTemplate, Hand, MarkedPiece, Material, PieceEnd, RunEnd};
use upstand::{Code, Error};

use crate::argument::{copy_items, reference};
use crate::context::{Context, guard};
use crate::plan::Planned;
use crate::status::upstand_status;

/// How the end of a piece is cut, in `upstand_piece_end`.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_cut {
    /// Square across.
    UPSTAND_CUT_SQUARE = 0,
    /// At an angle: a mitre, or on the skew.
    UPSTAND_CUT_MITRE = 1,
    /// Square across, under the neighbouring piece, or butting against it.
    UPSTAND_CUT_LAP_UNDER = 2,
    /// Square across, over the neighbouring piece.
    UPSTAND_CUT_LAP_OVER = 3,
}

/// Which side of a mitred end is the longer, in `upstand_piece_end`.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_hand {
    /// Neither: no mitre.
    UPSTAND_HAND_NONE = 0,
    /// The side of the roof.
    UPSTAND_HAND_LEFT = 1,
    /// The outer side.
    UPSTAND_HAND_RIGHT = 2,
}

/// One end of a piece.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanPieceEnd {
    /// A value of `upstand_cut`.
    pub cut: u32,
    /// A value of `upstand_hand`.
    pub hand: u32,
    /// Angle of the cut from square, in degrees; 0 where it is square.
    pub angle_deg: f64,
    /// Overlap of a lap, else 0.
    pub lap_um: i64,
}

/// One piece of a plan's cut lists.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanPiece {
    /// Index of its cut list.
    pub cut_list: u64,
    /// Number of its bar within the cut list, from 1.
    pub bar: u64,
    /// Which roof, from 0.
    pub roof: u64,
    /// Index of its run within the roof; of mat, of its strip; of tape, of the piece of tape.
    pub run: u64,
    /// What it is of: 0 drip trim, 1 wall trim, 2 raised trim, 3 batten, 4 mat, 5 tape.
    pub material: u32,
    /// Where it begins in the bar.
    pub at_um: i64,
    /// Where it begins along its run.
    pub start_along_um: i64,
    /// Its cut length.
    pub length_um: i64,
    /// How it begins.
    pub start: PlanPieceEnd,
    /// How it ends.
    pub end: PlanPieceEnd,
}

/// How to mark and cut an end that is mitred, cut on the skew, notched or returned.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanTemplate {
    /// 0 a drip trim, 1 a wall trim, 2 a raised trim.
    pub kind: u32,
    /// 0 for the start of its runs, 1 for their end.
    pub end: u32,
    /// A value of `upstand_end_cut`.
    pub cut: u32,
    /// How many points its mark has: what `upstand_plan_marks` hands over.
    pub points: u64,
    /// How many facets are notched.
    pub notches: u64,
    /// How many runs have it.
    pub runs: u64,
    /// Interior angle of the corner in degrees.
    pub interior_deg: f64,
    /// How far its longest fold line runs beyond the corner.
    pub long_um: i64,
    /// How far its shortest fold line runs beyond the corner.
    pub short_um: i64,
    /// For a return: how far beyond the corner its face is folded; else 0.
    pub fold_um: i64,
}

/// One point of a mark: on the fold line at this girth, so far beyond the corner.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlanMark {
    /// Distance along the section from its first point.
    pub girth_um: i64,
    /// How far beyond the corner.
    pub along_um: i64,
}

fn end(end: &PieceEnd) -> PlanPieceEnd {
    let none = upstand_hand::UPSTAND_HAND_NONE as u32;
    match end {
        PieceEnd::Square => {
            PlanPieceEnd { cut: upstand_cut::UPSTAND_CUT_SQUARE as u32, hand: none, angle_deg: 0.0, lap_um: 0 }
        }
        PieceEnd::Mitre { angle_deg, hand } => {
            let hand = match hand {
                Hand::Left => upstand_hand::UPSTAND_HAND_LEFT,
                Hand::Right => upstand_hand::UPSTAND_HAND_RIGHT,
            };
            let cut = upstand_cut::UPSTAND_CUT_MITRE as u32;
            PlanPieceEnd { cut, hand: hand as u32, angle_deg: *angle_deg, lap_um: 0 }
        }
        PieceEnd::Lap { length, over } => {
            let cut = if *over { upstand_cut::UPSTAND_CUT_LAP_OVER } else { upstand_cut::UPSTAND_CUT_LAP_UNDER };
            PlanPieceEnd { cut: cut as u32, hand: none, angle_deg: 0.0, lap_um: length.um() }
        }
    }
}

fn piece(cut_list: usize, material: Material, bar: u64, piece: &MarkedPiece) -> PlanPiece {
    PlanPiece {
        cut_list: cut_list as u64,
        bar,
        roof: piece.roof as u64,
        run: piece.run as u64,
        material: material as u32,
        at_um: piece.at.um(),
        start_along_um: piece.start_along.um(),
        length_um: piece.length.um(),
        start: end(&piece.start),
        end: end(&piece.end),
    }
}

fn template(template: &EndTemplate) -> PlanTemplate {
    PlanTemplate {
        kind: template.kind as u32,
        end: u32::from(template.end == RunEnd::End),
        cut: crate::run::cut(template.cut),
        points: template.development.mark.len() as u64,
        notches: template.notches.len() as u64,
        runs: template.runs.len() as u64,
        interior_deg: template.interior_deg,
        long_um: template.development.long_point().um(),
        short_um: template.development.short_point().um(),
        fold_um: template.fold.unwrap_or_default().um(),
    }
}

/// The pieces of all cut lists of a plan, bar by bar, into `pieces`, which has room for `capacity` of them, and their
/// number into `*count`. With `pieces` NULL only `*count` is written: the capacity to ask for.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `pieces` is NULL or may be
/// written for `capacity` items; `count` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_pieces(
    context: *mut Context,
    plan: *const Planned,
    pieces: *mut PlanPiece,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let lists = &unsafe { reference(plan, "plan") }?.plan().cut_lists;
        let bars = || {
            lists.iter().enumerate().flat_map(|(at, list)| list.bars.iter().map(move |bar| (at, list.material, bar)))
        };
        let all = bars().flat_map(|(at, of, bar)| bar.pieces.iter().map(move |one| piece(at, of, bar.number, one)));
        let total = bars().map(|(_, _, bar)| bar.pieces.len()).sum();
        // SAFETY: as the caller promises.
        unsafe { copy_items(all, total, pieces, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The templates of a plan's mitred, notched and returned ends into `templates`, which has room for `capacity` of them,
/// and their number into `*count`. With `templates` NULL only `*count` is written: the capacity to ask for.
///
/// # Safety
/// As for `upstand_plan_pieces`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_templates(
    context: *mut Context,
    plan: *const Planned,
    templates: *mut PlanTemplate,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let found = &unsafe { reference(plan, "plan") }?.plan().templates;
        // SAFETY: as the caller promises.
        unsafe { copy_items(found.iter().map(template), found.len(), templates, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The mark across the flat of one template, from 0, into `marks`, which has room for `capacity` points, and their number
/// into `*count`. With `marks` NULL only `*count` is written. `UPSTAND_BAD_ARGUMENT` where there is no such template.
///
/// # Safety
/// As for `upstand_plan_pieces`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_marks(
    context: *mut Context,
    plan: *const Planned,
    template: usize,
    marks: *mut PlanMark,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let found = &unsafe { reference(plan, "plan") }?.plan().templates;
        let Some(found) = found.get(template) else {
            let message = format!("there is no template {template}: the plan has {}, counted from 0", found.len());
            return Err(Error::new(Code::BadArgument, "", message));
        };
        let mark = &found.development.mark;
        let points = mark.iter().map(|at| PlanMark { girth_um: at.0.um(), along_um: at.1.um() });
        // SAFETY: as the caller promises.
        unsafe { copy_items(points, mark.len(), marks, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}
