/* What a saved match predicts, read back for a comparison. */
#include "src/match/compare/compare.h"

#include "shared/json_read.h"

#include <math.h>
#include <stdlib.h>

static sw_status read_list(const sw_node *curve, const char *key, double *out, size_t *count,
                           sw_error *error) {
    double *list = NULL;
    size_t found = 0;
    sw_status status = sw_node_need(curve, key, "[0, 12.5, 40]", error);
    if (status == SW_OK)
        status = sw_node_numbers(curve, key, &list, &found, error);
    if (status != SW_OK)
        return status;
    bool fits = found >= 2 && found <= SW_COMPARE_POINT_LIMIT;
    bool same = *count == 0 || found == *count;
    for (size_t i = 0; fits && i < found; i++)
        out[i] = list[i];
    free(list);
    if (!fits)
        return sw_node_fail(curve, key, error, SW_VALUE, "found %zu values, expected 2 to %d",
                            found, SW_COMPARE_POINT_LIMIT);
    if (!same)
        return sw_node_fail(curve, key, error, SW_MISMATCH,
                            "found %zu values, expected %zu, one for each wind speed", found,
                            *count);
    *count = found;
    return SW_OK;
}

static sw_status read_recommended(const sw_node *top, sw_prediction *it, sw_error *error) {
    sw_node recommended = {0};
    sw_node drive = {0};
    sw_node sure = {0};
    sw_quantity energy = sw_quantity_unknown();
    double ratio = NAN;
    double creep = 0;
    sw_status status = sw_node_object(top, "recommended", &recommended, error);
    if (status != SW_OK || recommended.json == NULL)
        return status;
    status = sw_node_quantity(&recommended, "annual_energy", "kWh", &energy, error);
    if (status == SW_OK)
        status = sw_node_object(&recommended, "drive", &drive, error);
    if (status == SW_OK && drive.json != NULL) {
        status = sw_node_number(&drive, "ratio", 1e-3, 1e4, &ratio, error);
        if (status == SW_OK)
            status = sw_node_number(&drive, "creep", 0, 1, &creep, error);
    }
    it->ratio = ratio * (1 - creep);
    if (energy.value > 0 && energy.u > 0)
        it->u_relative = energy.u / energy.value;
    if (status == SW_OK)
        status = sw_node_object(top, "how_sure", &sure, error);
    if (status == SW_OK && sure.json != NULL)
        status = sw_node_number(&sure, "power_u", 0, 10, &it->u_relative, error);
    return status;
}

static sw_status read_prediction(const sw_node *top, sw_prediction *it, sw_error *error) {
    sw_node curve = {0};
    sw_quantity density = sw_quantity_unknown();
    sw_status status = sw_node_expect_document(top, "match", error);
    if (status == SW_OK)
        status = sw_node_object(top, "power_curve", &curve, error);
    if (status == SW_OK && curve.json == NULL)
        return sw_node_fail(top, "power_curve", error, SW_MISSING_KEY,
                            "this match predicts nothing, so there is nothing to compare with");
    if (status == SW_OK)
        status = read_list(&curve, "wind", it->wind_m_s, &it->points, error);
    if (status == SW_OK)
        status = read_list(&curve, "rotor_speed", it->rotor_rpm, &it->points, error);
    if (status == SW_OK)
        status = read_list(&curve, "dc_power", it->watts, &it->points, error);
    if (status == SW_OK)
        status = read_recommended(top, it, error);
    if (status == SW_OK)
        status = sw_node_quantity(top, "air_density", "kg/m3", &density, error);
    it->density = density.value;
    if (status == SW_OK)
        status = sw_node_number(top, "pole_pairs", 1, 1000, &it->pole_pairs, error);
    return status;
}

sw_status sw_prediction_read(const char *path, const sw_units *units, sw_prediction *prediction,
                             sw_error *error) {
    cJSON *root = NULL;
    *prediction = (sw_prediction){
        .u_relative = 0.2, .density = NAN, .ratio = NAN, .pole_pairs = NAN}; /* u as of Cp */
    sw_status status = sw_json_read(path, &root, error);
    if (status == SW_OK) {
        sw_node top = sw_node_top(root, path, units);
        status = read_prediction(&top, prediction, error);
    }
    cJSON_Delete(root);
    return status;
}
