/*
 * upstand: flat-roof detailing geometry, trims, cut lists, glass mat and take-off.
 *
 * Generated from the sources of bindings-c; a test compares the two. Do not edit.
 *
 * The rules are the same for every function:
 *
 * - A function that can fail returns an upstand_status, UPSTAND_OK (0) for success. It takes an upstand_context first,
 *   which keeps every problem met, with its place in the document, until the next call with that context.
 * - Outputs come last and are written only on success.
 * - Texts are UTF-8. Texts in are a pointer and a length in bytes and need no NUL. Texts out are copied into a buffer of
 *   the caller's and end in a NUL that is not counted; with buffer NULL only *length is written: the capacity to ask
 *   for is *length + 1.
 * - X_new and X_from_json make a handle that the caller owns and gives back to X_free once. X_free(NULL) does nothing.
 * - A context belongs to one thread at a time. All other handles never change once made: any number of threads may read
 *   one at the same time, each with a context of its own. An upstand_cutting is filled by one thread at a time.
 * - Lengths in arrays and structs are whole micrometres (3 m is 3000000), in documents millimetres.
 */

#ifndef UPSTAND_H
#define UPSTAND_H

#include <stddef.h>
#include <stdint.h>

#define UPSTAND_VERSION "0.1.0"

/* The values of upstand_status. Numbers and names never change meaning and are never reused. */
enum {
    /* Success. */
    UPSTAND_OK = 0,
    /* A required argument was null. */
    UPSTAND_NULL_ARGUMENT = 1,
    /* A bug inside the library was caught at the border of a binding. Please report it. */
    UPSTAND_PANIC = 2,
    /* Text is not UTF-8. */
    UPSTAND_BAD_UTF8 = 3,
    /* The caller's buffer is too small; the needed size is in the message. */
    UPSTAND_BUFFER_TOO_SMALL = 4,
    /* The document's `schema` field is missing or names another kind or version. */
    UPSTAND_WRONG_SCHEMA = 5,
    /* The text is not JSON. */
    UPSTAND_BAD_JSON = 6,
    /* A field that the document kind does not know. */
    UPSTAND_UNKNOWN_FIELD = 7,
    /* A required field is missing. */
    UPSTAND_MISSING_FIELD = 8,
    /* A value has the wrong type or is not one of the allowed words. */
    UPSTAND_BAD_VALUE = 9,
    /* An argument of a function in a binding makes no sense. */
    UPSTAND_BAD_ARGUMENT = 10,
    /* The text is longer or more deeply nested than the library reads. */
    UPSTAND_TOO_LARGE = 11,
    /* A number is NaN or infinite. */
    UPSTAND_NON_FINITE = 101,
    /* A number is outside the range that the library computes with. */
    UPSTAND_OUT_OF_RANGE = 102,
    /* A ring has fewer than three distinct points. */
    UPSTAND_TOO_FEW_POINTS = 103,
    /* A ring or roof has more points than the limit. */
    UPSTAND_TOO_MANY_POINTS = 104,
    /* A point repeats the one before it. */
    UPSTAND_REPEATED_POINT = 105,
    /* The ring runs out and back along the same line. */
    UPSTAND_SPIKE = 106,
    /* The ring encloses no area. */
    UPSTAND_ZERO_AREA = 107,
    /* Two edges of the outline cross. */
    UPSTAND_SELF_CROSSING = 108,
    /* The outline touches itself in a point or along an edge. */
    UPSTAND_SELF_TOUCHING = 109,
    /* An edge is shorter than the system's least edge. */
    UPSTAND_SHORT_EDGE = 110,
    /* A hole lies outside the outer ring, or crosses it. */
    UPSTAND_HOLE_OUTSIDE = 111,
    /* A hole touches the outer ring or another hole. */
    UPSTAND_HOLE_TOUCHES = 112,
    /* Two holes overlap, or one lies inside the other. */
    UPSTAND_HOLES_OVERLAP = 113,
    /* The number of edge kinds is not the number of edges. */
    UPSTAND_KIND_COUNT = 201,
    /* A job without a roof. */
    UPSTAND_NO_ROOFS = 202,
    /* More roofs, holes, outlets or pipes than the limit. */
    UPSTAND_TOO_MANY = 203,
    /* An outlet that is not on the roof. */
    UPSTAND_OUTLET_OUTSIDE = 204,
    /* The corner table has no row for the two edges that meet. */
    UPSTAND_NO_CORNER_RULE = 205,
    /* The number of levels is not the number of points. */
    UPSTAND_LEVEL_COUNT = 206,
    /* A pipe that is not on the roof. */
    UPSTAND_PIPE_OUTSIDE = 207,
    /* A trim's section cannot be made: too few points, no deck flange, crossing itself. */
    UPSTAND_BAD_SECTION = 301,
    /* A size in the system is zero, negative or contradicts another. */
    UPSTAND_BAD_SIZE = 302,
    /* A rate, price or allowance in the system is negative or absurd. */
    UPSTAND_BAD_RATE = 303,
    /* A table in the system is empty, unsorted or overlapping. */
    UPSTAND_BAD_TABLE = 304,
    /* A corner that cannot be mitred: too sharp, straight, or of edges too steep. */
    UPSTAND_BAD_CORNER = 305,
    /* A run to cut is zero, negative or beyond range. */
    UPSTAND_BAD_RUN = 401,
    /* A bar is zero, negative or beyond range. */
    UPSTAND_BAD_BAR = 402,
    /* A lap, kerf, trim-off, least piece or clear distance is negative or leaves nothing of a bar. */
    UPSTAND_BAD_CUT_RULE = 403,
    /* A run that no bars on offer can make under the rules given. */
    UPSTAND_UNCUTTABLE = 404,
    /* More kinds of run or bar than the limit. */
    UPSTAND_TOO_MANY_RUNS = 405,
    /* Quantities, lengths or costs whose totals would overflow. */
    UPSTAND_OVERFLOW = 406,
    /* An option or limit that makes no sense. */
    UPSTAND_BAD_OPTION = 407,
    /* A cut list that is not what it says it is: a piece, a rule, a total, a bound or its proof. */
    UPSTAND_WRONG_CUT_LIST = 408,
    /* Mat, tape or patch sizes that leave no cover: a lap as wide as the strip, no roll. */
    UPSTAND_BAD_MAT = 501,
    /* The lay-out would need more strips than the limit. */
    UPSTAND_TOO_MANY_STRIPS = 502,
    /* A liquid's rate, density, pack or table makes no sense. */
    UPSTAND_BAD_LIQUID = 601,
    /* A date or time that no calendar has, or that is not written as ISO 8601 has it. */
    UPSTAND_BAD_DATE = 602,
    /* A programme of work that contradicts itself: no crew, hours that end before they begin, a ragged forecast. */
    UPSTAND_BAD_PROGRAMME = 603,
    /* A drawing of a roof that the plan does not have. */
    UPSTAND_NO_SUCH_ROOF = 701,
    /* A reading that cannot be: a moisture or humidity outside 0 to 100 %, a temperature no roof has. */
    UPSTAND_BAD_READING = 801,
    /* A reading or a record names a roof or a layer that the job does not have. */
    UPSTAND_NO_SUCH_PLACE = 802,
    /* A measurement that makes no sense: a length of nothing, an angle beyond a turn, a point measured to itself. */
    UPSTAND_BAD_MEASUREMENT = 811,
    /* The measurements do not hold a point in its place. */
    UPSTAND_FLOATING_POINT = 812,
    /* The measurements contradict each other so far that no positions meet them. */
    UPSTAND_CLASH = 813
};

// Version of the binary interface. It rises when a function changes or goes, never when one is added.
#define UPSTAND_ABI_VERSION 1

// How the end of a piece is cut, in `upstand_piece_end`.
enum upstand_cut
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Square across.
  UPSTAND_CUT_SQUARE = 0,
  // At an angle: a mitre, or on the skew.
  UPSTAND_CUT_MITRE = 1,
  // Square across, under the neighbouring piece, or butting against it.
  UPSTAND_CUT_LAP_UNDER = 2,
  // Square across, over the neighbouring piece.
  UPSTAND_CUT_LAP_OVER = 3,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_cut upstand_cut;
#else
typedef uint32_t upstand_cut;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// Which side of a mitred end is the longer, in `upstand_piece_end`.
enum upstand_hand
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Neither: no mitre.
  UPSTAND_HAND_NONE = 0,
  // The side of the roof.
  UPSTAND_HAND_LEFT = 1,
  // The outer side.
  UPSTAND_HAND_RIGHT = 2,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_hand upstand_hand;
#else
typedef uint32_t upstand_hand;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// How an end of a run is cut at its corner, in `upstand_run_end` and `upstand_plan_template`.
enum upstand_end_cut
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // In the plane that bisects the corner.
  UPSTAND_END_CUT_MITRE = 0,
  // Square across.
  UPSTAND_END_CUT_SQUARE = 1,
  // Square across, lying over the other trim.
  UPSTAND_END_CUT_LAP = 2,
  // Bent round the corner along its face.
  UPSTAND_END_CUT_RETURN = 3,
  // Parallel to the other trim.
  UPSTAND_END_CUT_SKEW = 4,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_end_cut upstand_end_cut;
#else
typedef uint32_t upstand_end_cut;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What closes an end that stays open, in `upstand_run_end`.
enum upstand_closing
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Nothing.
  UPSTAND_CLOSING_NONE = 0,
  // A piece of the flat closing strip.
  UPSTAND_CLOSING_STRIP = 1,
  // A preformed end cap.
  UPSTAND_CLOSING_CAP = 2,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_closing upstand_closing;
#else
typedef uint32_t upstand_closing;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What a facet of a section is, in `upstand_facet_cut` and `upstand_fixing`.
enum upstand_leg
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Before the deck flange: a turned edge.
  UPSTAND_LEG_EDGE = 0,
  // Lies on the deck.
  UPSTAND_LEG_DECK_FLANGE = 1,
  // Between the deck flange and the face.
  UPSTAND_LEG_RISE = 2,
  // Shows, or stands against the wall.
  UPSTAND_LEG_FACE = 3,
  // Beyond the face.
  UPSTAND_LEG_RETURN = 4,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_leg upstand_leg;
#else
typedef uint32_t upstand_leg;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// A sheet size of ISO 216, laid with its long side level.
enum upstand_paper
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // 1189 x 841 mm.
  UPSTAND_PAPER_A0 = 0,
  // 841 x 594 mm.
  UPSTAND_PAPER_A1 = 1,
  // 594 x 420 mm.
  UPSTAND_PAPER_A2 = 2,
  // 420 x 297 mm.
  UPSTAND_PAPER_A3 = 3,
  // 297 x 210 mm.
  UPSTAND_PAPER_A4 = 4,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_paper upstand_paper;
#else
typedef uint32_t upstand_paper;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// A rule of a cutting problem: which one `upstand_cutting_set_rule` sets.
enum upstand_rule
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Least overlap at a joint, in micrometres; 0 is a butt joint.
  UPSTAND_RULE_LAP = 0,
  // Width of the saw cut, lost between two pieces of one bar, in micrometres.
  UPSTAND_RULE_KERF = 1,
  // Cut off each end of a bar before use, in micrometres.
  UPSTAND_RULE_TRIM_OFF = 2,
  // Least length of a piece of a joined run, in micrometres.
  UPSTAND_RULE_LEAST_PIECE = 3,
  // Least distance of a lap from either end of its run, in micrometres.
  UPSTAND_RULE_CLEAR = 4,
  // Cost of a joint, in the unit of the bars' costs.
  UPSTAND_RULE_JOINT_COST = 5,
  // Most joints in one run.
  UPSTAND_RULE_MOST_JOINTS = 6,
  // Shortest offcut worth keeping, in micrometres.
  UPSTAND_RULE_LEAST_USEFUL = 7,
  // What is to be least: 0 bars, 1 cost of bars and joints, 2 joints.
  UPSTAND_RULE_MINIMISE = 8,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_rule upstand_rule;
#else
typedef uint32_t upstand_rule;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// A sheet of a plan: which one `upstand_plan_sheet` hands over.
enum upstand_sheet
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // The drawing of all roofs, as SVG.
  UPSTAND_SHEET_PLAN = 0,
  // The cutting sheet, as SVG.
  UPSTAND_SHEET_CUT_LIST = 1,
  // The cutting sheet, as plain text.
  UPSTAND_SHEET_CUT_LIST_TEXT = 2,
  // The order sheet, as SVG.
  UPSTAND_SHEET_ORDER = 3,
  // The order, as comma-separated values.
  UPSTAND_SHEET_ORDER_CSV = 4,
  // The mixing cards, as plain text.
  UPSTAND_SHEET_MIXING_TEXT = 5,
  // The schedule, as SVG; no sheet where the job has no programme.
  UPSTAND_SHEET_SCHEDULE = 6,
  // The schedule, as plain text.
  UPSTAND_SHEET_SCHEDULE_TEXT = 7,
  // Full-size templates of all mitred, notched and returned ends, as SVG.
  UPSTAND_SHEET_TEMPLATES = 8,
  // The lay-out of the mat, as SVG.
  UPSTAND_SHEET_MAT = 9,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum upstand_sheet upstand_sheet;
#else
typedef uint32_t upstand_sheet;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// The positions that fit tape measurements best. It never changes: any number of threads may read one at the same time.
typedef struct upstand_adjusted upstand_adjusted;

// Keeps what went wrong in the last call that was given it. Make one for each thread: two threads must not use one
// context at the same time. A context may move from thread to thread.
typedef struct upstand_context upstand_context;

// How to cut, with its bound. It never changes: any number of threads may read one at the same time.
typedef struct upstand_cut_list upstand_cut_list;

// A cutting problem that is being put together: bars on offer, runs to make, rules. One thread at a time fills it;
// once it is full any number of threads may solve it at the same time.
typedef struct upstand_cutting upstand_cutting;

// All that the library works out for a job. It never changes: any number of threads may read one at the same time.
typedef struct upstand_plan upstand_plan;

// The hand-over report of a record. It never changes: any number of threads may read one at the same time.
typedef struct upstand_report upstand_report;

// What a function returns: `UPSTAND_OK` or the number of what went wrong. Treat a number that you do not know as a
// failure: later versions add some.
typedef uint32_t upstand_status;

// How far a search for a cut list has come.
typedef struct {
  // Search nodes begun.
  uint64_t nodes;
  // Counted work.
  uint64_t steps;
  // The best answer so far, by what is made least first: cost, or joints where these come first. UINT64_MAX as long
  // as none is known.
  uint64_t best;
  // No answer is below this.
  uint64_t bound;
} upstand_progress;

// Asked during a search, on the thread that called, with the `user` pointer that was given: 0 to go on, anything else
// to end the search. It must not use the context of the call.
typedef int32_t (*upstand_watch)(const upstand_progress *progress, void *user);

// The numbers of a cut list in one place.
typedef struct {
  // Bars used.
  uint64_t bars;
  // Joints in all: pieces less runs.
  uint64_t joints;
  // Pieces to cut.
  uint64_t pieces;
  // Cost of the bars used, in the unit of the bars' costs.
  uint64_t cost;
  // No cut list uses fewer bars.
  uint64_t bound_bars;
  // No cut list costs less.
  uint64_t bound_cost;
  // No cut list of the same cost has fewer joints.
  uint64_t bound_joints;
  // 1 where nothing better can exist, else 0.
  uint64_t proven;
} upstand_cut_list_summary;

// One bar, or several cut alike, and where its pieces stand among those of `upstand_cut_list_pieces`.
typedef struct {
  // How many bars are cut alike. Bars that share runs follow one another and have the same number here.
  uint64_t times;
  // Which kind of bar, in the order in which the kinds were added.
  uint64_t kind;
  // Its length.
  int64_t length_um;
  // What is left at its end after trim-off and kerf.
  int64_t offcut_um;
  // Index of its first piece.
  uint64_t first_piece;
  // How many pieces it has.
  uint64_t piece_count;
} upstand_bar;

// One piece of one run.
typedef struct {
  // Which run, in the order in which the runs were added.
  uint64_t run;
  // Which of the alike runs among the bars that share runs, from 0.
  uint64_t copy;
  // Which part of the run, from 0 at its start.
  uint32_t part;
  // Of how many.
  uint32_t parts;
  // Where it begins in the bar.
  int64_t at_um;
  // Where it begins along the run.
  int64_t start_um;
  // Its length.
  int64_t length_um;
} upstand_piece;

// A mitred end. The two ends of a corner are mirror images, so that one says both.
typedef struct {
  // Interior angle in the plane that the two edges span, in degrees.
  double interior_deg;
  // Angle of the cut from square, in degrees.
  double angle_deg;
  // How far its longest line runs beyond the corner.
  int64_t long_um;
  // How far its shortest line runs beyond the corner.
  int64_t short_um;
  // A value of `upstand_hand`: the longer side, seen from above and from the trim's start.
  uint32_t hand;
} upstand_mitre_end;

// The cut across one facet, laid flat: the two ends of its mark, and how a saw is set.
typedef struct {
  // A value of `upstand_leg`.
  uint32_t leg;
  // Width of the facet.
  int64_t width_um;
  // Girth of the fold before it.
  int64_t from_girth_um;
  // How far the mark is beyond the corner there.
  int64_t from_along_um;
  // Girth of the fold after it.
  int64_t to_girth_um;
  // How far the mark is beyond the corner there.
  int64_t to_along_um;
  // Turn of the cut from square across, in degrees: positive where the trim gets longer along the section.
  double mitre_deg;
  // Tilt of the cut from plumb, in degrees: positive where it runs in under the outer surface.
  double bevel_deg;
} upstand_facet_cut;

// One point of a notch, on the flat.
typedef struct {
  // Which notch of the template, from 0.
  uint64_t notch;
  // Index of the facet that it is cut out of.
  uint64_t facet;
  // Distance along the section from its first point.
  int64_t girth_um;
  // How far beyond the corner.
  int64_t along_um;
} upstand_notch_point;

// One fixing of one piece.
typedef struct {
  // Index of its piece among those of `upstand_plan_pieces`.
  uint64_t piece;
  // Where, from the piece's start.
  int64_t at_um;
  // When it is driven: from 0 among the fixings of the piece, ends and middle first, leg after leg.
  uint64_t turn;
  // The leg that it goes through, a value of `upstand_leg`.
  uint32_t leg;
  // 1 where it goes through both pieces of a lap, and is driven when the upper one lies; else 0.
  uint32_t both;
} upstand_fixing;

// One end of a piece.
typedef struct {
  // A value of `upstand_cut`.
  uint32_t cut;
  // A value of `upstand_hand`.
  uint32_t hand;
  // Angle of the cut from square, in degrees; 0 where it is square.
  double angle_deg;
  // Overlap of a lap, else 0.
  int64_t lap_um;
} upstand_piece_end;

// One piece of a plan's cut lists.
typedef struct {
  // Index of its cut list.
  uint64_t cut_list;
  // Number of its bar within the cut list, from 1.
  uint64_t bar;
  // Which roof, from 0.
  uint64_t roof;
  // Index of its run within the roof; of mat, of its strip; of tape, of the piece of tape.
  uint64_t run;
  // What it is of: 0 drip trim, 1 wall trim, 2 raised trim, 3 batten, 4 mat, 5 tape.
  uint32_t material;
  // Where it begins in the bar.
  int64_t at_um;
  // Where it begins along its run.
  int64_t start_along_um;
  // Its cut length.
  int64_t length_um;
  // How it begins.
  upstand_piece_end start;
  // How it ends.
  upstand_piece_end end;
} upstand_plan_piece;

// How to mark and cut an end that is mitred, cut on the skew, notched or returned.
typedef struct {
  // 0 a drip trim, 1 a wall trim, 2 a raised trim.
  uint32_t kind;
  // 0 for the start of its runs, 1 for their end.
  uint32_t end;
  // A value of `upstand_end_cut`.
  uint32_t cut;
  // How many points its mark has: what `upstand_plan_marks` hands over.
  uint64_t points;
  // How many facets are notched.
  uint64_t notches;
  // How many runs have it.
  uint64_t runs;
  // Interior angle of the corner in degrees.
  double interior_deg;
  // How far its longest fold line runs beyond the corner.
  int64_t long_um;
  // How far its shortest fold line runs beyond the corner.
  int64_t short_um;
  // For a return: how far beyond the corner its face is folded; else 0.
  int64_t fold_um;
} upstand_plan_template;

// One point of a mark: on the fold line at this girth, so far beyond the corner.
typedef struct {
  // Distance along the section from its first point.
  int64_t girth_um;
  // How far beyond the corner.
  int64_t along_um;
} upstand_plan_mark;

// How many there are of what a plan holds.
typedef struct {
  // Roofs.
  uint64_t roofs;
  // Runs of trim over all roofs.
  uint64_t runs;
  // Cut lists, one for each material that is cut.
  uint64_t cut_lists;
  // Bars over all cut lists.
  uint64_t bars;
  // Pieces over all cut lists.
  uint64_t pieces;
  // Joints over all cut lists.
  uint64_t joints;
  // Strips of mat over all roofs.
  uint64_t strips;
  // Materials to order.
  uint64_t takeoff_lines;
  // Findings.
  uint64_t findings;
} upstand_plan_summary;

// One end of a run.
typedef struct {
  // A value of `upstand_end_cut`.
  uint32_t cut;
  // A value of `upstand_hand`: the longer side of an end cut at an angle.
  uint32_t hand;
  // A value of `upstand_closing`.
  uint32_t closing;
  // Angle of the cut from square, in degrees.
  double angle_deg;
  // How far its longest line runs beyond the corner; negative where it stops short of it.
  int64_t gain_um;
  // How far its shortest line runs beyond the corner.
  int64_t short_um;
} upstand_run_end;

// One run of trim.
typedef struct {
  // Which roof, from 0.
  uint64_t roof;
  // Which ring: 0 the outer boundary, then the holes.
  uint64_t ring;
  // Index of the run within the roof, as in `upstand_plan_piece`.
  uint64_t run;
  // 0 a drip trim, 1 a wall trim, 2 a raised trim.
  uint32_t kind;
  // Whose piece lies over the other at its joints: 0 the one nearer to its start, 1 the one nearer to its end.
  uint32_t over;
  // Length along the outline.
  int64_t line_um;
  // Length from furthest point to furthest point; 0 where nothing is left to cut.
  int64_t cut_um;
  // How many joints it has.
  uint64_t joints;
  // How many beads of adhesive go across its laps.
  uint64_t beads;
  // Number of fixings along it, in all lines.
  uint64_t fixings;
  // How it begins.
  upstand_run_end start;
  // How it ends.
  upstand_run_end end;
} upstand_plan_run;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// Makes a context. Free it with `upstand_context_free`. Any thread may call this.
upstand_context *upstand_context_new(void);

// Frees a context. NULL is allowed and does nothing. The context must not be used afterwards.
//
// Requires:
// `context` is NULL or comes from `upstand_context_new` and was not freed.
void upstand_context_free(upstand_context *context);

// How many problems the last call with this context met: 0 after a success, else at least 1, since a document may
// have several things wrong with it. 0 for NULL.
//
// Requires:
// `context` is NULL or a live context that no other thread uses.
size_t upstand_context_problem_count(const upstand_context *context);

// The status of problem `index` (0 is the first in the document) into `*status`.
//
// The context stays as it is. Returns `UPSTAND_NULL_ARGUMENT`, or `UPSTAND_BAD_ARGUMENT` when there is no such problem.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `status` is NULL or may be written.
upstand_status upstand_context_problem(const upstand_context *context, size_t index, upstand_status *status);

// The sentence of problem `index` into `buffer`: see `upstand_plan_to_json` for how texts are handed over.
//
// The context stays as it is. Returns `UPSTAND_NULL_ARGUMENT`, `UPSTAND_BUFFER_TOO_SMALL`, or `UPSTAND_BAD_ARGUMENT`
// when there is no such problem.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `buffer` is NULL or may be written for `capacity`
// bytes; `length` is NULL or may be written.
upstand_status upstand_context_message(const upstand_context *context,
                                       size_t index,
                                       char *buffer,
                                       size_t capacity,
                                       size_t *length);

// The JSON Pointer (RFC 6901) of the value that problem `index` is about, such as "/roofs/0/outer/points/3", into
// `buffer`; an empty text where it is about the whole call. All else as for `upstand_context_message`.
//
// Requires:
// As for `upstand_context_message`.
upstand_status upstand_context_path(const upstand_context *context,
                                    size_t index,
                                    char *buffer,
                                    size_t capacity,
                                    size_t *length);

// Solves a cutting problem. `nodes` is the most search nodes to spend, 0 for the library's own choice; `seconds`
// ends the search earlier on the clock, 0 for never. A limit that ends the search is no failure: the cut list is then
// the best found, with a bound. Free the cut list with `upstand_cut_list_free`.
//
// The paths of problems point into the problem as a document: "/runs/3/length" is the fourth run added.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or live and no thread fills it;
// `cut_list` is NULL or may be written.
upstand_status upstand_cut_list_new(upstand_context *context,
                                    const upstand_cutting *cutting,
                                    uint64_t nodes,
                                    double seconds,
                                    upstand_cut_list **cut_list);

// As `upstand_cut_list_new`, asking `watch` every few milliseconds whether to go on; a problem that is solved before is
// not asked about. A search that it ends is no failure: the cut list is then the best found, with a bound.
//
// Requires:
// As for `upstand_cut_list_new`; `watch` is NULL or may be called with `user` until the call returns, and returns itself.
upstand_status upstand_cut_list_new_watched(upstand_context *context,
                                            const upstand_cutting *cutting,
                                            uint64_t nodes,
                                            double seconds,
                                            upstand_watch watch,
                                            void *user,
                                            upstand_cut_list **cut_list);

// Finds what fewer joints would cost: every cut list that no other beats in both cost and joints, the cheapest first,
// into `cut_lists`, and how many into `*count`. There is room for `capacity` of them, and no more are sought. Free each
// with `upstand_cut_list_free`.
//
// `proven`, unless it is NULL, has room for as many: 1 where it is certain that nothing beats that choice in both
// and nothing lies between it and the one before, else 0. Each choice takes two searches of `nodes` nodes; `seconds` are for
// all together; 0 as for `upstand_cut_list_new`. What the problem itself makes least does not matter.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or live and no thread fills it;
// `cut_lists` and `proven` are NULL or may be written for `capacity` items; `count` is NULL or may be written.
upstand_status upstand_cut_list_trade_offs(upstand_context *context,
                                           const upstand_cutting *cutting,
                                           uint64_t nodes,
                                           double seconds,
                                           upstand_cut_list **cut_lists,
                                           uint8_t *proven,
                                           size_t capacity,
                                           size_t *count);

// Checks a cut list, a JSON document of `json_length` bytes such as `upstand_cut_list_to_json` writes, against its
// problem, without the solver: every piece, rule and total, and the proven bound.
//
// Returns `UPSTAND_WRONG_CUT_LIST` where it does not hold: the problems in the context are all that is wrong with it,
// and their paths point into the document.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or live and no thread fills it; `json`
// is NULL or can be read for `json_length` bytes.
upstand_status upstand_cut_list_check(upstand_context *context,
                                      const upstand_cutting *cutting,
                                      const char *json,
                                      size_t json_length);

// Frees a cut list. NULL is allowed and does nothing.
//
// Requires:
// `cut_list` is NULL or comes from a function here that makes one, was not freed, and no thread uses it.
void upstand_cut_list_free(upstand_cut_list *cut_list);

// The numbers of a cut list into `*summary`.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `cut_list` is NULL or live; `summary` is NULL or may
// be written.
upstand_status upstand_cut_list_summarise(upstand_context *context,
                                          const upstand_cut_list *cut_list,
                                          upstand_cut_list_summary *summary);

// The cut list as JSON into `buffer`: the same bytes as from every other language. With `buffer` NULL only `*length`
// is written, the length without the final NUL; otherwise `capacity` must be at least that and one more.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `cut_list` is NULL or live; `buffer` is NULL or may
// be written for `capacity` bytes; `length` is NULL or may be written.
upstand_status upstand_cut_list_to_json(upstand_context *context,
                                        const upstand_cut_list *cut_list,
                                        char *buffer,
                                        size_t capacity,
                                        size_t *length);

// The bars of the cut list into `bars`, which has room for `capacity` of them, and their number into `*count`. With
// `bars` NULL only `*count` is written: the capacity to ask for.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `cut_list` is NULL or live; `bars` is NULL or may be
// written for `capacity` items; `count` is NULL or may be written.
upstand_status upstand_cut_list_bars(upstand_context *context,
                                     const upstand_cut_list *cut_list,
                                     upstand_bar *bars,
                                     size_t capacity,
                                     size_t *count);

// The pieces of all bars, bar by bar, into `pieces`, which has room for `capacity` of them, and their number into
// `*count`. With `pieces` NULL only `*count` is written: the capacity to ask for.
//
// Requires:
// As for `upstand_cut_list_bars`.
upstand_status upstand_cut_list_pieces(upstand_context *context,
                                       const upstand_cut_list *cut_list,
                                       upstand_piece *pieces,
                                       size_t capacity,
                                       size_t *count);

// Makes an empty cutting problem: no bars, no runs, butt joints, no kerf, fewest bars.
// Free it with `upstand_cutting_free`.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `cutting` is NULL or may be written.
upstand_status upstand_cutting_new(upstand_context *context, upstand_cutting **cutting);

// Reads a cutting problem, a JSON document of `json_length` bytes. It may be added to like any other. Free it with
// `upstand_cutting_free`.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `json` is NULL or can be read for `json_length` bytes;
// `cutting` is NULL or may be written.
upstand_status upstand_cutting_from_json(upstand_context *context,
                                         const char *json,
                                         size_t json_length,
                                         upstand_cutting **cutting);

// Frees a cutting problem. NULL is allowed and does nothing. Cut lists made from it stay valid.
//
// Requires:
// `cutting` is NULL or comes from `upstand_cutting_new`, was not freed, and no thread uses it.
void upstand_cutting_free(upstand_cutting *cutting);

// Offers `count` kinds of bar of the lengths given. `costs` holds the price of each kind, in the smallest unit of
// money, or is NULL: without prices a bar costs its length, and a single kind is counted. `available` holds how many
// there are of each kind, or is NULL: as many as wanted; UINT64_MAX in it means the same for one kind.
//
// The arrays are copied. Nothing is added when the call fails. Whether the lengths make sense is said when solving.
//
// Requires:
// `context` and `cutting` are NULL or live and used by no other thread; each array is NULL or can be read for `count`
// items.
upstand_status upstand_cutting_add_bars(upstand_context *context,
                                        upstand_cutting *cutting,
                                        const int64_t *lengths_um,
                                        const uint64_t *costs,
                                        const uint64_t *available,
                                        size_t count);

// Asks for `count` kinds of run of the lengths given. `quantities` holds how many of each, or is NULL: one of each.
// `may_join` holds 1 where a run may be joined from pieces and 0 where it may not, or is NULL: all may.
//
// The arrays are copied. Nothing is added when the call fails. Whether the lengths make sense is said when solving.
//
// Requires:
// As for `upstand_cutting_add_bars`.
upstand_status upstand_cutting_add_runs(upstand_context *context,
                                        upstand_cutting *cutting,
                                        const int64_t *lengths_um,
                                        const uint64_t *quantities,
                                        const uint8_t *may_join,
                                        size_t count);

// Sets one rule: `rule` is a value of `upstand_rule`, and says what `value` means. A later call for the same rule wins.
//
// Returns `UPSTAND_BAD_ARGUMENT` for a number that is no rule, and for a value that the rule cannot take.
//
// Requires:
// `context` and `cutting` are NULL or live and used by no other thread.
upstand_status upstand_cutting_set_rule(upstand_context *context,
                                        upstand_cutting *cutting,
                                        uint32_t rule,
                                        int64_t value);

// Mitres a section, a JSON value of `section_length` bytes as in a job's system, at a corner of `interior_deg` degrees in
// plan: from 10 to 350, but not straight. The edges rise by `rise_before` towards the corner and by `rise_after` away from
// it per unit of run, 0 where level. Writes the end, the same for either trim, to `*end`, the cuts of its facets to
// `facets`, which has room for `capacity`, and their number to `*count`. With `facets` NULL only `*end` and `*count` are
// written.
//
// On failure the context keeps what is wrong: `UPSTAND_BAD_SECTION`, or `UPSTAND_BAD_CORNER` for an angle of 5 degrees, say.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `section` is NULL or can be read for `section_length`
// bytes; `end` and `count` are NULL or may be written; `facets` is NULL or may be written for `capacity` items.
upstand_status upstand_mitre(upstand_context *context,
                             const char *section,
                             size_t section_length,
                             double interior_deg,
                             double rise_before,
                             double rise_after,
                             upstand_mitre_end *end,
                             upstand_facet_cut *facets,
                             size_t capacity,
                             size_t *count);

// The cuts across the facets of one template, from 0, into `facets`, which has room for `capacity` of them, and their
// number into `*count`. With `facets` NULL only `*count` is written. `UPSTAND_BAD_ARGUMENT` where there is no such template.
//
// Requires:
// As for `upstand_plan_pieces`.
upstand_status upstand_plan_facets(upstand_context *context,
                                   const upstand_plan *plan,
                                   size_t template_,
                                   upstand_facet_cut *facets,
                                   size_t capacity,
                                   size_t *count);

// The points of all notches of one template, from 0, into `points`, which has room for `capacity` of them, and their number
// into `*count`. With `points` NULL only `*count` is written. `UPSTAND_BAD_ARGUMENT` where there is no such template.
//
// Requires:
// As for `upstand_plan_pieces`.
upstand_status upstand_plan_notches(upstand_context *context,
                                    const upstand_plan *plan,
                                    size_t template_,
                                    upstand_notch_point *points,
                                    size_t capacity,
                                    size_t *count);

// The fixings of all pieces of trim into `fixings`, which has room for `capacity` of them, and their number into `*count`.
// With `fixings` NULL only `*count` is written: the capacity to ask for.
//
// Requires:
// As for `upstand_plan_pieces`.
upstand_status upstand_plan_fixings(upstand_context *context,
                                    const upstand_plan *plan,
                                    upstand_fixing *fixings,
                                    size_t capacity,
                                    size_t *count);

// Full-size templates of all mitred, notched and returned ends as SVG into `buffer`, on sheets of one size: `paper` is a
// value of `upstand_paper`, and `UPSTAND_BAD_ARGUMENT` is returned for any other number. All else as for
// `upstand_plan_to_json`.
//
// Requires:
// As for `upstand_plan_to_json`.
upstand_status upstand_plan_templates_svg(upstand_context *context,
                                          const upstand_plan *plan,
                                          uint32_t paper,
                                          char *buffer,
                                          size_t capacity,
                                          size_t *length);

// The pieces of all cut lists of a plan, bar by bar, into `pieces`, which has room for `capacity` of them, and their
// number into `*count`. With `pieces` NULL only `*count` is written: the capacity to ask for.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `pieces` is NULL or may be
// written for `capacity` items; `count` is NULL or may be written.
upstand_status upstand_plan_pieces(upstand_context *context,
                                   const upstand_plan *plan,
                                   upstand_plan_piece *pieces,
                                   size_t capacity,
                                   size_t *count);

// The templates of a plan's mitred, notched and returned ends into `templates`, which has room for `capacity` of them,
// and their number into `*count`. With `templates` NULL only `*count` is written: the capacity to ask for.
//
// Requires:
// As for `upstand_plan_pieces`.
upstand_status upstand_plan_templates(upstand_context *context,
                                      const upstand_plan *plan,
                                      upstand_plan_template *templates,
                                      size_t capacity,
                                      size_t *count);

// The mark across the flat of one template, from 0, into `marks`, which has room for `capacity` points, and their number
// into `*count`. With `marks` NULL only `*count` is written. `UPSTAND_BAD_ARGUMENT` where there is no such template.
//
// Requires:
// As for `upstand_plan_pieces`.
upstand_status upstand_plan_marks(upstand_context *context,
                                  const upstand_plan *plan,
                                  size_t template_,
                                  upstand_plan_mark *marks,
                                  size_t capacity,
                                  size_t *count);

// Checks a job, a JSON document of `job_length` bytes, without planning it. Returns the status of the first problem,
// `UPSTAND_OK` if there is none; the context keeps them all.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `job` is NULL or can be read for `job_length` bytes.
upstand_status upstand_job_check(upstand_context *context, const char *job, size_t job_length);

// Plans a job, a JSON document of `job_length` bytes. Free the plan with `upstand_plan_free`.
//
// On failure the context keeps every problem of the job with its place.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `job` is NULL or can be read for `job_length` bytes;
// `plan` is NULL or may be written.
upstand_status upstand_plan_new(upstand_context *context, const char *job, size_t job_length, upstand_plan **plan);

// Reads a plan that was kept as JSON, a document of `json_length` bytes. Free it with `upstand_plan_free`.
//
// Requires:
// As for `upstand_plan_new`.
upstand_status upstand_plan_from_json(upstand_context *context,
                                      const char *json,
                                      size_t json_length,
                                      upstand_plan **plan);

// Frees a plan. NULL is allowed and does nothing.
//
// Requires:
// `plan` is NULL or comes from this library, was not freed, and no thread uses it.
void upstand_plan_free(upstand_plan *plan);

// The plan as JSON into `buffer`: the same bytes as from every other language. With `buffer` NULL only `*length` is
// written, the length without the final NUL; otherwise `capacity` must be at least that and one more.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `buffer` is NULL or may be
// written for `capacity` bytes; `length` is NULL or may be written.
upstand_status upstand_plan_to_json(upstand_context *context,
                                    const upstand_plan *plan,
                                    char *buffer,
                                    size_t capacity,
                                    size_t *length);

// A sheet of the plan into `buffer`: `sheet` is a value of `upstand_sheet`, and `UPSTAND_BAD_ARGUMENT` is returned for
// any other number. All else as for `upstand_plan_to_json`.
//
// Requires:
// As for `upstand_plan_to_json`.
upstand_status upstand_plan_sheet(upstand_context *context,
                                  const upstand_plan *plan,
                                  uint32_t sheet,
                                  char *buffer,
                                  size_t capacity,
                                  size_t *length);

// How many there are of what the plan holds into `*summary`.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `summary` is NULL or may be
// written.
upstand_status upstand_plan_summarise(upstand_context *context,
                                      const upstand_plan *plan,
                                      upstand_plan_summary *summary);

// Holds what was really done against the plan of its job: `record` is a JSON document of `record_length` bytes that carries
// the job. Free the report with `upstand_report_free`.
//
// On failure the context keeps every problem of the record with its place.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `record` is NULL or can be read for `record_length`
// bytes; `report` is NULL or may be written.
upstand_status upstand_report_new(upstand_context *context,
                                  const char *record,
                                  size_t record_length,
                                  upstand_report **report);

// Frees a report. NULL is allowed and does nothing.
//
// Requires:
// `report` is NULL or comes from this library, was not freed, and no thread uses it.
void upstand_report_free(upstand_report *report);

// The report as JSON into `buffer`: the same bytes as from every other language. With `buffer` NULL only `*length` is
// written, the length without the final NUL; otherwise `capacity` must be at least that and one more.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `report` is NULL or live; `buffer` is NULL or may be
// written for `capacity` bytes; `length` is NULL or may be written.
upstand_status upstand_report_to_json(upstand_context *context,
                                      const upstand_report *report,
                                      char *buffer,
                                      size_t capacity,
                                      size_t *length);

// The report for a person to read and to sign into `buffer`. All else as for `upstand_report_to_json`.
//
// Requires:
// As for `upstand_report_to_json`.
upstand_status upstand_report_to_text(upstand_context *context,
                                      const upstand_report *report,
                                      char *buffer,
                                      size_t capacity,
                                      size_t *length);

// The runs of all roofs of a plan, roof by roof, into `runs`, which has room for `capacity` of them, and their number into
// `*count`. With `runs` NULL only `*count` is written: the capacity to ask for.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `plan` is NULL or live; `runs` is NULL or may be
// written for `capacity` items; `count` is NULL or may be written.
upstand_status upstand_plan_runs(upstand_context *context,
                                 const upstand_plan *plan,
                                 upstand_plan_run *runs,
                                 size_t capacity,
                                 size_t *count);

// The stable name of a status, such as "self_crossing"; "ok" for 0; NULL for a number that this version does not know.
//
// The text is static: it is never freed. Any thread may call this.
const char *upstand_status_slug(upstand_status status);

// One or two sentences on when a status occurs; NULL for a number that this version does not know.
//
// The text is static: it is never freed. Any thread may call this.
const char *upstand_status_meaning(upstand_status status);

// How many statuses there are, `UPSTAND_OK` among them.
//
// Any thread may call this.
size_t upstand_status_count(void);

// Status number `index`, from 0 in rising order; `UPSTAND_OK` for an index that is too large.
//
// Any thread may call this.
upstand_status upstand_status_at(size_t index);

// Adjusts a network of tape measurements, a JSON document of `network_length` bytes (`upstand/network/1`). Free the
// result with `upstand_adjusted_free`.
//
// On failure the context keeps what is wrong: `UPSTAND_BAD_MEASUREMENT`, `UPSTAND_FLOATING_POINT` where nothing holds a
// point, `UPSTAND_CLASH` where no positions come near.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `network` is NULL or can be read for `network_length`
// bytes; `adjusted` is NULL or may be written.
upstand_status upstand_adjusted_new(upstand_context *context,
                                    const char *network,
                                    size_t network_length,
                                    upstand_adjusted **adjusted);

// The result as JSON (`upstand/adjusted/1`) into `buffer`. With `buffer` NULL only `*length` is written.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `adjusted` is NULL or live; `buffer` is NULL or may be
// written for `capacity` bytes; `length` is NULL or may be written.
upstand_status upstand_adjusted_to_json(upstand_context *context,
                                        const upstand_adjusted *adjusted,
                                        char *buffer,
                                        size_t capacity,
                                        size_t *length);

// Frees a result. NULL is allowed and does nothing.
//
// Requires:
// `adjusted` is NULL or comes from this library, was not freed, and no thread uses it.
void upstand_adjusted_free(upstand_adjusted *adjusted);

// Closes a traverse that begins at the origin by the compass rule: `count` legs, each a length and an azimuth in
// degrees clockwise from +y. Writes the corners, beginning with the start, as x and y in turn (2 `count` numbers) to
// `corners_um`, which may be NULL to ask for `*corner_numbers` alone.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `lengths_um` and `azimuths_deg` are NULL or can be read
// for `count` items; `corners_um` is NULL or may be written for `capacity` items; `corner_numbers` is NULL or may be
// written.
upstand_status upstand_traverse_close(upstand_context *context,
                                      const int64_t *lengths_um,
                                      const double *azimuths_deg,
                                      size_t count,
                                      int64_t *corners_um,
                                      size_t capacity,
                                      size_t *corner_numbers);

// Reads a length in feet and inches, such as `12' 6 3/8"`, of `written_length` bytes, into `*length_um`.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `written` is NULL or can be read for `written_length`
// bytes; `length_um` is NULL or may be written.
upstand_status upstand_imperial_read(upstand_context *context,
                                     const char *written,
                                     size_t written_length,
                                     int64_t *length_um);

// Prints a length in feet, inches and a fraction of 1/`denominator` inch into `buffer`. With `buffer` NULL only
// `*length` is written.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `buffer` is NULL or may be written for `capacity` bytes;
// `length` is NULL or may be written.
upstand_status upstand_imperial_print(upstand_context *context,
                                      int64_t length_um,
                                      uint32_t denominator,
                                      char *buffer,
                                      size_t capacity,
                                      size_t *length);

// Falls, ponds and the ways of water on one roof whose corners have levels, as JSON into `buffer`; `null` where a corner has
// none. `roof` is a roof as it stands in a job, `levels` a JSON list of `{"at": [x, y], "level": z}` in millimetres, or NULL
// for none; both are of the lengths given in bytes. With `buffer` NULL only `*length` is written.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `roof` and `levels` are NULL or can be read for their
// lengths; `buffer` is NULL or may be written for `capacity` bytes; `length` is NULL or may be written.
upstand_status upstand_drain(upstand_context *context,
                             const char *roof,
                             size_t roof_length,
                             const char *levels,
                             size_t levels_length,
                             char *buffer,
                             size_t capacity,
                             size_t *length);

// The frost point of air of a temperature and a relative humidity, over liquid water, into `*frost_point_c`: where frost
// forms. It means something only below zero.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `frost_point_c` is NULL or may be written.
upstand_status upstand_frost_point(upstand_context *context,
                                   double air_c,
                                   double humidity_percent,
                                   double *frost_point_c);

// The dew point of air of a temperature and a relative humidity into `*dew_point_c`, over water also below zero.
//
// Requires:
// `context` is NULL or a live context that no other thread uses; `dew_point_c` is NULL or may be written.
upstand_status upstand_dew_point(upstand_context *context, double air_c, double humidity_percent, double *dew_point_c);

// The library's version, such as "0.1.0": equal to `UPSTAND_VERSION` of the header that it was built with.
//
// The text is static: it is never freed and stays valid as long as the library is loaded. Any thread may call this.
const char *upstand_version(void);

// `UPSTAND_ABI_VERSION` of the library that is loaded: compare it with the header's when loading at run time.
//
// Any thread may call this.
uint32_t upstand_abi_version(void);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* UPSTAND_H */
