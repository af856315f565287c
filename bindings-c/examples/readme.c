/* The README's program. Lengths are in micrometres. */
#include <inttypes.h>
#include <stdio.h>

#include <upstand.h>

int main(void)
{
    const int64_t bar = 3000000, runs[] = {5950000, 4200000, 4200000, 1800000, 900000};
    upstand_context *context = upstand_context_new();
    upstand_cutting *cutting = NULL;
    upstand_cut_list *list = NULL;
    upstand_cut_list_summary found = {0};
    int failed = upstand_cutting_new(context, &cutting) != UPSTAND_OK
        || upstand_cutting_add_bars(context, cutting, &bar, NULL, NULL, 1) != UPSTAND_OK
        || upstand_cutting_add_runs(context, cutting, runs, NULL, NULL, 5) != UPSTAND_OK
        || upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_LAP, 50000) != UPSTAND_OK
        || upstand_cutting_set_rule(context, cutting, UPSTAND_RULE_LEAST_PIECE, 300000) != UPSTAND_OK
        || upstand_cut_list_new(context, cutting, 1000000, 0.0, &list) != UPSTAND_OK
        || upstand_cut_list_summarise(context, list, &found) != UPSTAND_OK;
    if (!failed) {
        printf("%" PRIu64 " bars, %" PRIu64 " joints; no list has fewer than %" PRIu64 "\n", found.bars, found.joints,
            found.bound_bars);
    }
    upstand_cut_list_free(list);
    upstand_cutting_free(cutting);
    upstand_context_free(context);
    return failed;
}
