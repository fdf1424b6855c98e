/* A straight line through (system time, frames so far), least squares in one pass. The claimed
 * rate is taken off first and the sums begin at the stretch's first point, so that hours of
 * frames cost no digits.
 *
 * The points scatter because callbacks come late and in bunches; neighbours are late together, so
 * the textbook's uncertainty of the slope, which falls with the root of their number, would be far
 * too small. What is stated instead is one whole scatter at each end of the span:
 * u = 2 s / T. */
#include "probes/capture/pace.h"

#include <math.h>

/* Quartz is good to 1e-4; half a per cent more is another rate. */
static const double RATE_TOLERANCE = 0.005;
static const double RATE_SIGMAS = 4;

static const double SETTLE_S = 0.3; /* the first buffers come at once */
static const double LEAST_SPAN_S = 0.5;

void sw_pace_begin(sw_pace *pace, double claimed_hz) {
    *pace = (sw_pace){.claimed_hz = claimed_hz, .begin_s = NAN};
}

void sw_pace_break(sw_pace *pace) {
    pace->now = (sw_pace_fit){0};
}

/* Frames beyond what the claimed rate would have given. */
static double ahead(const sw_pace *pace, double t, int64_t frames) {
    return (double)(frames - pace->now.start_frames) - pace->claimed_hz * t;
}

static void add_point(sw_pace_fit *fit, double t, double y) {
    fit->points += 1;
    fit->sum_t += t;
    fit->sum_y += y;
    fit->sum_tt += t * t;
    fit->sum_ty += t * y;
    fit->sum_yy += y * y;
}

static double slope_of(const sw_pace_fit *fit) {
    double spread = fit->sum_tt - fit->sum_t * fit->sum_t / fit->points;
    return (fit->sum_ty - fit->sum_t * fit->sum_y / fit->points) / spread;
}

static double scatter_of(const sw_pace_fit *fit, double slope) {
    double total = fit->sum_yy - fit->sum_y * fit->sum_y / fit->points;
    double explained = slope * (fit->sum_ty - fit->sum_t * fit->sum_y / fit->points);
    return sqrt(fmax(0, total - explained) / (fit->points - 2));
}

static void keep_longest(sw_pace *pace) {
    const sw_pace_fit *fit = &pace->now;
    double span = fit->last_s - fit->start_s;
    if (fit->points < 4 || span < LEAST_SPAN_S || span < pace->span_s)
        return;
    double slope = slope_of(fit);
    pace->span_s = span;
    pace->rate_hz = pace->claimed_hz + slope;
    pace->rate_u_hz = 2 * scatter_of(fit, slope) / span;
}

void sw_pace_add(sw_pace *pace, double time_s, int64_t frames) {
    if (isnan(pace->begin_s))
        pace->begin_s = time_s;
    if (time_s - pace->begin_s < SETTLE_S)
        return;
    if (pace->now.points == 0) {
        pace->now.start_s = time_s;
        pace->now.start_frames = frames;
    } else if (time_s <= pace->now.last_s)
        return;
    double t = time_s - pace->now.start_s;
    add_point(&pace->now, t, ahead(pace, t, frames));
    pace->now.last_s = time_s;
    keep_longest(pace);
}

double sw_pace_missing(const sw_pace *pace, double time_s, int64_t frames) {
    const sw_pace_fit *fit = &pace->now;
    double span = fit->last_s - fit->start_s;
    if (fit->points < 4 || span < LEAST_SPAN_S)
        return NAN;
    double t = time_s - fit->start_s;
    double expected = fit->sum_y / fit->points + slope_of(fit) * (t - fit->sum_t / fit->points);
    return expected - ahead(pace, t, frames);
}

void sw_pace_rate(const sw_pace *pace, double *rate_hz, double *rate_u_hz) {
    *rate_hz = pace->span_s > 0 ? pace->rate_hz : NAN;
    *rate_u_hz = pace->span_s > 0 ? pace->rate_u_hz : NAN;
}

bool sw_pace_differs(double claimed_hz, double rate_hz, double rate_u_hz) {
    return fabs(rate_hz - claimed_hz) > fmax(RATE_TOLERANCE * claimed_hz, RATE_SIGMAS * rate_u_hz);
}
