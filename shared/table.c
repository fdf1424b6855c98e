#include "shared/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static sw_status open_list(sw_table *table, sw_error *error) {
    sw_status status = sw_json_read(table->path, &table->root, error);
    if (status != SW_OK)
        return status;
    table->top = sw_node_top(table->root, table->path, NULL);
    status = sw_node_array(&table->top, "list", &table->list, error);
    if (status == SW_OK && sw_node_count(&table->list) == 0)
        status = sw_node_fail(&table->top, "list", error, SW_EMPTY, "a table needs rows");
    return status;
}

sw_status sw_table_open(const char *reference_dir, const char *name, sw_table *table,
                        sw_error *error) {
    memset(table, 0, sizeof *table);
    int length = snprintf(table->path, sizeof table->path, "%s/%s.json", reference_dir, name);
    if (length < 0 || (size_t)length >= sizeof table->path)
        return sw_fail(error, SW_NOT_FOUND, "%.200s: the path of table %.60s is too long",
                       reference_dir, name);
    sw_status status = open_list(table, error);
    if (status != SW_OK)
        sw_table_close(table);
    return status;
}

void sw_table_close(sw_table *table) {
    cJSON_Delete(table->root);
    table->root = NULL;
}

static void list_names(const sw_table *table, char *out, size_t room) {
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < sw_node_count(&table->list) && used + 70 < room; i++) {
        sw_node row = sw_node_item(&table->list, i);
        const char *name = "";
        if (sw_node_text(&row, "name", &name, NULL) == SW_OK)
            used += (size_t)snprintf(out + used, room - used, "%s%.60s", i > 0 ? ", " : "", name);
    }
}

/* Row whose "name" is name; SW_NOT_FOUND lists the names there are. */
static sw_status row_named(const sw_table *table, const char *name, sw_node *row, sw_error *error) {
    for (size_t i = 0; i < sw_node_count(&table->list); i++) {
        const char *found = "";
        *row = sw_node_item(&table->list, i);
        sw_status status = sw_node_text(row, "name", &found, error);
        if (status != SW_OK)
            return status;
        if (strcmp(found, name) == 0)
            return SW_OK;
    }
    char names[400];
    list_names(table, names, sizeof names);
    return sw_fail(error, SW_NOT_FOUND, "\"%.60s\" is not known; known are %s", name, names);
}

sw_status sw_table_find(const char *reference_dir, const char *table_name, const char *row_name,
                        sw_table *table, sw_node *row, sw_error *error) {
    sw_status status = sw_table_open(reference_dir, table_name, table, error);
    if (status != SW_OK)
        return status;
    status = row_named(table, row_name, row, error);
    if (status != SW_OK)
        sw_table_close(table);
    return status;
}

sw_status sw_row_number(const sw_node *row, const char *key, double *out, sw_error *error) {
    sw_status status = sw_node_need(row, key, "1", error);
    return status == SW_OK ? sw_node_number(row, key, -1e12, 1e12, out, error) : status;
}

sw_status sw_row_range(const sw_node *row, const char *key, double range[2], sw_error *error) {
    double *values = NULL;
    size_t count = 0;
    sw_status status = sw_node_numbers(row, key, &values, &count, error);
    if (status == SW_OK && (count != 2 || values[0] > values[1]))
        status = sw_node_fail(row, key, error, SW_VALUE, "expected [low, high]");
    if (status == SW_OK) {
        range[0] = values[0];
        range[1] = values[1];
    }
    free(values);
    return status;
}

void sw_row_name(const sw_node *row, char out[SW_REFERENCE_NAME_ROOM]) {
    const char *name = "";
    (void)sw_node_text(row, "name", &name, NULL);
    snprintf(out, SW_REFERENCE_NAME_ROOM, "%s", name);
}
