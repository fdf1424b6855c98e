/* The options that a motor document remembers of its evidence, as words and as a call. */
#ifndef SPINWORTH_CLI_SOURCE_WORDS_H
#define SPINWORTH_CLI_SOURCE_WORDS_H

#include "src/cli/measure_sources.h"

/* Is it in the list (NULL at its end)? */
bool sw_word_among(const char *name, const char *const *list);

/* Does an option say of a recording what its volts, hertz and pole pairs rest on? */
bool sw_source_word_describes(const char *option);

/* What the call says of its recording into the source. */
void sw_source_describe(const sw_arguments *call, sw_source *source);

/* Add only the counts among remembered options. */
void sw_told_add_counts(sw_told *told, const char *remembered, const sw_option *options);

/* Add only a multimeter's ohms. */
void sw_told_add_meter(sw_told *told, const char *remembered, const sw_option *options);

/* Leave out of the call the counts that are in the sources already. */
void sw_told_drop_counts(sw_told *told, const sw_sources *sources);

#endif
