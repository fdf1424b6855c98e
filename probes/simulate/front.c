/* The order is that of the wires: the winding's resistance and inductance against the divider,
 * the clamps behind the divider, the input's series capacitor, then what the input adds (hum,
 * noise, offset), its gain, full scale and the converter's steps.
 *
 * The clamps are diodes in series, each way: they take a current ~ sinh(v / slope) through the
 * divider's resistance, so that v + c sinh(v / slope) = v_in. The two constants are set so that
 * 0.1 % is taken at the linear limit, which is 14 slopes up (n = 1.8, 26 mV, a silicon diode's
 * 0.65 V at the currents of a divider).
 */
#include "probes/simulate/front.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/loaded.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const double SLOPES_TO_LIMIT = 14;
static const double TAKEN_AT_LIMIT = 1e-3;
static const double LEVEL_WANTED = 0.35; /* of full scale, automatic level */
static const double LEVEL_ATTACK_S = 0.03;
static const double LEVEL_RELEASE_S = 1.0;
static const double LARGEST_GAIN = 10;
static const double FLICKER_S[SW_FRONT_FLICKERS] = {2.0, 0.2, 0.02};
static const int HUM_ORDER[SW_FRONT_HUMS] = {1, 2, 3, 5};
static const double HUM_SHARE[SW_FRONT_HUMS] = {1, 0.15, 0.4, 0.2};

/* y' = (x - y) / tau, input straight between samples:
 * y1 = e y0 + x1 (1 - g) + x0 (g - e), e = exp(-T/tau), g = (1 - e) tau / T. */
static sw_one_pole one_pole(double tau_s, double step_s) {
    if (tau_s <= 0)
        return (sw_one_pole){.new = 1};
    double e = exp(-step_s / tau_s);
    double g = -expm1(-step_s / tau_s) * tau_s / step_s;
    return (sw_one_pole){.keep = e, .old = g - e, .new = 1 - g};
}

static double through(sw_one_pole *pole, double input) {
    pole->output = pole->keep * pole->output + pole->new *input + pole->old * pole->input;
    pole->input = input;
    return pole->output;
}

static double winding_share(const sw_sim_spec *spec) {
    const sw_sim_front *front = &spec->front;
    bool to_star = front->between == SW_SIM_BETWEEN_STAR_POINT ||
                   (front->between == SW_SIM_BETWEEN_AUTOMATIC && front->channels == 3);
    return to_star && spec->motor.phases == 3 ? 0.5 : 1.0;
}

double sw_front_load_gain(const sw_sim_spec *spec) {
    double ohm = spec->motor.resistance_ohm * winding_share(spec);
    double across = sw_sim_terminal_ohm(&spec->front);
    return across > 0 ? across / (across + ohm) : 1;
}

static void set_clamps(sw_front *front, double limit) {
    if (limit <= 0)
        return;
    front->clamp_slope = limit / SLOPES_TO_LIMIT;
    front->clamp_current = TAKEN_AT_LIMIT * limit / sinh(SLOPES_TO_LIMIT);
}

void sw_front_start(sw_front *front, const sw_sim_spec *spec, gsl_rng *random) {
    const sw_sim_front *wanted = &spec->front;
    *front = (sw_front){.spec = wanted, .random = random, .gain = 1};
    front->step_s = 1 / (wanted->rate_hz * (1 + wanted->clock_error));
    front->load_gain = sw_front_load_gain(spec);
    double share = winding_share(spec);
    double across = sw_sim_terminal_ohm(wanted);
    double ohm = spec->motor.resistance_ohm * share + across;
    double load_s = across > 0 ? spec->motor.inductance_h * share / ohm : 0;
    double cut_s = wanted->low_cut_hz > 0 ? 1 / (2 * M_PI * wanted->low_cut_hz) : 0;
    for (int c = 0; c < wanted->channels; c++) {
        front->channel[c].loading = one_pole(load_s, front->step_s);
        front->channel[c].low = one_pole(cut_s, front->step_s);
        for (int i = 0; i < SW_FRONT_FLICKERS; i++)
            front->channel[c].flicker[i] = sw_draw_normal(random, 1);
    }
    set_clamps(front, wanted->linear_limit);
    for (int i = 0; i < SW_FRONT_HUMS; i++)
        front->hum_phase[i] = sw_draw_between(random, 0, 2 * M_PI);
}

/* Solve v + c sinh(v / s) = input by Newton from above, where the curve is convex. */
static double clamp(sw_front *front, double input) {
    double x = fabs(input);
    if (front->clamp_slope <= 0 || x < 0.3 * front->spec->linear_limit)
        return input;
    double s = front->clamp_slope;
    double c = front->clamp_current;
    double v = fmin(x, s * (1 + asinh(x / c)));
    for (int i = 0; i < 50; i++) {
        double change = (v + c * sinh(v / s) - x) / (1 + c / s * cosh(v / s));
        v -= change;
        if (fabs(change) < 1e-12 * s)
            break;
    }
    front->clamped += x > front->spec->linear_limit;
    return copysign(v, input);
}

static double added(sw_front *front, sw_front_channel *channel) {
    const sw_sim_front *spec = front->spec;
    double sum = spec->offset;
    if (spec->noise > 0)
        sum += sw_draw_normal(front->random, spec->noise);
    if (spec->flicker > 0) {
        for (int i = 0; i < SW_FRONT_FLICKERS; i++) {
            double a = front->step_s / FLICKER_S[i];
            channel->flicker[i] +=
                -a * channel->flicker[i] + sw_draw_normal(front->random, sqrt(2 * a));
            sum += spec->flicker * channel->flicker[i] / sqrt(SW_FRONT_FLICKERS);
        }
    }
    return sum;
}

static double hum_at(const sw_front *front, double time_s) {
    double sum = 0;
    for (int i = 0; i < SW_FRONT_HUMS && front->spec->hum > 0; i++)
        sum += HUM_SHARE[i] *
               sin(2 * M_PI * HUM_ORDER[i] * front->spec->hum_hz * time_s + front->hum_phase[i]);
    return front->spec->hum * sum;
}

static void follow_level(sw_front *front, const double *samples) {
    double peak = 0;
    for (int c = 0; c < front->spec->channels; c++)
        peak = fmax(peak, fabs(samples[c]));
    double tau_s = peak > front->level ? LEVEL_ATTACK_S : LEVEL_RELEASE_S;
    front->level += (peak - front->level) * front->step_s / tau_s;
    front->gain = fmin(LARGEST_GAIN, LEVEL_WANTED / fmax(front->level, 1e-6));
}

static double convert(sw_front *front, double x) {
    int bits = front->spec->bits;
    front->samples++;
    if (bits > 0) {
        double steps = ldexp(1, bits - 1);
        x = fmin(fmax(rint(x * steps), -steps), steps - 1) / steps;
        front->clipped += x <= -1 || x >= (steps - 1) / steps;
    }
    return front->spec->scope ? x * front->spec->volts_per_unit : x;
}

void sw_front_sample(sw_front *front, double time_s, const double *volts, double *samples) {
    const sw_sim_front *spec = front->spec;
    double hum = hum_at(front, time_s);
    for (int c = 0; c < spec->channels; c++) {
        sw_front_channel *channel = &front->channel[c];
        double x = through(&channel->loading, volts[c]) * front->load_gain / spec->volts_per_unit;
        x = clamp(front, x);
        if (spec->low_cut_hz > 0)
            x -= through(&channel->low, x);
        samples[c] = x + hum + added(front, channel);
    }
    if (spec->automatic_level)
        follow_level(front, samples);
    for (int c = 0; c < spec->channels; c++)
        samples[c] = convert(front, samples[c] * front->gain);
}
