/* Writing JSON: numbers with every digit they need, unknown values as null with their reason. */
#ifndef SPINWORTH_SHARED_JSON_WRITE_H
#define SPINWORTH_SHARED_JSON_WRITE_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* A number that reads back as the same double; null when it is not finite. */
cJSON *sw_json_number(double value);
void sw_json_add_number(cJSON *object, const char *key, double value);

/* {"value", "unit", "u"}; "u" is left out when not stated; null when the value is not known. */
void sw_json_add_quantity(cJSON *object, const char *key, sw_quantity quantity);

/* The text, or null when it is NULL or empty. */
void sw_json_add_text(cJSON *object, const char *key, const char *text);

/* Explain why `key` is null: object.unknown.key = reason. */
void sw_json_add_unknown(cJSON *object, const char *key, const char *reason);

/* New object with "document" and "version". */
cJSON *sw_json_document(const char *kind);

/* Indented text that ends with a newline; the caller frees it with cJSON_free; NULL when memory
 * ran out. */
char *sw_json_print(const cJSON *root);

/* Print and save atomically; see sw_file_save. */
sw_status sw_json_save(const cJSON *root, const char *path, bool force, sw_error *error);

#endif
