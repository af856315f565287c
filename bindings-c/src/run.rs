use upstand::system::{Closing, EndCut};
use upstand::trim::{End, Hand, RunEnd, TrimRun};

use crate::argument::{copy_items, reference};
use crate::context::{Context, guard};
use crate::piece::upstand_hand;
use crate::plan::Planned;
use crate::status::upstand_status;

/// How an end of a run is cut at its corner, in `upstand_run_end` and `upstand_plan_template`.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_end_cut {
    /// In the plane that bisects the corner.
    UPSTAND_END_CUT_MITRE = 0,
    /// Square across.
    UPSTAND_END_CUT_SQUARE = 1,
    /// Square across, lying over the other trim.
    UPSTAND_END_CUT_LAP = 2,
    /// Bent round the corner along its face.
    UPSTAND_END_CUT_RETURN = 3,
    /// Parallel to the other trim.
    UPSTAND_END_CUT_SKEW = 4,
}

/// What closes an end that stays open, in `upstand_run_end`.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_closing {
    /// Nothing.
    UPSTAND_CLOSING_NONE = 0,
    /// A piece of the flat closing strip.
    UPSTAND_CLOSING_STRIP = 1,
    /// A preformed end cap.
    UPSTAND_CLOSING_CAP = 2,
}

/// One end of a run.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanRunEnd {
    /// A value of `upstand_end_cut`.
    pub cut: u32,
    /// A value of `upstand_hand`: the longer side of an end cut at an angle.
    pub hand: u32,
    /// A value of `upstand_closing`.
    pub closing: u32,
    /// Angle of the cut from square, in degrees.
    pub angle_deg: f64,
    /// How far its longest line runs beyond the corner; negative where it stops short of it.
    pub gain_um: i64,
    /// How far its shortest line runs beyond the corner.
    pub short_um: i64,
}

/// One run of trim.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanRun {
    /// Which roof, from 0.
    pub roof: u64,
    /// Which ring: 0 the outer boundary, then the holes.
    pub ring: u64,
    /// Index of the run within the roof, as in `upstand_plan_piece`.
    pub run: u64,
    /// 0 a drip trim, 1 a wall trim, 2 a raised trim.
    pub kind: u32,
    /// Whose piece lies over the other at its joints: 0 the one nearer to its start, 1 the one nearer to its end.
    pub over: u32,
    /// Length along the outline.
    pub line_um: i64,
    /// Length from furthest point to furthest point; 0 where nothing is left to cut.
    pub cut_um: i64,
    /// How many joints it has.
    pub joints: u64,
    /// How many beads of adhesive go across its laps.
    pub beads: u64,
    /// Number of fixings along it, in all lines.
    pub fixings: u64,
    /// How it begins.
    pub start: PlanRunEnd,
    /// How it ends.
    pub end: PlanRunEnd,
}

pub(crate) fn cut(cut: EndCut) -> u32 {
    let cut = match cut {
        EndCut::Mitre => upstand_end_cut::UPSTAND_END_CUT_MITRE,
        EndCut::Square => upstand_end_cut::UPSTAND_END_CUT_SQUARE,
        EndCut::Lap => upstand_end_cut::UPSTAND_END_CUT_LAP,
        EndCut::Return => upstand_end_cut::UPSTAND_END_CUT_RETURN,
        EndCut::Skew => upstand_end_cut::UPSTAND_END_CUT_SKEW,
    };
    cut as u32
}

fn end(end: &End) -> PlanRunEnd {
    let hand = match end.hand {
        None => upstand_hand::UPSTAND_HAND_NONE,
        Some(Hand::Left) => upstand_hand::UPSTAND_HAND_LEFT,
        Some(Hand::Right) => upstand_hand::UPSTAND_HAND_RIGHT,
    };
    let closing = match end.closing {
        None => upstand_closing::UPSTAND_CLOSING_NONE,
        Some(Closing::Strip) => upstand_closing::UPSTAND_CLOSING_STRIP,
        Some(Closing::Cap) => upstand_closing::UPSTAND_CLOSING_CAP,
    };
    PlanRunEnd {
        cut: cut(end.cut),
        hand: hand as u32,
        closing: closing as u32,
        angle_deg: end.angle_deg,
        gain_um: end.gain.um(),
        short_um: end.short.um(),
    }
}

fn run(roof: usize, index: usize, run: &TrimRun) -> PlanRun {
    PlanRun {
        roof: roof as u64,
        ring: run.ring as u64,
        run: index as u64,
        kind: run.kind as u32,
        over: u32::from(run.over == RunEnd::End),
        line_um: run.line_length.um(),
        cut_um: run.cut_length.um(),
        joints: run.joints.len() as u64,
        beads: run.beads.len() as u64,
        fixings: run.fixings,
        start: end(&run.start),
        end: end(&run.end),
    }
}

/// The runs of all roofs of a plan, roof by roof, into `runs`, which has room for `capacity` of them, and their number into
/// `*count`. With `runs` NULL only `*count` is written: the capacity to ask for.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `runs` is NULL or may be
/// written for `capacity` items; `count` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_runs(
    context: *mut Context,
    plan: *const Planned,
    runs: *mut PlanRun,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let roofs = &unsafe { reference(plan, "plan") }?.plan().roofs;
        let all = roofs.iter().enumerate().flat_map(|(roof, planned)| {
            planned.trims.runs.iter().enumerate().map(move |(index, one)| run(roof, index, one))
        });
        let total = roofs.iter().map(|roof| roof.trims.runs.len()).sum();
        // SAFETY: as the caller promises.
        unsafe { copy_items(all, total, runs, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}
