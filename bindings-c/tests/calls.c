/* Cutting problems told by numbers, good and bad: the lines that Rust and Python build through their interfaces too.
 *
 *     calls cutting_calls.csv
 *
 * Fails at the first line that is not answered as it says, and where a cut list passes its check with a number changed.
 */
#undef NDEBUG
#include <assert.h>
#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "upstand.h"

enum { NAME, BAR, AVAILABLE, LAP, FIRST, STEP, KINDS, QUANTITY, MAY_JOIN, NODES, CODE, PATH, BARS, JOINTS, BOUND, PROVEN };

static const char *called = "nothing";

static void expect(int holds, const char *what) {
    if (!holds) {
        fprintf(stderr, "%s: %s\n", called, what);
        exit(1);
    }
}

/* Cuts a line into its fields, in place. */
static void split(char *line, char *fields[16]) {
    line[strcspn(line, "\r\n")] = '\0';
    for (int i = 0; i < 16; i++) {
        fields[i] = line;
        char *comma = strchr(line, ',');
        expect((comma != NULL) == (i < 15), "a line of 16 fields is needed");
        if (comma != NULL) {
            *comma = '\0';
            line = comma + 1;
        }
    }
}

static upstand_status build(upstand_context *context, upstand_cutting *cutting, char *fields[16]) {
    const int64_t bar = strtoll(fields[BAR], NULL, 10);
    const int64_t first = strtoll(fields[FIRST], NULL, 10), step = strtoll(fields[STEP], NULL, 10);
    const uint64_t available = strtoull(fields[AVAILABLE], NULL, 10);
    const size_t kinds = (size_t)strtoull(fields[KINDS], NULL, 10);
    int64_t *lengths = malloc((kinds + 1) * sizeof *lengths);
    uint64_t *quantities = malloc((kinds + 1) * sizeof *quantities);
    uint8_t *may_join = malloc(kinds + 1);
    assert(lengths != NULL && quantities != NULL && may_join != NULL);
    for (size_t i = 0; i < kinds; i++) {
        lengths[i] = first + (int64_t)i * step;
        quantities[i] = strtoull(fields[QUANTITY], NULL, 10);
        may_join[i] = fields[MAY_JOIN][0] == '1';
    }
    const uint64_t *on_hand = fields[AVAILABLE][0] == '-' ? NULL : &available;
    upstand_status status = upstand_cutting_add_bars(context, cutting, &bar, NULL, on_hand, 1);
    if (status == UPSTAND_OK) {
        status = upstand_cutting_add_runs(context, cutting, lengths, quantities, may_join, kinds);
    }
    if (status == UPSTAND_OK) {
        status = upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_LAP, strtoll(fields[LAP], NULL, 10));
    }
    free(lengths);
    free(quantities);
    free(may_join);
    return status;
}

static char *json_of(upstand_context *context, const upstand_cut_list *cut_list, size_t *length) {
    assert(upstand_cut_list_to_json(context, cut_list, NULL, 0, length) == UPSTAND_OK);
    char *json = malloc(*length + 1);
    assert(json != NULL && upstand_cut_list_to_json(context, cut_list, json, *length + 1, length) == UPSTAND_OK);
    return json;
}

/* What every answer owes, however soon its search ended. */
static void honest(upstand_context *context, const upstand_cutting *cutting, const upstand_cut_list *cut_list) {
    upstand_cut_list_summary summary;
    size_t length = 0;
    assert(upstand_cut_list_summarise(context, cut_list, &summary) == UPSTAND_OK);
    expect(summary.bound_bars <= summary.bars && summary.bound_cost <= summary.cost, "a bound above the answer");
    expect(summary.proven == (summary.bound_cost == summary.cost && summary.bound_joints == summary.joints),
           "proven without a bound that says so");
    char *json = json_of(context, cut_list, &length);
    expect(upstand_cut_list_check(context, cutting, json, length) == UPSTAND_OK, "the check refuses the answer");
    free(json);
}

static void refused(upstand_context *context, upstand_status status, char *fields[16]) {
    char path[64];
    size_t length = 0;
    expect(strcmp(upstand_status_slug(status), fields[CODE]) == 0, upstand_status_slug(status));
    assert(upstand_context_path(context, 0, path, sizeof path, &length) == UPSTAND_OK);
    expect(strcmp(path, fields[PATH]) == 0, path);
}

static void call(upstand_context *context, char *line) {
    char *fields[16];
    split(line, fields);
    called = fields[NAME];
    upstand_cutting *cutting = NULL;
    upstand_cut_list *cut_list = NULL;
    const uint64_t nodes = strtoull(fields[NODES], NULL, 10);
    assert(upstand_cutting_new(context, &cutting) == UPSTAND_OK);
    expect(build(context, cutting, fields) == UPSTAND_OK, "cannot be built");
    /* Next to no time: an error is the same error, and an answer is an honest one. */
    upstand_status status = upstand_cut_list_new(context, cutting, 0, 1e-9, &cut_list);
    if (status == UPSTAND_OK) {
        expect(strcmp(fields[CODE], "ok") == 0, "an error is expected");
        honest(context, cutting, cut_list);
        upstand_cut_list_free(cut_list);
        cut_list = NULL;
    } else {
        refused(context, status, fields);
    }
    /* No nodes cannot be said in C, where 0 is the library's own choice. */
    if (nodes > 0 && status == UPSTAND_OK) {
        upstand_cut_list_summary summary;
        char found[128];
        assert(upstand_cut_list_new(context, cutting, nodes, 0.0, &cut_list) == UPSTAND_OK);
        honest(context, cutting, cut_list);
        assert(upstand_cut_list_summarise(context, cut_list, &summary) == UPSTAND_OK);
        snprintf(found, sizeof found, "%" PRIu64 " bars, %" PRIu64 " joints, bound %" PRIu64 ", proven %" PRIu64,
                 summary.bars, summary.joints, summary.bound_bars, summary.proven);
        expect(summary.bars == strtoull(fields[BARS], NULL, 10) && summary.joints == strtoull(fields[JOINTS], NULL, 10) &&
                   summary.bound_bars == strtoull(fields[BOUND], NULL, 10) &&
                   summary.proven == strtoull(fields[PROVEN], NULL, 10),
               found);
        upstand_cut_list_free(cut_list);
    } else if (nodes > 0) {
        refused(context, upstand_cut_list_new(context, cutting, nodes, 0.0, &cut_list), fields);
    }
    upstand_cutting_free(cutting);
}

/* Adds one to each number of a cut list in turn: no such list passes its check. */
static void corruptions(upstand_context *context) {
    static const char PROBLEM[] =
        "{\"schema\": \"upstand/cutting/1\", \"bars\": [{\"length\": 3000, \"cost\": 30}, {\"length\": 1700, "
        "\"cost\": 0, \"available\": 2}], \"runs\": [{\"length\": 1650}, {\"length\": 2900}, {\"length\": 4100, "
        "\"quantity\": 2}], \"rules\": {\"lap\": 50, \"kerf\": 3, \"least_piece\": 300}}";
    called = "corruptions";
    upstand_cutting *cutting = NULL;
    upstand_cut_list *cut_list = NULL;
    size_t length = 0;
    int tried = 0;
    assert(upstand_cutting_from_json(context, PROBLEM, strlen(PROBLEM), &cutting) == UPSTAND_OK);
    assert(upstand_cut_list_new(context, cutting, 0, 0.0, &cut_list) == UPSTAND_OK);
    char *json = json_of(context, cut_list, &length);
    char *spoilt = malloc(length + 32);
    assert(spoilt != NULL);
    const char *nodes = strstr(json, "\"nodes\":");
    for (size_t at = 1; at < length; at++) {
        if (!isdigit((unsigned char)json[at]) || strchr(":[", json[at - 1]) == NULL) {
            if (!isdigit((unsigned char)json[at]) || json[at - 1] != ',') {
                continue;
            }
        }
        /* The number of nodes is a report of work, not a claim. */
        if (nodes != NULL && json + at == nodes + strlen("\"nodes\":") && json[at] != '0') {
            continue;
        }
        char *end = NULL;
        const unsigned long long number = strtoull(json + at, &end, 10);
        const int head = snprintf(spoilt, length + 32, "%.*s%llu", (int)at, json, number + 1);
        assert(head > 0);
        strcpy(spoilt + head, end);
        const upstand_status status = upstand_cut_list_check(context, cutting, spoilt, strlen(spoilt));
        expect(status == UPSTAND_WRONG_CUT_LIST, spoilt);
        assert(upstand_context_problem_count(context) > 0);
        tried++;
    }
    expect(tried > 60, "too few numbers were changed");
    free(spoilt);
    free(json);
    upstand_cut_list_free(cut_list);
    upstand_cutting_free(cutting);
}

/* Counts and pointers that make no sense. */
static void arguments(upstand_context *context) {
    called = "arguments";
    upstand_cutting *cutting = NULL;
    upstand_cut_list *cut_list = NULL;
    const int64_t length_um = 3000000;
    assert(upstand_cutting_new(context, &cutting) == UPSTAND_OK);
    assert(upstand_cutting_add_runs(context, cutting, NULL, NULL, NULL, 1) == UPSTAND_NULL_ARGUMENT);
    /* A count below zero arrives as one that no memory holds. */
    assert(upstand_cutting_add_bars(context, cutting, &length_um, NULL, NULL, (size_t)-1) == UPSTAND_TOO_LARGE);
    assert(upstand_cutting_add_runs(context, cutting, &length_um, NULL, NULL, (size_t)-3) == UPSTAND_TOO_LARGE);
    assert(upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_MOST_JOINTS, -1) == UPSTAND_BAD_ARGUMENT);
    assert(upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_MOST_JOINTS, INT64_MAX) == UPSTAND_BAD_ARGUMENT);
    assert(upstand_cutting_add_runs(context, cutting, &length_um, NULL, NULL, 1) == UPSTAND_OK);
    assert(upstand_cut_list_new(context, cutting, 0, 0.0, &cut_list) == UPSTAND_UNCUTTABLE);
    assert(upstand_cutting_add_bars(context, cutting, &length_um, NULL, NULL, 1) == UPSTAND_OK);
    const double zero = 0.0;
    assert(upstand_cut_list_new(context, cutting, 0, zero / zero, &cut_list) == UPSTAND_BAD_OPTION);
    assert(upstand_cut_list_new(context, cutting, 0, 1.0 / zero, &cut_list) == UPSTAND_BAD_OPTION);
    assert(upstand_cut_list_new(context, cutting, 0, -1e-9, &cut_list) == UPSTAND_BAD_OPTION);
    assert(upstand_cut_list_new(context, cutting, 1, 0.0, NULL) == UPSTAND_NULL_ARGUMENT);
    assert(cut_list == NULL);
    upstand_cutting_free(cutting);
}

int main(int argc, char **argv) {
    FILE *file = argc == 2 ? fopen(argv[1], "r") : NULL;
    char line[512];
    int lines = 0;
    expect(file != NULL, "a file is needed: cutting_calls.csv");
    upstand_context *context = upstand_context_new();
    assert(fgets(line, sizeof line, file) != NULL);
    while (fgets(line, sizeof line, file) != NULL) {
        call(context, line);
        lines++;
    }
    fclose(file);
    expect(lines > 30, "too few lines");
    corruptions(context);
    arguments(context);
    upstand_context_free(context);
    printf("calls: %d lines, all checks passed\n", lines);
    return 0;
}
