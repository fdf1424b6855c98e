/* A file of measured wind speeds: any table with a header or without, one wind column. */
#ifndef SPINWORTH_MATCH_WIND_FILE_H
#define SPINWORTH_MATCH_WIND_FILE_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <stddef.h>

typedef struct sw_wind_file {
    double *sample_m_s; /* owned, ascending */
    size_t samples;
    size_t left_out; /* rows whose cell was empty or marked as missing */
} sw_wind_file;

/* column: name of the header, or number from 1 as text; NULL = the one column whose header says
 * wind or speed, or the last one of a file without header. unit: "m/s", "mph" ...; NULL = from
 * the header ("wind [m/s]", "speed (mph)", "wind_mph"), refused when it is not there. */
sw_status sw_wind_file_read(const char *path, const char *column, const char *unit,
                            const sw_units *units, sw_wind_file *file, sw_error *error);
sw_status sw_wind_file_parse(const char *text, size_t length, const char *path, const char *column,
                             const char *unit, const sw_units *units, sw_wind_file *file,
                             sw_error *error);
void sw_wind_file_free(sw_wind_file *file);

#endif
