/* Monte Carlo with common random numbers: every draw fixes one set of multipliers (wind, power
 * coefficient, motor constant, drag: normal, cut off at a fifth; creep, rolling arm and efficiency:
 * uniform over their ranges), the torque balance is solved again on the same tables, and the energy
 * relative to that of the undisturbed inputs on the same coarse grid scales the finely computed
 * figure. The seed is fixed unless the caller gives one, so that two motors of a shelf meet the
 * same weather. What each input does alone is taken from its two one-sigma points. */
#include "src/match/sure.h"

#include "src/match/power_curve.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { USUAL_DRAWS = 240, COARSE_STEPS = 56 };

static const double COARSE_WIND_STEP = 0.75;
static const double LEAST_FACTOR = 0.2;
static const double SQRT3 = 1.7320508075688772;

typedef struct draw {
    double factor[SW_DOUBT_COUNT]; /* of the drive: -sqrt3 .. sqrt3 across its ranges */
} draw;

static double within(sw_range range, double part) {
    return sw_range_middle(range) + 0.5 * (range.high - range.low) * part / SQRT3;
}

static sw_plant plant_of_draw(const sw_sure_request *request, const draw *drawn) {
    sw_plant plant = request->plant;
    double part = drawn->factor[SW_DOUBT_DRIVE];
    plant.power_factor = drawn->factor[SW_DOUBT_ROTOR];
    plant.constant_factor = drawn->factor[SW_DOUBT_CONSTANT];
    plant.drag_factor = drawn->factor[SW_DOUBT_DRAG];
    if (plant.drive.kind->pressed) {
        plant.drive.rolling_mm = within(request->surface->rolling_mm, part);
        plant.drive.creep = within(request->surface->creep, part);
    } else {
        plant.drive.creep = within(plant.drive.kind->creep, part);
        plant.drive.efficiency = within(plant.drive.kind->efficiency, -part);
    }
    return plant;
}

typedef struct energies {
    double started;
    double running;
    double start_wind;
    double cut_in_wind;
} energies;

static energies energies_of(const sw_sure_request *request, const draw *drawn) {
    sw_power_curve curve;
    sw_plant plant = plant_of_draw(request, drawn);
    double wind_factor = drawn->factor[SW_DOUBT_WIND];
    sw_power_curve_make(&plant, request->top_wind, COARSE_WIND_STEP, COARSE_STEPS, &curve);
    return (energies){sw_year_started_kwh(&curve, request->site, wind_factor),
                      sw_year_running_kwh(&curve, request->site, wind_factor), curve.start_wind,
                      curve.cut_in_wind};
}

static draw undisturbed(void) {
    return (draw){{1, 1, 1, 1, 0}};
}

static draw draw_from(const sw_sure_request *request, gsl_rng *random) {
    draw drawn = undisturbed();
    for (size_t i = 0; i < SW_DOUBT_DRIVE; i++)
        drawn.factor[i] = fmax(LEAST_FACTOR, 1 + gsl_ran_gaussian(random, 1) * request->u[i]);
    drawn.factor[SW_DOUBT_DRIVE] = gsl_ran_flat(random, -SQRT3, SQRT3);
    return drawn;
}

static sw_spread spread_of(double *energy, size_t count, double scale) {
    gsl_sort(energy, 1, count);
    return (sw_spread){scale * gsl_stats_quantile_from_sorted_data(energy, 1, count, 0.05),
                       scale * gsl_stats_quantile_from_sorted_data(energy, 1, count, 0.5),
                       scale * gsl_stats_quantile_from_sorted_data(energy, 1, count, 0.95),
                       scale * gsl_stats_sd(energy, 1, count)};
}

/* Half the difference between one standard uncertainty up and down. */
static double alone(const sw_sure_request *request, sw_doubt doubt, bool running) {
    draw up = undisturbed();
    draw down = undisturbed();
    double u = doubt == SW_DOUBT_DRIVE ? 1 : request->u[doubt];
    up.factor[doubt] += u;
    down.factor[doubt] =
        fmax(LEAST_FACTOR - (doubt == SW_DOUBT_DRIVE ? 2 : 0), down.factor[doubt] - u);
    energies high = energies_of(request, &up);
    energies low = energies_of(request, &down);
    return 0.5 * fabs(running ? high.running - low.running : high.started - low.started);
}

static double scale_of(double fine, double coarse) {
    return coarse > 0 ? fine / coarse : 1;
}

static void rank_doubts(const sw_sure_request *request, bool running, double scale, sw_sure *sure) {
    for (size_t i = 0; i < SW_DOUBT_COUNT; i++) {
        sure->alone_kwh[i] = scale * alone(request, (sw_doubt)i, running);
        if (sure->alone_kwh[i] > sure->alone_kwh[sure->widest])
            sure->widest = (sw_doubt)i;
    }
}

/* Standard deviation of the finite ones. */
static double finite_sd(double *value, size_t count) {
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (isfinite(value[i]))
            value[kept++] = value[i];
    return kept > 1 ? gsl_stats_sd(value, 1, kept) : NAN;
}

static void draw_all(const sw_sure_request *request, gsl_rng *random, size_t draws, double *drawn) {
    gsl_rng_set(random, request->seed);
    for (size_t i = 0; i < draws; i++) {
        draw one = draw_from(request, random);
        energies energy = energies_of(request, &one);
        drawn[i] = energy.started;
        drawn[draws + i] = energy.running;
        drawn[2 * draws + i] = energy.start_wind;
        drawn[3 * draws + i] = energy.cut_in_wind;
    }
}

sw_status sw_sure_work_out(const sw_sure_request *request, sw_sure *sure, sw_error *error) {
    size_t draws = request->draws == 0 ? USUAL_DRAWS : request->draws;
    double *drawn = calloc(4 * draws, sizeof *drawn);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    draw calm = undisturbed();
    *sure = (sw_sure){0};
    if (drawn == NULL || random == NULL) {
        free(drawn);
        gsl_rng_free(random);
        return sw_fail(error, SW_MEMORY, "not enough memory to work out the range of energy");
    }
    draw_all(request, random, draws, drawn);
    energies base = energies_of(request, &calm);
    double running_scale = scale_of(request->running_kwh, base.running);
    double started_scale = scale_of(request->started_kwh, base.started);
    sure->started_kwh = spread_of(drawn, draws, started_scale);
    sure->running_kwh = spread_of(drawn + draws, draws, running_scale);
    sure->start_wind_u = finite_sd(drawn + 2 * draws, draws);
    sure->cut_in_wind_u = finite_sd(drawn + 3 * draws, draws);
    bool by_running = !(base.started > 0);
    rank_doubts(request, by_running, by_running ? running_scale : started_scale, sure);
    free(drawn);
    gsl_rng_free(random);
    return SW_OK;
}
