/* Battery tap: a battery of known voltage is touched to the divider several times.
 *
 * While the contact stands still, the true input is constant (0 or the battery) and the recording
 * is offset + level exp(-w t), w = 2 pi fc: the AC coupling's decay (tap_decay.c). A contact
 * bounces for some milliseconds, during which the coupling charges in part, so the height of a
 * step is not read off the recording but from the restored input x = y + w integral(y) over the
 * bounces (the inverse of a first-order high-pass, H = s/(s + w)):
 *
 *     height = level after - level before + w (integral of y - offset over the bounces)
 *
 * Only makes count: where the battery leaves, the height is ill defined. Makes and breaks are
 * told apart by following the restored input: a step that brings it back to zero is a break.
 * The mean of the makes gives volts per unit, their spread its uncertainty (Student's t, so that
 * twice u holds 95 % also with few taps). The low cut has its own spread from decay to decay.
 * Heights far from the median (a slipped contact) are left out and counted. */
#include "probes/calibrate.h"
#include "probes/tap_decay.h"
#include "shared/uncertainty.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

enum { LEAST_MAKES = 3, TAP_LIMIT = 400 };

/* A multimeter on DC: 0.5 % and some digits, as a standard uncertainty (common practice). */
static const double METER_U_RELATIVE = 0.004;
static const double BACK_TO_ZERO = 0.3; /* of the step */
static const double STRAY_MADS = 6;
static const double STRAY_LEAST = 0.01; /* relative; nearer ones are never left out */
static const double SHORTEST_S = 0.02;  /* of a contact */
/* Two low cuts taken as one: by simulation of pairs from 0.02 to 20 Hz the volts come out low by
 * 0.5 to 1.6 of the misfit. */
static const double MISFIT_LEAST = 0.003;
static const double MISFIT_TO_VOLTS = 1;
static const double MISFIT_TO_CUT = 3;
static const double TWO_SIDED_95 = 1.959964;

typedef struct make_edge {
    double height;  /* signed, units */
    double slope;   /* d height / d w, units s */
    double w;       /* of the decay after it */
    double energy;  /* of that decay, for weights */
    int battery;    /* -1 = left out */
    size_t stretch; /* that follows it */
} make_edge;

typedef struct tap_work {
    const double *samples;
    double step_s;
    sw_tap_group *groups;
    size_t found;
    sw_tap_series series;
    double w;
    double offset;
    size_t makes;
    size_t rejected;
    make_edge make[TAP_LIMIT];
} tap_work;

static double integral(const tap_work *taps, size_t begin, size_t end) {
    double sum = 0;
    for (size_t i = begin; i < end; i++)
        sum += (taps->samples[i] + taps->samples[i + 1]) / 2 - taps->offset;
    return sum * taps->step_s;
}

/* Restored height of the step in group g. */
static double height_of(const tap_work *taps, size_t g, double w) {
    const sw_tap_stretch *before = &taps->series.stretch[g];
    const sw_tap_group *group = &taps->groups[g];
    double length_s = (double)(before->end - before->begin) * taps->step_s;
    double left = sw_tap_level(&taps->series, g, w, taps->offset) * exp(-w * length_s);
    double right = sw_tap_level(&taps->series, g + 1, w, taps->offset);
    return right - left + w * integral(taps, group->begin, group->end);
}

static void keep_make(tap_work *taps, size_t g, double height) {
    const sw_tap_stretch *after = &taps->series.stretch[g + 1];
    double w = taps->w;
    if (taps->makes == TAP_LIMIT)
        return;
    make_edge *kept = &taps->make[taps->makes++];
    *kept = (make_edge){.height = height, .w = w, .energy = height * height, .stretch = g + 1};
    if (w > 0) {
        kept->slope = (height_of(taps, g, 1.001 * w) - height) / (0.001 * w);
        kept->w = sw_tap_decay_one(&taps->series, g + 1, taps->offset, w);
        double span = w * (double)after->count * taps->series.block_s;
        kept->energy *= fmin(1, span * span * span); /* a short hold says little of w */
    }
}

/* Walk along the restored input. */
static void find_makes(tap_work *taps) {
    double level = 0;
    for (size_t g = 0; g < taps->found; g++) {
        const sw_tap_stretch *after = &taps->series.stretch[g + 1];
        double height = height_of(taps, g, taps->w);
        bool lasts = (double)after->count * taps->series.block_s >= SHORTEST_S;
        if (isnan(height) || taps->series.stretch[g].count == 0) {
            taps->rejected++;
            level = 0;
        } else if (level != 0 && fabs(level + height) < BACK_TO_ZERO * fabs(height)) {
            level = 0;
        } else if (level != 0 || !lasts) {
            taps->rejected++;
            level = level != 0 ? level + height : height;
        } else {
            keep_make(taps, g, height);
            level = height;
        }
    }
}

/* With two batteries the larger steps are the larger one's. */
static void name_batteries(tap_work *taps, const sw_tap_request *request) {
    double most = 0;
    for (size_t i = 0; i < taps->makes; i++)
        most = fmax(most, fabs(taps->make[i].height));
    if (request->batteries < 2)
        return;
    double first = fabs(request->battery[0].value);
    double second = fabs(request->battery[1].value);
    double border = most * sqrt(fmin(first, second) / fmax(first, second));
    int larger = first >= second ? 0 : 1;
    for (size_t i = 0; i < taps->makes; i++)
        taps->make[i].battery = fabs(taps->make[i].height) > border ? larger : 1 - larger;
}

static double median_height(const tap_work *taps, int battery, double about, size_t *count) {
    double list[TAP_LIMIT];
    *count = 0;
    for (size_t i = 0; i < taps->makes; i++)
        if (taps->make[i].battery == battery)
            list[(*count)++] = fabs(fabs(taps->make[i].height) - about);
    if (*count == 0)
        return NAN;
    gsl_sort(list, 1, *count);
    size_t half = *count / 2;
    return *count % 2 == 1 ? list[half] : (list[half - 1] + list[half]) / 2;
}

static void leave_strays_out(tap_work *taps, int battery) {
    size_t count = 0;
    double median = median_height(taps, battery, 0, &count);
    double spread = 1.4826 * median_height(taps, battery, median, &count);
    double limit = fmax(STRAY_MADS * spread, STRAY_LEAST * median);
    for (size_t i = 0; i < taps->makes; i++)
        if (taps->make[i].battery == battery && fabs(fabs(taps->make[i].height) - median) > limit) {
            taps->make[i].battery = -1;
            taps->rejected++;
        }
}

/* Mean of the heights one way (sign +1, -1) or both (0): a Student mean, u for k = 2. */
static sw_input mean_height(const tap_work *taps, int battery, int sign) {
    double list[TAP_LIMIT];
    size_t count = 0;
    for (size_t i = 0; i < taps->makes; i++)
        if (taps->make[i].battery == battery && sign * taps->make[i].height >= 0)
            list[count++] = fabs(taps->make[i].height);
    if (count == 0)
        return (sw_input){.value = NAN, .u = NAN};
    sw_input mean = sw_mean_of(list, count);
    if (count > 1)
        mean.u *= sw_coverage_factor(mean.freedom, 0.95) / TWO_SIDED_95;
    return mean;
}

/* Weighted by the decays' energy; u from the weighted scatter. */
static sw_quantity low_cut_of(const tap_work *taps) {
    double weight = 0;
    double sum = 0;
    double squares = 0;
    double scatter = 0;
    double count = 0;
    for (size_t i = 0; i < taps->makes; i++) {
        const make_edge *one = &taps->make[i];
        if (one->battery < 0 || isnan(one->w))
            continue;
        weight += one->energy;
        squares += one->energy * one->energy;
        sum += one->energy * one->w;
        count++;
    }
    if (taps->w == 0)
        return sw_quantity_of(0, 0, "Hz");
    if (count < LEAST_MAKES)
        return sw_quantity_unknown();
    double mean = sum / weight;
    for (size_t i = 0; i < taps->makes; i++) {
        const make_edge *one = &taps->make[i];
        if (one->battery >= 0 && !isnan(one->w))
            scatter += gsl_pow_2(one->energy * (one->w - mean));
    }
    /* As many equal weights as give the same sum and sum of squares (Kish 1965). */
    double alike = fmax(weight * weight / squares, 2);
    double u = sqrt(scatter * alike / (alike - 1)) / weight;
    u *= sw_coverage_factor(alike - 1, 0.95) / TWO_SIDED_95;
    return sw_quantity_of(mean / (2 * M_PI), u / (2 * M_PI), "Hz");
}

static double mean_slope(const tap_work *taps, int battery) {
    double sum = 0;
    double count = 0;
    for (size_t i = 0; i < taps->makes; i++)
        if (taps->make[i].battery == battery) {
            sum += copysign(1, taps->make[i].height) * taps->make[i].slope;
            count++;
        }
    return count > 0 ? sum / count : 0;
}

static void compare_polarities(const tap_work *taps, sw_calibration *calibration) {
    sw_input plus = mean_height(taps, 0, 1);
    sw_input minus = mean_height(taps, 0, -1);
    calibration->doubt[SW_CALIBRATION_ONE_SIDED] =
        calibration->plus == 0 || calibration->minus == 0;
    if (!(plus.freedom > 0) || !(minus.freedom > 0) || isnan(plus.u) || isnan(minus.u))
        return;
    calibration->polarity = plus.value / minus.value - 1;
    calibration->polarity_u = hypot(plus.u / plus.value, minus.u / minus.value);
    calibration->doubt[SW_CALIBRATION_UNEQUAL] =
        fabs(calibration->polarity) > fmax(3 * calibration->polarity_u, 0.002);
}

static double battery_u(const sw_tap_request *request, size_t b) {
    return sw_quantity_u_or(request->battery[b], METER_U_RELATIVE) /
           fabs(request->battery[b].value);
}

/* Each battery's volts per unit; with two, the mean by their spreads and their difference. The
 * meter is the same for both, so its share does not shrink. */
static void combine(const tap_work *taps, const sw_tap_request *request, double low_cut_u_hz,
                    sw_calibration *calibration) {
    double weight = 0;
    double sum = 0;
    double meter = 0;
    double volts[SW_BATTERY_LIMIT] = {NAN, NAN};
    double relative[SW_BATTERY_LIMIT] = {NAN, NAN};
    for (size_t b = 0; b < request->batteries; b++) {
        sw_input mean = mean_height(taps, (int)b, 0);
        double decay = mean_slope(taps, (int)b) * 2 * M_PI * low_cut_u_hz;
        calibration->step[b] = mean.value;
        calibration->freedom += mean.freedom;
        volts[b] = fabs(request->battery[b].value) / mean.value;
        relative[b] = fmax(hypot(mean.u, decay) / mean.value, 1e-7);
        double w = 1 / gsl_pow_2(relative[b]);
        weight += w;
        sum += w * volts[b];
        meter += w * battery_u(request, b);
        if (isnan(request->battery[b].u))
            calibration->doubt[SW_CALIBRATION_METER_GUESS] = true;
    }
    double value = sum / weight;
    calibration->volts_per_unit =
        sw_quantity_of(value, value * hypot(sqrt(1 / weight), meter / weight), "V");
    if (request->batteries < 2)
        return;
    calibration->linearity = volts[0] / volts[1] - 1;
    calibration->linearity_u =
        hypot(hypot(relative[0], relative[1]), hypot(battery_u(request, 0), battery_u(request, 1)));
    calibration->doubt[SW_CALIBRATION_NOT_LINEAR] =
        fabs(calibration->linearity) > 2.5 * calibration->linearity_u;
}

/* A second low cut in series (a series capacitor and the input's own) bends the decay. */
static void look_for_second_low_cut(const tap_work *taps, sw_calibration *calibration) {
    size_t stretches[TAP_LIMIT];
    double heights[TAP_LIMIT];
    size_t count = 0;
    for (size_t i = 0; i < taps->makes; i++) {
        if (taps->make[i].battery < 0)
            continue;
        stretches[count] = taps->make[i].stretch;
        heights[count++] = taps->make[i].height;
    }
    double misfit = sw_tap_misfit(&taps->series, stretches, heights, count, taps->w, taps->offset);
    calibration->misfit = misfit;
    if (!(misfit > MISFIT_LEAST))
        return;
    calibration->doubt[SW_CALIBRATION_TWO_LOW_CUTS] = true;
    sw_quantity *volts = &calibration->volts_per_unit;
    sw_quantity *cut = &calibration->low_cut_hz;
    volts->u = hypot(volts->u, MISFIT_TO_VOLTS * misfit * volts->value);
    cut->u = hypot(cut->u, MISFIT_TO_CUT * misfit * cut->value);
}

static sw_status judge(tap_work *taps, const sw_tap_request *request, sw_calibration *calibration,
                       sw_error *error) {
    for (size_t b = 0; b < request->batteries; b++) {
        size_t count = 0;
        leave_strays_out(taps, (int)b);
        (void)median_height(taps, (int)b, 0, &count);
        if (count < LEAST_MAKES)
            return sw_fail(error, SW_TOO_SHORT,
                           "found %zu clear touches of the %g V battery, expected at least %d "
                           "(five each way round is good)",
                           count, request->battery[b].value, LEAST_MAKES);
        calibration->used += count;
    }
    calibration->rejected = taps->rejected;
    for (size_t i = 0; i < taps->makes; i++) {
        calibration->plus += taps->make[i].battery >= 0 && taps->make[i].height > 0;
        calibration->minus += taps->make[i].battery >= 0 && taps->make[i].height < 0;
    }
    calibration->low_cut_hz = low_cut_of(taps);
    combine(taps, request, sw_quantity_u_or(calibration->low_cut_hz, 0), calibration);
    compare_polarities(taps, calibration);
    look_for_second_low_cut(taps, calibration);
    return SW_OK;
}

static sw_status tap(tap_work *taps, const sw_waveform *waveform, const sw_tap_request *request,
                     sw_calibration *calibration, sw_error *error) {
    double share = 1;
    if (request->batteries == 2) {
        double ratio = fabs(request->battery[0].value / request->battery[1].value);
        share = fmin(ratio, 1 / ratio);
    }
    sw_status status = sw_tap_groups(taps->samples, waveform->frames, waveform->rate_hz, share,
                                     &taps->groups, &taps->found, error);
    if (status == SW_OK && taps->found > 0 && taps->groups[taps->found - 1].end >= waveform->frames)
        taps->found--;
    if (status == SW_OK)
        status = sw_tap_series_new(taps->samples, waveform->frames, waveform->rate_hz, taps->groups,
                                   taps->found, &taps->series, error);
    if (status == SW_OK)
        status = sw_tap_decay_fit(&taps->series, &taps->w, &taps->offset, error);
    if (status != SW_OK)
        return status;
    find_makes(taps);
    name_batteries(taps, request);
    return judge(taps, request, calibration, error);
}

static bool batteries_fine(const sw_tap_request *request) {
    if (request->batteries < 1 || request->batteries > SW_BATTERY_LIMIT)
        return false;
    for (size_t b = 0; b < request->batteries; b++)
        if (!(fabs(request->battery[b].value) > 0))
            return false;
    double ratio =
        request->batteries == 2 ? fabs(request->battery[0].value / request->battery[1].value) : 2;
    return fmax(ratio, 1 / ratio) >= 1.3;
}

sw_status sw_calibrate_tap(const sw_waveform *waveform, const sw_tap_request *request,
                           sw_calibration *calibration, sw_error *error) {
    *calibration = sw_calibration_none();
    if (!batteries_fine(request))
        return sw_fail(error, SW_VALUE,
                       "expected one battery, or two whose voltages differ by a third or more");
    tap_work *work = calloc(1, sizeof *work);
    if (work == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory");
    work->samples = waveform->channel[request->channel].samples;
    work->step_s = 1 / waveform->rate_hz;
    for (size_t i = 0; i < waveform->frames; i++)
        calibration->peak = fmax(calibration->peak, fabs(work->samples[i]));
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    sw_status status = tap(work, waveform, request, calibration, error);
    gsl_set_error_handler(handler);
    sw_tap_series_free(&work->series);
    free(work->groups);
    free(work);
    return status;
}
