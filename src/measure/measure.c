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

#include "src/measure/analysis.h"
#include "src/measure/constant/budget.h"
#include "src/measure/constant/low_cut.h"
#include "src/measure/constant/phases.h"
#include "src/measure/poles/recount.h"
#include "src/measure/ring/ring.h"
#include "src/measure/signal/refine.h"
#include "src/measure/signal/spectra.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <math.h>

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
        .tach_marks = 1,
    };
}

static const double strong_hum = 0.01;    /* of the motor's amplitude */
static const double most_samples = 400e3; /* that a frequency is fitted to unthinned */
static const size_t least_cycles = 2;
static const double faint_v = 0.5; /* rms; common practice, no source */
static const double long_s = 2.0;

static double known_or(sw_quantity quantity, double otherwise) {
    return sw_quantity_known(quantity) ? quantity.value : otherwise;
}

/* Standard uncertainty, 0 when none was stated. */
static double known_u(sw_quantity quantity) {
    return isfinite(quantity.u) ? quantity.u : 0.0;
}

/* The tachometer's channel is read and leaves the waveform, before anything is judged. */
static sw_status take_tach(sw_analysis *a, sw_waveform *waveform, sw_error *error) {
    int channel = a->request->tach_channel;
    if (channel == 0)
        return SW_OK;
    if (channel < 0 || (size_t)channel > waveform->channels || waveform->channels < 2)
        return sw_fail(error, SW_VALUE,
                       "tachometer on channel %d: found %zu channel%s, expected one for the "
                       "tachometer and one for the motor at least",
                       channel, waveform->channels, waveform->channels == 1 ? "" : "s");
    size_t index = (size_t)channel - 1;
    double rate_hz = waveform->rate_hz * (1.0 + known_or(a->request->profile.clock_error, 0.0));
    sw_status status =
        sw_tach_read(waveform, index, a->request->tach_marks, rate_hz, &a->tach, error);
    size_t cut_off = sw_tach_clipped(&waveform->channel[index], waveform->frames);
    a->clipped -= cut_off < a->clipped ? cut_off : a->clipped;
    *waveform = sw_tach_rest(waveform, index);
    return status;
}

static sw_status load(sw_analysis *a, sw_error *error) {
    const sw_profile *profile = &a->request->profile;
    a->rate_hz = a->waveform->rate_hz * (1.0 + known_or(profile->clock_error, 0.0));
    a->volts_per_unit = a->waveform->in_volts ? 1.0 : known_or(profile->volts_per_unit, 1.0);
    double low_cut = fmax(0.0, known_or(profile->low_cut_hz, 0.0));
    a->steady_voltages = a->waveform->coupling == SW_COUPLING_DC || low_cut <= 0.0;
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

static void unload(sw_analysis *a) {
    for (size_t c = 0; c < a->channels; c++)
        sw_trace_free(&a->trace[c]);
    sw_path_free(&a->path);
    sw_track_free(&a->track);
    sw_tach_free(&a->tach);
    sw_kernel_free(a->kernel);
}

static sw_status find_path(sw_analysis *a, sw_error *error) {
    sw_spectra spectra;
    sw_path_free(&a->path);
    sw_status status = sw_spectra_new(&a->trace[a->lead].full, a->kernel, &spectra, error);
    if (status != SW_OK)
        return status;
    status = sw_path_find(&spectra, &a->path, error);
    sw_spectra_free(&spectra);
    return status;
}

/* Hum out of every channel; the path is looked for again where the lead's hum was strong. */
static sw_status clear_hum(sw_analysis *a, sw_error *error) {
    sw_status status = SW_OK;
    for (size_t c = 0; c < a->channels && status == SW_OK && a->path.count > 0; c++) {
        sw_hum hum;
        status = sw_hum_remove(&a->trace[c].full, a->kernel, &a->path, &hum, error);
        if (c == a->lead)
            a->hum = hum;
    }
    bool strong = a->hum.hz > 0.0 && a->hum.amplitude > strong_hum * sqrt(a->path.power);
    return status == SW_OK && strong ? find_path(a, error) : status;
}

static double highest_hz(const sw_path *path) {
    double top = 0.0;
    for (size_t i = 0; i < path->count; i++)
        top = fmax(top, path->frequency_hz[i]);
    return top;
}

static sw_status cut_cycles(sw_analysis *a, sw_error *error) {
    double top = highest_hz(&a->path);
    sw_status status = SW_OK;
    for (size_t c = 0; c < a->channels && status == SW_OK && top > 0.0; c++)
        status = sw_trace_thin(&a->trace[c], a->kernel, top, error);
    if (status == SW_OK && a->path.count > 0)
        status = sw_refine(&a->path, &a->trace[a->lead].flat, a->kernel, &a->track, error);
    for (size_t c = 0; c < a->channels && status == SW_OK && a->track.count >= 2; c++)
        status = sw_trace_measure(&a->trace[c], &a->track, a->kernel, error);
    return status;
}

/* Frequency and stretch into the record. */
static sw_status tell_frequency(sw_analysis *a, sw_error *error) {
    sw_trace *lead = &a->trace[a->lead];
    a->stretch = sw_steady_stretch(&lead->cycles);
    sw_quantity hz;
    double samples = (a->stretch.to_s - a->stretch.from_s) * a->rate_hz;
    const sw_signal *signal = samples < most_samples ? &lead->full : &lead->fine;
    sw_status status = sw_steady_refine(signal, &lead->cycles, &a->stretch, &hz, error);
    if (status != SW_OK)
        return status;
    double clock_u = known_u(a->request->profile.clock_error);
    hz.u = hypot(hz.u, hz.value * clock_u);
    a->motor->electrical_frequency = hz;
    a->motor->stretch_from_s = a->waveform->start_s + a->stretch.from_s;
    a->motor->stretch_to_s = a->waveform->start_s + a->stretch.to_s;
    return SW_OK;
}

static void tell_shape(sw_analysis *a) {
    const sw_spectrum *own = &a->trace[a->lead].spectrum;
    a->motor->harmonics_of_phase = a->of_phase;
    sw_shape_harmonics(own, a->motor);
    sw_spectrum line = a->of_phase ? sw_shape_line_of_phase(own) : *own;
    sw_shape_factors(&line, a->motor);
}

static sw_status tell_phases(sw_analysis *a, sw_error *error) {
    sw_status status =
        sw_phases_relate(a->trace, a->channels, a->lead, &a->track, a->kernel, &a->relation, error);
    if (status == SW_OK)
        sw_phases_judge(&a->relation, a->request->between, a->motor, &a->line_over_lead,
                        &a->of_phase);
    return status;
}

/* Nothing periodic in it. */
static void tell_nothing(sw_analysis *a) {
    double rms = sw_signal_rms(&a->trace[a->lead].full);
    bool known = a->waveform->in_volts || a->request->profile.calibrated;
    a->motor->kind = SW_NO_GENERATOR;
    if (known)
        sw_motor_warn(a->motor, SW_WARN_FREEWHEEL,
                      "no voltage that repeats, only %.2g V rms of noise: no magnets, a freewheel "
                      "that turns without the rotor (try the other direction), or a clip that is "
                      "off",
                      rms);
    else
        sw_motor_warn(a->motor, SW_WARN_FREEWHEEL,
                      "no voltage that repeats: no magnets, a freewheel that turns without the "
                      "rotor (try the other direction), or a clip that is off");
    if (!a->steady_voltages)
        sw_motor_warn(a->motor, SW_WARN_DC_BLOCKED,
                      "or brushes: this input passes no steady volts, and a brushed motor that "
                      "turned all the while looks like this. A meter on its DC range tells");
}

static sw_status tell_ring(sw_analysis *a, sw_error *error) {
    const sw_trace *lead = &a->trace[a->lead];
    bool one_mark = a->tach.marks == 1 && a->request->gear == 1.0 && a->tach_count.turns > 0;
    sw_ring_source source = {.cycles = &lead->cycles,
                             .track = &a->track,
                             .pole_pairs = a->motor->pole_pairs.value,
                             .mark_cycles = one_mark ? a->tach_count.mark_cycles : NAN,
                             .lowest_hz = 0.5 * lead->low_cut_hz};
    sw_status status = sw_ring_map(&source, &a->motor->magnet_ring, error);
    sw_ring_judge(a->motor);
    return status;
}

static sw_status tell_alternating(sw_analysis *a, sw_error *error) {
    sw_status status = tell_frequency(a, error);
    if (status != SW_OK)
        return status;
    status = tell_phases(a, error);
    if (status != SW_OK)
        return status;
    if (sw_check_is_mains(a)) {
        a->motor->kind = SW_NO_GENERATOR;
        sw_motor_warn(a->motor, SW_WARN_NOT_A_MOTOR,
                      "a steady line at %.2f Hz from beginning to end is the mains, not a motor "
                      "that is spun up",
                      a->motor->electrical_frequency.value);
        return SW_OK;
    }
    sw_check_level(a);
    status = sw_budget_constant(a, error);
    if (status != SW_OK)
        return status;
    if (!sw_clipped_hard(a)) /* else its overtones are the cut's */
        tell_shape(a);
    sw_check_result(a);
    status = sw_speed_tell(a, error);
    if (status == SW_OK && a->motor->phases == 3 && !a->of_phase)
        sw_phases_judge_again(&a->relation, a->motor);
    if (status == SW_OK)
        status = sw_low_cut_check(a, error);
    return status == SW_OK && !sw_clipped_hard(a) && a->whole_cycles == 0 ? tell_ring(a, error)
                                                                          : status;
}

static const double ripple_v_per_hz = 0.005; /* commutators: some tenths of a volt at 100s of Hz */
static const size_t chance_cycles = 5;
static const double one_pace = 1.1;
static const double any_pace = 2.0; /* a motor that was spun up goes through more */

/* A few cycles of noise below the input's low cut. */
static bool is_noise(const sw_analysis *a) {
    const sw_trace *lead = &a->trace[a->lead];
    return lead->cycles.count < chance_cycles && sw_motor_warned(a->motor, SW_WARN_NOISY) &&
           a->motor->electrical_frequency.value < lead->low_cut_hz;
}

/* Ripple of a commutator that turned all the while is weak, fast, and of one frequency. */
static void check_ripple(sw_analysis *a) {
    const sw_constant *k = &a->trace[a->lead].constant;
    bool none = sw_motor_warned(a->motor, SW_WARN_RESIDUAL_ONLY);
    bool weak = none || a->motor->volts_per_hertz.value < ripple_v_per_hz || is_noise(a);
    if (a->steady_voltages || a->motor->phases > 1 || a->channels > 1 || !weak ||
        !(k->f_high_hz < (none ? any_pace : one_pace) * k->f_low_hz))
        return;
    if (is_noise(a))
        a->motor->kind = SW_NO_GENERATOR;
    sw_motor_warn(a->motor, SW_WARN_DC_BLOCKED,
                  "so little, so fast and at one speed throughout: it may be the ripple of a "
                  "brushed motor, whose steady volts do not pass this input. A meter on its DC "
                  "range tells");
}

static bool few_cycles(const sw_analysis *a) {
    return a->trace[a->lead].cycles.count < least_cycles;
}

/* Nobody turns a motor with magnets for so long and gets so little. */
static bool faint_for_long(const sw_analysis *a) {
    double lasted_s = (double)a->waveform->frames / a->rate_hz;
    double rms = sw_signal_rms(&a->trace[a->lead].full);
    return sw_volts_known(a) && rms < faint_v && lasted_s > long_s;
}

static sw_status tell(sw_analysis *a, sw_error *error) {
    bool brushed;
    double gear = a->request->gear;
    sw_check_recording(a);
    if (gear > 0.0 && gear != 1.0)
        sw_motor_warn(a->motor, SW_WARN_GEARED,
                      "pole pairs, speed and volts per rpm are those of the magnets, which turn "
                      "%.4g times for one turn of the outer shaft: choose wheel and pulleys for "
                      "the outer one. Such hubs often hold a freewheel: no volts in one direction "
                      "does not mean dead",
                      gear);
    sw_status status = sw_brushed_measure(a, &brushed, error);
    if (status == SW_OK && brushed)
        sw_check_crests(a);
    if (status != SW_OK || brushed)
        return status;
    status = find_path(a, error);
    if (status == SW_OK)
        status = clear_hum(a, error);
    if (status == SW_OK)
        status = cut_cycles(a, error);
    if (status != SW_OK)
        return status;
    sw_crests_judge(a);
    sw_check_crests(a);
    if (a->path.count == 0 || (sw_check_is_drift(a) && faint_for_long(a))) {
        tell_nothing(a);
        return SW_OK;
    }
    if (few_cycles(a)) {
        sw_motor_warn(a->motor, SW_WARN_TOO_SHORT,
                      "fewer than two whole periods of the motor's voltage: spin it faster, or "
                      "record longer%s",
                      a->steady_voltages ? ""
                                         : ". A brushed motor's direct voltage does not pass this "
                                           "input: read it with a multimeter on its DC range");
        return SW_OK;
    }
    status = tell_alternating(a, error);
    if (status == SW_OK)
        check_ripple(a);
    return status;
}

static void hand_over(sw_analysis *a, sw_course *course) {
    if (a->channels == 0 || a->motor->kind != SW_MAGNET_AC)
        return;
    sw_trace *lead = &a->trace[a->lead];
    course->cycles = lead->cycles;
    lead->cycles = (sw_cycles){0};
    course->line_over_lead = a->line_over_lead;
    course->low_cut_slope = lead->constant.low_cut_slope;
    course->low_cut_hz = lead->low_cut_hz;
    course->start_s = a->waveform->start_s;
}

sw_status sw_measure(const sw_waveform *waveform, size_t clipped, const sw_measure_request *request,
                     sw_motor *motor, sw_error *error) {
    return sw_measure_course(waveform, clipped, request, motor, NULL, error);
}

/* What has no magnets has no pole pairs either, whatever the little voltage repeats like. */
static void forget_magnets(sw_motor *motor) {
    motor->pole_pairs = (sw_pole_pairs){0};
    motor->magnet_ring.poles = 0;
    if (motor->voltage_constant.value > 0.0)
        motor->voltage_constant = sw_quantity_unknown();
}

sw_status sw_measure_course(const sw_waveform *waveform, size_t clipped,
                            const sw_measure_request *request, sw_motor *motor, sw_course *course,
                            sw_error *error) {
    sw_waveform rest = *waveform;
    sw_analysis a = {.waveform = &rest,
                     .request = request,
                     .clipped = clipped,
                     .line_over_lead = 1.0,
                     .motor = motor};
    sw_motor_init(motor);
    motor->slots = request->slots;
    /* The fits' own failures are statuses here, not aborts; the caller's handler comes back. */
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    sw_status status = take_tach(&a, &rest, error);
    if (status == SW_OK)
        status = load(&a, error);
    if (status == SW_OK)
        status = tell(&a, error);
    if (status == SW_OK && motor->kind == SW_NO_GENERATOR)
        forget_magnets(motor);
    if (status == SW_OK) {
        sw_recount_warn(motor);
        sw_motor_derive(motor);
    }
    if (course != NULL)
        *course = (sw_course){.line_over_lead = 1.0};
    if (course != NULL && status == SW_OK)
        hand_over(&a, course);
    unload(&a);
    gsl_set_error_handler(handler);
    return status;
}
