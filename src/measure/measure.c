/* From a waveform to the motor record.
 *
 *   spectra -> path -> track      where the fundamental is, at every moment (of the channel that
 *                                 carries most)
 *   track -> cycles               every channel in the cycle domain
 *   cycles -> steady frequency, flux (volts per hertz), shape, phases
 *   cycles and what is known of the speed -> pole pairs -> speed and voltage constant
 *
 * What is odd about the motor or the recording becomes a warning; an error is kept for recordings
 * that cannot be analysed.
 */
#include "src/measure/measure.h"

#include "src/measure/path.h"
#include "src/measure/refine.h"
#include "src/measure/spectra.h"
#include "src/measure/steady.h"
#include "src/measure/trace.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

typedef struct analysis {
    const sw_waveform *waveform;
    const sw_measure_request *request;
    double rate_hz; /* true */
    double volts_per_unit;
    sw_kernel *kernel;
    size_t channels;
    size_t lead; /* the channel that carries most */
    sw_trace trace[SW_CHANNEL_LIMIT];
    sw_path path;
    sw_track track;
    sw_stretch stretch;
    sw_motor *motor;
} analysis;

sw_measure_request sw_measure_default(void) {
    return (sw_measure_request){
        .profile = {.volts_per_unit = sw_quantity_of(1.0, 0.0, "V"),
                    .low_cut_hz = sw_quantity_of(0.0, 0.0, "Hz"),
                    .clock_error = sw_quantity_of(0.0, 0.0, "1"),
                    .linear_limit = 1.0,
                    .gain = NAN,
                    .calibrated = true},
        .between = SW_BETWEEN_NOT_SAID,
        .evidence = {.speed = sw_quantity_unknown(),
                     .about_rpm = NAN,
                     .turns = NAN,
                     .turns_u = NAN,
                     .frequency_hz = NAN,
                     .cycles_in_all = NAN},
        .gear = 1.0,
    };
}

static double known_or(sw_quantity quantity, double otherwise) {
    return sw_quantity_known(quantity) ? quantity.value : otherwise;
}

static sw_status load(analysis *a, sw_error *error) {
    const sw_profile *profile = &a->request->profile;
    double clock = known_or(profile->clock_error, 0.0);
    a->rate_hz = a->waveform->rate_hz * (1.0 + clock);
    a->volts_per_unit = a->waveform->in_volts ? 1.0 : known_or(profile->volts_per_unit, 1.0);
    double low_cut = fmax(0.0, known_or(profile->low_cut_hz, 0.0));
    sw_status status = sw_kernel_new(&a->kernel, error);
    double most = -1.0;
    for (size_t c = 0; c < a->waveform->channels && status == SW_OK; c++) {
        status = sw_trace_new(a->waveform, c, a->volts_per_unit, a->rate_hz, low_cut, &a->trace[c],
                              error);
        a->channels = c + 1;
        double rms = status == SW_OK ? sw_signal_rms(&a->trace[c].full) : 0.0;
        if (rms > most) {
            most = rms;
            a->lead = c;
        }
    }
    return status;
}

static void unload(analysis *a) {
    for (size_t c = 0; c < a->channels; c++)
        sw_trace_free(&a->trace[c]);
    sw_path_free(&a->path);
    sw_track_free(&a->track);
    sw_kernel_free(a->kernel);
}

static double highest_hz(const sw_path *path) {
    double top = 0.0;
    for (size_t i = 0; i < path->count; i++)
        top = fmax(top, path->frequency_hz[i]);
    return top;
}

static sw_status follow(analysis *a, sw_error *error) {
    sw_trace *lead = &a->trace[a->lead];
    sw_spectra spectra;
    sw_status status = sw_spectra_new(&lead->full, a->kernel, &spectra, error);
    if (status != SW_OK)
        return status;
    status = sw_path_find(&spectra, &a->path, error);
    sw_spectra_free(&spectra);
    double top = highest_hz(&a->path);
    for (size_t c = 0; c < a->channels && status == SW_OK && top > 0.0; c++)
        status = sw_trace_thin(&a->trace[c], a->kernel, top, error);
    if (status == SW_OK && a->path.count > 0)
        status = sw_refine(&a->path, &lead->flat, a->kernel, &a->track, error);
    return status;
}

static sw_status cut_cycles(analysis *a, sw_error *error) {
    sw_status status = SW_OK;
    for (size_t c = 0; c < a->channels && status == SW_OK && a->track.count >= 2; c++)
        status = sw_trace_measure(&a->trace[c], &a->track, a->kernel, error);
    return status;
}

/* Frequency and stretch into the record. */
static sw_status tell_frequency(analysis *a, sw_error *error) {
    sw_trace *lead = &a->trace[a->lead];
    a->stretch = sw_steady_stretch(&lead->cycles);
    sw_quantity hz;
    double samples = (a->stretch.to_s - a->stretch.from_s) * a->rate_hz;
    const sw_signal *signal = samples < 400e3 ? &lead->full : &lead->fine;
    sw_status status = sw_steady_refine(signal, &lead->cycles, &a->stretch, &hz, error);
    if (status != SW_OK)
        return status;
    double clock_u = sw_quantity_u_or(a->request->profile.clock_error, 0.0);
    hz.u = hypot(hz.u, hz.value * (isfinite(clock_u) ? clock_u : 0.0));
    a->motor->electrical_frequency = hz;
    a->motor->stretch_from_s = a->waveform->start_s + a->stretch.from_s;
    a->motor->stretch_to_s = a->waveform->start_s + a->stretch.to_s;
    return SW_OK;
}

/* rms of the line-to-line fundamental a hertz, all uncertainties in. */
static void tell_constant(analysis *a) {
    const sw_profile *profile = &a->request->profile;
    const sw_trace *lead = &a->trace[a->lead];
    if (!sw_quantity_known(lead->constant.peak))
        return;
    double value = lead->constant.peak.value / M_SQRT2;
    double scatter = lead->constant.peak.u / lead->constant.peak.value;
    double cut = lead->constant.low_cut_slope * sw_quantity_u_or(profile->low_cut_hz, 0.0);
    double scale = a->waveform->in_volts
                       ? 0.0
                       : sw_quantity_u_or(profile->volts_per_unit, 0.0) / a->volts_per_unit;
    double clock = sw_quantity_u_or(profile->clock_error, 0.0);
    double relative = sqrt(scatter * scatter + cut * cut + scale * scale + clock * clock);
    a->motor->volts_per_hertz = sw_quantity_of(value, value * relative, "V/Hz");
}

static sw_status tell_motor(analysis *a, sw_error *error) {
    sw_trace *lead = &a->trace[a->lead];
    if (lead->cycles.count < 2) {
        sw_motor_warn(a->motor, SW_WARN_TOO_SHORT,
                      "no two whole periods of a motor's voltage in the recording: "
                      "spin it faster, or record longer");
        return SW_OK;
    }
    sw_status status = tell_frequency(a, error);
    if (status != SW_OK)
        return status;
    tell_constant(a);
    sw_shape_harmonics(&lead->spectrum, a->motor);
    sw_shape_factors(&lead->spectrum, a->motor);
    return SW_OK;
}

sw_status sw_measure(const sw_waveform *waveform, size_t clipped, const sw_measure_request *request,
                     sw_motor *motor, sw_error *error) {
    (void)clipped;
    analysis a = {.waveform = waveform, .request = request, .motor = motor};
    sw_motor_init(motor);
    /* The fits' own failures are statuses here, not aborts; the caller's handler comes back. */
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    sw_status status = load(&a, error);
    if (status == SW_OK)
        status = follow(&a, error);
    if (status == SW_OK)
        status = cut_cycles(&a, error);
    if (status == SW_OK)
        status = tell_motor(&a, error);
    if (status == SW_OK)
        sw_motor_derive(motor);
    unload(&a);
    gsl_set_error_handler(handler);
    return status;
}
