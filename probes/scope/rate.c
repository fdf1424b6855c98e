/* The rate: fitted to the times, or stated in the header, or asked for.
 *
 * Printed times are rounded, so the straight line through all of them is better than any two. A
 * header that agrees with it and is printed finer is the truth; one that is a thousand times off
 * has another unit than the times; any other contradiction is settled for the times and noted.
 */
#include "probes/scope/survey.h"

#include <math.h>

/* Beyond this the header speaks of something else than these rows. */
static const double SAME = 0.01;

/* A power of a thousand (k != 0) between header and times, 0 when there is none. */
static double unit_factor(double header, double fitted) {
    for (int k = -4; k <= 4; k++) {
        double factor = pow(1000, k);
        if (k != 0 && fabs(header / fitted / factor - 1) < SAME)
            return factor;
    }
    return 0;
}

static sw_status check_straight(const sw_scope_survey *survey, const sw_time_line *line,
                                const char *name, sw_error *error) {
    double allowed = 0.5 * line->step + sw_time_fit_rounding(&survey->times);
    if (line->rms <= allowed)
        return SW_OK;
    return sw_fail(error, SW_FORMAT,
                   "%s: the times are not evenly spaced: they stray by %.3g from even steps of "
                   "%.6g",
                   name, line->rms, line->step);
}

/* Header and times together; both in seconds. */
static double settle_interval(const sw_scope_facts *facts, double step, double *u, double *scale,
                              bool unit_said, bool *from_header, sw_text *notes) {
    double header = facts->interval_s;
    *scale = 1;
    if (!(header > 0))
        return step;
    double factor = unit_factor(header, step);
    if (factor > 0 && !unit_said && facts->interval_has_unit) {
        *scale = factor;
        step *= factor;
        *u *= factor;
        sw_text_add(notes, "the times bear no unit; by \"%s\" one of them is %g s\n", facts->key,
                    factor);
    } else if (factor > 0) {
        sw_text_add(notes, "\"%s\" is meant in units of %g s, by the times\n", facts->key,
                    1 / factor);
        header /= factor;
    }
    if (fabs(header / step - 1) > SAME) {
        sw_text_add(notes,
                    "\"%s\" says %.9g s from sample to sample, the times %.9g s; the times "
                    "hold\n",
                    facts->key, facts->interval_s, step);
        return step;
    }
    if (fabs(header - step) > 4 * *u + 1e-9 * step) {
        sw_text_add(notes, "\"%s\" is a rounded %.9g s, the times are finer\n", facts->key, header);
        return step;
    }
    *u = 0;
    *from_header = true;
    sw_text_add(notes, "rate: %.9g Hz from \"%s\", which the times agree with\n", 1 / header,
                facts->key);
    return header;
}

static sw_status rate_of_times(const sw_scope_layout *layout, const sw_scope_survey *survey,
                               const char *name, sw_scope_rate *rate, sw_text *notes,
                               sw_error *error) {
    sw_time_line line = sw_time_fit_solve(&survey->times);
    sw_status status = check_straight(survey, &line, name, error);
    if (status != SW_OK)
        return status;
    const sw_scope_column *column = &layout->column[layout->time];
    bool unit_said = column->unit.dimension == SW_DIMENSION_TIME;
    double unit = layout->time_scale;
    double u = line.step_u * unit;
    double scale = 1;
    bool from_header = false;
    double interval = settle_interval(&layout->facts, line.step * unit, &u, &scale, unit_said,
                                      &from_header, notes);
    double start = fabs(line.start) < 1e-9 * line.step ? 0 : line.start;
    *rate = (sw_scope_rate){1 / interval, u / (interval * interval), start * unit * scale};
    if (!from_header && u < 1e-9 * interval)
        sw_text_add(notes, "rate: %.9g Hz, the times rise in equal steps\n", rate->rate_hz);
    else if (!from_header)
        sw_text_add(notes,
                    "rate: %.9g Hz, a straight line through %zu times (uncertainty %.2g "
                    "Hz)\n",
                    rate->rate_hz, survey->rows, rate->rate_u_hz);
    return SW_OK;
}

sw_status sw_scope_find_rate(const sw_scope_layout *layout, const sw_scope_survey *survey,
                             double asked_hz, const char *name, sw_scope_rate *rate, sw_text *notes,
                             sw_error *error) {
    const sw_scope_facts *facts = &layout->facts;
    bool timed = layout->time >= 0 && layout->column[layout->time].role == SW_ROLE_TIME;
    sw_status status = SW_OK;
    if (timed)
        status = rate_of_times(layout, survey, name, rate, notes, error);
    else if (layout->time >= 0) {
        double step = sw_time_fit_solve(&survey->times).step;
        *rate = (sw_scope_rate){.rate_hz = 1 / (layout->time_scale * step)};
    } else {
        *rate = (sw_scope_rate){.rate_hz = 1 / layout->time_scale};
    }
    if (status != SW_OK)
        return status;
    if (!timed && isfinite(facts->start_s))
        rate->start_s = facts->start_s;
    if (!timed && !(asked_hz > 0))
        sw_text_add(notes, "rate: %.9g Hz from \"%s\"\n", rate->rate_hz, facts->key);
    if (asked_hz > 0) {
        bool differs = timed && fabs(asked_hz / rate->rate_hz - 1) > 1e-6;
        if (differs)
            rate->start_s *= rate->rate_hz / asked_hz;
        *rate = (sw_scope_rate){asked_hz, 0, rate->start_s};
        sw_text_add(notes, "rate: %.9g Hz, as asked%s\n", asked_hz,
                    differs ? ", against the file's own times" : "");
    }
    if (!(rate->rate_hz > 0) || !isfinite(rate->rate_hz))
        return sw_fail(error, SW_VALUE, "%s: the rate comes out as %g Hz", name, rate->rate_hz);
    return SW_OK;
}
