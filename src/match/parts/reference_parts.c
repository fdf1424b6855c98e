/* Tables of mechanical and electrical parts: wheels, friction pairs, batteries, diodes, drag,
 * roughness, touch limits. Each accessor opens its table, reads one row strictly and closes. */
#include "src/match/parts/reference.h"

#include <math.h>
#include <stdlib.h>

static int by_diameter(const void *left, const void *right) {
    double a = ((const sw_stock_wheel *)left)->diameter_mm;
    double b = ((const sw_stock_wheel *)right)->diameter_mm;
    return (a > b) - (a < b);
}

static sw_status read_wheel(const sw_node *row, sw_stock_wheel *wheel, sw_error *error) {
    *wheel = (sw_stock_wheel){.bore_mm = NAN};
    sw_row_name(row, wheel->name);
    sw_status status = sw_row_number(row, "diameter", &wheel->diameter_mm, error);
    if (status == SW_OK)
        status = sw_row_number(row, "tolerance", &wheel->tolerance_mm, error);
    if (status == SW_OK)
        status = sw_node_number(row, "bore", 0, 1000, &wheel->bore_mm, error);
    if (status == SW_OK)
        status = sw_node_flag(row, "pneumatic", &wheel->pneumatic, error);
    return status;
}

sw_status sw_stock_wheels(const char *reference_dir, sw_stock_wheel **wheels, size_t *count,
                          sw_error *error) {
    sw_table table;
    *wheels = NULL;
    *count = 0;
    sw_status status = sw_table_open(reference_dir, "wheels", &table, error);
    if (status != SW_OK)
        return status;
    size_t rows = sw_node_count(&table.list);
    sw_stock_wheel *list = calloc(rows, sizeof *list);
    if (list == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory");
    for (size_t i = 0; status == SW_OK && i < rows; i++) {
        sw_node row = sw_node_item(&table.list, i);
        status = read_wheel(&row, &list[i], error);
    }
    sw_table_close(&table);
    if (status != SW_OK) {
        free(list);
        return status;
    }
    qsort(list, rows, sizeof *list, by_diameter);
    *wheels = list;
    *count = rows;
    return SW_OK;
}

sw_status sw_friction_pair(const char *reference_dir, const char *name, sw_friction *friction,
                           sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status = sw_table_find(reference_dir, "friction", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    sw_row_name(&row, friction->name);
    status = sw_row_range(&row, "dry", friction->dry, error);
    if (status == SW_OK)
        status = sw_row_range(&row, "wet", friction->wet, error);
    if (status == SW_OK)
        status = sw_row_range(&row, "rolling_arm", friction->rolling_arm_mm, error);
    if (status == SW_OK)
        status = sw_row_range(&row, "creep", friction->creep, error);
    if (status == SW_OK)
        status = sw_row_range(&row, "stiffness", friction->stiffness_n_mm, error);
    sw_table_close(&table);
    return status;
}

sw_status sw_bearing_find(const char *reference_dir, const char *name, sw_bearing *bearing,
                          sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status = sw_table_find(reference_dir, "bearings", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    sw_row_name(&row, bearing->name);
    status = sw_row_number(&row, "dynamic", &bearing->dynamic_n, error);
    sw_table_close(&table);
    return status;
}

sw_status sw_safety_find(const char *reference_dir, const char *name, sw_safety_limit *limit,
                         sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status = sw_table_find(reference_dir, "safety", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    status = sw_row_number(&row, "ac", &limit->ac_v, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "dc", &limit->dc_v, error);
    sw_table_close(&table);
    return status;
}

sw_status sw_battery_find(const char *reference_dir, const char *name, sw_battery_kind *kind,
                          sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status = sw_table_find(reference_dir, "battery", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    sw_row_name(&row, kind->name);
    status = sw_row_number(&row, "nominal", &kind->nominal_v, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "empty", &kind->empty_v, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "rest", &kind->rest_v, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "full", &kind->full_v, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "resistance_times_size", &kind->ohm_ah, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "charge_per_hour", &kind->charge_per_hour, error);
    sw_table_close(&table);
    return status;
}

sw_status sw_diode_rating_find(const char *reference_dir, const char *name, sw_diode_rating *rating,
                               sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status = sw_table_find(reference_dir, "diodes", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    *rating = (sw_diode_rating){NAN, NAN, NAN, NAN};
    status = sw_node_number(&row, "current", 0, 1e5, &rating->current_a, error);
    if (status == SW_OK)
        status = sw_node_number(&row, "inverse", 0, 1e5, &rating->inverse_v, error);
    if (status == SW_OK)
        status = sw_node_number(&row, "heat", 0, 1e3, &rating->heat_k_w, error);
    if (status == SW_OK)
        status = sw_node_number(&row, "junction", 0, 1e3, &rating->junction_degc, error);
    sw_table_close(&table);
    return status;
}

sw_status sw_roughness_find(const char *reference_dir, const char *name, sw_roughness *roughness,
                            sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status = sw_table_find(reference_dir, "roughness", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    sw_row_name(&row, roughness->name);
    status = sw_row_number(&row, "length", &roughness->length_m, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "exponent", &roughness->exponent, error);
    sw_table_close(&table);
    return status;
}

sw_status sw_drag_find(const char *reference_dir, const char *shape, sw_drag_pair *drag,
                       sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status =
        sw_table_find(reference_dir, "drag_coefficients", shape, &table, &row, error);
    if (status != SW_OK)
        return status;
    status = sw_row_number(&row, "front", &drag->front, error);
    if (status == SW_OK)
        status = sw_row_number(&row, "back", &drag->back, error);
    sw_table_close(&table);
    return status;
}
