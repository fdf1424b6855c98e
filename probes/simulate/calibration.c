/* An honest calibration of the simulated input. */
#include "probes/simulate/simulate.h"

#include "probes/simulate/draw.h"

#include <math.h>
#include <stdio.h>

/* True value plus an error drawn from its uncertainty: what a calibration would have found. */
static sw_quantity found(gsl_rng *random, double truth, double u, const char *unit) {
    return sw_quantity_of(truth + sw_draw_normal(random, u), u, unit);
}

static void fill(gsl_rng *random, const sw_sim_front *front, const sw_sim_calibration *calibration,
                 sw_profile *profile) {
    double scale = front->scope ? 1 : front->volts_per_unit;
    profile->volts_per_unit = found(random, scale, scale * calibration->volts_relative, "V");
    profile->low_cut_hz =
        found(random, front->low_cut_hz, front->low_cut_hz * calibration->low_cut_relative, "Hz");
    profile->clock_error = found(random, front->clock_error, calibration->clock, "1");
}

sw_profile sw_sim_profile(const sw_sim_truth *truth, const sw_sim_calibration *calibration) {
    const sw_sim_front *front = &truth->spec.front;
    sw_profile profile = {.linear_limit = front->linear_limit > 0 ? front->linear_limit : 1,
                          .gain = NAN,
                          .calibrated = true};
    snprintf(profile.device, sizeof profile.device, "simulated input");
    gsl_rng *random = sw_draw_new(truth->spec.seed, SW_SIM_STREAM_PROFILE);
    if (random != NULL) {
        fill(random, front, calibration, &profile);
        gsl_rng_free(random);
    } else {
        profile.calibrated = false;
    }
    return profile;
}
