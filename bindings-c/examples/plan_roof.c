/* Plans a roof: reads a job file, prints what came of it, writes the plan as JSON and draws it.
 *
 *     plan_roof JOB.json PLAN.json PLAN.svg
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

/* Writes a text that the library hands over: first its length, then the text itself. */
static int write_text(upstand_context *context, const upstand_plan *plan, int as_json, const char *name) {
    size_t length = 0;
    char *text = NULL;
    FILE *file = NULL;
    int written = 0;
    for (int ask = 0; ask < 2; ask++) {
        size_t capacity = text == NULL ? 0 : length + 1;
        upstand_status status =
            as_json ? upstand_plan_to_json(context, plan, text, capacity, &length)
                    : upstand_plan_sheet(context, plan, UPSTAND_SHEET_PLAN, text, capacity, &length);
        if (status != UPSTAND_OK || (text == NULL && (text = malloc(length + 1)) == NULL)) {
            free(text);
            return 0;
        }
    }
    if ((file = fopen(name, "wb")) != NULL) {
        written = fwrite(text, 1, length, file) == length;
        written = fclose(file) == 0 && written;
    }
    free(text);
    return written;
}

int main(int argc, char **argv) {
    if (argc != 4) {
        fprintf(stderr, "usage: %s JOB.json PLAN.json PLAN.svg\n", argv[0]);
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
        failed = !write_text(context, plan, 1, argv[2]) || !write_text(context, plan, 0, argv[3]);
        if (failed) {
            fprintf(stderr, "%s or %s cannot be written\n", argv[2], argv[3]);
        }
    }
    upstand_plan_free(plan);
    upstand_context_free(context);
    free(job);
    return failed;
}
