/* The vectors that Rust, Python and C share, one a call:
 *
 *     vectors plan NAME.job.json NAME.plan.json|NAME.errors.json
 *     vectors adjust NAME.network.json NAME.adjusted.json|NAME.errors.json
 *     vectors cutting NAME.cutting.json NAME.cut_list.json|NAME.errors.json
 *     vectors record NAME.record.json NAME.report.json|NAME.errors.json
 *     vectors codes codes.json
 *
 * Fails unless the answer is the second file, byte for byte.
 */
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "upstand.h"

typedef struct {
    char *bytes;
    size_t length;
} text;

static void fail(const char *what, const char *name) {
    fprintf(stderr, "%s: %s\n", name, what);
    exit(1);
}

static text read_file(const char *name) {
    text whole = {NULL, 0};
    FILE *file = fopen(name, "rb");
    if (file == NULL) {
        fail("cannot be read", name);
    }
    for (;;) {
        char *bytes = realloc(whole.bytes, whole.length + 65536);
        if (bytes == NULL) {
            fail("does not fit into memory", name);
        }
        whole.bytes = bytes;
        size_t got = fread(bytes + whole.length, 1, 65536, file);
        whole.length += got;
        if (got == 0) {
            fclose(file);
            return whole;
        }
    }
}

/* Adds formatted text, of less than 1024 bytes at a time. */
static void add(text *whole, const char *format, ...) {
    char piece[1024];
    va_list arguments;
    va_start(arguments, format);
    int length = vsnprintf(piece, sizeof piece, format, arguments);
    va_end(arguments);
    char *bytes = realloc(whole->bytes, whole->length + sizeof piece);
    if (length < 0 || (size_t)length >= sizeof piece || bytes == NULL) {
        fail("too long", piece);
    }
    memcpy(bytes + whole->length, piece, (size_t)length);
    whole->bytes = bytes;
    whole->length += (size_t)length;
}

/* Every problem of the last call, as the vectors write them. */
static text problems(const upstand_context *context) {
    text whole = {NULL, 0};
    for (size_t i = 0; i < upstand_context_problem_count(context); i++) {
        upstand_status status = UPSTAND_OK;
        char path[512];
        size_t length = 0;
        if (upstand_context_problem(context, i, &status) != UPSTAND_OK ||
            upstand_context_path(context, i, path, sizeof path, &length) != UPSTAND_OK) {
            fail("a problem cannot be read", "context");
        }
        add(&whole, "%s{\"code\":\"%s\",\"number\":%lu,\"path\":\"%s\"}", i == 0 ? "[" : ",",
            upstand_status_slug(status), (unsigned long)status, path);
    }
    add(&whole, "]\n");
    return whole;
}

/* Asks for the length, then for the text: both calls must agree. */
#define FETCH(call, handle)                                                                       \
    do {                                                                                          \
        if (call(context, handle, NULL, 0, &answer.length) != UPSTAND_OK ||                       \
            (answer.bytes = malloc(answer.length + 1)) == NULL ||                                 \
            call(context, handle, answer.bytes, answer.length + 1, &answer.length) != UPSTAND_OK) \
            fail("no text", #call);                                                               \
    } while (0)

static text plan(upstand_context *context, text job) {
    text answer = {NULL, 0};
    upstand_plan *plan = NULL;
    if (upstand_plan_new(context, job.bytes, job.length, &plan) != UPSTAND_OK) {
        return problems(context);
    }
    FETCH(upstand_plan_to_json, plan);
    upstand_plan_free(plan);
    return answer;
}

static text adjusted(upstand_context *context, text network) {
    text answer = {NULL, 0};
    upstand_adjusted *adjusted = NULL;
    if (upstand_adjusted_new(context, network.bytes, network.length, &adjusted) != UPSTAND_OK) {
        return problems(context);
    }
    FETCH(upstand_adjusted_to_json, adjusted);
    upstand_adjusted_free(adjusted);
    return answer;
}

static text report(upstand_context *context, text record) {
    text answer = {NULL, 0};
    upstand_report *report = NULL;
    if (upstand_report_new(context, record.bytes, record.length, &report) != UPSTAND_OK) {
        return problems(context);
    }
    FETCH(upstand_report_to_text, report);
    free(answer.bytes);
    FETCH(upstand_report_to_json, report);
    upstand_report_free(report);
    return answer;
}

static text cutting(upstand_context *context, text problem) {
    text answer = {NULL, 0};
    upstand_cutting *cutting = NULL;
    upstand_cut_list *cut_list = NULL;
    if (upstand_cutting_from_json(context, problem.bytes, problem.length, &cutting) != UPSTAND_OK ||
        upstand_cut_list_new(context, cutting, 0, 0.0, &cut_list) != UPSTAND_OK) {
        answer = problems(context);
        upstand_cutting_free(cutting);
        return answer;
    }
    FETCH(upstand_cut_list_to_json, cut_list);
    upstand_cut_list_free(cut_list);
    upstand_cutting_free(cutting);
    return answer;
}

static text codes(void) {
    text answer = {NULL, 0};
    for (size_t i = 1; i < upstand_status_count(); i++) {
        upstand_status status = upstand_status_at(i);
        add(&answer, "%s  {\"code\": \"%s\", \"number\": %lu}", i == 1 ? "[\n" : ",\n", upstand_status_slug(status),
            (unsigned long)status);
    }
    add(&answer, "\n]\n");
    return answer;
}

int main(int argc, char **argv) {
    text answer = {NULL, 0};
    text input = {NULL, 0};
    upstand_context *context = upstand_context_new();
    if (argc == 3 && strcmp(argv[1], "codes") == 0) {
        answer = codes();
    } else if (argc == 4) {
        input = read_file(argv[2]);
        if (strcmp(argv[1], "plan") == 0) {
            answer = plan(context, input);
        } else if (strcmp(argv[1], "adjust") == 0) {
            answer = adjusted(context, input);
        } else if (strcmp(argv[1], "record") == 0) {
            answer = report(context, input);
        } else {
            answer = cutting(context, input);
        }
    } else {
        fail("see the head of vectors.c", "usage");
    }
    const char *name = argv[argc - 1];
    text expected = read_file(name);
    if (answer.length != expected.length || memcmp(answer.bytes, expected.bytes, expected.length) != 0) {
        fail("differs from what C answers", name);
    }
    upstand_context_free(context);
    free(answer.bytes);
    free(input.bytes);
    free(expected.bytes);
    return 0;
}
