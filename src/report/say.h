/* Quantities as people say them, in millimetres and m/s or in inches and miles an hour. */
#ifndef SPINWORTH_REPORT_SAY_H
#define SPINWORTH_REPORT_SAY_H

#include "shared/quantity.h"

#include <stdbool.h>

enum { SW_SAY_ROOM = 64 };

typedef struct sw_said {
    char text[SW_SAY_ROOM];
} sw_said;

/* "72 mm" or "2.83 in", "3.2 m/s" or "7.2 mph"; three figures, or as many as ± allows. */
sw_said sw_say(bool us, sw_quantity quantity);
sw_said sw_say_value(bool us, double value, const char *unit);

/* A length of a part: millimetres, or inches as rulers show them ("8 1/16 in"). */
sw_said sw_say_size(bool us, double millimetre);

/* A force as a hanging scale shows it: "3.1 kg" or "6.8 lb". */
sw_said sw_say_scale(bool us, double newton);

/* "60 to 140 kWh": both ends to two figures, one number when they are alike. */
sw_said sw_say_range(double low, double high, const char *unit);

#endif
