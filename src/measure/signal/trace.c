#include "src/measure/signal/trace.h"

#include "src/measure/signal/noise.h"

#include <math.h>
#include <string.h>

/* Samples a cycle that keep thirteen harmonics flat through the thinning filters. */
static const double samples_a_cycle = 80.0;
/* The low cut is moved, not removed: below a twentieth of it there is only drift. */
static const double left_of_low_cut = 0.05;

sw_status sw_trace_new(const sw_waveform *waveform, size_t channel, double volts_per_unit,
                       double rate_hz, double low_cut_hz, sw_trace *trace, sw_error *error) {
    *trace = (sw_trace){.low_cut_hz = low_cut_hz};
    sw_status status = sw_signal_new(rate_hz, waveform->frames, &trace->full, error);
    if (status != SW_OK)
        return status;
    const double *from = waveform->channel[channel].samples;
    for (size_t i = 0; i < waveform->frames; i++)
        trace->full.value[i] = isfinite(from[i]) ? from[i] * volts_per_unit : 0.0;
    trace->offset_v = sw_signal_centre(&trace->full);
    return SW_OK;
}

void sw_trace_free(sw_trace *trace) {
    sw_signal_free(&trace->full);
    sw_signal_free(&trace->fine);
    sw_signal_free(&trace->flat);
    sw_cycles_free(&trace->cycles);
    *trace = (sw_trace){0};
}

static sw_status copy(const sw_signal *from, sw_signal *to, sw_error *error) {
    sw_status status = sw_signal_new(from->rate_hz, from->count, to, error);
    if (status == SW_OK && from->count > 0)
        memcpy(to->value, from->value, from->count * sizeof *to->value);
    return status;
}

sw_status sw_trace_thin(sw_trace *trace, const sw_kernel *kernel, double highest_hz,
                        sw_error *error) {
    sw_signal_free(&trace->fine);
    sw_signal_free(&trace->flat);
    sw_status status = copy(&trace->full, &trace->fine, error);
    while (status == SW_OK && trace->fine.rate_hz > 2.0 * samples_a_cycle * highest_hz) {
        sw_signal half;
        status = sw_signal_halve(&trace->fine, kernel, &half, error);
        if (status == SW_OK) {
            sw_signal_free(&trace->fine);
            trace->fine = half;
        }
    }
    if (status == SW_OK)
        status = copy(&trace->fine, &trace->flat, error);
    trace->left_hz = left_of_low_cut * trace->low_cut_hz;
    if (status == SW_OK && trace->low_cut_hz > 0.0)
        sw_signal_move_low_cut(&trace->flat, trace->low_cut_hz, trace->left_hz);
    return status;
}

void sw_trace_fit(sw_trace *trace) {
    /* Too few cycles above the low cut is told by constant.used. */
    if (sw_constant_fit(&trace->cycles, trace->low_cut_hz, &trace->constant, NULL) != SW_OK)
        trace->constant = (sw_constant){.peak = sw_quantity_unknown()};
    trace->spectrum =
        sw_shape_spectrum(&trace->cycles, 0.5 * trace->low_cut_hz, 0.37 * trace->fine.rate_hz);
}

sw_status sw_trace_measure(sw_trace *trace, const sw_track *track, const sw_kernel *kernel,
                           sw_error *error) {
    sw_cycles_free(&trace->cycles);
    sw_status status = sw_noise_density(track, &trace->fine, kernel, &trace->noise_density, error);
    sw_cycle_source source = {.track = track,
                              .signal = &trace->flat,
                              .kernel = kernel,
                              .low_cut_hz = trace->left_hz,
                              .input_low_cut_hz = trace->low_cut_hz,
                              .noise_density = trace->noise_density};
    if (status == SW_OK)
        status = sw_cycles_new(&source, &trace->cycles, error);
    if (status == SW_OK && trace->cycles.count >= 2)
        sw_trace_fit(trace);
    return status;
}
