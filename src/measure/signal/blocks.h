/* A steady voltage in blocks of 50 ms: how much, how steady, and where its zero is. */
#ifndef SPINWORTH_MEASURE_BLOCKS_H
#define SPINWORTH_MEASURE_BLOCKS_H

#include "shared/quantity.h"
#include "shared/waveform.h"
#include "src/measure/signal/trace.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct sw_blocks {
    size_t count;
    size_t size; /* samples of one */
    double length_s;
    double *mean;    /* V */
    double *rms;     /* of what is left in a block */
    double step_v;   /* of the converter; 0 = not known */
    double screen_v; /* the most that the input can show either way */
} sw_blocks;

/* Steps and screen by the channel, or by the samples where it does not tell them. */
sw_status sw_blocks_new(const sw_trace *trace, const sw_channel *channel, double volts_per_unit,
                        sw_blocks *blocks, sw_error *error);
void sw_blocks_free(sw_blocks *blocks);

/* Half of the largest usual mean: above it the motor turns. */
sw_status sw_blocks_turning(const sw_blocks *blocks, double *level_v, sw_error *error);

/* What the input shows at 0 V: read where the motor stands still (*at_rest), else taken as 0 with
 * the zero of an ordinary scope. */
sw_quantity sw_blocks_zero(const sw_blocks *blocks, double level_v, bool *at_rest);

/* The longest run of blocks above the level within a few per cent: first .. last. */
void sw_blocks_steady(const sw_blocks *blocks, double level_v, size_t *first, size_t *last);

/* Mean of first .. last; u from their scatter, slow wander counted. */
sw_quantity sw_blocks_mean(const sw_blocks *blocks, size_t first, size_t last);

#endif
