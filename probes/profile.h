/* The probe profile: what stands between the motor's terminals and the samples.
 * motor volts = samples x volts_per_unit; below the low cut the input's first-order high-pass
 * |H| = 1/sqrt(1 + (fc/f)^2) is taken out by whoever uses the profile. */
#ifndef SPINWORTH_PROBES_PROFILE_H
#define SPINWORTH_PROBES_PROFILE_H

#include "shared/quantity.h"
#include "shared/status.h"

#include <cjson/cJSON.h>
#include <stdbool.h>

/* Sound inputs cut below some 30 Hz, if they cut at all (common practice, no source). */
#define SW_LOW_CUT_USUAL_HZ 30.0

typedef struct sw_profile {
    sw_quantity volts_per_unit; /* "V" at full scale (samples = 1); 1 for scope files */
    sw_quantity low_cut_hz;     /* "Hz"; 0 = DC-coupled */
    sw_quantity clock_error;    /* relative rate error, e.g. 50e-6: true rate = stated (1 + e) */
    double linear_limit;        /* fraction of full scale where clamps begin to conduct; 1 */
    char device[80];
    double gain;         /* input gain setting as shown, NaN = not stated */
    bool calibrated;     /* false: a default, volts are guessed */
    long calibrated_day; /* shared/day.h; 0 = not stated */
} sw_profile;

/* A scope file's profile: volts as they stand, DC-coupled. */
sw_profile sw_profile_scope(void);

/* A sound input nobody calibrated: volts unknown, low cut 2 to 16 Hz. */
sw_profile sw_profile_uncalibrated(void);

/* Read a probe document. */
sw_status sw_profile_read(const char *path, const sw_units *units, sw_profile *profile,
                          sw_error *error);

/* The profile as a probe document; the caller frees it with cJSON_Delete. */
cJSON *sw_profile_to_json(const sw_profile *profile);

#endif
