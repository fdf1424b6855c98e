/* A brushed motor gives a voltage of one sign with a ripple on it. In blocks of 50 ms the mean of
 * such a voltage is far above the ripple and keeps its sign; an alternating voltage averages out,
 * or changes sign where it is slower than a block. A scope's offset is told from it by the
 * quietest blocks, where the motor stands still, if there are any; a voltage that never changes at
 * all is no motor.
 */
#include "src/measure/analysis.h"
#include "src/measure/blocks.h"
#include "src/measure/ripple.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const double over_ripple = 2.0; /* mean over rms of what alternates */
static const double one_sign = 0.95;
static const double turns_u = 0.15; /* of a count of turns */

static bool is_brushed(const sw_blocks *b, double level) {
    double sum = 0.0;
    double sum_of_sizes = 0.0;
    double ripple = 0.0;
    double turning = 0.0;
    double noise = INFINITY;
    for (size_t i = 0; i < b->count; i++) {
        noise = fmin(noise, b->rms[i]);
        if (fabs(b->mean[i]) < level)
            continue;
        sum += b->mean[i];
        sum_of_sizes += fabs(b->mean[i]);
        ripple += b->rms[i];
        turning += 1.0;
    }
    if (turning < 2.0 || sum_of_sizes <= 0.0)
        return false;
    bool comes_and_goes = turning < 0.98 * (double)b->count || ripple / turning > 3.0 * noise;
    return comes_and_goes && fabs(sum) > one_sign * sum_of_sizes &&
           sum_of_sizes > over_ripple * ripple;
}

/* The blocks with what the input shows at rest. */
typedef struct direct {
    sw_blocks blocks;
    double level_v;
    sw_quantity zero;
    bool zero_read; /* where the motor stood still */
} direct;

static void tell_constant(sw_analysis *a, double per_rpm, double relative_u) {
    if (sw_volts_known(a))
        a->motor->voltage_constant = sw_quantity_of(per_rpm, per_rpm * relative_u, "V/rpm");
}

/* Volts of the stretch over its speed. */
static void by_speed(sw_analysis *a, const direct *d, sw_quantity volts, sw_quantity speed,
                     double scale_u) {
    double relative = sw_quantity_u_or(speed, 0.01) / speed.value;
    double rpm = speed.value * (a->request->gear > 0.0 ? a->request->gear : 1.0);
    double volts_u = hypot(volts.u, d->zero.u) / volts.value;
    a->motor->speed = sw_quantity_of(rpm, rpm * relative, "rpm");
    tell_constant(a, volts.value / rpm,
                  sqrt(volts_u * volts_u + relative * relative + scale_u * scale_u));
}

/* V = k n with n in rpm: the integral of V dt is 60 k turns. */
static void by_turns(sw_analysis *a, const direct *d, sw_quantity volts, double scale_u) {
    const sw_speed_evidence *evidence = &a->request->evidence;
    double gear = a->request->gear > 0.0 ? a->request->gear : 1.0;
    const sw_trace *trace = &a->trace[a->lead];
    double lasted_s = (double)trace->full.count / trace->full.rate_hz;
    double area = fabs(trace->offset_v - d->zero.value) * lasted_s;
    double k = area / (60.0 * evidence->turns * gear);
    double counted_u = isfinite(evidence->turns_u) ? evidence->turns_u : turns_u;
    double area_u = d->zero.u * lasted_s / area;
    double u = hypot(hypot(counted_u / evidence->turns, scale_u), area_u);
    tell_constant(a, k, u);
    a->motor->speed = sw_quantity_of(volts.value / k, volts.value / k * u, "rpm");
}

static void tell_volts(sw_analysis *a, const direct *d, sw_quantity volts) {
    sw_quantity speed = sw_tach_speed(&a->tach, a->motor->stretch_from_s - a->waveform->start_s,
                                      a->motor->stretch_to_s - a->waveform->start_s);
    if (!sw_quantity_known(speed))
        speed = a->request->evidence.speed;
    double scale_u =
        a->waveform->in_volts
            ? 0.0
            : sw_quantity_u_or(a->request->profile.volts_per_unit, 0.0) / a->volts_per_unit;
    if (sw_quantity_known(speed))
        by_speed(a, d, volts, speed, scale_u);
    else if (a->request->evidence.turns > 0.0)
        by_turns(a, d, volts, scale_u);
}

static const double zero_matters = 0.005; /* of the volts */

static void warn_of_zero(sw_analysis *a, const direct *d, double volts) {
    if (!d->zero_read && d->zero.u > zero_matters * volts)
        sw_motor_warn(a->motor, SW_WARN_OFFSET,
                      "where the input's zero is cannot be seen, for the motor never stands still "
                      "in the record: the volts may be off by %.2g V. Begin the record a second "
                      "before the motor turns",
                      2.0 * d->zero.u);
}

static void tell(sw_analysis *a, const direct *d) {
    const sw_blocks *b = &d->blocks;
    size_t first;
    size_t last;
    sw_blocks_steady(b, d->level_v, &first, &last);
    sw_quantity volts = sw_blocks_mean(b, first, last);
    volts.value = fabs(volts.value - d->zero.value);
    a->motor->kind = SW_BRUSHED;
    a->motor->stretch_from_s = a->waveform->start_s + (double)first * b->length_s;
    a->motor->stretch_to_s = a->waveform->start_s + (double)(last + 1) * b->length_s;
    tell_volts(a, d, volts);
    warn_of_zero(a, d, volts.value);
}

static sw_status tell_ripple(sw_analysis *a, const direct *d, sw_error *error) {
    const sw_trace *trace = &a->trace[a->lead];
    sw_motor *motor = a->motor;
    sw_ripple ripple;
    double k = motor->voltage_constant.value;
    if (!sw_quantity_known(motor->voltage_constant))
        return SW_OK;
    sw_status status = sw_ripple_find(
        &trace->full, trace->offset_v - d->zero.value, motor->stretch_from_s - a->waveform->start_s,
        motor->stretch_to_s - a->waveform->start_s,
        sw_quantity_of(k, k * motor->speed.u / motor->speed.value, "V/rpm"), &ripple, error);
    motor->commutator_ripple = ripple.per_turn;
    return status;
}

sw_status sw_brushed_measure(sw_analysis *analysis, bool *found, sw_error *error) {
    *found = false;
    if (!analysis->steady_voltages)
        return SW_OK;
    direct d = {.zero = sw_quantity_unknown()};
    sw_status status = sw_blocks_new(&analysis->trace[analysis->lead],
                                     &analysis->waveform->channel[analysis->lead],
                                     analysis->volts_per_unit, &d.blocks, error);
    if (status == SW_OK)
        status = sw_blocks_turning(&d.blocks, &d.level_v, error);
    if (status == SW_OK && d.blocks.count >= 3 && is_brushed(&d.blocks, d.level_v)) {
        *found = true;
        d.zero = sw_blocks_zero(&d.blocks, d.level_v, &d.zero_read);
        tell(analysis, &d);
        status = tell_ripple(analysis, &d, error);
    }
    sw_blocks_free(&d.blocks);
    return status;
}
