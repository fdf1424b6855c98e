#include "src/match/search/rejected.h"

#include <stdlib.h>

const char *sw_rejection_name(sw_rejection why) {
    static const char *const NAMES[] = {
        [SW_REJECTED_NOT] = "none",          [SW_REJECTED_NO_POWER] = "no_power",
        [SW_REJECTED_GRIP] = "grip",         [SW_REJECTED_CURRENT] = "current_limit",
        [SW_REJECTED_SPEED] = "speed_limit", [SW_REJECTED_START] = "start_by",
        [SW_REJECTED_VOLTS] = "input_volts", [SW_REJECTED_HEAT] = "winding_heat"};
    return NAMES[why];
}

typedef struct sized {
    double wheel_mm;
    sw_rejection why;
} sized;

static int by_size(const void *a, const void *b) {
    double x = ((const sized *)a)->wheel_mm;
    double y = ((const sized *)b)->wheel_mm;
    return (x > y) - (x < y);
}

size_t sw_rejected_list(const sw_search *search, size_t electrical,
                        sw_rejected_row row[SW_REJECTED_LIMIT]) {
    sized list[SW_GEAR_LIMIT];
    size_t sizes = 0;
    size_t rows = 0;
    for (size_t i = 0; i < search->choices && sizes < SW_GEAR_LIMIT; i++) {
        const sw_choice *it = &search->choice[i];
        if (it->electrical == electrical && it->drive.kind->pressed)
            list[sizes++] = (sized){it->gear.wheel_mm, it->rejection};
    }
    qsort(list, sizes, sizeof *list, by_size);
    for (size_t i = 0; i < sizes; i++) {
        bool same = i > 0 && list[i].why == list[i - 1].why;
        if (list[i].why == SW_REJECTED_NOT)
            continue;
        if (!same && rows == SW_REJECTED_LIMIT)
            break;
        if (!same)
            row[rows++] = (sw_rejected_row){list[i].why, list[i].wheel_mm, list[i].wheel_mm, 0};
        row[rows - 1].to_mm = list[i].wheel_mm;
        row[rows - 1].sizes++;
    }
    return rows;
}

/* Choices are sorted, so the first one met of an option is its best. */
static const sw_choice *best_of(const sw_search *search, size_t electrical) {
    for (size_t i = 0; i < search->choices; i++)
        if (search->choice[i].electrical == electrical)
            return &search->choice[i];
    return NULL;
}

size_t sw_rejected_ways(const sw_search *search, sw_rejected_way way[SW_ELECTRICAL_LIMIT]) {
    size_t ways = 0;
    for (size_t i = 0; i < search->electricals; i++) {
        const sw_choice *best = best_of(search, i);
        if (best == NULL && search->electrical[i].why_not[0] != '\0')
            way[ways++] = (sw_rejected_way){i, SW_REJECTED_NOT};
        else if (best != NULL && best->rejection != SW_REJECTED_NOT)
            way[ways++] = (sw_rejected_way){i, best->rejection};
    }
    return ways;
}
