/* Monte Carlo with common random numbers: every draw fixes one set of deviations (wind, power
 * coefficient, motor constant, resistance, inductance: normal, cut off where less than a fifth
 * would be left; drag with cogging: lognormal, since a guess may be half or double; creep, rolling
 * arm and efficiency: uniform over their ranges), the torque balance is solved again on the same
 * tables, and the energy relative to that of the undisturbed inputs on the same coarse grid scales
 * the finely computed figure. Resistance and inductance would each need tables of their own: they
 * act through the change that one standard uncertainty makes, as if it were a straight line. The
 * seed is fixed unless the caller gives one, so that two motors of a shelf meet the same weather.
 *
 * In each draw the rivals meet the same deviations: that is choosing again with better knowledge.
 *
 * The next best measurement: a share r^2 of the energy's variance goes with the deviation of one
 * input (r: their correlation over the draws), so that knowing it exactly would narrow the range to
 * sqrt(1 - r^2) of its width; exact where the energy is a straight line in it. */
#include "src/match/search/sure.h"

#include "shared/constants.h"
#include "src/match/search/slip.h"
#include "src/match/year/power_curve.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { USUAL_DRAWS = 240, COARSE_STEPS = 40 };

static const double COARSE_WIND_STEP = 1.0;
static const double LEAST_FACTOR = 0.2;

/* A rival must give so many times as much to be the better choice. */
static const double CLEARLY_BETTER = 1.05;

/* Deviations in standard uncertainties; of the drive -sqrt3 .. sqrt3 across its ranges. */
typedef struct draw {
    double z[SW_DOUBT_COUNT];
} draw;

typedef struct energies {
    double started;
    double running;
    double start_wind;
    double cut_in_wind;
} energies;

/* What one standard uncertainty of a winding's value does to the energy, as a part of it. */
typedef struct slope {
    double started;
    double running;
} slope;

/* Everything that is gathered over the draws, one row each. */
typedef struct tally {
    size_t draws;
    double *started;
    double *running;
    double *start_wind;
    double *cut_in_wind;
    double *z[SW_DOUBT_COUNT];
    size_t same_verdict;
    size_t below_worth;
    size_t same_choice;
    size_t held_dry;
    size_t held_wet;
} tally;

/* The undisturbed energies on the coarse grid, and the slopes. */
typedef struct base {
    energies chosen;
    energies rival[SW_RIVAL_LIMIT];
    slope ohm;
    slope henry;
} base;

const char *sw_doubt_name(sw_doubt doubt) {
    static const char *const NAMES[SW_DOUBT_COUNT] = {
        "mean_wind",          "power_coefficient",  "voltage_constant", "drag_torque",
        "winding_resistance", "winding_inductance", "friction"};
    return NAMES[doubt];
}

static double within(sw_range range, double part) {
    return sw_range_middle(range) + 0.5 * (range.high - range.low) * part / M_SQRT3;
}

static double factor(const sw_sure_request *request, const draw *drawn, sw_doubt doubt) {
    return fmax(LEAST_FACTOR, 1 + drawn->z[doubt] * request->u[doubt]);
}

static sw_plant plant_of_draw(const sw_sure_request *request, const sw_rival *rival,
                              const draw *drawn) {
    sw_plant plant = rival->plant;
    double part = drawn->z[SW_DOUBT_DRIVE];
    plant.power_factor = factor(request, drawn, SW_DOUBT_ROTOR);
    plant.constant_factor = factor(request, drawn, SW_DOUBT_CONSTANT);
    plant.drag_factor = exp(drawn->z[SW_DOUBT_DRAG] * request->u[SW_DOUBT_DRAG]);
    if (plant.drive.kind->pressed) {
        plant.drive.rolling_mm = within(rival->surface->rolling_mm, part);
        plant.drive.creep = within(rival->surface->creep, part);
    } else {
        plant.drive.creep = within(plant.drive.kind->creep, part);
        plant.drive.efficiency = within(plant.drive.kind->efficiency, -part);
    }
    return plant;
}

static energies energies_of(const sw_sure_request *request, const sw_rival *rival,
                            const draw *drawn) {
    sw_power_curve curve;
    sw_plant plant = plant_of_draw(request, rival, drawn);
    double wind_factor = factor(request, drawn, SW_DOUBT_WIND);
    sw_power_curve_sketch(&plant, rival->top_wind, COARSE_WIND_STEP, COARSE_STEPS, &curve);
    return (energies){sw_year_started_kwh(&curve, request->site, wind_factor),
                      sw_year_running_kwh(&curve, request->site, wind_factor), curve.start_wind,
                      curve.cut_in_wind};
}

static draw draw_from(gsl_rng *random) {
    draw drawn;
    for (size_t i = 0; i < SW_DOUBT_COUNT; i++)
        drawn.z[i] = i == SW_DOUBT_DRIVE ? gsl_ran_flat(random, -M_SQRT3, M_SQRT3)
                                         : gsl_ran_gaussian(random, 1);
    return drawn;
}

static double scale_of(double fine, double coarse) {
    return coarse > 0 ? fine / coarse : 1;
}

static slope slope_of(const sw_sure_request *request, const sw_generator *shifted,
                      const energies *undisturbed) {
    draw calm = {{0}};
    sw_rival rival = request->chosen;
    if (shifted == NULL)
        return (slope){0, 0};
    rival.plant.generator = shifted;
    energies moved = energies_of(request, &rival, &calm);
    return (slope){
        undisturbed->started > 0 ? moved.started / undisturbed->started - 1 : 0,
        undisturbed->running > 0 ? moved.running / undisturbed->running - 1 : 0,
    };
}

static base base_of(const sw_sure_request *request) {
    draw calm = {{0}};
    base made = {.chosen = energies_of(request, &request->chosen, &calm)};
    for (size_t i = 0; i < request->rivals; i++)
        made.rival[i] = energies_of(request, &request->rival[i], &calm);
    made.ohm = slope_of(request, request->more_ohm, &made.chosen);
    made.henry = slope_of(request, request->more_henry, &made.chosen);
    return made;
}

/* Is what counts (pushed by hand, or from rest) too little to be worth it? */
static bool below_worth(const sw_verdict_request *verdict, double started_kwh, double running_kwh) {
    return sw_verdict_counted_kwh(started_kwh, running_kwh) < verdict->thresholds->spare_kwh;
}

static bool same_verdict(const sw_sure_request *request, const draw *drawn, double started_kwh,
                         double running_kwh, double start_wind, sw_verdict undisturbed) {
    sw_remarks reasons = {0};
    sw_verdict_request there = *request->verdict;
    double wind_factor = factor(request, drawn, SW_DOUBT_WIND);
    there.mean_wind *= wind_factor;
    there.started_kwh = started_kwh;
    there.running_kwh = running_kwh;
    there.start_wind = start_wind;
    there.potential_kwh = factor(request, drawn, SW_DOUBT_ROTOR) *
                          sw_potential_kwh(request->potential, request->site, wind_factor);
    return sw_verdict_of(&there, &reasons) == undisturbed;
}

/* Does no rival give clearly more under the same deviations? The winding's act on all alike. */
static bool same_choice(const sw_sure_request *request, const base *undisturbed, const draw *drawn,
                        double chosen_kwh) {
    for (size_t i = 0; i < request->rivals; i++) {
        const sw_rival *rival = &request->rival[i];
        double kwh = energies_of(request, rival, drawn).started *
                     scale_of(rival->started_kwh, undisturbed->rival[i].started);
        if (kwh > CLEARLY_BETTER * chosen_kwh)
            return false;
    }
    return true;
}

/* ohm, henry: what one standard uncertainty of each changes; no inductance is below nought. */
static double by_winding(const sw_sure_request *request, const draw *drawn, double ohm,
                         double henry) {
    double z = fmax(drawn->z[SW_DOUBT_INDUCTANCE], -1 / request->u[SW_DOUBT_INDUCTANCE]);
    return fmax(0, 1 + drawn->z[SW_DOUBT_RESISTANCE] * ohm + z * henry);
}

static double across(sw_range range, double part) {
    return range.low + part * (range.high - range.low);
}

/* Friction is drawn evenly over its ranges, dry and wet alike placed, in as many steps as there are
 * draws: the other inputs are in no order, so the steps need none either. */
static void try_grip(const sw_sure_request *request, const draw *drawn, size_t i, tally *out) {
    const sw_rival *chosen = &request->chosen;
    if (chosen->press == NULL || !chosen->plant.drive.kind->pressed)
        return;
    sw_plant plant = plant_of_draw(request, chosen, drawn);
    double part = ((double)i + 0.5) / (double)out->draws;
    double takes = sw_slip_friction(&plant, chosen->press, chosen->working_wind);
    out->held_dry += takes <= across(chosen->surface->dry, part);
    out->held_wet += takes <= across(chosen->surface->wet, part);
}

static void draw_all(const sw_sure_request *request, const base *undisturbed, gsl_rng *random,
                     tally *out) {
    sw_remarks reasons = {0};
    double started_scale = scale_of(request->chosen.started_kwh, undisturbed->chosen.started);
    double running_scale = scale_of(request->chosen.running_kwh, undisturbed->chosen.running);
    sw_verdict verdict =
        request->verdict != NULL ? sw_verdict_of(request->verdict, &reasons) : SW_VERDICT_LEAVE;
    gsl_rng_set(random, request->seed);
    for (size_t i = 0; i < out->draws; i++) {
        draw one = draw_from(random);
        energies energy = energies_of(request, &request->chosen, &one);
        try_grip(request, &one, i, out);
        double started = started_scale * energy.started;
        double running = running_scale * energy.running;
        out->same_choice += same_choice(request, undisturbed, &one, started);
        started *= by_winding(request, &one, undisturbed->ohm.started, undisturbed->henry.started);
        running *= by_winding(request, &one, undisturbed->ohm.running, undisturbed->henry.running);
        out->started[i] = started;
        out->running[i] = running;
        out->start_wind[i] = energy.start_wind;
        out->cut_in_wind[i] = energy.cut_in_wind;
        for (size_t j = 0; j < SW_DOUBT_COUNT; j++)
            out->z[j][i] = one.z[j];
        if (request->verdict != NULL)
            out->below_worth += below_worth(request->verdict, started, running);
        if (request->verdict != NULL)
            out->same_verdict +=
                same_verdict(request, &one, started, running, energy.start_wind, verdict);
    }
}

static sw_spread spread_of(double *energy, size_t count) {
    gsl_sort(energy, 1, count);
    return (sw_spread){gsl_stats_quantile_from_sorted_data(energy, 1, count, 0.05),
                       gsl_stats_quantile_from_sorted_data(energy, 1, count, 0.5),
                       gsl_stats_quantile_from_sorted_data(energy, 1, count, 0.95),
                       gsl_stats_sd(energy, 1, count)};
}

/* Standard deviation of the finite ones. */
static double finite_sd(double *value, size_t count) {
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (isfinite(value[i]))
            value[kept++] = value[i];
    return kept > 1 ? gsl_stats_sd(value, 1, kept) : NAN;
}

/* Before the energies are sorted. */
static void rank_doubts(const tally *drawn, bool by_running, sw_sure *sure) {
    const double *energy = by_running ? drawn->running : drawn->started;
    bool varies = gsl_stats_sd(energy, 1, drawn->draws) > 0;
    for (size_t i = 0; i < SW_DOUBT_COUNT; i++) {
        double r = varies ? gsl_stats_correlation(energy, 1, drawn->z[i], 1, drawn->draws) : 0;
        size_t place = i;
        sure->narrows[i] = 1 - sqrt(fmax(0, 1 - r * r));
        for (; place > 0 && sure->narrows[sure->order[place - 1]] < sure->narrows[i]; place--)
            sure->order[place] = sure->order[place - 1];
        sure->order[place] = (sw_doubt)i;
    }
}

static void conclude(const sw_sure_request *request, tally *drawn, bool by_running, sw_sure *sure) {
    size_t draws = drawn->draws;
    rank_doubts(drawn, by_running, sure);
    sure->started_kwh = spread_of(drawn->started, draws);
    sure->running_kwh = spread_of(drawn->running, draws);
    sure->start_wind_u = finite_sd(drawn->start_wind, draws);
    sure->cut_in_wind_u = finite_sd(drawn->cut_in_wind, draws);
    sure->below_worth = (double)drawn->below_worth / (double)draws;
    sure->verdict_stands = (double)drawn->same_verdict / (double)draws;
    bool pressed = request->chosen.press != NULL && request->chosen.plant.drive.kind->pressed;
    sure->holds_dry = pressed ? (double)drawn->held_dry / (double)draws : NAN;
    sure->holds_wet = pressed ? (double)drawn->held_wet / (double)draws : NAN;
    sure->choice_stands = (double)drawn->same_choice / (double)draws;
}

sw_status sw_sure_work_out(const sw_sure_request *request, sw_sure *sure, sw_error *error) {
    size_t draws = request->draws == 0 ? USUAL_DRAWS : request->draws;
    double *room = calloc((4 + SW_DOUBT_COUNT) * draws, sizeof *room);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    *sure = (sw_sure){0};
    if (room == NULL || random == NULL) {
        free(room);
        gsl_rng_free(random);
        return sw_fail(error, SW_MEMORY, "not enough memory to work out the range of energy");
    }
    tally drawn = {.draws = draws,
                   .started = room,
                   .running = room + draws,
                   .start_wind = room + 2 * draws,
                   .cut_in_wind = room + 3 * draws};
    for (size_t i = 0; i < SW_DOUBT_COUNT; i++)
        drawn.z[i] = room + (4 + i) * draws;
    base undisturbed = base_of(request);
    draw_all(request, &undisturbed, random, &drawn);
    bool by_running = !(request->chosen.started_kwh > 0);
    conclude(request, &drawn, by_running, sure);
    free(room);
    gsl_rng_free(random);
    return SW_OK;
}
