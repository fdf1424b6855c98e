/* Quantities as people say them, in millimetres and m/s or in inches and miles an hour. */
#ifndef SPINWORTH_REPORT_SAY_H
#define SPINWORTH_REPORT_SAY_H

#include "shared/quantity.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_SAY_ROOM = 64 };

typedef struct sw_said {
    char text[SW_SAY_ROOM];
} sw_said;

/* "72 mm" or "2.83 in", "3.2 m/s" or "7.2 mph", "2.19 ± 0.42 A": three figures at most, two of
 * wind, energy and shares, fewer where the ± says so. */
sw_said sw_say(bool us, sw_quantity quantity);
sw_said sw_say_value(bool us, double value, const char *unit);

/* A length of a part: millimetres, or inches as rulers show them ("8 1/16 in"). */
sw_said sw_say_size(bool us, double millimetre);

/* A force as a hanging scale shows it: "3.1 kg" or "6.8 lb". */
sw_said sw_say_scale(bool us, double newton);

/* Less a year is nothing. */
extern const double SW_LEAST_KWH;

/* "60 to 140 kWh", "0 to 7.1 kWh": both ends to two figures, one number when they are alike. */
sw_said sw_say_energy_range(double low_kwh, double high_kwh);

/* A heat sink as shops mark it, with what the mark means: a whole sentence. */
void sw_sink_say(double k_w, char *out, size_t room);

#endif
