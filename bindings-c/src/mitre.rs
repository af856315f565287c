use std::ffi::c_char;

use upstand::drawing::{self, Paper};
use upstand::system::{Leg, Section};
use upstand::trim::{self, Development, EndTemplate, Hand, Material, MitreCorner, PieceFixing};
use upstand::{Code, Error, Plan};

use crate::argument::{copy_items, copy_text, output, reference, text};
use crate::context::{Context, guard};
use crate::piece::upstand_hand;
use crate::plan::Planned;
use crate::status::upstand_status;

/// What a facet of a section is, in `upstand_facet_cut` and `upstand_fixing`.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_leg {
    /// Before the deck flange: a turned edge.
    UPSTAND_LEG_EDGE = 0,
    /// Lies on the deck.
    UPSTAND_LEG_DECK_FLANGE = 1,
    /// Between the deck flange and the face.
    UPSTAND_LEG_RISE = 2,
    /// Shows, or stands against the wall.
    UPSTAND_LEG_FACE = 3,
    /// Beyond the face.
    UPSTAND_LEG_RETURN = 4,
}

/// A sheet size of ISO 216, laid with its long side level.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_paper {
    /// 1189 x 841 mm.
    UPSTAND_PAPER_A0 = 0,
    /// 841 x 594 mm.
    UPSTAND_PAPER_A1 = 1,
    /// 594 x 420 mm.
    UPSTAND_PAPER_A2 = 2,
    /// 420 x 297 mm.
    UPSTAND_PAPER_A3 = 3,
    /// 297 x 210 mm.
    UPSTAND_PAPER_A4 = 4,
}

/// A mitred end. The two ends of a corner are mirror images, so that one says both.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MitreEnd {
    /// Interior angle in the plane that the two edges span, in degrees.
    pub interior_deg: f64,
    /// Angle of the cut from square, in degrees.
    pub angle_deg: f64,
    /// How far its longest line runs beyond the corner.
    pub long_um: i64,
    /// How far its shortest line runs beyond the corner.
    pub short_um: i64,
    /// A value of `upstand_hand`: the longer side, seen from above and from the trim's start.
    pub hand: u32,
}

/// The cut across one facet, laid flat: the two ends of its mark, and how a saw is set.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FacetCut {
    /// A value of `upstand_leg`.
    pub leg: u32,
    /// Width of the facet.
    pub width_um: i64,
    /// Girth of the fold before it.
    pub from_girth_um: i64,
    /// How far the mark is beyond the corner there.
    pub from_along_um: i64,
    /// Girth of the fold after it.
    pub to_girth_um: i64,
    /// How far the mark is beyond the corner there.
    pub to_along_um: i64,
    /// Turn of the cut from square across, in degrees: positive where the trim gets longer along the section.
    pub mitre_deg: f64,
    /// Tilt of the cut from plumb, in degrees: positive where it runs in under the outer surface.
    pub bevel_deg: f64,
}

/// One point of a notch, on the flat.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotchPoint {
    /// Which notch of the template, from 0.
    pub notch: u64,
    /// Index of the facet that it is cut out of.
    pub facet: u64,
    /// Distance along the section from its first point.
    pub girth_um: i64,
    /// How far beyond the corner.
    pub along_um: i64,
}

/// One fixing of one piece.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fixing {
    /// Index of its piece among those of `upstand_plan_pieces`.
    pub piece: u64,
    /// Where, from the piece's start.
    pub at_um: i64,
    /// When it is driven: from 0 among the fixings of the piece, ends and middle first, leg after leg.
    pub turn: u64,
    /// The leg that it goes through, a value of `upstand_leg`.
    pub leg: u32,
    /// 1 where it goes through both pieces of a lap, and is driven when the upper one lies; else 0.
    pub both: u32,
}

fn leg(leg: Leg) -> u32 {
    let leg = match leg {
        Leg::Edge => upstand_leg::UPSTAND_LEG_EDGE,
        Leg::DeckFlange => upstand_leg::UPSTAND_LEG_DECK_FLANGE,
        Leg::Rise => upstand_leg::UPSTAND_LEG_RISE,
        Leg::Face => upstand_leg::UPSTAND_LEG_FACE,
        Leg::Return => upstand_leg::UPSTAND_LEG_RETURN,
    };
    leg as u32
}

fn facets(development: &Development) -> impl Iterator<Item = FacetCut> + '_ {
    let marks = development.mark.windows(2);
    development.facets.iter().zip(marks).map(|(facet, mark)| FacetCut {
        leg: leg(facet.leg),
        width_um: facet.width.um(),
        from_girth_um: mark[0].0.um(),
        from_along_um: mark[0].1.um(),
        to_girth_um: mark[1].0.um(),
        to_along_um: mark[1].1.um(),
        mitre_deg: facet.mitre_deg,
        bevel_deg: facet.bevel_deg,
    })
}

/// How many facets `facets` yields: those with a mark on either side.
fn facet_count(development: &Development) -> usize {
    development.facets.len().min(development.mark.len().saturating_sub(1))
}

fn template(plan: &Plan, index: usize) -> Result<&EndTemplate, Error> {
    plan.templates.get(index).ok_or_else(|| {
        let message = format!("there is no template {index}: the plan has {}, counted from 0", plan.templates.len());
        Error::new(Code::BadArgument, "", message)
    })
}

/// Mitres a section, a JSON value of `section_length` bytes as in a job's system, at a corner of `interior_deg` degrees in
/// plan: from 10 to 350, but not straight. The edges rise by `rise_before` towards the corner and by `rise_after` away from
/// it per unit of run, 0 where level. Writes the end, the same for either trim, to `*end`, the cuts of its facets to
/// `facets`, which has room for `capacity`, and their number to `*count`. With `facets` NULL only `*end` and `*count` are
/// written.
///
/// On failure the context keeps what is wrong: `UPSTAND_BAD_SECTION`, or `UPSTAND_BAD_CORNER` for an angle of 5 degrees, say.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `section` is NULL or can be read for `section_length`
/// bytes; `end` and `count` are NULL or may be written; `facets` is NULL or may be written for `capacity` items.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_mitre(
    context: *mut Context,
    section: *const c_char,
    section_length: usize,
    interior_deg: f64,
    rise_before: f64,
    rise_after: f64,
    end: *mut MitreEnd,
    facets: *mut FacetCut,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (section, end) = unsafe { (text(section, section_length, "section")?, output(end, "end")?) };
        let section = Section::from_json(section).map_err(|error| error.under("/section"))?;
        let mitre = trim::mitre(&section, &MitreCorner { interior_deg, rise_before, rise_after })?;
        let found = &mitre.ends.0;
        let cuts = &found.development;
        // SAFETY: as the caller promises.
        unsafe { copy_items(self::facets(cuts), facet_count(cuts), facets, capacity, count) }?;
        let hand = match found.hand {
            Hand::Left => upstand_hand::UPSTAND_HAND_LEFT,
            Hand::Right => upstand_hand::UPSTAND_HAND_RIGHT,
        };
        end.write(MitreEnd {
            interior_deg: mitre.interior_deg,
            angle_deg: found.angle_deg,
            long_um: found.long_point.um(),
            short_um: found.short_point.um(),
            hand: hand as u32,
        });
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The cuts across the facets of one template, from 0, into `facets`, which has room for `capacity` of them, and their
/// number into `*count`. With `facets` NULL only `*count` is written. `UPSTAND_BAD_ARGUMENT` where there is no such template.
///
/// # Safety
/// As for `upstand_plan_pieces`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_facets(
    context: *mut Context,
    plan: *const Planned,
    template: usize,
    facets: *mut FacetCut,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let cuts = &self::template(unsafe { reference(plan, "plan") }?.plan(), template)?.development;
        // SAFETY: as the caller promises.
        unsafe { copy_items(self::facets(cuts), facet_count(cuts), facets, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The points of all notches of one template, from 0, into `points`, which has room for `capacity` of them, and their number
/// into `*count`. With `points` NULL only `*count` is written. `UPSTAND_BAD_ARGUMENT` where there is no such template.
///
/// # Safety
/// As for `upstand_plan_pieces`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_notches(
    context: *mut Context,
    plan: *const Planned,
    template: usize,
    points: *mut NotchPoint,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let notches = &self::template(unsafe { reference(plan, "plan") }?.plan(), template)?.notches;
        let all = notches.iter().enumerate().flat_map(|(index, notch)| {
            notch.outline.iter().map(move |&(girth, along)| NotchPoint {
                notch: index as u64,
                facet: notch.facet as u64,
                girth_um: girth.um(),
                along_um: along.um(),
            })
        });
        let total = notches.iter().map(|notch| notch.outline.len()).sum();
        // SAFETY: as the caller promises.
        unsafe { copy_items(all, total, points, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The fixings of all pieces of trim into `fixings`, which has room for `capacity` of them, and their number into `*count`.
/// With `fixings` NULL only `*count` is written: the capacity to ask for.
///
/// # Safety
/// As for `upstand_plan_pieces`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_fixings(
    context: *mut Context,
    plan: *const Planned,
    fixings: *mut Fixing,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let found = all_fixings(unsafe { reference(plan, "plan") }?.plan());
        // SAFETY: as the caller promises.
        unsafe { copy_items(found.iter().copied(), found.len(), fixings, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

fn all_fixings(plan: &Plan) -> Vec<Fixing> {
    let lists = plan.cut_lists.iter();
    let pieces = lists.flat_map(|list| list.bars.iter().flat_map(move |bar| bar.pieces.iter().map(move |p| (list, p))));
    let mut found = Vec::new();
    for (index, (_, piece)) in pieces.enumerate().filter(|(_, (list, _))| list.material <= Material::OpenSide) {
        let Some(run) = plan.roofs.get(piece.roof).and_then(|roof| roof.trims.runs.get(piece.run)) else { continue };
        found.extend(trim::piece_fixings(run, piece).into_iter().map(|fixing: PieceFixing| Fixing {
            piece: index as u64,
            at_um: fixing.at.um(),
            turn: fixing.turn as u64,
            leg: leg(fixing.leg),
            both: u32::from(fixing.both),
        }));
    }
    found
}

/// Full-size templates of all mitred, notched and returned ends as SVG into `buffer`, on sheets of one size: `paper` is a
/// value of `upstand_paper`, and `UPSTAND_BAD_ARGUMENT` is returned for any other number. All else as for
/// `upstand_plan_to_json`.
///
/// # Safety
/// As for `upstand_plan_to_json`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_plan_templates_svg(
    context: *mut Context,
    plan: *const Planned,
    paper: u32,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let plan = unsafe { reference(plan, "plan") }?.plan();
        let size = usize::try_from(paper).ok().and_then(|index| Paper::ALL.get(index));
        let Some(&size) = size else {
            return Err(Error::new(Code::BadArgument, "", format!("{paper} is not a value of upstand_paper")));
        };
        // SAFETY: as the caller promises.
        unsafe { copy_text(&drawing::template_svg_on(plan, size), buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}
