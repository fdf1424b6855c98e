/* Prints cup rotors and sites with what the library makes of them, one JSON object a line, for
 * scipy_rotor_wind.py. The seed is its argument. */
#include "src/match/rotor/cups.h"
#include "src/match/site/site.h"

#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <stdlib.h>

enum { ROTORS = 20, SITES = 20, RATIOS = 8, EDGES = 26 };

static double between(gsl_rng *random, double low, double high) {
    return low + (high - low) * gsl_rng_uniform(random);
}

static void print_rotor(gsl_rng *random) {
    sw_cups cups = {.vanes = 1 + (int)gsl_rng_uniform_int(random, 6),
                    .width_m = between(random, 0.05, 0.8),
                    .height_m = between(random, 0.2, 2),
                    .drag_front = between(random, 0.8, 2.3),
                    .drag_back = between(random, 0.1, 1.3),
                    .shielded = gsl_rng_uniform(random) < 0.5 ? 0 : gsl_rng_uniform(random)};
    cups.arm_m = cups.width_m * between(random, 0.5, 3);
    printf("{\"rotor\":{\"vanes\":%d,\"width\":%.17g,\"arm\":%.17g,\"front\":%.17g,\"back\":%.17g,"
           "\"shielded\":%.17g},\"ratio\":[",
           cups.vanes, cups.width_m, cups.arm_m, cups.drag_front, cups.drag_back, cups.shielded);
    for (int i = 0; i < RATIOS; i++)
        printf("%s%.17g", i ? "," : "", 0.1 * i);
    printf("],\"torque\":[");
    for (int i = 0; i < RATIOS; i++)
        printf("%s%.17g", i ? "," : "", sw_cups_torque(&cups, 0.1 * i));
    printf("],\"at_rest\":[");
    for (int i = 0; i < RATIOS; i++)
        printf("%s%.17g", i ? "," : "", sw_cups_static_torque(&cups, 37.0 * i));
    printf("]}\n");
}

static void print_site(gsl_rng *random) {
    sw_site site = {.mean_wind = {between(random, 1, 10), 0, "m/s"},
                    .weibull_k = between(random, 1, 4)};
    double factor = between(random, 0.7, 1.4);
    printf("{\"site\":{\"mean\":%.17g,\"k\":%.17g,\"factor\":%.17g,\"scale\":%.17g},\"hours\":[",
           site.mean_wind.value, site.weibull_k, factor,
           sw_weibull_scale(site.mean_wind.value, site.weibull_k));
    for (int i = 0; i + 1 < EDGES; i++)
        printf("%s%.17g", i ? "," : "", sw_site_hours(&site, i, i + 1, factor));
    double cube = 0;
    for (int i = 0; i < 100000; i++) {
        double middle = (i + 0.5) * 0.002;
        cube +=
            middle * middle * middle * sw_site_hours(&site, i * 0.002, (i + 1) * 0.002, 1) / 8760;
    }
    printf("],\"cube\":%.17g}\n", cube);
}

int main(int count, char **arguments) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, count > 1 ? strtoul(arguments[1], NULL, 10) : 1);
    for (int i = 0; i < ROTORS; i++)
        print_rotor(random);
    for (int i = 0; i < SITES; i++)
        print_site(random);
    gsl_rng_free(random);
    return 0;
}
