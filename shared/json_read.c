#include "shared/json_read.h"

#include "shared/files.h"
#include "shared/near.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* No document has nearly so many keys in one object; so comparing each with each stays quick. */
enum { DEPTH_LIMIT = 64, KEY_LIMIT = 1000, WORDS_ROOM = 300 };

static void place_of(const char *text, const char *at, size_t *line, size_t *column) {
    *line = 1;
    *column = 1;
    for (const char *c = text; c < at; c++) {
        *column = *c == '\n' ? 1 : *column + 1;
        *line += *c == '\n';
    }
}

static bool key_repeats(const cJSON *item) {
    for (const cJSON *other = item->next; other != NULL; other = other->next)
        if (item->string != NULL && other->string != NULL &&
            strcmp(item->string, other->string) == 0)
            return true;
    return false;
}

/* Walk everything once: no key twice, no number that overflowed, no endless nesting. */
static sw_status check_tree(const cJSON *parent, const char *name, int depth, sw_error *error) {
    if (depth > DEPTH_LIMIT)
        return sw_fail(error, SW_FORMAT, "%s: nested more than %d deep", name, DEPTH_LIMIT);
    if (cJSON_IsObject(parent) && cJSON_GetArraySize(parent) > KEY_LIMIT)
        return sw_fail(error, SW_FORMAT, "%s: more than %d keys in one object", name, KEY_LIMIT);
    const cJSON *item = NULL;
    cJSON_ArrayForEach(item, parent) {
        const char *key = item->string != NULL ? item->string : "a list item";
        if (cJSON_IsObject(parent) && key_repeats(item))
            return sw_fail(error, SW_DUPLICATE_KEY, "%s: key \"%s\" stands twice", name, key);
        if (cJSON_IsNumber(item) && !isfinite(item->valuedouble))
            return sw_fail(error, SW_VALUE, "%s: %s: the number is too large", name, key);
        sw_status status = check_tree(item, name, depth + 1, error);
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

sw_status sw_json_parse(const char *text, size_t length, const char *name, cJSON **root,
                        sw_error *error) {
    *root = NULL;
    if (memchr(text, '\0', length) != NULL)
        return sw_fail(error, SW_FORMAT, "%s: is binary, expected a JSON document", name);
    const char *end = text;
    cJSON *parsed = cJSON_ParseWithLengthOpts(text, length + 1, &end, 1);
    if (parsed == NULL) {
        size_t line = 0;
        size_t column = 0;
        place_of(text, end, &line, &column);
        return sw_fail(error, SW_FORMAT, "%s: line %zu, column %zu: not JSON from here on", name,
                       line, column);
    }
    sw_status status = check_tree(parsed, name, 0, error);
    if (status != SW_OK) {
        cJSON_Delete(parsed);
        return status;
    }
    *root = parsed;
    return SW_OK;
}

sw_status sw_json_read(const char *path, cJSON **root, sw_error *error) {
    char *text = NULL;
    size_t length = 0;
    *root = NULL;
    sw_status status = sw_file_read(path, SW_JSON_LIMIT_BYTES, &text, &length, error);
    if (status != SW_OK)
        return status;
    status = sw_json_parse(text, length, path, root, error);
    free(text);
    return status;
}

sw_node sw_node_top(const cJSON *root, const char *file, const sw_units *units) {
    return (sw_node){root, file, units, ""};
}

/* The path of a member; a very long one loses its end, which only a message would miss. */
static void path_with(const sw_node *node, const char *key, char *out, size_t room) {
    const char *dot = key != NULL && node->path[0] != '\0' ? "." : "";
    int length = snprintf(out, room, "%s%s%s", node->path, dot, key != NULL ? key : "");
    if (length < 0)
        out[0] = '\0';
}

void sw_node_error_set(const sw_node *node, const char *key, sw_error *error, sw_status status,
                       const char *format, ...) {
    char text[360];
    char path[2 * SW_NODE_PATH_ROOM];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    path_with(node, key, path, sizeof path);
    sw_error_set(error, status, "%.120s: %.120s%s%s", node->file, path, path[0] ? ": " : "", text);
}

static const cJSON *member(const sw_node *node, const char *key) {
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(node->json, key);
    return item == NULL || cJSON_IsNull(item) ? NULL : item;
}

bool sw_node_has(const sw_node *node, const char *key) {
    return member(node, key) != NULL;
}

sw_status sw_node_need(const sw_node *node, const char *key, const char *example, sw_error *error) {
    if (sw_node_has(node, key))
        return SW_OK;
    return sw_node_fail(node, NULL, error, SW_MISSING_KEY,
                        "key \"%s\" is missing; for example \"%s\": %s", key, key, example);
}

sw_status sw_node_expect_document(const sw_node *node, const char *kind, sw_error *error) {
    if (!cJSON_IsObject(node->json))
        return sw_node_fail(node, NULL, error, SW_FORMAT, "expected a JSON object of a %s", kind);
    char example[64];
    snprintf(example, sizeof example, "\"%s\"", kind);
    sw_status status = sw_node_need(node, "document", example, error);
    const char *found = "";
    if (status == SW_OK)
        status = sw_node_text(node, "document", &found, error);
    if (status == SW_OK && strcmp(found, kind) != 0)
        return sw_node_fail(node, "document", error, SW_MISMATCH,
                            "found a \"%s\" document, expected a \"%s\"", found, kind);
    if (status == SW_OK)
        status = sw_node_need(node, "version", "1", error);
    double version = 0;
    if (status == SW_OK)
        status = sw_node_number(node, "version", 0, 1e9, &version, error);
    if (status == SW_OK && version != 1)
        return sw_node_fail(node, "version", error, SW_UNSUPPORTED, "found %g, expected 1",
                            version);
    return status;
}

static void list_words(const char *const *words, char *out, size_t room) {
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; words[i] != NULL && used + 40 < room; i++)
        used += (size_t)snprintf(out + used, room - used, "%s%s", i > 0 ? ", " : "", words[i]);
}

sw_status sw_node_allow(const sw_node *node, const char *const *keys, sw_error *error) {
    if (!cJSON_IsObject(node->json))
        return sw_node_fail(node, NULL, error, SW_FORMAT, "expected an object");
    const cJSON *item = NULL;
    cJSON_ArrayForEach(item, node->json) {
        bool known = false;
        for (size_t i = 0; keys[i] != NULL && !known; i++)
            known = strcmp(item->string, keys[i]) == 0;
        if (known)
            continue;
        const char *close = sw_near_word(item->string, keys);
        if (close != NULL)
            return sw_node_fail(node, NULL, error, SW_UNKNOWN_KEY,
                                "key \"%.60s\" is not known; did you mean \"%s\"?", item->string,
                                close);
        char all[WORDS_ROOM];
        list_words(keys, all, sizeof all);
        return sw_node_fail(node, NULL, error, SW_UNKNOWN_KEY,
                            "key \"%.60s\" is not known; known are %s", item->string, all);
    }
    return SW_OK;
}

static sw_status quantity_object(const sw_node *node, const char *key, const cJSON *item,
                                 const char *unit, sw_quantity *out, sw_error *error) {
    static const char *const KEYS[] = {"value", "unit", "u", NULL};
    sw_node child = {item, node->file, node->units, ""};
    path_with(node, key, child.path, sizeof child.path);
    sw_status status = sw_node_allow(&child, KEYS, error);
    if (status == SW_OK)
        status = sw_node_need(&child, "value", "1", error);
    if (status == SW_OK && strcmp(unit, "1") != 0)
        status = sw_node_need(&child, "unit", unit, error);
    double value = 0;
    double u = NAN;
    const char *found = unit;
    if (status == SW_OK)
        status = sw_node_number(&child, "value", -HUGE_VAL, HUGE_VAL, &value, error);
    if (status == SW_OK)
        status = sw_node_number(&child, "u", 0, HUGE_VAL, &u, error);
    if (status == SW_OK)
        status = sw_node_text(&child, "unit", &found, error);
    if (status != SW_OK)
        return status;
    double converted = 0;
    double edge = 0;
    sw_error inner;
    status = sw_units_convert(node->units, value, found, unit, &converted, &inner);
    if (status == SW_OK)
        status =
            sw_units_convert(node->units, value + (isnan(u) ? 0 : u), found, unit, &edge, &inner);
    if (status != SW_OK)
        return sw_node_fail(node, key, error, status, "%s", inner.message);
    /* Without a conversion u stays as it is, to the last bit. */
    if (strcmp(found, unit) != 0 && !isnan(u))
        u = fabs(edge - converted);
    *out = sw_quantity_of(converted, u, unit);
    return SW_OK;
}

sw_status sw_node_quantity(const sw_node *node, const char *key, const char *unit, sw_quantity *out,
                           sw_error *error) {
    const cJSON *item = member(node, key);
    if (item == NULL)
        return SW_OK;
    if (cJSON_IsObject(item))
        return quantity_object(node, key, item, unit, out, error);
    if (cJSON_IsNumber(item)) {
        if (!sw_quantity_bare_fine(unit))
            return sw_node_fail(node, key, error, SW_UNIT,
                                "%g has no unit; %s %s is written for example %s",
                                item->valuedouble, sw_unit_article(unit), sw_unit_noun(unit),
                                sw_unit_example(unit));
        *out = sw_quantity_of(item->valuedouble, NAN, unit);
        return SW_OK;
    }
    if (!cJSON_IsString(item))
        return sw_node_fail(node, key, error, SW_FORMAT, "expected %s %s, for example %s",
                            sw_unit_article(unit), sw_unit_noun(unit), sw_unit_example(unit));
    sw_error inner;
    sw_status status = sw_quantity_parse(node->units, item->valuestring, unit, out, &inner);
    return status == SW_OK ? SW_OK : sw_node_fail(node, key, error, status, "%s", inner.message);
}

sw_status sw_node_quantity_in(const sw_node *node, const char *key, const char *unit, double low,
                              double high, sw_quantity *out, sw_error *error) {
    if (!sw_node_has(node, key))
        return SW_OK;
    sw_status status = sw_node_quantity(node, key, unit, out, error);
    if (status != SW_OK)
        return status;
    if (!(out->value >= low && out->value <= high))
        return sw_node_fail(node, key, error, SW_VALUE, "found %g %s, expected %g to %g",
                            out->value, unit, low, high);
    return SW_OK;
}

sw_status sw_node_number(const sw_node *node, const char *key, double low, double high, double *out,
                         sw_error *error) {
    const cJSON *item = member(node, key);
    if (item == NULL)
        return SW_OK;
    if (!cJSON_IsNumber(item))
        return sw_node_fail(node, key, error, SW_FORMAT, "expected a plain number");
    if (!(item->valuedouble >= low && item->valuedouble <= high))
        return sw_node_fail(node, key, error, SW_VALUE, "found %g, expected %g to %g",
                            item->valuedouble, low, high);
    *out = item->valuedouble;
    return SW_OK;
}

sw_status sw_node_integer(const sw_node *node, const char *key, int low, int high, int *out,
                          sw_error *error) {
    double value = *out;
    sw_status status = sw_node_number(node, key, low, high, &value, error);
    if (status == SW_OK && value != floor(value))
        return sw_node_fail(node, key, error, SW_VALUE, "found %g, expected a whole number", value);
    if (status == SW_OK)
        *out = (int)value;
    return status;
}

sw_status sw_node_text(const sw_node *node, const char *key, const char **out, sw_error *error) {
    const cJSON *item = member(node, key);
    if (item == NULL)
        return SW_OK;
    if (!cJSON_IsString(item))
        return sw_node_fail(node, key, error, SW_FORMAT, "expected text in quotes");
    *out = item->valuestring;
    return SW_OK;
}

sw_status sw_node_flag(const sw_node *node, const char *key, bool *out, sw_error *error) {
    const cJSON *item = member(node, key);
    if (item == NULL)
        return SW_OK;
    if (!cJSON_IsBool(item))
        return sw_node_fail(node, key, error, SW_FORMAT, "expected true or false");
    *out = cJSON_IsTrue(item);
    return SW_OK;
}

sw_status sw_node_word(const sw_node *node, const char *key, const char *const *words, int *out,
                       sw_error *error) {
    const char *text = NULL;
    sw_status status = sw_node_text(node, key, &text, error);
    if (status != SW_OK || text == NULL)
        return status;
    for (int i = 0; words[i] != NULL; i++) {
        if (strcmp(words[i], text) == 0) {
            *out = i;
            return SW_OK;
        }
    }
    char all[WORDS_ROOM];
    list_words(words, all, sizeof all);
    return sw_node_fail(node, key, error, SW_VALUE, "found \"%.60s\", expected one of %s", text,
                        all);
}

static sw_status child_of(const sw_node *node, const char *key, bool array, sw_node *child,
                          sw_error *error) {
    const cJSON *item = member(node, key);
    *child = (sw_node){item, node->file, node->units, ""};
    path_with(node, key, child->path, sizeof child->path);
    if (item != NULL && (array ? !cJSON_IsArray(item) : !cJSON_IsObject(item)))
        return sw_node_fail(node, key, error, SW_FORMAT, "expected %s",
                            array ? "a list in [ ]" : "an object in { }");
    return SW_OK;
}

sw_status sw_node_object(const sw_node *node, const char *key, sw_node *child, sw_error *error) {
    return child_of(node, key, false, child, error);
}

sw_status sw_node_array(const sw_node *node, const char *key, sw_node *child, sw_error *error) {
    return child_of(node, key, true, child, error);
}

size_t sw_node_count(const sw_node *array) {
    return array->json == NULL ? 0 : (size_t)cJSON_GetArraySize(array->json);
}

sw_status sw_node_list(const sw_node *node, const char *key, size_t limit, sw_node *list,
                       size_t *count, sw_error *error) {
    *count = 0;
    sw_status status = sw_node_array(node, key, list, error);
    if (status != SW_OK)
        return status;
    *count = sw_node_count(list);
    if (*count > limit)
        return sw_node_fail(node, key, error, SW_VALUE, "found %zu entries, expected at most %zu",
                            *count, limit);
    return SW_OK;
}

sw_node sw_node_item(const sw_node *array, size_t index) {
    sw_node item = {cJSON_GetArrayItem(array->json, (int)index), array->file, array->units, ""};
    snprintf(item.path, sizeof item.path, "%.130s[%zu]", array->path, index);
    return item;
}

sw_status sw_node_numbers(const sw_node *node, const char *key, double **values, size_t *count,
                          sw_error *error) {
    sw_node list;
    *values = NULL;
    *count = 0;
    sw_status status = sw_node_array(node, key, &list, error);
    size_t length = sw_node_count(&list);
    if (status != SW_OK || length == 0)
        return status;
    double *numbers = malloc(length * sizeof *numbers);
    if (numbers == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory", node->file);
    const cJSON *item = NULL;
    size_t at = 0;
    cJSON_ArrayForEach(item, list.json) {
        if (!cJSON_IsNumber(item)) {
            free(numbers);
            sw_node bad = sw_node_item(&list, at);
            return sw_node_fail(&bad, NULL, error, SW_FORMAT, "expected a plain number");
        }
        numbers[at++] = item->valuedouble;
    }
    *values = numbers;
    *count = length;
    return SW_OK;
}
