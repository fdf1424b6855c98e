/* The magnet ring in a motor document: lists with their units declared once. */
#include "shared/json_write.h"
#include "shared/motor_parts.h"

#include <math.h>
#include <stdlib.h>

static void add_list(cJSON *object, const char *key, const double *values, int count) {
    cJSON *list = cJSON_AddArrayToObject(object, key);
    for (int i = 0; i < count; i++)
        cJSON_AddItemToArray(list, sw_json_number(values[i]));
}

static void add_weak(cJSON *object, const sw_magnet_ring *ring) {
    cJSON *weak = cJSON_AddObjectToObject(object, "weak");
    sw_json_add_quantity(weak, "lack", ring->weak_lack);
    cJSON_AddNumberToObject(weak, "places", ring->weak_count);
    cJSON *poles = cJSON_AddArrayToObject(weak, "poles");
    for (int i = 0; i < ring->weak_count && i < SW_RING_WEAK_LIMIT; i++)
        cJSON_AddItemToArray(poles, cJSON_CreateNumber(ring->weak_pole[i] + 1));
}

static void add_known(cJSON *object, const char *key, double value) {
    if (isfinite(value))
        sw_json_add_number(object, key, value);
}

void sw_magnet_ring_write(cJSON *root, const sw_magnet_ring *ring) {
    if (ring->poles == 0) {
        cJSON_AddNullToObject(root, "magnet_ring");
        return;
    }
    cJSON *object = cJSON_AddObjectToObject(root, "magnet_ring");
    cJSON *units = cJSON_AddObjectToObject(object, "units");
    cJSON_AddStringToObject(units, "strength", "1");
    cJSON_AddStringToObject(units, "strength_u", "1");
    cJSON_AddStringToObject(units, "placement", "deg");
    cJSON_AddStringToObject(units, "placement_u", "deg");
    cJSON_AddStringToObject(units, "first", "deg");
    sw_json_add_number(object, "turns", ring->turns);
    cJSON_AddBoolToObject(object, "from_mark", ring->from_mark);
    sw_json_add_number(object, "first", ring->first_deg);
    cJSON_AddNumberToObject(object, "repeats", ring->repeats);
    if (isfinite(ring->visible_share)) {
        sw_json_add_number(object, "visible_share", ring->visible_share);
        sw_json_add_number(object, "smallest_weak", ring->smallest_weak);
        add_known(object, "magnet_spread", ring->magnet_spread);
        add_known(object, "magnet_spread_u", ring->magnet_spread_u);
        add_known(object, "spoiled", ring->spoiled);
        add_known(object, "one_side", ring->one_side);
        add_known(object, "one_side_u", ring->one_side_u);
    }
    if (ring->weak_count > 0)
        add_weak(object, ring);
    add_list(object, "strength", ring->strength, ring->poles);
    add_list(object, "strength_u", ring->strength_u, ring->poles);
    add_list(object, "placement", ring->placement_deg, ring->poles);
    add_list(object, "placement_u", ring->placement_u_deg, ring->poles);
}

/* A list of as many numbers as there are poles; the first list tells how many. */
static sw_status read_list(const sw_node *ring_node, const char *key, double low, double high,
                           double *values, int *poles, sw_error *error) {
    sw_node list;
    sw_status status = sw_node_array(ring_node, key, &list, error);
    if (status != SW_OK)
        return status;
    size_t count = list.json == NULL ? 0 : sw_node_count(&list);
    if (*poles == 0 && count % 2 == 0 && count <= SW_RING_POLE_LIMIT)
        *poles = (int)count;
    if (count == 0 || count != (size_t)*poles)
        return sw_node_fail(ring_node, key, error, SW_VALUE,
                            "found %zu values, expected two for each pole pair, as many as the "
                            "strengths",
                            count);
    for (size_t i = 0; i < count; i++) {
        sw_node row = sw_node_item(&list, i);
        if (!cJSON_IsNumber(row.json) || row.json->valuedouble < low ||
            row.json->valuedouble > high)
            return sw_node_fail(&row, NULL, error, SW_VALUE, "expected a number from %g to %g", low,
                                high);
        values[i] = row.json->valuedouble;
    }
    return SW_OK;
}

static sw_status read_weak(const sw_node *ring_node, sw_magnet_ring *ring, sw_error *error) {
    static const char *const ALLOWED[] = {"lack", "places", "poles", NULL};
    sw_node weak;
    double *poles = NULL;
    size_t count = 0;
    sw_status status = sw_node_object(ring_node, "weak", &weak, error);
    if (status != SW_OK || weak.json == NULL)
        return status;
    status = sw_node_allow(&weak, ALLOWED, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(&weak, "lack", "1", 0, 10, &ring->weak_lack, error);
    if (status == SW_OK)
        status = sw_node_integer(&weak, "places", 1, SW_RING_POLE_LIMIT, &ring->weak_count, error);
    if (status == SW_OK)
        status = sw_node_numbers(&weak, "poles", &poles, &count, error);
    for (size_t i = 0; status == SW_OK && i < count && i < SW_RING_WEAK_LIMIT; i++) {
        if (!(poles[i] >= 1 && poles[i] <= SW_RING_POLE_LIMIT))
            status = sw_node_fail(&weak, "poles", error, SW_VALUE, "expected numbers from 1 to %d",
                                  SW_RING_POLE_LIMIT);
        else
            ring->weak_pole[i] = (int)poles[i] - 1;
    }
    free(poles);
    return status;
}

void sw_magnet_ring_forget(sw_magnet_ring *ring) {
    ring->weak_count = 0;
    ring->weak_lack = (sw_quantity){NAN, NAN, "1"};
    ring->visible_share = NAN;
    ring->smallest_weak = NAN;
    ring->magnet_spread = NAN;
    ring->magnet_spread_u = NAN;
    ring->spoiled = NAN;
    ring->one_side = NAN;
    ring->one_side_u = NAN;
}

static sw_status read_magnets(const sw_node *node, sw_magnet_ring *ring, sw_error *error) {
    const struct {
        const char *key;
        double most;
        double *target;
    } rows[] = {{"visible_share", 1, &ring->visible_share},
                {"smallest_weak", 1e12, &ring->smallest_weak},
                {"magnet_spread", 1e6, &ring->magnet_spread},
                {"magnet_spread_u", 1e6, &ring->magnet_spread_u},
                {"spoiled", 1, &ring->spoiled},
                {"one_side", 1e6, &ring->one_side},
                {"one_side_u", 1e6, &ring->one_side_u}};
    sw_status status = SW_OK;
    for (size_t i = 0; status == SW_OK && i < sizeof rows / sizeof *rows; i++)
        status = sw_node_number(node, rows[i].key, 0, rows[i].most, rows[i].target, error);
    return status;
}

sw_status sw_magnet_ring_read(const cJSON *root, const char *file, sw_magnet_ring *ring,
                              sw_error *error) {
    static const char *const ALLOWED[] = {
        "units",         "turns",         "from_mark", "first",           "repeats",
        "strength",      "strength_u",    "placement", "placement_u",     "visible_share",
        "smallest_weak", "magnet_spread", "weak",      "magnet_spread_u", "spoiled",
        "one_side",      "one_side_u",    NULL};
    sw_node top = sw_node_top(root, file, NULL);
    sw_node node;
    *ring = (sw_magnet_ring){.first_deg = NAN};
    sw_magnet_ring_forget(ring);
    sw_status status = sw_node_object(&top, "magnet_ring", &node, error);
    if (status != SW_OK || node.json == NULL)
        return status;
    status = sw_node_allow(&node, ALLOWED, error);
    if (status == SW_OK)
        status = sw_node_number(&node, "turns", 0, 1e9, &ring->turns, error);
    if (status == SW_OK)
        status = sw_node_flag(&node, "from_mark", &ring->from_mark, error);
    if (status == SW_OK)
        status = sw_node_number(&node, "first", 0, 360, &ring->first_deg, error);
    if (status == SW_OK)
        status = sw_node_integer(&node, "repeats", 0, SW_RING_POLE_LIMIT, &ring->repeats, error);
    if (status == SW_OK)
        status = read_magnets(&node, ring, error);
    if (status == SW_OK)
        status = read_weak(&node, ring, error);
    int poles = 0;
    if (status == SW_OK)
        status = read_list(&node, "strength", -10, 10, ring->strength, &poles, error);
    if (status == SW_OK)
        status = read_list(&node, "strength_u", 0, 1e6, ring->strength_u, &poles, error);
    if (status == SW_OK)
        status = read_list(&node, "placement", -360, 360, ring->placement_deg, &poles, error);
    if (status == SW_OK)
        status = read_list(&node, "placement_u", 0, 1e6, ring->placement_u_deg, &poles, error);
    if (status == SW_OK)
        ring->poles = poles;
    return status;
}
