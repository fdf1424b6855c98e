/* A brushed motor gives a voltage of one sign with a ripple on it. In blocks of 50 ms the mean of
 * such a voltage is far above the ripple and keeps its sign; an alternating voltage averages out,
 * or changes sign where it is slower than a block. A scope's offset is told from it by the
 * quietest blocks, where the motor stands still, if there are any. A voltage that never changes may
 * be either, far above what a scope's zero is off too: it is taken for a motor's only where the
 * commutator's ripple stands on it or somebody said that there are brushes.
 *
 * An input with a low cut passes none of it but its rise and fall. The cut is of first order, so
 * v + 2 pi fc * integral of v is the voltage before it; what noise and offset add to that grows
 * slowly. That is good enough to know the motor by, and for its ripple, but not for its volts.
 */
#include "src/measure/analysis.h"
#include "src/measure/brushed/ripple.h"
#include "src/measure/signal/blocks.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const double over_ripple = 2.0; /* mean over rms of what alternates */
static const double one_sign = 0.95;
/* A steady voltage: of an alternating one that stands on an offset more than a tenth alternates, or
 * the scope was set to show nothing; and nobody asks about a motor that gives less than offset_v.
 */
static const double over_alternating = 10.0;
static const double offset_v = 0.5;           /* as faint as measure.c calls it */
static const double commutator_ripple = 0.06; /* the most, of its volts; few bars */
static const double quiet_s = 0.1;            /* at the beginning, before anybody turns it */
static const double still_share = 0.2;        /* of the level */
static const double above_noise = 20.0;
/* A commutator's ripple is 1 to 3 % of its volts. */
static const double above_ripple = 30.0;
static const double least_v = 1.0;
static const double held_least = 0.35;
static const double least_share = 0.05; /* of what the input takes, where its volts are not known */
static const double turns_u = 0.15;     /* of a count of turns */

typedef enum manner { ANOTHER, STEADY, COMES_AND_GOES } manner;

static manner manner_of(const sw_blocks *b, double level) {
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
        return ANOTHER;
    if (fabs(sum) <= one_sign * sum_of_sizes || sum_of_sizes <= over_ripple * ripple)
        return ANOTHER;
    if (turning < 0.98 * (double)b->count || ripple / turning > 3.0 * noise)
        return COMES_AND_GOES;
    return sum_of_sizes > over_alternating * ripple && 2.0 * level > offset_v ? STEADY : ANOTHER;
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

static sw_status tell_ripple(sw_analysis *a, const sw_trace *trace, const direct *d, double most,
                             sw_error *error) {
    sw_motor *motor = a->motor;
    sw_ripple ripple;
    double k = motor->voltage_constant.value;
    if (!sw_quantity_known(motor->voltage_constant))
        return SW_OK;
    sw_status status = sw_ripple_find(
        &trace->full, trace->offset_v - d->zero.value, motor->stretch_from_s - a->waveform->start_s,
        motor->stretch_to_s - a->waveform->start_s,
        sw_quantity_of(k, k * motor->speed.u / motor->speed.value, "V/rpm"), &ripple, error);
    motor->commutator_ripple = ripple.relative < most ? ripple.per_turn : 0;
    return status;
}

/* The voltage before the low cut, its quiet beginning at zero. */
static sw_status restore(const sw_analysis *a, sw_trace *trace, sw_error *error) {
    const sw_trace *from = &a->trace[a->lead];
    size_t count = from->full.count;
    size_t quiet = (size_t)fmin((double)count, quiet_s * from->full.rate_hz);
    *trace = (sw_trace){.low_cut_hz = 0.0};
    sw_status status = sw_signal_new(from->full.rate_hz, count, &trace->full, error);
    double mean = 0.0;
    for (size_t i = 0; i < quiet; i++)
        mean += from->full.value[i] / (double)quiet;
    for (size_t i = 0; i < count && status == SW_OK; i++)
        trace->full.value[i] = from->full.value[i] - mean;
    if (status == SW_OK)
        sw_signal_move_low_cut(&trace->full, from->low_cut_hz, 0.0);
    return status;
}

/* Share of the turning blocks that stay at one voltage: a hand holds a speed, a drift holds none.
 */
static double held_share(const sw_blocks *b, double level_v) {
    size_t first;
    size_t last;
    double turning = 0.0;
    sw_blocks_steady(b, level_v, &first, &last);
    for (size_t i = 0; i < b->count; i++)
        turning += fabs(b->mean[i]) >= level_v;
    return turning > 0.0 ? (double)(last - first + 1) / turning : 0.0;
}

/* Far above what noise alone can add up to and above its own ripple, of some volts, and back at
 * nothing for a while: what drifts, or the little that iron keeps, is none of it. */
static bool is_clear(const sw_analysis *a, const sw_blocks *b, double level_v) {
    double noise = INFINITY;
    double volts = 0.0;
    double ripple = 0.0;
    size_t still = 0;
    for (size_t i = 0; i < b->count; i++) {
        noise = fmin(noise, b->rms[i]);
        still += fabs(b->mean[i]) < still_share * level_v;
        if (fabs(b->mean[i]) < level_v)
            continue;
        volts += fabs(b->mean[i]);
        ripple += b->rms[i];
    }
    bool plenty = sw_volts_known(a) ? level_v > least_v : level_v > least_share * b->screen_v;
    return level_v > above_noise * noise && volts > above_ripple * ripple && plenty && still >= 2 &&
           held_share(b, level_v) > held_least;
}

static void ask_for_meter(sw_analysis *a) {
    a->motor->voltage_constant = sw_quantity_unknown();
    sw_motor_warn(a->motor, SW_WARN_DC_BLOCKED,
                  "a voltage of one sign that comes and goes with the speed: a brushed motor. This "
                  "input passes no steady volts. Read them with a meter on its DC range at a "
                  "steady speed that is timed (--dc-volts together with --speed)");
}

/* Behind an input with a low cut. */
static sw_status measure_blocked(sw_analysis *a, bool *found, sw_error *error) {
    direct d = {.zero = sw_quantity_of(0.0, 0.0, "V"), .zero_read = true};
    sw_trace restored;
    sw_status status = restore(a, &restored, error);
    if (status == SW_OK)
        status = sw_blocks_new(&restored, &a->waveform->channel[a->lead], a->volts_per_unit,
                               &d.blocks, error);
    if (status == SW_OK)
        status = sw_blocks_turning(&d.blocks, &d.level_v, error);
    if (status == SW_OK && d.blocks.count >= 3 && is_clear(a, &d.blocks, d.level_v) &&
        manner_of(&d.blocks, d.level_v) == COMES_AND_GOES) {
        *found = true;
        tell(a, &d);
        status = tell_ripple(a, &restored, &d, INFINITY, error);
        ask_for_meter(a);
    }
    sw_blocks_free(&d.blocks);
    sw_trace_free(&restored);
    return status;
}

/* A motor or an offset? */
static void leave_open(sw_analysis *a, double volts) {
    sw_motor *motor = a->motor;
    motor->kind = SW_MAGNET_AC; /* as where nothing is known */
    motor->voltage_constant = sw_quantity_unknown();
    motor->speed = sw_quantity_unknown();
    sw_motor_unwarn(motor, SW_WARN_OFFSET);
    sw_motor_warn(motor, SW_WARN_STEADY_VOLTAGE,
                  "a steady %.3g V from beginning to end is either an offset of the scope or a "
                  "brushed motor that turned all the while. Begin the record a second before the "
                  "motor turns, or read the volts with a meter on its DC range",
                  volts);
}

/* The same voltage all through. */
static sw_status measure_steady(sw_analysis *a, direct *d, sw_error *error) {
    sw_quantity volts = sw_blocks_mean(&d->blocks, 0, d->blocks.count - 1);
    d->zero = sw_blocks_zero(&d->blocks, d->level_v, &d->zero_read);
    tell(a, d);
    sw_status status = tell_ripple(a, &a->trace[a->lead], d,
                                   a->request->brushed ? INFINITY : commutator_ripple, error);
    if (status == SW_OK && !a->request->brushed && a->motor->commutator_ripple == 0)
        leave_open(a, volts.value);
    return status;
}

static sw_status measure_direct(sw_analysis *a, direct *d, bool *found, sw_error *error) {
    manner how = d->blocks.count >= 3 ? manner_of(&d->blocks, d->level_v) : ANOTHER;
    *found = how != ANOTHER;
    if (how == STEADY)
        return measure_steady(a, d, error);
    if (how == ANOTHER)
        return SW_OK;
    d->zero = sw_blocks_zero(&d->blocks, d->level_v, &d->zero_read);
    tell(a, d);
    return tell_ripple(a, &a->trace[a->lead], d, INFINITY, error);
}

sw_status sw_brushed_measure(sw_analysis *analysis, bool *found, sw_error *error) {
    *found = false;
    if (!analysis->steady_voltages)
        return measure_blocked(analysis, found, error);
    direct d = {.zero = sw_quantity_unknown()};
    sw_status status = sw_blocks_new(&analysis->trace[analysis->lead],
                                     &analysis->waveform->channel[analysis->lead],
                                     analysis->volts_per_unit, &d.blocks, error);
    if (status == SW_OK)
        status = sw_blocks_turning(&d.blocks, &d.level_v, error);
    if (status == SW_OK)
        status = measure_direct(analysis, &d, found, error);
    sw_blocks_free(&d.blocks);
    return status;
}
