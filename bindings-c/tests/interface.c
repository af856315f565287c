/* The promises of the C interface: statuses, nulls, buffers, ownership, threads. */
#undef NDEBUG
#include <assert.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "upstand.h"

static const char JOB[] = "{\"schema\": \"upstand/job/1\", \"roofs\": [{\"outer\": {\"points\": [[0, 0], [6000, 0], "
                          "[6000, 4000], [0, 4000]], \"kinds\": [\"drip\", \"open_side\", \"abutment\", "
                          "\"open_side\"]}}]}";
/* Two things are wrong with it, in two roofs. */
static const char BAD[] = "{\"schema\": \"upstand/job/1\", \"roofs\": [{\"outer\": {\"points\": [[0, 0], [1000, 0]], "
                          "\"kinds\": [\"drip\", \"drip\"]}}, {\"outer\": {\"points\": [[0, 0], [9000, 0], "
                          "[9000, 4000]], \"kinds\": [\"drip\"]}}]}";

static void versions(void) {
    assert(strcmp(upstand_version(), UPSTAND_VERSION) == 0);
    assert(upstand_abi_version() == UPSTAND_ABI_VERSION);
}

static void statuses(void) {
    assert(strcmp(upstand_status_slug(UPSTAND_OK), "ok") == 0);
    assert(strcmp(upstand_status_slug(UPSTAND_SELF_CROSSING), "self_crossing") == 0);
    assert(upstand_status_slug(9999) == NULL && upstand_status_meaning(9999) == NULL);
    for (size_t i = 0; i < upstand_status_count(); i++) {
        assert(strlen(upstand_status_slug(upstand_status_at(i))) > 0);
        assert(strlen(upstand_status_meaning(upstand_status_at(i))) > 0);
        assert(i == 0 || upstand_status_at(i) > upstand_status_at(i - 1));
    }
}

static void nulls(void) {
    upstand_context *context = upstand_context_new();
    upstand_plan *plan = NULL;
    upstand_cutting *cutting = NULL;
    upstand_cut_list *cut_list = NULL;
    upstand_cut_list_summary numbers;
    int64_t length_um = 1;
    size_t length = 0;
    upstand_status status = 0;

    upstand_context_free(NULL);
    upstand_plan_free(NULL);
    upstand_cutting_free(NULL);
    upstand_cut_list_free(NULL);
    assert(upstand_context_problem_count(NULL) == 0);
    assert(upstand_context_problem(NULL, 0, &status) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_context_message(NULL, 0, NULL, 0, &length) == UPSTAND_NULL_ARGUMENT);

    assert(upstand_plan_new(NULL, JOB, strlen(JOB), &plan) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_plan_new(context, NULL, 0, &plan) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_plan_new(context, JOB, strlen(JOB), NULL) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_plan_to_json(context, NULL, NULL, 0, &length) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_plan_summarise(context, NULL, NULL) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_job_check(context, NULL, 0) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_cutting_new(context, NULL) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_cutting_add_bars(context, NULL, &length_um, NULL, NULL, 1) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_cut_list_new(context, NULL, 0, 0, &cut_list) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_cut_list_summarise(context, NULL, &numbers) == UPSTAND_NULL_ARGUMENT);

    assert(upstand_cutting_new(context, &cutting) == UPSTAND_OK);
    assert(upstand_cutting_add_bars(context, cutting, NULL, NULL, NULL, 1) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_cutting_add_bars(context, cutting, NULL, NULL, NULL, 0) == UPSTAND_OK);
    /* A size product that overflows is refused before memory is read. */
    assert(upstand_cutting_add_runs(context, cutting, &length_um, NULL, NULL, SIZE_MAX / 2) == UPSTAND_TOO_LARGE);
    assert(upstand_cutting_set_rule(context, cutting, 99, 0) == UPSTAND_BAD_ARGUMENT);
    assert(upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_MINIMISE, 3) == UPSTAND_BAD_ARGUMENT);
    assert(upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_JOINT_COST, -1) == UPSTAND_BAD_ARGUMENT);
    assert(plan == NULL && cut_list == NULL);
    upstand_cutting_free(cutting);
    upstand_context_free(context);
}

static void problems(void) {
    upstand_context *context = upstand_context_new();
    upstand_plan *plan = NULL;
    upstand_status status = 0;
    size_t length = 77;
    char buffer[256];

    assert(upstand_plan_new(context, BAD, strlen(BAD), &plan) == UPSTAND_TOO_FEW_POINTS);
    assert(plan == NULL);
    assert(upstand_context_problem_count(context) == 2);
    assert(upstand_context_problem(context, 1, &status) == UPSTAND_OK && status == UPSTAND_KIND_COUNT);
    assert(upstand_context_path(context, 1, buffer, sizeof buffer, &length) == UPSTAND_OK);
    assert(strcmp(buffer, "/roofs/1/outer/kinds") == 0 && length == strlen(buffer));
    assert(upstand_context_message(context, 0, buffer, sizeof buffer, &length) == UPSTAND_OK && length > 10);
    assert(upstand_context_message(context, 2, buffer, sizeof buffer, &length) == UPSTAND_BAD_ARGUMENT);
    /* Reading problems does not clear them. */
    assert(upstand_context_problem_count(context) == 2);

    length = 77;
    memset(buffer, 'x', sizeof buffer);
    assert(upstand_context_path(context, 1, buffer, 20, &length) == UPSTAND_BUFFER_TOO_SMALL);
    assert(length == 77 && buffer[0] == 'x');
    assert(upstand_context_path(context, 1, NULL, 0, &length) == UPSTAND_OK && length == 20);
    assert(upstand_context_path(context, 1, buffer, 21, &length) == UPSTAND_OK);

    assert(upstand_job_check(context, BAD, strlen(BAD)) == UPSTAND_TOO_FEW_POINTS);
    assert(upstand_context_problem_count(context) == 2);
    assert(upstand_job_check(context, "\xff", 1) == UPSTAND_BAD_UTF8);
    assert(upstand_job_check(context, "", 0) == UPSTAND_BAD_JSON);
    assert(upstand_job_check(context, JOB, strlen(JOB)) == UPSTAND_OK);
    assert(upstand_context_problem_count(context) == 0);
    upstand_context_free(context);
}

/* Fixings, facets, notches and templates on other sheets. */
static void typed_fixings(upstand_context *context, const upstand_plan *plan, const upstand_plan_summary *summary) {
    size_t count = 0;
    size_t small = 0;
    size_t large = 0;
    uint64_t first = 0;
    upstand_fixing *fixings = NULL;
    upstand_facet_cut facets[16];
    upstand_notch_point points[64];

    assert(upstand_plan_fixings(context, NULL, NULL, 0, &count) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_plan_fixings(context, plan, NULL, 0, &count) == UPSTAND_OK && count > summary->runs);
    fixings = malloc(count * sizeof *fixings);
    assert(fixings != NULL);
    assert(upstand_plan_fixings(context, plan, fixings, count - 1, &count) == UPSTAND_BUFFER_TOO_SMALL);
    assert(upstand_plan_fixings(context, plan, fixings, count, &count) == UPSTAND_OK);
    for (size_t i = 0; i < count; i++) {
        assert(fixings[i].piece < summary->pieces && fixings[i].at_um > 0 && fixings[i].both <= 1);
        assert(fixings[i].leg == UPSTAND_LEG_DECK_FLANGE || fixings[i].leg == UPSTAND_LEG_FACE);
        first += fixings[i].turn == 0;
    }
    /* On every piece of trim one is driven first; battens have none. */
    assert(first > 0 && first <= summary->pieces);
    free(fixings);
    assert(upstand_plan_templates(context, plan, NULL, 0, &count) == UPSTAND_OK);
    for (size_t i = 0; i < count; i++) {
        size_t found = 0;
        assert(upstand_plan_facets(context, plan, i, facets, 16, &found) == UPSTAND_OK && found > 1);
        assert(facets[0].from_girth_um == 0 && facets[0].to_girth_um == facets[1].from_girth_um);
        assert(upstand_plan_notches(context, plan, i, points, 64, &found) == UPSTAND_OK);
    }
    assert(upstand_plan_facets(context, plan, count, facets, 16, &small) == UPSTAND_BAD_ARGUMENT);
    assert(upstand_plan_notches(context, plan, count, points, 64, &small) == UPSTAND_BAD_ARGUMENT);
    assert(upstand_plan_templates_svg(context, plan, UPSTAND_PAPER_A4, NULL, 0, &small) == UPSTAND_OK);
    assert(upstand_plan_templates_svg(context, plan, UPSTAND_PAPER_A0, NULL, 0, &large) == UPSTAND_OK);
    assert(small > 0 && large > 0);
    assert(upstand_plan_templates_svg(context, plan, 5, NULL, 0, &small) == UPSTAND_BAD_ARGUMENT);
}

/* The runs of a plan, and how each of their ends is cut and closed. */
static void typed_runs(upstand_context *context, const upstand_plan *plan, const upstand_plan_summary *summary) {
    size_t count = 0;
    uint64_t fixings = 0;
    upstand_plan_run *runs = NULL;

    assert(upstand_plan_runs(context, NULL, NULL, 0, &count) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_plan_runs(context, plan, NULL, 0, &count) == UPSTAND_OK && count == summary->runs);
    runs = malloc(count * sizeof *runs);
    assert(runs != NULL);
    assert(upstand_plan_runs(context, plan, runs, count - 1, &count) == UPSTAND_BUFFER_TOO_SMALL);
    assert(upstand_plan_runs(context, plan, runs, count, &count) == UPSTAND_OK);
    for (size_t i = 0; i < count; i++) {
        const upstand_run_end ends[2] = {runs[i].start, runs[i].end};

        assert(runs[i].line_um > 0 && runs[i].cut_um > 0 && runs[i].kind <= 2 && runs[i].over <= 1);
        assert(runs[i].beads >= runs[i].joints);
        fixings += runs[i].fixings;
        for (size_t k = 0; k < 2; k++) {
            assert(ends[k].cut <= UPSTAND_END_CUT_SKEW && ends[k].closing <= UPSTAND_CLOSING_CAP);
            assert(ends[k].gain_um >= ends[k].short_um);
            assert((ends[k].hand == UPSTAND_HAND_NONE) == (ends[k].gain_um == ends[k].short_um));
        }
        /* What is cut is what the ends add to the line, up to the next millimetre. */
        const int64_t spare = runs[i].cut_um - runs[i].line_um - ends[0].gain_um - ends[1].gain_um;
        assert(spare >= 0 && spare < 1000);
    }
    assert(fixings > 0);
    free(runs);
}

/* Pieces and end cuts of a plan without reading its JSON. */
static void typed_pieces(upstand_context *context, const upstand_plan *plan, const upstand_plan_summary *summary) {
    size_t count = 0;
    size_t mitres = 0;
    upstand_plan_piece *pieces = NULL;
    upstand_plan_template templates[16];
    upstand_plan_mark marks[16];

    assert(upstand_plan_pieces(context, NULL, NULL, 0, &count) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_plan_pieces(context, plan, NULL, 0, &count) == UPSTAND_OK && count == summary->pieces);
    pieces = malloc(count * sizeof *pieces);
    assert(pieces != NULL);
    assert(upstand_plan_pieces(context, plan, pieces, count - 1, &count) == UPSTAND_BUFFER_TOO_SMALL);
    assert(upstand_plan_pieces(context, plan, pieces, count, &count) == UPSTAND_OK);
    for (size_t i = 0; i < count; i++) {
        assert(pieces[i].length_um > 0 && pieces[i].bar > 0 && pieces[i].material <= 5);
        assert(pieces[i].material > 3 || pieces[i].run < summary->runs);
        assert(pieces[i].start.cut <= UPSTAND_CUT_LAP_OVER && pieces[i].end.cut <= UPSTAND_CUT_LAP_OVER);
        mitres += pieces[i].end.cut == UPSTAND_CUT_MITRE;
        assert((pieces[i].end.cut == UPSTAND_CUT_MITRE) == (pieces[i].end.hand != UPSTAND_HAND_NONE));
    }
    free(pieces);
    assert(upstand_plan_templates(context, plan, NULL, 0, &count) == UPSTAND_OK && count <= 16);
    assert(upstand_plan_templates(context, plan, templates, 16, &count) == UPSTAND_OK);
    for (size_t i = 0; i < count; i++) {
        size_t points = 0;
        assert(upstand_plan_marks(context, plan, i, NULL, 0, &points) == UPSTAND_OK && points <= 16);
        assert(upstand_plan_marks(context, plan, i, marks, 16, &points) == UPSTAND_OK);
        assert(marks[0].girth_um == 0 && points == templates[i].points);
        assert(templates[i].long_um >= templates[i].short_um && templates[i].cut <= UPSTAND_END_CUT_SKEW);
        assert((templates[i].cut == UPSTAND_END_CUT_RETURN) == (templates[i].fold_um != 0));
        assert(templates[i].cut == UPSTAND_END_CUT_MITRE || templates[i].notches > 0);
    }
    assert(upstand_plan_marks(context, plan, count, marks, 16, &count) == UPSTAND_BAD_ARGUMENT);
    (void)mitres;
    typed_runs(context, plan, summary);
    typed_fixings(context, plan, summary);
}

/* The mitre of two square trims by itself; sections and corners that are none. */
static void mitres(void) {
    static const char *const SECTION =
        "{\"points\": [[-85, 0], [27, 0], [27, -58], [21, -58]], \"deck_flange\": 0, \"face\": 1, \"thickness\": 1.8}";
    upstand_context *context = upstand_context_new();
    upstand_mitre_end end = {0};
    upstand_facet_cut facets[3];
    size_t count = 0;

    assert(upstand_mitre(context, SECTION, strlen(SECTION), 90, 0, 0, &end, NULL, 0, &count) == UPSTAND_OK && count == 3);
    assert(end.long_um == 27000 && end.short_um == -85000 && end.hand == UPSTAND_HAND_RIGHT);
    assert(upstand_mitre(context, SECTION, strlen(SECTION), 90, 0, 0, &end, facets, 2, &count) ==
           UPSTAND_BUFFER_TOO_SMALL);
    assert(upstand_mitre(context, SECTION, strlen(SECTION), 90, 0, 0, &end, facets, 3, &count) == UPSTAND_OK);
    /* The flange is cut at 45 degrees on the flat, the face square with the blade at 45. */
    assert(facets[0].leg == UPSTAND_LEG_DECK_FLANGE && facets[0].mitre_deg > 44.999 && facets[0].mitre_deg < 45.001);
    assert(facets[0].from_along_um == -85000 && facets[0].to_girth_um == 112000 && facets[0].to_along_um == 27000);
    assert(facets[1].leg == UPSTAND_LEG_FACE && facets[1].bevel_deg > 44.999 && facets[1].mitre_deg == 0);
    assert(facets[2].leg == UPSTAND_LEG_RETURN && facets[2].width_um == 6000);
    /* Where the edges fall the corner is sharper than in plan. */
    assert(upstand_mitre(context, SECTION, strlen(SECTION), 90, -0.025, 0.0125, &end, NULL, 0, &count) == UPSTAND_OK);
    assert(end.interior_deg > 89.98 && end.interior_deg < 89.99);
    end.long_um = 1;
    assert(upstand_mitre(context, SECTION, strlen(SECTION), 5, 0, 0, &end, NULL, 0, &count) == UPSTAND_BAD_CORNER);
    assert(upstand_mitre(context, SECTION, strlen(SECTION), 180, 0, 0, &end, NULL, 0, &count) == UPSTAND_BAD_CORNER);
    assert(upstand_mitre(context, SECTION, strlen(SECTION), 90, 2, 0, &end, NULL, 0, &count) == UPSTAND_BAD_CORNER);
    assert(upstand_mitre(context, "{", 1, 90, 0, 0, &end, NULL, 0, &count) == UPSTAND_BAD_JSON);
    assert(upstand_mitre(context, NULL, 0, 90, 0, 0, &end, NULL, 0, &count) == UPSTAND_NULL_ARGUMENT);
    assert(end.long_um == 1);
    upstand_context_free(context);
}

static void plans(void) {
    upstand_context *context = upstand_context_new();
    upstand_plan *plan = NULL;
    upstand_plan *again = NULL;
    upstand_plan_summary summary;
    size_t length = 0;
    char *json = NULL;
    char *json_again = NULL;

    assert(upstand_plan_new(context, JOB, strlen(JOB), &plan) == UPSTAND_OK);
    assert(upstand_plan_summarise(context, plan, &summary) == UPSTAND_OK);
    assert(summary.roofs == 1 && summary.runs == 4 && summary.pieces >= summary.runs);
    assert(upstand_plan_to_json(context, plan, NULL, 0, &length) == UPSTAND_OK);
    json = malloc(length + 1);
    json_again = malloc(length + 1);
    assert(json != NULL && json_again != NULL);
    assert(upstand_plan_to_json(context, plan, json, length, &length) == UPSTAND_BUFFER_TOO_SMALL);
    assert(upstand_plan_to_json(context, plan, json, length + 1, &length) == UPSTAND_OK);
    assert(strlen(json) == length);
    assert(upstand_plan_from_json(context, json, length, &again) == UPSTAND_OK);
    assert(upstand_plan_to_json(context, again, json_again, length + 1, &length) == UPSTAND_OK);
    assert(strcmp(json, json_again) == 0);
    assert(upstand_plan_from_json(context, JOB, strlen(JOB), &again) == UPSTAND_WRONG_SCHEMA);
    for (uint32_t sheet = UPSTAND_SHEET_PLAN; sheet <= UPSTAND_SHEET_CUT_LIST_TEXT; sheet++) {
        char *text = NULL;
        assert(upstand_plan_sheet(context, plan, sheet, NULL, 0, &length) == UPSTAND_OK && length > 100);
        text = malloc(length + 1);
        assert(text != NULL && upstand_plan_sheet(context, plan, sheet, text, length + 1, &length) == UPSTAND_OK);
        assert((strstr(text, "<svg") != NULL) == (sheet != UPSTAND_SHEET_CUT_LIST_TEXT));
        free(text);
    }
    assert(upstand_plan_sheet(context, plan, UPSTAND_SHEET_MAT + 1, NULL, 0, &length) == UPSTAND_BAD_ARGUMENT);
    typed_pieces(context, plan, &summary);
    free(json);
    free(json_again);
    upstand_plan_free(plan);
    upstand_plan_free(again);
    upstand_context_free(context);
}

/* 5.95 m is two bars of 3 m that lap by 50 mm, to the micrometre; one micrometre more takes a third. */
static void cut_lists(void) {
    upstand_context *context = upstand_context_new();
    const int64_t bar = 3000000;
    for (int more = 0; more < 2; more++) {
        upstand_cutting *cutting = NULL;
        upstand_cut_list *cut_list = NULL;
        upstand_cut_list_summary summary;
        const int64_t run = 5950000 + more;
        const uint8_t bad_flag = 2;
        const uint64_t quantity = 7;
        size_t length = 0;

        assert(upstand_cutting_new(context, &cutting) == UPSTAND_OK);
        assert(upstand_cutting_add_bars(context, cutting, &bar, NULL, NULL, 1) == UPSTAND_OK);
        assert(upstand_cutting_add_runs(context, cutting, &run, NULL, &bad_flag, 1) == UPSTAND_BAD_ARGUMENT);
        assert(upstand_cutting_add_runs(context, cutting, &run, &quantity, NULL, 1) == UPSTAND_OK);
        assert(upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_LAP, 50000) == UPSTAND_OK);
        assert(upstand_cut_list_new(context, cutting, 0, -1.0, &cut_list) == UPSTAND_BAD_OPTION);
        assert(cut_list == NULL);
        assert(upstand_cut_list_new(context, cutting, 0, 0.0, &cut_list) == UPSTAND_OK);
        assert(upstand_cut_list_summarise(context, cut_list, &summary) == UPSTAND_OK);
        assert(summary.bars >= 14 + (uint64_t)more && summary.bound_bars <= summary.bars);
        assert(summary.pieces == summary.joints + quantity);
        assert(more == 1 || summary.joints == 7);
        assert(upstand_cut_list_to_json(context, cut_list, NULL, 0, &length) == UPSTAND_OK && length > 100);
        /* What was written passes its check; with one number changed it does not, and the context says where. */
        char *json = malloc(length + 1);
        assert(json != NULL && upstand_cut_list_to_json(context, cut_list, json, length + 1, &length) == UPSTAND_OK);
        assert(upstand_cut_list_check(context, cutting, json, length) == UPSTAND_OK);
        char *joints = strstr(json, "\"joint_count\":");
        assert(joints != NULL);
        joints += strlen("\"joint_count\":");
        *joints = *joints == '1' ? '2' : '1';
        assert(upstand_cut_list_check(context, cutting, json, length) == UPSTAND_WRONG_CUT_LIST);
        assert(upstand_context_problem_count(context) == 1);
        char path[32];
        size_t path_length = 0;
        assert(upstand_context_path(context, 0, path, sizeof path, &path_length) == UPSTAND_OK);
        assert(strcmp(path, "/joint_count") == 0);
        assert(upstand_cut_list_check(context, cutting, json, length - 1) == UPSTAND_BAD_JSON);
        assert(upstand_cut_list_check(context, NULL, json, length) == UPSTAND_NULL_ARGUMENT);
        free(json);
        upstand_cutting_free(cutting);
        upstand_bar bars[32];
        upstand_piece pieces[64];
        size_t bar_count = 0;
        size_t piece_count = 0;
        uint64_t bars_made = 0;
        int64_t made_um = 0;
        assert(upstand_cut_list_bars(context, cut_list, NULL, 0, &bar_count) == UPSTAND_OK && bar_count > 0);
        assert(upstand_cut_list_bars(context, cut_list, bars, bar_count - 1, &piece_count) == UPSTAND_BUFFER_TOO_SMALL);
        assert(piece_count == 0);
        assert(upstand_cut_list_bars(context, cut_list, bars, 32, &bar_count) == UPSTAND_OK);
        assert(upstand_cut_list_pieces(context, cut_list, pieces, 64, &piece_count) == UPSTAND_OK);
        for (size_t i = 0; i < bar_count; i++) {
            int64_t used_um = bars[i].offcut_um;
            bars_made += bars[i].times;
            assert(bars[i].kind == 0 && bars[i].length_um == bar);
            assert(bars[i].first_piece + bars[i].piece_count <= piece_count);
            for (uint64_t j = 0; j < bars[i].piece_count; j++) {
                const upstand_piece *piece = &pieces[bars[i].first_piece + j];
                assert(piece->run == 0 && piece->part < piece->parts);
                used_um += piece->length_um;
                made_um += (int64_t)bars[i].times * piece->length_um;
            }
            assert(used_um == bar);
        }
        assert(bars_made == summary.bars);
        /* Runs and laps together are what is cut; a lap may be longer than the least. */
        assert(made_um >= (int64_t)quantity * run + (int64_t)summary.joints * 50000);
        upstand_cut_list_free(cut_list);
    }
    upstand_context_free(context);
}

static int32_t count_to(const upstand_progress *progress, void *user) {
    int *left = user;
    assert(progress->bound <= progress->best && progress->steps > 0);
    return --*left <= 0;
}

/* A search that is watched answers the same; one that is ended answers with a bound. */
static void watches(void) {
    upstand_context *context = upstand_context_new();
    upstand_cutting *cutting = NULL;
    upstand_cut_list *cut_list = NULL;
    const int64_t bar = 10000000;
    const uint8_t whole = 0;
    assert(upstand_cutting_new(context, &cutting) == UPSTAND_OK);
    assert(upstand_cutting_add_bars(context, cutting, &bar, NULL, NULL, 1) == UPSTAND_OK);
    for (int64_t i = 0; i < 150; i++) {
        const int64_t run = 1500000 + i * 7919 % 1811 * 1871;
        assert(upstand_cutting_add_runs(context, cutting, &run, NULL, &whole, 1) == UPSTAND_OK);
    }
    upstand_cut_list_summary summary[2];
    int left[2] = {1000000, 1};
    for (int i = 0; i < 2; i++) {
        assert(upstand_cut_list_new_watched(context, cutting, 1, 0.0, count_to, &left[i], &cut_list) == UPSTAND_OK);
        assert(upstand_cut_list_summarise(context, cut_list, &summary[i]) == UPSTAND_OK);
        assert(summary[i].bound_bars <= summary[i].bars);
        upstand_cut_list_free(cut_list);
    }
    assert(left[0] < 1000000 && left[1] == 0);
    assert(summary[1].bars >= summary[0].bars && summary[1].bound_bars <= summary[0].bound_bars);
    assert(upstand_cut_list_new_watched(context, cutting, 1, 0.0, NULL, NULL, &cut_list) == UPSTAND_NULL_ARGUMENT);
    upstand_cutting_free(cutting);
    upstand_context_free(context);
}

/* Three runs of 2 m from bars of 3 m: two bars and a joint, or three bars and none. */
static void trade_offs(void) {
    static const char PROBLEM[] = "{\"schema\": \"upstand/cutting/1\", \"bars\": [{\"length\": 3000}], "
                                  "\"runs\": [{\"length\": 2000, \"quantity\": 3}]}";
    upstand_context *context = upstand_context_new();
    upstand_cutting *cutting = NULL;
    upstand_cut_list *choices[3] = {NULL, NULL, NULL};
    uint8_t proven[3] = {9, 9, 9};
    size_t count = 99;
    upstand_cut_list_summary summary;
    assert(upstand_cutting_from_json(context, PROBLEM, strlen(PROBLEM), &cutting) == UPSTAND_OK);
    assert(upstand_cut_list_trade_offs(context, cutting, 0, 0.0, choices, proven, 3, &count) == UPSTAND_OK);
    assert(count == 2 && choices[2] == NULL && proven[0] == 1 && proven[1] == 1 && proven[2] == 9);
    for (size_t i = 0; i < count; i++) {
        assert(upstand_cut_list_summarise(context, choices[i], &summary) == UPSTAND_OK);
        assert(summary.bars == 2 + i && summary.joints == 1 - i);
        upstand_cut_list_free(choices[i]);
    }
    assert(upstand_cut_list_trade_offs(context, cutting, 0, 0.0, choices, NULL, 1, &count) == UPSTAND_OK && count == 1);
    upstand_cut_list_free(choices[0]);
    count = 99;
    assert(upstand_cut_list_trade_offs(context, cutting, 0, 0.0, NULL, NULL, 1, &count) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_cut_list_trade_offs(context, cutting, 0, 0.0, choices, NULL, 0, &count) == UPSTAND_BUFFER_TOO_SMALL);
    assert(upstand_cut_list_trade_offs(context, cutting, 0, -1.0, choices, NULL, 1, &count) == UPSTAND_BAD_OPTION);
    assert(count == 99);
    upstand_cutting_free(cutting);
    upstand_context_free(context);
}

/* One cutting problem solved by several threads at once, each with a context of its own. */
static void *solve(void *cutting) {
    upstand_context *context = upstand_context_new();
    upstand_cut_list *cut_list = NULL;
    size_t length = 0;
    char *json = NULL;
    assert(upstand_cut_list_new(context, cutting, 0, 0.0, &cut_list) == UPSTAND_OK);
    assert(upstand_cut_list_to_json(context, cut_list, NULL, 0, &length) == UPSTAND_OK);
    json = malloc(length + 1);
    assert(json != NULL && upstand_cut_list_to_json(context, cut_list, json, length + 1, &length) == UPSTAND_OK);
    upstand_cut_list_free(cut_list);
    upstand_context_free(context);
    return json;
}

static void threads(void) {
    static const char PROBLEM[] = "{\"schema\": \"upstand/cutting/1\", \"bars\": [{\"length\": 3000}], "
                                  "\"runs\": [{\"length\": 4100, \"quantity\": 5}], \"rules\": {\"lap\": 50}}";
    upstand_context *context = upstand_context_new();
    upstand_cutting *cutting = NULL;
    pthread_t thread[4];
    void *json[4];
    assert(upstand_cutting_from_json(context, PROBLEM, 3, &cutting) == UPSTAND_BAD_JSON && cutting == NULL);
    assert(upstand_cutting_from_json(context, PROBLEM, strlen(PROBLEM), &cutting) == UPSTAND_OK);
    for (int i = 0; i < 4; i++) {
        assert(pthread_create(&thread[i], NULL, solve, cutting) == 0);
    }
    for (int i = 0; i < 4; i++) {
        assert(pthread_join(thread[i], &json[i]) == 0);
        assert(strcmp(json[0], json[i]) == 0);
    }
    for (int i = 0; i < 4; i++) {
        free(json[i]);
    }
    upstand_cutting_free(cutting);
    upstand_context_free(context);
}

/* What is read on site. */
static void surveys(void) {
    static const char LOOSE[] = "{\"schema\": \"upstand/network/1\", \"outline\": [\"A\", \"B\", \"C\", \"D\"], "
                                "\"measurements\": [{\"distance\": {\"from\": \"A\", \"to\": \"B\", \"length\": 1000}}]}";
    upstand_context *context = upstand_context_new();
    upstand_adjusted *adjusted = NULL;
    char text[32];
    size_t length = 0, numbers = 0;
    int64_t length_um = 7, corners[8];
    double dew_c = 0.0;

    upstand_adjusted_free(NULL);
    assert(upstand_adjusted_new(context, LOOSE, strlen(LOOSE), &adjusted) == UPSTAND_FLOATING_POINT);
    assert(upstand_adjusted_new(context, NULL, 0, &adjusted) == UPSTAND_NULL_ARGUMENT && adjusted == NULL);
    assert(upstand_adjusted_to_json(context, NULL, NULL, 0, &length) == UPSTAND_NULL_ARGUMENT);

    /* One inch is 25.4 mm: 12 feet 6 3/8 inches. */
    assert(upstand_imperial_read(context, "12' 6 3/8\"", 10, &length_um) == UPSTAND_OK && length_um == 3819525);
    assert(upstand_imperial_read(context, "six feet", 8, &length_um) == UPSTAND_BAD_MEASUREMENT && length_um == 3819525);
    assert(upstand_imperial_print(context, length_um, 16, text, sizeof text, &length) == UPSTAND_OK);
    assert(strcmp(text, "12' 6 3/8\"") == 0 && length == strlen(text));
    assert(upstand_imperial_print(context, length_um, 0, text, sizeof text, &length) == UPSTAND_BAD_ARGUMENT);

    const int64_t lengths[] = {6000000, 4000000, 6010000, 4000000};
    const double azimuths[] = {90.0, 0.0, 270.0, 180.0};
    assert(upstand_traverse_close(context, lengths, azimuths, 4, corners, 8, &numbers) == UPSTAND_OK && numbers == 8);
    assert(corners[0] == 0 && corners[2] > 6002990 && corners[2] < 6003010);
    assert(upstand_traverse_close(context, lengths, azimuths, 2, corners, 8, &numbers) == UPSTAND_BAD_MEASUREMENT);
    assert(upstand_traverse_close(context, lengths, azimuths, 4, corners, 7, &numbers) == UPSTAND_BUFFER_TOO_SMALL);

    /* psychrolib 2.5.0: 9.272 degrees. */
    assert(upstand_dew_point(context, 20.0, 50.0, &dew_c) == UPSTAND_OK && dew_c > 9.22 && dew_c < 9.32);
    assert(upstand_dew_point(context, 20.0, 0.0, &dew_c) == UPSTAND_BAD_READING);
    assert(upstand_dew_point(context, 20.0, 50.0, NULL) == UPSTAND_NULL_ARGUMENT);
    assert(upstand_frost_point(context, 0.01, 50.0, &dew_c) == UPSTAND_OK && dew_c > -8.2 && dew_c < -8.1);
    assert(upstand_frost_point(context, -60.0, 50.0, &dew_c) == UPSTAND_BAD_READING);

    static const char roof[] =
        "{\"outer\": {\"points\": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], \"levels\": [0, 0, 60, 60],"
        " \"kinds\": [\"drip\", \"open_side\", \"abutment\", \"open_side\"]}}";
    static const char hollow[] = "[{\"at\": [2000, 1500], \"level\": -20}]";
    char drained[4096];
    size_t drained_length = 0;
    assert(upstand_drain(context, roof, strlen(roof), hollow, strlen(hollow), drained, sizeof drained, &drained_length)
        == UPSTAND_OK);
    assert(strstr(drained, "\"depth\":20") != NULL);
    assert(upstand_drain(context, roof, strlen(roof), NULL, 0, NULL, 0, &drained_length) == UPSTAND_OK);
    assert(drained_length > 0);
    assert(upstand_drain(context, roof, strlen(roof), "[1]", 3, drained, sizeof drained, &drained_length)
        == UPSTAND_BAD_VALUE);
    assert(upstand_drain(context, roof, strlen(roof), "[", 1, drained, sizeof drained, &drained_length)
        == UPSTAND_BAD_JSON);
    assert(upstand_drain(context, NULL, 0, NULL, 0, drained, sizeof drained, &drained_length)
        == UPSTAND_NULL_ARGUMENT);
    upstand_context_free(context);
}

int main(void) {
    versions();
    statuses();
    nulls();
    problems();
    plans();
    mitres();
    cut_lists();
    surveys();
    watches();
    trade_offs();
    threads();
    puts("interface: all checks passed");
    return 0;
}
