/* A document of kind "wires": the same facts as on the command line. "found" is what the program
 * adds when it prints one; it is not read. */
#include "shared/text.h"
#include "src/measure/wires/wires.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const KEYS[] = {"document",   "version", "wires",       "ohms",  "volts",
                                   "stiffer",    "colours", "not_stiffer", "thick", "thin",
                                   "test_leads", "found",   "unknown",     NULL};

/* Text or a quantity object under a pair's name, as text that the parsers of typed facts take. */
static sw_status pair_text(const sw_node *node, const char *key, const char *unit, char *out,
                           size_t room, sw_error *error) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(node->json, key);
    if (cJSON_IsString(item)) {
        snprintf(out, room, "%.12s %.60s", key, item->valuestring);
        return SW_OK;
    }
    sw_quantity quantity = sw_quantity_unknown();
    sw_status status = sw_node_quantity_in(node, key, unit, 0, 1e12, &quantity, error);
    if (status != SW_OK)
        return status;
    if (!sw_quantity_known(quantity))
        return sw_node_fail(node, key, error, SW_FORMAT, "expected a value, found null");
    /* "±" is twice the standard uncertainty. */
    if (quantity.u >= 0)
        snprintf(out, room, "%.12s %.15g ± %.15g", key, quantity.value, 2 * quantity.u);
    else
        snprintf(out, room, "%.12s %.15g", key, quantity.value);
    return SW_OK;
}

typedef sw_status (*pair_parser)(const char *, const sw_units *, sw_wires *, sw_error *);

static sw_status read_pairs(const sw_node *top, const char *key, const char *unit,
                            pair_parser parse, sw_wires *wires, sw_error *error) {
    sw_node node;
    sw_status status = sw_node_object(top, key, &node, error);
    const cJSON *item = status == SW_OK && node.json != NULL ? node.json->child : NULL;
    for (; item != NULL && status == SW_OK; item = item->next) {
        char text[120];
        sw_error inner = {SW_OK, ""};
        status = pair_text(&node, item->string, unit, text, sizeof text, error);
        if (status != SW_OK)
            return status;
        status = parse(text, top->units, wires, &inner);
        if (status != SW_OK)
            return sw_node_fail(top, key, error, status, "%s", inner.message);
    }
    return status;
}

static sw_status read_stiffer(const sw_node *top, const char *key, sw_answer answer,
                              sw_wires *wires, sw_error *error) {
    sw_node list;
    sw_status status = sw_node_array(top, key, &list, error);
    size_t count = status == SW_OK ? sw_node_count(&list) : 0;
    for (size_t i = 0; i < count; i++) {
        sw_node row = sw_node_item(&list, i);
        sw_error inner = {SW_OK, ""};
        if (!cJSON_IsString(row.json))
            return sw_node_fail(&row, NULL, error, SW_FORMAT, "expected a pair such as \"1-2\"");
        status = sw_wires_parse_stiffer(row.json->valuestring, answer, wires, &inner);
        if (status != SW_OK)
            return sw_node_fail(&row, NULL, error, status, "%s", inner.message);
    }
    return status;
}

static sw_status read_weight(const sw_node *top, const char *key, sw_wire_weight weight,
                             sw_wires *wires, sw_error *error) {
    sw_node list;
    sw_status status = sw_node_array(top, key, &list, error);
    size_t count = status == SW_OK ? sw_node_count(&list) : 0;
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        sw_node row = sw_node_item(&list, i);
        sw_error inner = {SW_OK, ""};
        char text[32];
        if (!cJSON_IsNumber(row.json) || row.json->valuedouble != floor(row.json->valuedouble))
            return sw_node_fail(&row, NULL, error, SW_FORMAT, "expected the number of a wire");
        snprintf(text, sizeof text, "%.0f", row.json->valuedouble);
        status = sw_wires_parse_weight(text, weight, wires, &inner);
        if (status != SW_OK)
            return sw_node_fail(&row, NULL, error, status, "%s", inner.message);
    }
    return status;
}

static sw_status read_colours(const sw_node *top, sw_wires *wires, sw_error *error) {
    sw_node list;
    sw_status status = sw_node_array(top, "colours", &list, error);
    if (status != SW_OK || list.json == NULL)
        return status;
    size_t count = sw_node_count(&list);
    if (count != (size_t)wires->count)
        return sw_node_fail(top, "colours", error, SW_MISMATCH, "found %zu colours for %d wires",
                            count, wires->count);
    for (size_t i = 0; i < count; i++) {
        sw_node row = sw_node_item(&list, i);
        if (cJSON_IsNull(row.json))
            continue;
        if (!cJSON_IsString(row.json))
            return sw_node_fail(&row, NULL, error, SW_FORMAT, "expected text in quotes, or null");
        sw_text_copy(row.json->valuestring, wires->colour[i], sizeof wires->colour[i]);
        sw_text_make_printable(wires->colour[i]);
    }
    return SW_OK;
}

static sw_status read_facts(const sw_node *top, sw_wires *wires, sw_error *error) {
    sw_status status =
        sw_node_quantity_in(top, "test_leads", "ohm", 0, 10, &wires->test_leads, error);
    if (status == SW_OK)
        status = read_pairs(top, "ohms", "ohm", sw_wires_parse_ohms, wires, error);
    if (status == SW_OK)
        status = read_pairs(top, "volts", "V", sw_wires_parse_volts, wires, error);
    if (status == SW_OK)
        status = read_stiffer(top, "stiffer", SW_YES, wires, error);
    if (status == SW_OK)
        status = read_stiffer(top, "not_stiffer", SW_NO, wires, error);
    if (status == SW_OK)
        status = read_weight(top, "thick", SW_THICK, wires, error);
    if (status == SW_OK)
        status = read_weight(top, "thin", SW_THIN, wires, error);
    return status == SW_OK ? read_colours(top, wires, error) : status;
}

sw_status sw_wires_read(const char *path, const sw_units *units, sw_wires *wires, sw_error *error) {
    cJSON *root = NULL;
    int count = 0;
    sw_status status = sw_json_read(path, &root, error);
    if (status != SW_OK)
        return status;
    sw_node top = sw_node_top(root, path, units);
    status = sw_node_expect_document(&top, "wires", error);
    if (status == SW_OK)
        status = sw_node_allow(&top, KEYS, error);
    if (status == SW_OK)
        status = sw_node_need(&top, "wires", "3", error);
    if (status == SW_OK)
        status = sw_node_need(&top, "ohms", "{\"1-2\": \"7.2 ohm\"}", error);
    if (status == SW_OK)
        status = sw_node_integer(&top, "wires", 2, SW_WIRE_LIMIT, &count, error);
    if (status == SW_OK) {
        sw_wires_init(wires, count);
        status = read_facts(&top, wires, error);
    }
    cJSON_Delete(root);
    return status;
}
