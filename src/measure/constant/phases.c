/* Which angles mean what (see any text on three-phase circuits):
 *   two channels on a common ground read two lines against the third wire: 60 degrees apart, and
 *   the third line voltage is their difference; 120 degrees on a common ground means phases to the
 *   star point, where a line is the difference of two; isolated channels may also read neighbouring
 *   line pairs, 120 degrees apart too. Only the person can tell the last two apart: three voltages
 *   that sum to zero prove nothing, for balanced phases do that as well. 90 degrees: a two-phase
 *   motor. 180 degrees: the two ends of one winding against a floating ground. 0: the same voltage.
 */
#include "src/measure/constant/phases.h"

#include "src/measure/constant/windings.h"
#include "src/measure/signal/grid.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <math.h>

enum { PER_CYCLE = 16, ANGLE_COUNT = 5 };

static const double dead_channel = 0.02; /* of the strongest: nothing but crosstalk */
static const double round_factor = 0.15; /* ln: how well a factor of ten must fit */
static const double unbalanced = 0.03;   /* largest deviation from the mean */
static const double suspected = 0.015;   /* of lines, likewise */
static const double angle_apart_deg = 15.0;
static const double square_deg = 5.0; /* two windings that are made alike */

/* Sums for the regression of one channel on the lead. */
typedef struct regression {
    double lead_square;
    double other_square;
    double complex cross;
    double count;
} regression;

static regression regress(const sw_grid *lead, const sw_grid *other, const sw_track *track,
                          double lowest_hz) {
    regression sum = {0};
    size_t hint = 0;
    for (size_t point = PER_CYCLE; point + PER_CYCLE < lead->count; point += PER_CYCLE) {
        double at = lead->from_cycles + (double)point / PER_CYCLE;
        if (sw_track_frequency(track, at, &hint) < lowest_hz)
            continue;
        double complex a = sw_grid_demodulate(lead, point, PER_CYCLE, 1.0);
        double complex b = sw_grid_demodulate(other, point, PER_CYCLE, 1.0);
        sum.lead_square += creal(a * conj(a));
        sum.other_square += creal(b * conj(b));
        sum.cross += b * conj(a);
        sum.count += 1.0;
    }
    return sum;
}

static void settle(const regression *sum, sw_relation *relation, size_t channel) {
    if (sum->lead_square <= 0.0)
        return;
    double complex ratio = sum->cross / sum->lead_square;
    double left = sum->other_square - creal(ratio * conj(ratio)) * sum->lead_square;
    relation->ratio[channel] = ratio;
    relation->ratio_u[channel] =
        sqrt(fmax(0.0, left) / sum->lead_square / fmax(1.0, sum->count - 1.0));
}

sw_status sw_phases_relate(const sw_trace *trace, size_t channels, size_t lead,
                           const sw_track *track, const sw_kernel *kernel, sw_relation *relation,
                           sw_error *error) {
    *relation = (sw_relation){.channels = channels, .lead = lead};
    relation->ratio[lead] = 1.0;
    double low = track->knot[0].cycles;
    double high = track->knot[track->count - 1].cycles;
    sw_grid own = {0};
    sw_status status =
        sw_grid_new(track, &trace[lead].flat, kernel, low, high, PER_CYCLE, &own, error);
    for (size_t c = 0; c < channels && status == SW_OK; c++) {
        if (c == lead)
            continue;
        sw_grid other = {0};
        status = sw_grid_new(track, &trace[c].flat, kernel, low, high, PER_CYCLE, &other, error);
        if (status == SW_OK) {
            regression sum = regress(&own, &other, track, 0.5 * trace[lead].low_cut_hz);
            settle(&sum, relation, c);
        }
        sw_grid_free(&other);
    }
    sw_grid_free(&own);
    return status;
}

/* The channels that show a voltage, their scale still to be put right. */
static sw_live live_channels(const sw_relation *relation, sw_motor *motor) {
    sw_live v = {0};
    for (size_t c = 0; c < relation->channels; c++) {
        if (cabs(relation->ratio[c]) < dead_channel) {
            sw_motor_warn(motor, SW_WARN_UNBALANCED,
                          "channel %zu shows less than %.0f %% of channel %zu's voltage", c + 1,
                          100.0 * dead_channel, relation->lead + 1);
            sw_windings_dead(c, relation->channels - 1, motor);
            continue;
        }
        v.channel[v.count] = c;
        v.ratio[v.count++] = relation->ratio[c];
        v.u = fmax(v.u, relation->ratio_u[c]);
    }
    return v;
}

/* The amplitude that the channels agree on: the middle one of three, the larger one of two. */
static double usual_amplitude(const sw_live *v) {
    double amplitude[SW_CHANNEL_LIMIT];
    for (size_t i = 0; i < v->count; i++)
        amplitude[i] = cabs(v->ratio[i]);
    gsl_sort(amplitude, 1, v->count);
    return amplitude[v->count / 2];
}

/* A probe whose factor was not set makes its channel a power of ten too small or too large. */
static void mend_scale(sw_live *v, sw_motor *motor) {
    double usual = usual_amplitude(v);
    for (size_t i = 0; i < v->count; i++) {
        double tens = log(usual / cabs(v->ratio[i])) / M_LN10;
        double whole = round(tens);
        if (fabs(whole) < 0.5 || fabs(tens - whole) * M_LN10 > round_factor)
            continue;
        sw_motor_warn(motor, SW_WARN_SCALE_MISMATCH,
                      "channel %zu is %.0f times too %s (%.3g of the others): its probe factor was "
                      "not set. It is counted %s",
                      v->channel[i] + 1, pow(10.0, fabs(whole)), whole > 0.0 ? "small" : "large",
                      cabs(v->ratio[i]) / usual,
                      whole > 0.0 ? "multiplied by that" : "divided by that");
        v->ratio[i] *= pow(10.0, whole);
        v->u *= pow(10.0, fmax(0.0, whole));
    }
}

static double angle_between_deg(double complex a, double complex b) {
    return fabs(carg(b * conj(a))) * 180.0 / M_PI;
}

/* The nearest of the angles that mean something, -1 when none is near. */
static double named_angle(double deg) {
    static const double named[ANGLE_COUNT] = {0.0, 60.0, 90.0, 120.0, 180.0};
    double best = -1.0;
    double off = angle_apart_deg;
    for (int i = 0; i < ANGLE_COUNT; i++)
        if (fabs(deg - named[i]) <= off) {
            off = fabs(deg - named[i]);
            best = named[i];
        }
    return best;
}

static double balance_of(const double *amplitude, size_t count, double *mean) {
    *mean = 0.0;
    for (size_t i = 0; i < count; i++)
        *mean += amplitude[i] / (double)count;
    double worst = 0.0;
    for (size_t i = 0; i < count; i++)
        worst = fmax(worst, fabs(amplitude[i] / *mean - 1.0));
    return worst;
}

/* True when they are more unlike than sound windings are. */
static bool tell_balance(sw_motor *motor, double balance, double u, const char *what) {
    motor->balance = sw_quantity_of(balance, u, "1");
    if (balance <= unbalanced + 2.0 * u)
        return false;
    sw_motor_warn(motor, SW_WARN_UNBALANCED,
                  "the %s differ by up to %.1f %% from their mean (usual: below %.0f %%): a "
                  "shorted or dead coil, or a channel's scale. To decide exchange two clips and "
                  "record again (a scale stays with its channel), and compare the wires' ohms",
                  what, 100.0 * balance, 100.0 * unbalanced);
    return true;
}

typedef enum sight { SIGHT_TWO_LINES, SIGHT_PHASES, SIGHT_PAIRS } sight;

/* What a pair or triple of voltages is. */
typedef struct verdict {
    sight sight;
    double line[3]; /* line amplitudes over the lead's */
    double own[3];  /* amplitudes to be compared for balance */
    size_t owns;
    double angle_deg;
} verdict;

/* Two lines against the third wire. */
static verdict two_lines(const sw_live *v) {
    verdict r = {.sight = SIGHT_TWO_LINES, .owns = 3};
    r.angle_deg = 180.0 - angle_between_deg(v->ratio[0], v->ratio[1]);
    r.line[0] = r.own[0] = cabs(v->ratio[0]);
    r.line[1] = r.own[1] = cabs(v->ratio[1]);
    r.line[2] = r.own[2] = cabs(v->ratio[0] - v->ratio[1]);
    return r;
}

/* Phases a, b and c (minus a and b where it was not recorded): lines are differences. */
static verdict star_phases(const sw_live *v) {
    double complex a = v->ratio[0];
    double complex b = v->ratio[1];
    double complex c = v->count >= 3 ? v->ratio[2] : -(a + b);
    verdict r = {.sight = SIGHT_PHASES, .owns = v->count >= 3 ? 3 : 2};
    r.line[0] = cabs(a - b);
    r.line[1] = cabs(b - c);
    r.line[2] = cabs(c - a);
    r.own[0] = cabs(a);
    r.own[1] = cabs(b);
    r.own[2] = cabs(c);
    r.angle_deg =
        (angle_between_deg(a, b) + angle_between_deg(b, c) + angle_between_deg(c, a)) / 3.0;
    if (v->count < 3)
        r.angle_deg = angle_between_deg(a, b);
    return r;
}

/* Neighbouring line pairs on isolated channels. */
static verdict line_pairs(const sw_live *v) {
    verdict r = star_phases(v);
    r.sight = SIGHT_PAIRS;
    for (int i = 0; i < 3; i++)
        r.line[i] = r.own[i];
    return r;
}

static double conclude(const sw_live *v, const verdict *r, sw_motor *motor, const char *what) {
    double mean_line = (r->line[0] + r->line[1] + r->line[2]) / 3.0;
    double mean;
    double balance = balance_of(r->own, r->owns, &mean);
    motor->phases = 3;
    motor->phase_angle = sw_quantity_of(r->angle_deg, v->u * 180.0 / M_PI, "deg");
    bool uneven = tell_balance(motor, balance, v->u, what);
    /* a phase that lacks a share shows by a third of it in the lines */
    bool odd = balance > suspected + 2.0 * v->u;
    if (odd && r->sight == SIGHT_TWO_LINES)
        sw_windings_two_lines(v, motor);
    else if (uneven && r->sight == SIGHT_PHASES)
        sw_windings_phases(v, motor);
    return mean_line;
}

/* 120 degrees: to the star point, or pairs of lines on isolated channels. */
static double judge_120(const sw_live *v, sw_between between, sw_motor *motor, bool *of_phase) {
    verdict star = star_phases(v);
    verdict pairs = line_pairs(v);
    *of_phase = between != SW_BETWEEN_LINES;
    if (between == SW_BETWEEN_NOT_SAID)
        sw_motor_warn(motor, SW_WARN_BETWEEN_DOUBTFUL,
                      "channels 120 degrees apart are taken as phases to the star point. If they "
                      "were isolated and on pairs of lines, all volts are %.2f times too high: say "
                      "--between lines",
                      (star.line[0] + star.line[1] + star.line[2]) /
                          (pairs.line[0] + pairs.line[1] + pairs.line[2]));
    if (*of_phase && between == SW_BETWEEN_STAR_POINT)
        motor->star_point = SW_YES;
    return *of_phase ? conclude(v, &star, motor, "phases") : conclude(v, &pairs, motor, "lines");
}

/* Two windings at right angles, or one winding seen twice. */
static double judge_windings(const sw_live *v, double named, sw_motor *motor) {
    double amplitude[2] = {cabs(v->ratio[0]), cabs(v->ratio[1])};
    double mean;
    double balance = balance_of(amplitude, 2, &mean);
    if (named > 170.0)
        return cabs(v->ratio[0] - v->ratio[1]);
    if (named < 10.0)
        return mean;
    motor->phases = 2;
    motor->phase_angle =
        sw_quantity_of(angle_between_deg(v->ratio[0], v->ratio[1]), v->u * 180.0 / M_PI, "deg");
    tell_balance(motor, balance, v->u, "windings");
    return mean;
}

/* Only where the windings' ends are separate, or all clips share the star point, does it matter
 * for the motor itself. */
static void warn_reversed(size_t channel, sw_between between, sw_motor *motor) {
    if (between == SW_BETWEEN_WINDINGS || between == SW_BETWEEN_STAR_POINT)
        sw_windings_reversed(channel, motor);
}

/* A clip pair the wrong way round turns 120 degrees into 60: with three channels the odd one is
 * turned back. */
static void turn_back(sw_live *v, sw_between between, sw_motor *motor) {
    for (size_t i = 0; i < v->count; i++) {
        size_t j = (i + 1) % v->count;
        size_t k = (i + 2) % v->count;
        bool others = named_angle(angle_between_deg(v->ratio[j], v->ratio[k])) == 120.0;
        bool odd = named_angle(angle_between_deg(v->ratio[i], v->ratio[j])) == 60.0 &&
                   named_angle(angle_between_deg(v->ratio[i], v->ratio[k])) == 60.0;
        if (others && odd) {
            v->ratio[i] = -v->ratio[i];
            warn_reversed(v->channel[i], between, motor);
            return;
        }
    }
}

/* Lines of a winding with a fault: 30 degrees and more off, but explained by one phase. */
static bool odd_lines(const sw_live *v, sw_between between, sw_motor *motor, double *mean_line) {
    bool may_be = between == SW_BETWEEN_NOT_SAID || between == SW_BETWEEN_LINES;
    if (!may_be || !sw_windings_explained(v))
        return false;
    verdict r = two_lines(v);
    *mean_line = conclude(v, &r, motor, "lines");
    return true;
}

static void odd_angle(double deg, sw_motor *motor) {
    sw_motor_warn(motor, SW_WARN_UNBALANCED,
                  "the channels are %.0f degrees apart, which is none of 0, 60, 90, 120 and 180: a "
                  "dead coil, or clips on different machines. The strongest channel alone is used",
                  deg);
}

static double judge_pair(const sw_live *v, sw_between between, sw_motor *motor, bool *of_phase) {
    double deg = angle_between_deg(v->ratio[0], v->ratio[1]);
    double named = named_angle(deg);
    if (named == 60.0 && between != SW_BETWEEN_STAR_POINT && between != SW_BETWEEN_WINDINGS) {
        verdict r = two_lines(v);
        return conclude(v, &r, motor, "lines");
    }
    if (named == 120.0 || named == 60.0) {
        sw_live turned = *v;
        if (named == 60.0) {
            turned.ratio[1] = -turned.ratio[1];
            warn_reversed(v->channel[1], between, motor);
        }
        return judge_120(&turned, between, motor, of_phase);
    }
    double mean_line;
    bool square = named >= 0.0 && fabs(deg - named) < square_deg;
    if (!square && odd_lines(v, between, motor, &mean_line))
        return mean_line;
    if (named >= 0.0)
        return judge_windings(v, named, motor);
    odd_angle(deg, motor);
    return 1.0;
}

static double judge_triple(sw_live *v, sw_between between, sw_motor *motor, bool *of_phase) {
    turn_back(v, between, motor);
    for (size_t i = 0; i < 3; i++) {
        double deg = angle_between_deg(v->ratio[i], v->ratio[(i + 1) % 3]);
        if (named_angle(deg) != 120.0) {
            odd_angle(deg, motor);
            return 1.0;
        }
    }
    return judge_120(v, between, motor, of_phase);
}

void sw_phases_judge(const sw_relation *relation, sw_between between, sw_motor *motor,
                     double *line_over_lead, bool *of_phase) {
    *line_over_lead = 1.0;
    *of_phase = false;
    sw_live v = live_channels(relation, motor);
    if (v.count >= 2)
        mend_scale(&v, motor);
    if (v.count == 2)
        *line_over_lead = judge_pair(&v, between, motor, of_phase);
    else if (v.count >= 3)
        *line_over_lead = judge_triple(&v, between, motor, of_phase);
    else if (between == SW_BETWEEN_STAR_POINT) {
        motor->phases = 3;
        *line_over_lead = sqrt(3.0);
        *of_phase = true;
    }
}

void sw_phases_judge_again(const sw_relation *relation, sw_motor *motor) {
    sw_live v = {0};
    bool told = motor->slots > 0 && motor->pole_pairs.value > 0;
    if (!told || sw_motor_warned(motor, SW_WARN_SCALE_MISMATCH) ||
        !(motor->balance.value > suspected + 2.0 * sw_quantity_u_or(motor->balance, 0.0)))
        return;
    for (size_t c = 0; c < relation->channels; c++) {
        if (cabs(relation->ratio[c]) < dead_channel)
            continue;
        v.channel[v.count] = c;
        v.ratio[v.count++] = relation->ratio[c];
        v.u = fmax(v.u, relation->ratio_u[c]);
    }
    if (v.count == 2 && named_angle(angle_between_deg(v.ratio[0], v.ratio[1])) == 60.0)
        sw_windings_two_lines_again(&v, motor);
}
