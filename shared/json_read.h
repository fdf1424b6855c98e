/* Strict reading of JSON documents. A sw_node is a view on one object or array with its path, so
 * that each message names file and key ("rotor.json: curve.list[3].power_coefficient").
 * Duplicate keys, unknown keys, wrong types, wrong units and non-finite numbers are errors.
 * Keys are compared with their case. */
#ifndef SPINWORTH_SHARED_JSON_READ_H
#define SPINWORTH_SHARED_JSON_READ_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

enum { SW_JSON_LIMIT_BYTES = 16 * 1024 * 1024, SW_NODE_PATH_ROOM = 160 };

typedef struct sw_node {
    const cJSON *json; /* borrowed from the document */
    const char *file;  /* name for messages, borrowed */
    const sw_units *units;
    char path[SW_NODE_PATH_ROOM]; /* "" at the top */
} sw_node;

/* Parse text; the caller frees *root with cJSON_Delete. Messages say line and column. */
sw_status sw_json_parse(const char *text, size_t length, const char *name, cJSON **root,
                        sw_error *error);

/* Read and parse a file ("-" = standard input). */
sw_status sw_json_read(const char *path, cJSON **root, sw_error *error);

/* The top of a document. */
sw_node sw_node_top(const cJSON *root, const char *file, const sw_units *units);

/* The top must be an object with "document": kind and "version": 1. */
sw_status sw_node_expect_document(const sw_node *node, const char *kind, sw_error *error);

/* Every key must be in the NULL-terminated list; the message offers the nearest known key. */
sw_status sw_node_allow(const sw_node *node, const char *const *keys, sw_error *error);

/* Is the key there and not null? */
bool sw_node_has(const sw_node *node, const char *key);

/* Error for a needed key that is not there. */
sw_status sw_node_need(const sw_node *node, const char *key, const char *example, sw_error *error);

/* Readers: an absent or null key leaves *out as it is and returns SW_OK; use sw_node_need before
 * for a needed key. A quantity may be {"value","unit","u"} or text ("1900mm"); a bare number
 * only where the unit is obvious. Text is borrowed from the document. */
sw_status sw_node_quantity(const sw_node *node, const char *key, const char *unit, sw_quantity *out,
                           sw_error *error);
/* As above and value within [low, high]. */
sw_status sw_node_quantity_in(const sw_node *node, const char *key, const char *unit, double low,
                              double high, sw_quantity *out, sw_error *error);
sw_status sw_node_number(const sw_node *node, const char *key, double low, double high, double *out,
                         sw_error *error);
sw_status sw_node_integer(const sw_node *node, const char *key, int low, int high, int *out,
                          sw_error *error);
sw_status sw_node_text(const sw_node *node, const char *key, const char **out, sw_error *error);
sw_status sw_node_flag(const sw_node *node, const char *key, bool *out, sw_error *error);
/* One of the words in the NULL-terminated list; *out gets its index. */
sw_status sw_node_word(const sw_node *node, const char *key, const char *const *words, int *out,
                       sw_error *error);

/* An object or array under key; child->json is NULL when absent or null. */
sw_status sw_node_object(const sw_node *node, const char *key, sw_node *child, sw_error *error);
sw_status sw_node_array(const sw_node *node, const char *key, sw_node *child, sw_error *error);
/* An array of at most limit items; more are an error that names key. *count = 0 when absent. */
sw_status sw_node_list(const sw_node *node, const char *key, size_t limit, sw_node *list,
                       size_t *count, sw_error *error);
size_t sw_node_count(const sw_node *array);
sw_node sw_node_item(const sw_node *array, size_t index);

/* A list of plain numbers; the caller frees *values. */
sw_status sw_node_numbers(const sw_node *node, const char *key, double **values, size_t *count,
                          sw_error *error);

/* An error at key (NULL: the node itself), printf style after "file: path: ". */
#define sw_node_fail(node, key, error, status, ...)                                                \
    (sw_node_error_set((node), (key), (error), (status), __VA_ARGS__), sw_status_pass(status))
void sw_node_error_set(const sw_node *node, const char *key, sw_error *error, sw_status status,
                       const char *format, ...) __attribute__((format(printf, 5, 6)));

#endif
