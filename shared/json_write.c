#include "shared/json_write.h"

#include "shared/files.h"
#include "shared/number.h"

#include <math.h>
#include <string.h>

cJSON *sw_json_number(double value) {
    char text[40];
    if (!isfinite(value))
        return cJSON_CreateNull();
    sw_number_print(value, text, sizeof text);
    return cJSON_CreateRaw(text);
}

void sw_json_add_number(cJSON *object, const char *key, double value) {
    cJSON_AddItemToObject(object, key, sw_json_number(value));
}

void sw_json_add_quantity(cJSON *object, const char *key, sw_quantity quantity) {
    if (!sw_quantity_known(quantity) || !isfinite(quantity.value)) {
        cJSON_AddNullToObject(object, key);
        return;
    }
    cJSON *item = cJSON_AddObjectToObject(object, key);
    sw_json_add_number(item, "value", quantity.value);
    cJSON_AddStringToObject(item, "unit", quantity.unit);
    if (isfinite(quantity.u))
        sw_json_add_number(item, "u", quantity.u);
}

void sw_json_add_text(cJSON *object, const char *key, const char *text) {
    if (text == NULL || *text == '\0')
        cJSON_AddNullToObject(object, key);
    else
        cJSON_AddStringToObject(object, key, text);
}

void sw_json_add_unknown(cJSON *object, const char *key, const char *reason) {
    cJSON *unknown = cJSON_GetObjectItemCaseSensitive(object, "unknown");
    if (unknown == NULL)
        unknown = cJSON_AddObjectToObject(object, "unknown");
    cJSON_AddStringToObject(unknown, key, reason);
}

cJSON *sw_json_document(const char *kind) {
    cJSON *root = cJSON_CreateObject();
    cJSON_AddStringToObject(root, "document", kind);
    cJSON_AddNumberToObject(root, "version", 1);
    return root;
}

char *sw_json_print(const cJSON *root) {
    char *text = cJSON_Print(root);
    size_t length = text == NULL ? 0 : strlen(text);
    char *ended = text == NULL ? NULL : cJSON_malloc(length + 2);
    if (ended != NULL) {
        memcpy(ended, text, length + 1);
        ended[length] = '\n';
        ended[length + 1] = '\0';
    }
    cJSON_free(text);
    return ended;
}

sw_status sw_json_save(const cJSON *root, const char *path, bool force, sw_error *error) {
    char *text = sw_json_print(root);
    if (text == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to write it", path);
    sw_status status = sw_file_save(path, text, strlen(text), force, error);
    cJSON_free(text);
    return status;
}
