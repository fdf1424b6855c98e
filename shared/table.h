/* The published tables below the reference directory.
 *
 * Every table is one JSON file: {"table", "about", "units", "sources", "list"}. Each row of the
 * list carries "source" (a key of "sources") and "status" (published, computed, from memory,
 * common practice). Values are plain numbers in the units that the table states once.
 */
#ifndef SPINWORTH_SHARED_TABLE_H
#define SPINWORTH_SHARED_TABLE_H

#include "shared/json_read.h"
#include "shared/status.h"

#include <cjson/cJSON.h>

enum { SW_REFERENCE_NAME_ROOM = 64 };

/* An open table: nodes borrow from root. Release with sw_table_close. */
typedef struct sw_table {
    char path[512];
    cJSON *root;
    sw_node top;
    sw_node list;
} sw_table;

/* Open reference_dir/name.json ("wheels", "rotors/savonius-2-bucket"); SW_NOT_FOUND says what
 * was looked for. Pass the same sw_table object around: it must not be copied. */
sw_status sw_table_open(const char *reference_dir, const char *name, sw_table *table,
                        sw_error *error);
void sw_table_close(sw_table *table);

/* Open a table and look up one row; on success the caller closes the table when done with row. */
sw_status sw_table_find(const char *reference_dir, const char *table_name, const char *row_name,
                        sw_table *table, sw_node *row, sw_error *error);

/* A number that must be there; a [low, high] pair; the row's name cut to fit. */
sw_status sw_row_number(const sw_node *row, const char *key, double *out, sw_error *error);
sw_status sw_row_range(const sw_node *row, const char *key, double range[2], sw_error *error);
void sw_row_name(const sw_node *row, char out[SW_REFERENCE_NAME_ROOM]);

#endif
