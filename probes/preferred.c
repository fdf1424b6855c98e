#include "probes/preferred.h"

#include "shared/table.h"

#include <math.h>
#include <stdlib.h>

static sw_status read_row(const sw_node *row, sw_preferred *series, sw_error *error) {
    double percent = 0;
    double *values = NULL;
    size_t count = 0;
    sw_status status = sw_node_number(row, "tolerance", 0, 100, &percent, error);
    if (status == SW_OK)
        status = sw_node_numbers(row, "values", &values, &count, error);
    if (status == SW_OK && (count == 0 || count > SW_PREFERRED_LIMIT))
        status = sw_node_fail(row, "values", error, SW_VALUE, "found %zu values, expected 1 to %d",
                              count, SW_PREFERRED_LIMIT);
    for (size_t i = 0; status == SW_OK && i < count; i++)
        series->value[i] = values[i];
    series->count = count;
    series->tolerance = percent / 100;
    free(values);
    return status;
}

sw_status sw_preferred_read(const char *reference_dir, const char *name, sw_preferred *series,
                            sw_error *error) {
    sw_table table;
    sw_node row;
    *series = (sw_preferred){0};
    sw_status status = sw_table_find(reference_dir, "e_series", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    status = read_row(&row, series, error);
    sw_table_close(&table);
    return status;
}

/* Members of the decades around wanted, in ascending order; -1 before the first at or above. */
static double member(const sw_preferred *series, double decade, int index) {
    int count = (int)series->count;
    if (index < 0)
        return series->value[count - 1] * decade / 10;
    return index < count ? series->value[index] * decade : series->value[0] * decade * 10;
}

/* Index of the largest member not above wanted within its decade (the unit of value is decade). */
static int place(const sw_preferred *series, double wanted, double *decade) {
    *decade = pow(10, floor(log10(wanted * (1 + 1e-9))) - 1);
    int index = -1;
    for (int i = 0; i < (int)series->count; i++)
        if (series->value[i] * *decade <= wanted * (1 + 1e-9))
            index = i;
    return index;
}

double sw_preferred_below(const sw_preferred *series, double wanted) {
    double decade = 0;
    int index = place(series, wanted, &decade);
    return member(series, decade, index);
}

double sw_preferred_above(const sw_preferred *series, double wanted) {
    double decade = 0;
    int index = place(series, wanted, &decade);
    double below = member(series, decade, index);
    return below >= wanted * (1 - 1e-9) ? below : member(series, decade, index + 1);
}
