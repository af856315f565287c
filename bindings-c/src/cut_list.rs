use std::ffi::{c_char, c_void};
use std::ops::ControlFlow;
use std::sync::OnceLock;
use std::time::Duration;

use upstand::cutting::{self, Answer, Effort, SheetBar};
use upstand::{Code, Error};

use crate::argument::{copy_items, copy_text, output, reference, text};
use crate::context::{Context, guard};
use crate::cutting::Cutting;
use crate::status::upstand_status;

/// How to cut, with its bound. It never changes: any number of threads may read one at the same time.
pub struct CutList {
    answer: Answer,
    sheet: Vec<SheetBar>,
    json: OnceLock<String>,
}

/// One bar, or several cut alike, and where its pieces stand among those of `upstand_cut_list_pieces`.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ListedBar {
    /// How many bars are cut alike. Bars that share runs follow one another and have the same number here.
    pub times: u64,
    /// Which kind of bar, in the order in which the kinds were added.
    pub kind: u64,
    /// Its length.
    pub length_um: i64,
    /// What is left at its end after trim-off and kerf.
    pub offcut_um: i64,
    /// Index of its first piece.
    pub first_piece: u64,
    /// How many pieces it has.
    pub piece_count: u64,
}

/// One piece of one run.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ListedPiece {
    /// Which run, in the order in which the runs were added.
    pub run: u64,
    /// Which of the alike runs among the bars that share runs, from 0.
    pub copy: u64,
    /// Which part of the run, from 0 at its start.
    pub part: u32,
    /// Of how many.
    pub parts: u32,
    /// Where it begins in the bar.
    pub at_um: i64,
    /// Where it begins along the run.
    pub start_um: i64,
    /// Its length.
    pub length_um: i64,
}

/// The numbers of a cut list in one place.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutListSummary {
    /// Bars used.
    pub bars: u64,
    /// Joints in all: pieces less runs.
    pub joints: u64,
    /// Pieces to cut.
    pub pieces: u64,
    /// Cost of the bars used, in the unit of the bars' costs.
    pub cost: u64,
    /// No cut list uses fewer bars.
    pub bound_bars: u64,
    /// No cut list costs less.
    pub bound_cost: u64,
    /// No cut list of the same cost has fewer joints.
    pub bound_joints: u64,
    /// 1 where nothing better can exist, else 0.
    pub proven: u64,
}

/// Solves a cutting problem. `nodes` is the most search nodes to spend, 0 for the library's own choice; `seconds`
/// ends the search earlier on the clock, 0 for never. A limit that ends the search is no failure: the cut list is then
/// the best found, with a bound. Free the cut list with `upstand_cut_list_free`.
///
/// The paths of problems point into the problem as a document: "/runs/3/length" is the fourth run added.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or live and no thread fills it;
/// `cut_list` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_new(
    context: *mut Context,
    cutting: *const Cutting,
    nodes: u64,
    seconds: f64,
    cut_list: *mut *mut CutList,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (cutting, cut_list) = unsafe { (reference(cutting, "cutting")?, output(cut_list, "cut_list")?) };
        let answer = cutting::solve(&cutting.0, &effort(nodes, seconds)?)?;
        cut_list.write(CutList::of(answer, cutting));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// How far a search for a cut list has come.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Search nodes begun.
    pub nodes: u64,
    /// Counted work.
    pub steps: u64,
    /// The best answer so far, by what is made least first: cost, or joints where these come first. UINT64_MAX as long
    /// as none is known.
    pub best: u64,
    /// No answer is below this.
    pub bound: u64,
}

/// Asked during a search, on the thread that called, with the `user` pointer that was given: 0 to go on, anything else
/// to end the search. It must not use the context of the call.
#[allow(non_camel_case_types)]
pub type upstand_watch = Option<unsafe extern "C" fn(progress: *const Progress, user: *mut c_void) -> i32>;

/// As `upstand_cut_list_new`, asking `watch` every few milliseconds whether to go on; a problem that is solved before is
/// not asked about. A search that it ends is no failure: the cut list is then the best found, with a bound.
///
/// # Safety
/// As for `upstand_cut_list_new`; `watch` is NULL or may be called with `user` until the call returns, and returns itself.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_new_watched(
    context: *mut Context,
    cutting: *const Cutting,
    nodes: u64,
    seconds: f64,
    watch: upstand_watch,
    user: *mut c_void,
    cut_list: *mut *mut CutList,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (cutting, cut_list) = unsafe { (reference(cutting, "cutting")?, output(cut_list, "cut_list")?) };
        let watch = watch.ok_or_else(|| Error::new(Code::NullArgument, "", "`watch` is NULL"))?;
        let mut ask = |progress: &cutting::Progress| {
            let cutting::Progress { nodes, steps, best, bound } = *progress;
            let progress = Progress { nodes, steps, best: best.unwrap_or(u64::MAX), bound };
            // SAFETY: as the caller promises; `progress` lives during the call.
            if unsafe { watch(&raw const progress, user) } == 0 {
                ControlFlow::Continue(())
            } else {
                ControlFlow::Break(())
            }
        };
        let answer = cutting::solve_with(&cutting.0, &effort(nodes, seconds)?, &mut ask)?;
        cut_list.write(CutList::of(answer, cutting));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Finds what fewer joints would cost: every cut list that no other beats in both cost and joints, the cheapest first,
/// into `cut_lists`, and how many into `*count`. There is room for `capacity` of them, and no more are sought. Free each
/// with `upstand_cut_list_free`.
///
/// `proven`, unless it is NULL, has room for as many: 1 where it is certain that nothing beats that choice in both
/// and nothing lies between it and the one before, else 0. Each choice takes two searches of `nodes` nodes; `seconds` are for
/// all together; 0 as for `upstand_cut_list_new`. What the problem itself makes least does not matter.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or live and no thread fills it;
/// `cut_lists` and `proven` are NULL or may be written for `capacity` items; `count` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_trade_offs(
    context: *mut Context,
    cutting: *const Cutting,
    nodes: u64,
    seconds: f64,
    cut_lists: *mut *mut CutList,
    proven: *mut u8,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (cutting, count) = unsafe { (reference(cutting, "cutting")?, output(count, "count")?) };
        if cut_lists.is_null() {
            return Err(Error::new(Code::NullArgument, "", "`cut_lists` is NULL"));
        }
        if capacity == 0 {
            return Err(Error::new(Code::BufferTooSmall, "", "room for 0 cut lists: at least 1 is needed"));
        }
        let choices = cutting::trade_offs(&cutting.0, &effort(nodes, seconds)?, capacity)?;
        count.write(choices.len());
        for (index, choice) in choices.into_iter().enumerate() {
            // SAFETY: no more than `capacity` choices are asked for.
            unsafe { cut_lists.add(index).write(CutList::of(choice.answer, cutting)) };
            if !proven.is_null() {
                // SAFETY: as above.
                unsafe { proven.add(index).write(u8::from(choice.proven)) };
            }
        }
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Checks a cut list, a JSON document of `json_length` bytes such as `upstand_cut_list_to_json` writes, against its
/// problem, without the solver: every piece, rule and total, and the proven bound.
///
/// Returns `UPSTAND_WRONG_CUT_LIST` where it does not hold: the problems in the context are all that is wrong with it,
/// and their paths point into the document.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or live and no thread fills it; `json`
/// is NULL or can be read for `json_length` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_check(
    context: *mut Context,
    cutting: *const Cutting,
    json: *const c_char,
    json_length: usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (cutting, json) = unsafe { (reference(cutting, "cutting")?, text(json, json_length, "json")?) };
        let faults = cutting::check(&cutting.0, &Answer::from_json(json)?).err().unwrap_or_default();
        let wrong = faults.into_iter().map(|fault| Error::new(Code::WrongCutList, fault.place, fault.message));
        Error::from_problems(wrong.collect())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

impl CutList {
    fn of(answer: Answer, cutting: &Cutting) -> *mut Self {
        let sheet = answer.sheet(&cutting.0);
        Box::into_raw(Box::new(CutList { answer, sheet, json: OnceLock::new() }))
    }
}

fn effort(nodes: u64, seconds: f64) -> Result<Effort, Error> {
    let mut effort = Effort::default();
    if nodes > 0 {
        effort.nodes = nodes;
    }
    if seconds != 0.0 {
        let time = Duration::try_from_secs_f64(seconds).map_err(|_| {
            Error::new(Code::BadOption, "", format!("{seconds} is not a time limit: seconds from 0, 0 for none"))
        })?;
        effort.time = Some(time);
    }
    Ok(effort)
}

/// Frees a cut list. NULL is allowed and does nothing.
///
/// # Safety
/// `cut_list` is NULL or comes from a function here that makes one, was not freed, and no thread uses it.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_free(cut_list: *mut CutList) {
    if !cut_list.is_null() {
        // SAFETY: the caller promises that it is ours and still alive.
        drop(unsafe { Box::from_raw(cut_list) });
    }
}

/// The numbers of a cut list into `*summary`.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `cut_list` is NULL or live; `summary` is NULL or may
/// be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_summarise(
    context: *mut Context,
    cut_list: *const CutList,
    summary: *mut CutListSummary,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (cut_list, summary) = unsafe { (reference(cut_list, "cut_list")?, output(summary, "summary")?) };
        let answer = &cut_list.answer;
        summary.write(CutListSummary {
            bars: answer.bar_count,
            joints: answer.joint_count,
            pieces: answer.piece_count(),
            cost: answer.cost,
            bound_bars: answer.bound.bars,
            bound_cost: answer.bound.cost,
            bound_joints: answer.bound.joints,
            proven: u64::from(answer.proven()),
        });
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The cut list as JSON into `buffer`: the same bytes as from every other language. With `buffer` NULL only `*length`
/// is written, the length without the final NUL; otherwise `capacity` must be at least that and one more.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `cut_list` is NULL or live; `buffer` is NULL or may
/// be written for `capacity` bytes; `length` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_to_json(
    context: *mut Context,
    cut_list: *const CutList,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let cut_list = unsafe { reference(cut_list, "cut_list") }?;
        let json = cut_list.json.get_or_init(|| cut_list.answer.to_json());
        // SAFETY: as the caller promises.
        unsafe { copy_text(json, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The bars of the cut list into `bars`, which has room for `capacity` of them, and their number into `*count`. With
/// `bars` NULL only `*count` is written: the capacity to ask for.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `cut_list` is NULL or live; `bars` is NULL or may be
/// written for `capacity` items; `count` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_bars(
    context: *mut Context,
    cut_list: *const CutList,
    bars: *mut ListedBar,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let sheet = &unsafe { reference(cut_list, "cut_list") }?.sheet;
        let mut first_piece = 0;
        let listed = sheet.iter().map(|bar| {
            let piece_count = bar.pieces.len() as u64;
            let listed = ListedBar {
                times: bar.times,
                kind: bar.bar as u64,
                length_um: bar.length.um(),
                offcut_um: bar.offcut.um(),
                first_piece,
                piece_count,
            };
            first_piece += piece_count;
            listed
        });
        // SAFETY: as the caller promises.
        unsafe { copy_items(listed, sheet.len(), bars, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The pieces of all bars, bar by bar, into `pieces`, which has room for `capacity` of them, and their number into
/// `*count`. With `pieces` NULL only `*count` is written: the capacity to ask for.
///
/// # Safety
/// As for `upstand_cut_list_bars`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_cut_list_pieces(
    context: *mut Context,
    cut_list: *const CutList,
    pieces: *mut ListedPiece,
    capacity: usize,
    count: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let sheet = &unsafe { reference(cut_list, "cut_list") }?.sheet;
        let listed = sheet.iter().flat_map(|bar| &bar.pieces).map(|placed| {
            let piece = &placed.piece;
            ListedPiece {
                run: piece.run as u64,
                copy: piece.copy,
                part: piece.part,
                parts: piece.parts,
                at_um: placed.from.um(),
                start_um: piece.start.um(),
                length_um: piece.length.um(),
            }
        });
        let total = sheet.iter().map(|bar| bar.pieces.len()).sum();
        // SAFETY: as the caller promises.
        unsafe { copy_items(listed, total, pieces, capacity, count) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}
