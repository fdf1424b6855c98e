/* The most likely course of the fundamental through the short-time spectra. */
#ifndef SPINWORTH_MEASURE_PATH_H
#define SPINWORTH_MEASURE_PATH_H

#include "shared/status.h"
#include "src/measure/signal/spectra.h"

#include <stddef.h>

/* One unbroken stretch in which a periodic voltage was seen. */
typedef struct sw_path {
    size_t count;  /* 0 = nothing periodic in the record */
    double from_s; /* time of frequency_hz[0] */
    double hop_s;
    double *frequency_hz; /* owned */
    double power;         /* mean squared amplitude of the fundamental */
    double score;         /* mean log of harmonic power over the floor */
} sw_path;

/* The stretch that holds the most energy. */
sw_status sw_path_find(const sw_spectra *spectra, sw_path *path, sw_error *error);
void sw_path_free(sw_path *path);

#endif
