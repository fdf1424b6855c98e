/* The words and cells of a table of hand readings. */
#ifndef SPINWORTH_PROBES_READINGS_TABLE_H
#define SPINWORTH_PROBES_READINGS_TABLE_H

#include "probes/readings.h"
#include "probes/scope/lines.h"
#include "shared/quantity.h"
#include "shared/text.h"

typedef enum sw_reading_column {
    SW_READING_SPEED,
    SW_READING_FREQUENCY,
    SW_READING_VOLTS,
    SW_READING_AMPS,
    SW_READING_OHMS,
    SW_READING_COLUMNS,
    SW_READING_TIME, /* makes it a scope file */
    SW_READING_NONE
} sw_reading_column;

/* What a column's name means, by its words. */
sw_reading_column sw_reading_column_of(const char *text, size_t length, bool *is_dc);

/* Unit of the column, as in sw_quantity. */
const char *sw_reading_unit(sw_reading_column column);

/* Is this line the head of such a table: volts, and speed or frequency or a load, and no time?
 * *delimiter is what its cells are cut at. */
bool sw_readings_is_header(const char *text, size_t length, char *delimiter);

/* "# meter: true-rms", "phases: 3": remarks that matter; *is_remark is false for other lines. */
sw_status sw_readings_remark(const char *name, const sw_line *line, sw_readings *readings,
                             bool *is_remark, sw_error *error);

/* Read the whole table. units may be NULL: then cells must be bare numbers. */
sw_status sw_readings_parse(sw_lines *lines, const sw_units *units, sw_readings *readings,
                            sw_text *notes, sw_error *error);

/* Value of a reading in one of the columns. */
double sw_reading_value(const sw_reading *reading, sw_reading_column column);

#endif
