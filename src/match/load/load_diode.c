/* Diodes by the name of a kind, or as a JSON text with their model. */
#include "shared/json_read.h"
#include "src/match/load/load.h"
#include "src/match/parts/reference.h"

#include <stdio.h>
#include <string.h>

static sw_status read_model(const sw_node *node, sw_diode *diode, sw_error *error) {
    sw_status status = sw_node_number(node, "is", 1e-18, 1, &diode->is_a, error);
    if (status == SW_OK)
        status = sw_node_number(node, "n", 0.001, 20, &diode->n, error);
    if (status == SW_OK)
        status = sw_node_number(node, "rs", 0, 100, &diode->rs_ohm, error);
    if (status == SW_OK)
        status = sw_node_number(node, "drop", 0, 100, &diode->drop_v, error);
    return status;
}

static sw_status from_json(const char *text, sw_diode *diode, sw_error *error) {
    static const char *const KEYS[] = {"is", "n", "rs", "drop", NULL};
    cJSON *root = NULL;
    *diode = (sw_diode){"given", 0, 1, 0, 0};
    sw_status status = sw_json_parse(text, strlen(text), "diode", &root, error);
    if (status != SW_OK)
        return status;
    sw_node node = sw_node_top(root, "diode", NULL);
    status = sw_node_allow(&node, KEYS, error);
    if (status == SW_OK && sw_node_has(&node, "drop") == sw_node_has(&node, "is"))
        status = sw_node_fail(&node, NULL, error, SW_VALUE,
                              "expected either {\"drop\": 0.7} or {\"is\": 1e-7, \"n\": 1.8, "
                              "\"rs\": 0.005}");
    if (status == SW_OK)
        status = read_model(&node, diode, error);
    cJSON_Delete(root);
    return status;
}

static sw_status from_table(const char *name, const char *reference_dir, sw_diode *diode,
                            sw_error *error) {
    sw_table table;
    sw_node row;
    sw_status status = sw_table_find(reference_dir, "diodes", name, &table, &row, error);
    if (status != SW_OK)
        return status;
    *diode = (sw_diode){"", 0, 1, 0, 0};
    snprintf(diode->name, sizeof diode->name, "%s", name);
    status = read_model(&row, diode, error);
    sw_table_close(&table);
    return status;
}

sw_status sw_diode_find(const char *text, const char *reference_dir, sw_diode *diode,
                        sw_error *error) {
    const char *start = text + strspn(text, " \t\n");
    if (*start == '{' || *start == '[' || *start == '"')
        return from_json(start, diode, error);
    return from_table(start, reference_dir, diode, error);
}
