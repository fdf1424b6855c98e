/* Rotor kind "published": a table of reference/rotors/, scaled to the builder's size. */
#include "shared/files.h"
#include "shared/text.h"
#include "src/match/rotor/rotor_set.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const KEYS[] = {NULL}; /* "name", a common key, is that of the table */

/* Names are file names: letters, digits and hyphens only. */
static sw_status check_name(const sw_node *node, const char *name, sw_error *error) {
    size_t length = strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789.-");
    if (length == 0 || name[length] != '\0' || strstr(name, "..") != NULL || length > 60)
        return sw_node_fail(node, "name", error, SW_VALUE,
                            "found \"%.60s\", expected the name of a table such as "
                            "\"savonius-2-bucket\"",
                            name);
    return SW_OK;
}

/* There is no such table; says which there are. */
static sw_status unknown_table(const sw_node *node, const char *reference_dir, const char *name,
                               sw_error *error) {
    char directory[1024];
    char **paths = NULL;
    size_t count = 0;
    sw_text known = {0};
    snprintf(directory, sizeof directory, "%.1000s/rotors", reference_dir);
    sw_status status = sw_file_list(directory, ".json", &paths, &count, error);
    if (status != SW_OK)
        return status;
    for (size_t i = 0; i < count; i++) {
        const char *file = strrchr(paths[i], '/') + 1;
        sw_text_add(&known, "%s%.*s", i > 0 ? ", " : "", (int)(strlen(file) - 5), file);
    }
    sw_node_error_set(node, "name", error, SW_NOT_FOUND, "\"%s\" is not known; known are %s", name,
                      sw_text_string(&known));
    sw_text_free(&known);
    sw_file_list_free(paths, count);
    return SW_NOT_FOUND;
}

static sw_status add_static(const sw_node *row, sw_rotor *rotor, sw_error *error) {
    double reynolds = 0;
    double *torque = NULL;
    size_t count = 0;
    sw_status status = sw_node_number(row, "reynolds", 0, 1e8, &reynolds, error);
    if (status == SW_OK)
        status = sw_node_numbers(row, "torque_coefficient", &torque, &count, error);
    if (status == SW_OK)
        sw_rotor_add_turn(rotor, reynolds, torque, count);
    free(torque);
    return status;
}

static sw_status add_statics(const sw_table *table, sw_rotor *rotor, sw_error *error) {
    sw_node list = {0};
    sw_status status = sw_node_array(&table->top, "static", &list, error);
    for (size_t i = 0; status == SW_OK && i < sw_node_count(&list); i++) {
        sw_node row = sw_node_item(&list, i);
        status = add_static(&row, rotor, error);
    }
    return status;
}

static sw_status add_curve(const sw_node *row, sw_rotor *rotor, sw_error *error) {
    double reynolds = 0;
    double no_load = NAN;
    double *ratio = NULL;
    double *power = NULL;
    size_t count = 0;
    size_t powers = 0;
    sw_curve_point *points = NULL;
    sw_status status = sw_node_number(row, "reynolds", 0, 1e8, &reynolds, error);
    if (status == SW_OK)
        status = sw_node_number(row, "no_load", 0.01, 30, &no_load, error);
    if (status == SW_OK)
        status = sw_node_numbers(row, "tip_speed_ratio", &ratio, &count, error);
    if (status == SW_OK)
        status = sw_node_numbers(row, "power_coefficient", &power, &powers, error);
    if (status == SW_OK && (count != powers || count == 0))
        status = sw_node_fail(row, NULL, error, SW_MISMATCH, "lists of unequal length");
    if (status == SW_OK && (points = calloc(count, sizeof *points)) == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory");
    for (size_t i = 0; status == SW_OK && i < count; i++)
        points[i] = (sw_curve_point){ratio[i], power[i]};
    if (status == SW_OK)
        status = sw_rotor_add_curve(rotor, row, reynolds, points, count, no_load, error);
    free(points);
    free(power);
    free(ratio);
    return status;
}

static sw_status fill(const sw_table *table, sw_rotor *rotor, sw_error *error) {
    double parked = NAN;
    sw_node drag = {0};
    sw_status status = add_statics(table, rotor, error);
    for (size_t i = 0; status == SW_OK && i < sw_node_count(&table->list); i++) {
        sw_node row = sw_node_item(&table->list, i);
        status = add_curve(&row, rotor, error);
    }
    if (status == SW_OK)
        status = sw_node_object(&table->top, "parked_drag", &drag, error);
    if (status == SW_OK && drag.json != NULL)
        status = sw_node_number(&drag, "coefficient", 0, 4, &parked, error);
    if (status == SW_OK && isnan(rotor->force_area_m2) && !isnan(parked))
        rotor->force_area_m2 = parked * rotor->swept_area_m2;
    if (status == SW_OK && rotor->vanes == 0)
        status = sw_node_integer(&table->top, "vanes", 1, 60, &rotor->vanes, error);
    return status;
}

static sw_status read_axis(const sw_table *table, sw_rotor *rotor, sw_error *error) {
    static const char *const AXES[] = {"vertical", "horizontal", NULL};
    int axis = 0;
    sw_status status = sw_node_word(&table->top, "axis", AXES, &axis, error);
    rotor->horizontal = axis == 1;
    return status;
}

static sw_status read_published(const sw_node *node, const char *reference_dir, sw_rotor *rotor,
                                sw_error *error) {
    const char *name = NULL;
    char path[96];
    sw_table table = {0};
    sw_error inner;
    sw_status status = sw_node_need(node, "name", "\"savonius-2-bucket\"", error);
    if (status == SW_OK)
        status = sw_node_text(node, "name", &name, error);
    if (status == SW_OK)
        status = check_name(node, name, error);
    if (status != SW_OK)
        return status;
    snprintf(path, sizeof path, "rotors/%s", name);
    status = sw_table_open(reference_dir, path, &table, &inner);
    if (status == SW_NOT_FOUND)
        return unknown_table(node, reference_dir, name, error);
    if (status != SW_OK)
        return sw_node_fail(node, "name", error, status, "%s", inner.message);
    status = read_axis(&table, rotor, error);
    if (status == SW_OK)
        status = sw_rotor_read_size(node, rotor, error);
    if (status == SW_OK)
        status = fill(&table, rotor, error);
    sw_table_close(&table);
    return status;
}

const sw_rotor_reader SW_ROTOR_READER_PUBLISHED = {"published", KEYS, read_published};
