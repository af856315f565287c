/* Plans a roof: reads a job file, prints what came of it, writes the plan as JSON.
 *
 *     plan_roof JOB.json [PLAN.json]
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

#include "upstand.h"

/* The whole file, or NULL. */
static char *read_file(const char *name, size_t *length) {
    FILE *file = fopen(name, "rb");
    char *text = NULL;
    long size = 0;
    if (file == NULL) {
        return NULL;
    }
    if (fseek(file, 0, SEEK_END) == 0 && (size = ftell(file)) >= 0 && fseek(file, 0, SEEK_SET) == 0 &&
        (text = malloc((size_t)size + 1)) != NULL) {
        *length = fread(text, 1, (size_t)size, file);
        if (*length != (size_t)size) {
            free(text);
            text = NULL;
        }
    }
    fclose(file);
    return text;
}

/* Prints every problem that the last call met. */
static void print_problems(const upstand_context *context) {
    size_t count = upstand_context_problem_count(context);
    for (size_t i = 0; i < count; i++) {
        char path[256] = "";
        char message[512] = "";
        size_t length = 0;
        upstand_status status = UPSTAND_OK;
        upstand_context_problem(context, i, &status);
        upstand_context_path(context, i, path, sizeof path, &length);
        upstand_context_message(context, i, message, sizeof message, &length);
        fprintf(stderr, "%s: %s [%s]\n", path, message, upstand_status_slug(status));
    }
}

/* Writes the plan's JSON to a file. */
static int write_plan(upstand_context *context, const upstand_plan *plan, const char *name) {
    size_t length = 0;
    char *json = NULL;
    FILE *file = NULL;
    int written = 0;
    if (upstand_plan_to_json(context, plan, NULL, 0, &length) != UPSTAND_OK || (json = malloc(length + 1)) == NULL) {
        return 0;
    }
    if (upstand_plan_to_json(context, plan, json, length + 1, &length) == UPSTAND_OK &&
        (file = fopen(name, "wb")) != NULL) {
        written = fwrite(json, 1, length, file) == length;
        written = fclose(file) == 0 && written;
    }
    free(json);
    return written;
}

int main(int argc, char **argv) {
    if (argc < 2 || argc > 3) {
        fprintf(stderr, "usage: %s JOB.json [PLAN.json]\n", argv[0]);
        return 2;
    }
    size_t length = 0;
    char *job = read_file(argv[1], &length);
    if (job == NULL) {
        fprintf(stderr, "%s cannot be read\n", argv[1]);
        return 2;
    }
    upstand_context *context = upstand_context_new();
    upstand_plan *plan = NULL;
    upstand_plan_summary summary;
    int failed = 1;
    if (upstand_plan_new(context, job, length, &plan) != UPSTAND_OK ||
        upstand_plan_summarise(context, plan, &summary) != UPSTAND_OK) {
        print_problems(context);
    } else {
        printf("%" PRIu64 " roofs, %" PRIu64 " runs, %" PRIu64 " pieces from %" PRIu64 " bars, %" PRIu64
               " joints, %" PRIu64 " strips of mat, %" PRIu64 " findings\n",
               summary.roofs, summary.runs, summary.pieces, summary.bars, summary.joints, summary.strips,
               summary.findings);
        failed = argc == 3 && !write_plan(context, plan, argv[2]);
        if (failed) {
            fprintf(stderr, "%s cannot be written\n", argv[2]);
        }
    }
    upstand_plan_free(plan);
    upstand_context_free(context);
    free(job);
    return failed;
}
