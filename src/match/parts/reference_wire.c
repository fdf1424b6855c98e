/* Copper cable: resistance by IEC 60228 and lasting current by IEC 60364-5-52. */
#include "src/match/parts/reference.h"

/* Between two sizes a conductor of area A has the resistance of the next smaller size times the
 * ratio of areas: the maxima of the standard keep R A within a few per cent of constant. */
sw_status sw_cable_resistance(const char *reference_dir, double area_mm2, double *ohm_per_km,
                              sw_error *error) {
    sw_table table;
    double best_area = 0;
    double best_ohm = 0;
    sw_status status = sw_table_open(reference_dir, "wire_iec60228", &table, error);
    if (status != SW_OK)
        return status;
    for (size_t i = 0; status == SW_OK && i < sw_node_count(&table.list); i++) {
        sw_node row = sw_node_item(&table.list, i);
        double area = 0;
        double ohm = 0;
        status = sw_row_number(&row, "area", &area, error);
        if (status == SW_OK)
            status = sw_row_number(&row, "class_5", &ohm, error);
        if (i == 0 || area <= area_mm2 * (1 + 1e-9)) {
            best_area = area;
            best_ohm = ohm;
        }
    }
    sw_table_close(&table);
    *ohm_per_km = best_ohm * best_area / area_mm2;
    return status;
}

sw_status sw_cable_for_current(const char *reference_dir, double amps, double *area_mm2,
                               sw_error *error) {
    sw_table table;
    double current = 0;
    *area_mm2 = 0;
    sw_status status = sw_table_open(reference_dir, "wire_ampacity", &table, error);
    if (status != SW_OK)
        return status;
    for (size_t i = 0; status == SW_OK && !(current >= amps) && i < sw_node_count(&table.list);
         i++) {
        sw_node row = sw_node_item(&table.list, i);
        status = sw_row_number(&row, "area", area_mm2, error);
        if (status == SW_OK)
            status = sw_row_number(&row, "current", &current, error);
    }
    sw_table_close(&table);
    if (status == SW_OK && current < amps)
        return sw_fail(error, SW_VALUE, "no cable of the table carries %.3g A", amps);
    return status;
}
