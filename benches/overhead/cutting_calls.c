/* Times calls of the cutting engine through C: what src/bin/cutting_calls.rs does in Rust. */
#include <inttypes.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "upstand.h"

static uint64_t now(void) {
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (uint64_t)time.tv_sec * 1000000000u + (uint64_t)time.tv_nsec;
}

static uint64_t call(upstand_context *context, const int64_t *lengths, const uint8_t *may_join, size_t count, int64_t lap) {
    const int64_t bar = 3000000;
    upstand_cutting *cutting = NULL;
    upstand_cut_list *cut_list = NULL;
    upstand_cut_list_summary summary;
    memset(&summary, 0, sizeof summary);
    if (upstand_cutting_new(context, &cutting) == UPSTAND_OK &&
        upstand_cutting_add_bars(context, cutting, &bar, NULL, NULL, 1) == UPSTAND_OK &&
        upstand_cutting_add_runs(context, cutting, lengths, NULL, may_join, count) == UPSTAND_OK &&
        upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_LAP, lap) == UPSTAND_OK &&
        upstand_cut_list_new(context, cutting, 0, 0.0, &cut_list) == UPSTAND_OK) {
        (void)upstand_cut_list_summarise(context, cut_list, &summary);
    }
    upstand_cut_list_free(cut_list);
    upstand_cutting_free(cutting);
    return summary.bars;
}

int main(int argc, char **argv) {
    static char line[1 << 16];
    static int64_t lengths[4096];
    static uint8_t may_join[4096];
    FILE *file = argc == 3 ? fopen(argv[1], "r") : NULL;
    if (file == NULL) {
        fputs("usage: cutting_calls FILE REPEATS\n", stderr);
        return 1;
    }
    upstand_context *context = upstand_context_new();
    while (fgets(line, sizeof line, file) != NULL) {
        size_t count = 0;
        char *at = line;
        const int64_t lap = strtoll(at, &at, 10);
        const int64_t join = strtoll(at, &at, 10);
        while (count < 4096 && *at != '\0' && *at != '\n') {
            may_join[count] = (uint8_t)(join == 1);
            lengths[count++] = strtoll(at, &at, 10);
        }
        uint64_t least = UINT64_MAX;
        for (int i = 0; i < atoi(argv[2]); i++) {
            const uint64_t begun = now();
            const uint64_t bars = call(context, lengths, may_join, count, lap);
            const uint64_t took = now() - begun;
            if (bars == 0) {
                fputs("no answer\n", stderr);
                return 1;
            }
            least = took < least ? took : least;
        }
        printf("%" PRIu64 "\n", least);
    }
    fclose(file);
    upstand_context_free(context);
    return 0;
}
