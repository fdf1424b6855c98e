/* What words in a file's header mean: units, names of columns, keys. */
#ifndef SPINWORTH_PROBES_SCOPE_WORDS_H
#define SPINWORTH_PROBES_SCOPE_WORDS_H

#include "probes/scope/cells.h"

typedef enum sw_dimension {
    SW_DIMENSION_NONE, /* not a unit */
    SW_DIMENSION_TIME,
    SW_DIMENSION_VOLTAGE,
    SW_DIMENSION_CURRENT,
    SW_DIMENSION_COUNT, /* "Sequence", "samples" */
    SW_DIMENSION_OTHER
} sw_dimension;

typedef struct sw_scope_unit {
    sw_dimension dimension;
    double scale;     /* to s, V or A */
    const char *base; /* "s", "V", "A", else "" */
} sw_scope_unit;

/* A unit as headers spell it: "V", "mV", "uS", "(ms)", "Volt", "[V]". */
sw_scope_unit sw_unit_word(const char *text, size_t length);

/* "mV" for a scale of 1e-3 and base "V". */
void sw_unit_name(const sw_scope_unit *unit, char *out, size_t room);

/* "Time (ms)" -> "Time" and ms; "in s" -> "" and s; "C1 in V" -> "C1" and V; "Second" -> "" and s.
 * name has room SW_CHANNEL_NAME_ROOM. */
void sw_split_name(const sw_cell *cell, char *name, size_t room, sw_scope_unit *unit);

/* Does this column name speak of time, of a row number, of something the scope calculated? */
bool sw_is_time_name(const char *name);
bool sw_is_index_name(const char *name);
bool sw_is_math_name(const char *name);

typedef enum sw_header_key {
    SW_KEY_NONE,
    SW_KEY_INTERVAL, /* time from sample to sample */
    SW_KEY_RATE,     /* samples a second */
    SW_KEY_START,    /* time of the first sample */
    SW_KEY_COUNT,    /* number of samples */
    SW_KEY_SOURCE,   /* name of the channel */
    SW_KEY_UNIT      /* of the values */
} sw_header_key;

/* The key's own unit, as in "Sampling Frequency (Hz) =", goes to *scale (1 when there is none). */
sw_header_key sw_key_of(const sw_cell *cell, double *scale, bool *has_unit);

/* A value with an optional unit: "0.40uS", "1e+06", "2.5 MSa/s", "CH1:4E-6". The result is in s or
 * Hz; decimals as sw_cell_decimals of the number scaled. false when it is none. */
bool sw_key_value(const sw_cell *cell, sw_header_key key, char decimal, double *value,
                  double *half_digit, bool *has_unit);

/* Lower case, brackets dropped, everything else than letters and digits one space. */
void sw_plain_words(const char *text, size_t length, char *out, size_t room);

#endif
