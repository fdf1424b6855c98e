/* Rotor kind "curve": the builder's own list of power coefficient over tip-speed ratio. */
#include "src/match/rotor/rotor_set.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ANGLE_LIMIT = 72 };

static const char *const KEYS[] = {"curve", "static_torque_coefficient", NULL};

static const char *const RATIO = "tip_speed_ratio";
static const char *const POWER = "power_coefficient";

/* Factor of the unit stated for a column of plain numbers: "1" or "%". */
static sw_status unit_factor(const sw_node *curve, const char *column, double *factor,
                             sw_error *error) {
    static const char *const WORDS[] = {"1", "%", NULL};
    static const char *const COLUMNS[] = {"tip_speed_ratio", "power_coefficient", NULL};
    sw_node units;
    int word = 0;
    sw_status status = sw_node_object(curve, "units", &units, error);
    if (status == SW_OK && units.json != NULL)
        status = sw_node_allow(&units, COLUMNS, error);
    if (status == SW_OK && units.json != NULL)
        status = sw_node_word(&units, column, WORDS, &word, error);
    *factor = word == 1 ? 0.01 : 1.0;
    return status;
}

static sw_status read_point(const sw_node *item, double power_factor, sw_curve_point *point,
                            sw_error *error) {
    static const char *const COLUMNS[] = {"tip_speed_ratio", "power_coefficient", NULL};
    sw_status status = sw_node_allow(item, COLUMNS, error);
    if (status == SW_OK)
        status = sw_node_need(item, RATIO, "0.8", error);
    if (status == SW_OK)
        status = sw_node_need(item, POWER, "0.2", error);
    if (status == SW_OK)
        status = sw_node_number(item, RATIO, 0, 30, &point->tip_speed_ratio, error);
    if (status == SW_OK)
        status = sw_node_number(item, POWER, -300, 100, &point->power_coefficient, error);
    point->power_coefficient *= power_factor;
    return status;
}

static sw_status read_points(const sw_node *curve, sw_curve_point **points, size_t *count,
                             sw_error *error) {
    static const char *const CURVE_KEYS[] = {"units", "list", NULL};
    sw_node list = {0};
    double factor = 1;
    double ratio_factor = 1;
    sw_status status = sw_node_allow(curve, CURVE_KEYS, error);
    if (status == SW_OK)
        status = sw_node_need(curve, "list", "[{\"tip_speed_ratio\": 0.8, ...}]", error);
    if (status == SW_OK)
        status = unit_factor(curve, POWER, &factor, error);
    if (status == SW_OK)
        status = unit_factor(curve, RATIO, &ratio_factor, error);
    if (status == SW_OK)
        status = sw_node_array(curve, "list", &list, error);
    *count = sw_node_count(&list);
    if (status == SW_OK && *count > SW_CURVE_POINT_LIMIT)
        return sw_node_fail(&list, NULL, error, SW_VALUE, "found %zu points, expected at most %d",
                            *count, SW_CURVE_POINT_LIMIT);
    *points = status == SW_OK ? calloc(*count + 1, sizeof **points) : NULL;
    if (status == SW_OK && *points == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory", curve->file);
    for (size_t i = 0; status == SW_OK && i < *count; i++) {
        sw_node item = sw_node_item(&list, i);
        status = read_point(&item, factor, &(*points)[i], error);
        (*points)[i].tip_speed_ratio *= ratio_factor;
    }
    return status;
}

/* A number is the coefficient at the worst angle; a list covers one turn in even steps. */
static sw_status read_static(const sw_node *node, sw_rotor *rotor, sw_error *error) {
    static const char *const KEY = "static_torque_coefficient";
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(node->json, KEY);
    double *list = NULL;
    size_t count = 0;
    double worst = 0;
    if (cJSON_IsArray(item)) {
        sw_status status = sw_node_numbers(node, KEY, &list, &count, error);
        if (status == SW_OK && (count < 2 || count > ANGLE_LIMIT))
            status = sw_node_fail(node, KEY, error, SW_VALUE, "found %zu angles, expected 2 to %d",
                                  count, ANGLE_LIMIT);
        if (status == SW_OK)
            sw_rotor_add_turn(rotor, 0, list, count);
        free(list);
        return status;
    }
    sw_status status = sw_node_number(node, KEY, -1, 3, &worst, error);
    if (status == SW_OK && sw_node_has(node, KEY))
        sw_rotor_add_static(rotor, 0, worst, worst);
    return status;
}

static sw_status read_curve(const sw_node *node, const char *reference_dir, sw_rotor *rotor,
                            sw_error *error) {
    sw_node curve = {0};
    sw_curve_point *points = NULL;
    size_t count = 0;
    (void)reference_dir;
    /* A curve whose uncertainty is stated was measured; one without may be copied from anywhere. */
    rotor->power_guessed = !sw_node_has(node, "power_coefficient_u");
    sw_status status = sw_rotor_read_size(node, rotor, error);
    if (status == SW_OK)
        status = sw_node_need(node, "curve", "{\"list\": [...]}", error);
    if (status == SW_OK)
        status = sw_node_object(node, "curve", &curve, error);
    if (status == SW_OK)
        status = read_static(node, rotor, error);
    if (status == SW_OK)
        status = read_points(&curve, &points, &count, error);
    if (status == SW_OK)
        status = sw_rotor_add_curve(rotor, &curve, 0, points, count, NAN, error);
    free(points);
    return status;
}

const sw_rotor_reader SW_ROTOR_READER_CURVE = {"curve", KEYS, read_curve};
