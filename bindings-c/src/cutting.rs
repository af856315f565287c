use std::ffi::c_char;

use upstand::cutting::{Bar, Minimise, Problem, Run};
use upstand::{Code, Error, Length};

use crate::argument::{array, output, reference, text};
use crate::context::{Context, guard};
use crate::status::upstand_status;
use upstand_rule::*;

/// A cutting problem that is being put together: bars on offer, runs to make, rules. One thread at a time fills it;
/// once it is full any number of threads may solve it at the same time.
pub struct Cutting(pub(crate) Problem);

/// A rule of a cutting problem: which one `upstand_cutting_set_rule` sets.
#[repr(u32)]
#[allow(non_camel_case_types)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum upstand_rule {
    /// Least overlap at a joint, in micrometres; 0 is a butt joint.
    UPSTAND_RULE_LAP = 0,
    /// Width of the saw cut, lost between two pieces of one bar, in micrometres.
    UPSTAND_RULE_KERF = 1,
    /// Cut off each end of a bar before use, in micrometres.
    UPSTAND_RULE_TRIM_OFF = 2,
    /// Least length of a piece of a joined run, in micrometres.
    UPSTAND_RULE_LEAST_PIECE = 3,
    /// Least distance of a lap from either end of its run, in micrometres.
    UPSTAND_RULE_CLEAR = 4,
    /// Cost of a joint, in the unit of the bars' costs.
    UPSTAND_RULE_JOINT_COST = 5,
    /// Most joints in one run.
    UPSTAND_RULE_MOST_JOINTS = 6,
    /// Shortest offcut worth keeping, in micrometres.
    UPSTAND_RULE_LEAST_USEFUL = 7,
    /// What is to be least: 0 bars, 1 cost of bars and joints, 2 joints.
    UPSTAND_RULE_MINIMISE = 8,
}

impl upstand_rule {
    const ALL: [upstand_rule; 9] = [
        UPSTAND_RULE_LAP,
        UPSTAND_RULE_KERF,
        UPSTAND_RULE_TRIM_OFF,
        UPSTAND_RULE_LEAST_PIECE,
        UPSTAND_RULE_CLEAR,
        UPSTAND_RULE_JOINT_COST,
        UPSTAND_RULE_MOST_JOINTS,
        UPSTAND_RULE_LEAST_USEFUL,
        UPSTAND_RULE_MINIMISE,
    ];

    fn from_number(number: u32) -> Result<Self, Error> {
        let known = Self::ALL.into_iter().find(|&rule| rule as u32 == number);
        known.ok_or_else(|| Error::new(Code::BadArgument, "", format!("{number} is not a value of upstand_rule")))
    }
}

/// Makes an empty cutting problem: no bars, no runs, butt joints, no kerf, fewest bars.
/// Free it with `upstand_cutting_free`.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cutting_new(context: *mut Context, cutting: *mut *mut Cutting) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let cutting = unsafe { output(cutting, "cutting") }?;
        cutting.write(Box::into_raw(Box::new(Cutting(Problem::new(Vec::new(), Vec::new())))));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Reads a cutting problem, a JSON document of `json_length` bytes. It may be added to like any other. Free it with
/// `upstand_cutting_free`.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `json` is NULL or can be read for `json_length` bytes;
/// `cutting` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cutting_from_json(
    context: *mut Context,
    json: *const c_char,
    json_length: usize,
    cutting: *mut *mut Cutting,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (json, cutting) = unsafe { (text(json, json_length, "json")?, output(cutting, "cutting")?) };
        let problem = Problem::from_json(json)?;
        cutting.write(Box::into_raw(Box::new(Cutting(problem))));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Frees a cutting problem. NULL is allowed and does nothing. Cut lists made from it stay valid.
///
/// # Safety
/// `cutting` is NULL or comes from `upstand_cutting_new`, was not freed, and no thread uses it.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cutting_free(cutting: *mut Cutting) {
    if !cutting.is_null() {
        // SAFETY: the caller promises that it is ours and still alive.
        drop(unsafe { Box::from_raw(cutting) });
    }
}

/// Offers `count` kinds of bar of the lengths given. `costs` holds the price of each kind, in the smallest unit of
/// money, or is NULL: without prices a bar costs its length, and a single kind is counted. `available` holds how many
/// there are of each kind, or is NULL: as many as wanted; UINT64_MAX in it means the same for one kind.
///
/// The arrays are copied. Nothing is added when the call fails. Whether the lengths make sense is said when solving.
///
/// # Safety
/// `context` and `cutting` are NULL or live and used by no other thread; each array is NULL or can be read for `count`
/// items.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cutting_add_bars(
    context: *mut Context,
    cutting: *mut Cutting,
    lengths_um: *const i64,
    costs: *const u64,
    available: *const u64,
    count: usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (cutting, lengths, costs, available) = unsafe {
            (
                exclusive(cutting)?,
                array(lengths_um, count, "lengths_um")?,
                optional(costs, count, "costs")?,
                optional(available, count, "available")?,
            )
        };
        let bars = lengths.iter().enumerate().map(|(index, &um)| Bar {
            cost: costs.map(|costs| costs[index]),
            available: available.map(|available| available[index]).filter(|&number| number != u64::MAX),
            ..Bar::of(Length::from_um(um))
        });
        cutting.0.bars.extend(bars);
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Asks for `count` kinds of run of the lengths given. `quantities` holds how many of each, or is NULL: one of each.
/// `may_join` holds 1 where a run may be joined from pieces and 0 where it may not, or is NULL: all may.
///
/// The arrays are copied. Nothing is added when the call fails. Whether the lengths make sense is said when solving.
///
/// # Safety
/// As for `upstand_cutting_add_bars`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cutting_add_runs(
    context: *mut Context,
    cutting: *mut Cutting,
    lengths_um: *const i64,
    quantities: *const u64,
    may_join: *const u8,
    count: usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (cutting, lengths, quantities, may_join) = unsafe {
            (
                exclusive(cutting)?,
                array(lengths_um, count, "lengths_um")?,
                optional(quantities, count, "quantities")?,
                optional(may_join, count, "may_join")?,
            )
        };
        if let Some(index) = may_join.and_then(|flags| flags.iter().position(|&flag| flag > 1)) {
            let message = format!("`may_join` item {index} is neither 0 nor 1");
            return Err(Error::new(Code::BadArgument, "", message));
        }
        let runs = lengths.iter().enumerate().map(|(index, &um)| Run {
            may_join: may_join.is_none_or(|flags| flags[index] == 1),
            ..Run::of(Length::from_um(um), quantities.map_or(1, |quantities| quantities[index]))
        });
        cutting.0.runs.extend(runs);
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Sets one rule: `rule` is a value of `upstand_rule`, and says what `value` means. A later call for the same rule wins.
///
/// Returns `UPSTAND_BAD_ARGUMENT` for a number that is no rule, and for a value that the rule cannot take.
///
/// # Safety
/// `context` and `cutting` are NULL or live and used by no other thread.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cutting_set_rule(
    context: *mut Context,
    cutting: *mut Cutting,
    rule: u32,
    value: i64,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let problem = &mut unsafe { exclusive(cutting) }?.0;
        let bad = |what: &str| Error::new(Code::BadArgument, "", format!("{value} is not {what}"));
        let rules = &mut problem.rules;
        let length = match upstand_rule::from_number(rule)? {
            UPSTAND_RULE_LAP => &mut rules.lap,
            UPSTAND_RULE_KERF => &mut rules.kerf,
            UPSTAND_RULE_TRIM_OFF => &mut rules.trim_off,
            UPSTAND_RULE_LEAST_PIECE => &mut rules.least_piece,
            UPSTAND_RULE_CLEAR => &mut rules.clear,
            UPSTAND_RULE_LEAST_USEFUL => &mut rules.least_useful,
            UPSTAND_RULE_JOINT_COST => {
                rules.joint_cost = u64::try_from(value).map_err(|_| bad("the cost of a joint"))?;
                return Ok(());
            }
            UPSTAND_RULE_MOST_JOINTS => {
                rules.most_joints = Some(u32::try_from(value).map_err(|_| bad("a number of joints"))?);
                return Ok(());
            }
            UPSTAND_RULE_MINIMISE => {
                let choices = [Minimise::Bars, Minimise::Cost, Minimise::Joints];
                let choice = usize::try_from(value).ok().and_then(|index| choices.get(index));
                problem.minimise = *choice.ok_or_else(|| bad("0 for bars, 1 for cost or 2 for joints"))?;
                return Ok(());
            }
        };
        *length = Length::from_um(value);
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// # Safety
/// `cutting` is NULL or live and used by no other thread.
unsafe fn exclusive<'a>(cutting: *mut Cutting) -> Result<&'a mut Cutting, Error> {
    // SAFETY: as the caller promises.
    unsafe {
        reference(cutting, "cutting")?;
        Ok(&mut *cutting)
    }
}

/// # Safety
/// `pointer` is NULL or can be read for `count` items during `'a`.
unsafe fn optional<'a, T>(pointer: *const T, count: usize, name: &str) -> Result<Option<&'a [T]>, Error> {
    if pointer.is_null() {
        return Ok(None);
    }
    // SAFETY: as the caller promises.
    unsafe { array(pointer, count, name) }.map(Some)
}
