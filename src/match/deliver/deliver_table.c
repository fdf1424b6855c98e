/* How the table is made.
 *
 * Above cut-in n0 every figure is a smooth function of s = sqrt(n - n0): current begins like a
 * power of the distance from cut-in that is no whole number, which no polynomial in n follows.
 * Exact points are set evenly in s. Then each interval is tried: the exact value at its middle is
 * compared with Steffen's interpolant through the points so far (Steffen 1990, Astron.
 * Astrophys. 239, local and free of overshoot), and the middle joins the points. Intervals whose
 * middle was off are halved again. The worst middle of the last round is the table's error.
 * Below cut-in nothing flows except in a delta with third harmonics; a few points do.
 *
 * Neighbours start each other's search, so a point costs a few runs through a sixth of a period.
 */
#include "src/match/deliver/deliver_table.h"

#include "src/match/electric/operate.h"
#include "src/match/electric/simple.h"

#include "shared/constants.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_interp.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    FIRST_POINTS = 13,
    ROUGH_POINTS = 9,
    IDLE_POINTS = 9,
    ROUGH_IDLE = 5,
    POINT_LIMIT = 400,
    ROUND_LIMIT = 8,
    CHECKED = 6
};

/* A middle further off than this part of its value is halved again. */
static const double wanted_fully = 1e-3;
/* Of a rough table: the middle joins the points, which leaves about a quarter of what it was off.
 */
static const double wanted_roughly = 5e-2;
/* The points of a rough table need not be better than this part. */
static const double settled_roughly = 4e-3;
/* Values below this part of the largest count as if they were that large. */
static const double floor_part = 1.0 / 200.0;

/* The electrical figures that are interpolated; the first CHECKED decide on refinement. */
static const size_t field_offset[] = {
    offsetof(sw_operating_point, dc_current_a),
    offsetof(sw_operating_point, dc_power_w),
    offsetof(sw_operating_point, shaft_torque_nm), /* electrical torque while in the table */
    offsetof(sw_operating_point, copper_loss_w),
    offsetof(sw_operating_point, diode_loss_w),
    offsetof(sw_operating_point, ac_power_w),
    offsetof(sw_operating_point, phase_current_rms_a),
    offsetof(sw_operating_point, dc_voltage_v),
    offsetof(sw_operating_point, cable_ac_loss_w),
    offsetof(sw_operating_point, load_square_a2),
    offsetof(sw_operating_point, circulating_loss_w),
    offsetof(sw_operating_point, circulating_current_rms_a),
    offsetof(sw_operating_point, phase_current_peak_a),
    offsetof(sw_operating_point, diode_peak_inverse_v),
    offsetof(sw_operating_point, dc_ripple_v),
    offsetof(sw_operating_point, torque_ripple_nm),
    offsetof(sw_operating_point, power_factor),
};
enum { FIELDS = sizeof field_offset / sizeof field_offset[0] };

typedef struct exact_point {
    double x; /* s above cut-in, rpm below */
    sw_operating_point point;
    sw_periodic periodic;
    bool tried; /* the interval that begins here needs no more halving */
} exact_point;

/* Points in rising order of x and their interpolants. */
typedef struct segment {
    size_t count;
    exact_point *exact;
    double *x;
    double *values[FIELDS];
    gsl_interp *curve[FIELDS];
} segment;

struct sw_deliver_table {
    sw_motor motor;
    sw_wiring wiring;
    sw_deliver_load load;
    bool rectified; /* by one of the periodic circuits */
    sw_electric_option option;
    double cut_in_rpm;
    double max_rpm;
    segment idle;
    segment active;
    bool rough;
    double worst;
};

static double *field(sw_operating_point *point, size_t index) {
    return (double *)((char *)point + field_offset[index]);
}

static double field_of(const sw_operating_point *point, size_t index) {
    double value = 0.0;
    memcpy(&value, (const char *)point + field_offset[index], sizeof value);
    return value;
}

static void drop_curves(segment *s) {
    for (size_t f = 0; f < FIELDS; f++) {
        gsl_interp_free(s->curve[f]);
        free(s->values[f]);
        s->curve[f] = NULL;
        s->values[f] = NULL;
    }
    free(s->x);
    s->x = NULL;
}

/* Interpolants through the points as they are. */
static sw_status make_curves(segment *s, sw_error *error) {
    drop_curves(s);
    s->x = malloc(s->count * sizeof *s->x);
    bool fine = s->x != NULL;
    for (size_t i = 0; fine && i < s->count; i++) {
        s->x[i] = s->exact[i].x;
    }
    for (size_t f = 0; fine && f < FIELDS; f++) {
        s->values[f] = malloc(s->count * sizeof *s->values[f]);
        s->curve[f] = gsl_interp_alloc(gsl_interp_steffen, s->count);
        fine = s->values[f] != NULL && s->curve[f] != NULL;
        for (size_t i = 0; fine && i < s->count; i++) {
            const double value = field_of(&s->exact[i].point, f);
            s->values[f][i] = isfinite(value) ? value : 0.0;
        }
        fine = fine && gsl_interp_init(s->curve[f], s->x, s->values[f], s->count) == GSL_SUCCESS;
    }
    return fine ? SW_OK : sw_fail(error, SW_MEMORY, "out of memory for a table over speed");
}

static double value_at(const segment *s, size_t index, double x) {
    const double inside = fmin(fmax(x, s->x[0]), s->x[s->count - 1]);
    double value = 0.0;
    gsl_interp_eval_e(s->curve[index], s->x, s->values[index], inside, NULL, &value);
    return value;
}

static double rpm_of(const sw_deliver_table *table, bool active, double x) {
    return active ? table->cut_in_rpm + x * x : x;
}

/* The exact electrical figures, with the electrical torque in the place of the shaft's. */
static sw_status solve(const sw_deliver_table *table, bool active, exact_point *at,
                       sw_error *error) {
    /* Exactly at cut-in and at rest nothing flows; a hair beside it all is defined. */
    const double rpm = fmax(rpm_of(table, active, at->x), 1e-9 * table->max_rpm);
    double emf_w = 0.0;
    sw_status status = SW_OK;
    if (table->rectified) {
        status = sw_operate(&table->option, rpm, &at->periodic, &at->point, &emf_w, error);
    } else if (table->motor.kind == SW_BRUSHED) {
        status = sw_operate_brushed(&table->motor, &table->wiring, &table->load, rpm, &at->point,
                                    &emf_w, error);
    } else {
        status = sw_operate_resistors(&table->motor, &table->wiring, &table->load, rpm, &at->point,
                                      &emf_w, error);
    }
    if (status == SW_OK) {
        at->point.shaft_torque_nm = emf_w / (rpm / SW_RPM_PER_RAD_S);
    }
    return status;
}

/* count exact points evenly from 0 to last_x, each warm from the one before. */
static sw_status first_points(const sw_deliver_table *table, bool active, size_t count,
                              double last_x, segment *s, sw_error *error) {
    s->exact = calloc(POINT_LIMIT, sizeof *s->exact);
    if (s->exact == NULL) {
        return sw_fail(error, SW_MEMORY, "out of memory for a table over speed");
    }
    for (size_t i = 0; i < count; i++) {
        exact_point *at = &s->exact[i];
        if (i > 0) {
            at->periodic = s->exact[i - 1].periodic;
        }
        at->x = last_x * (double)i / (double)(count - 1);
        const sw_status status = solve(table, active, at, error);
        if (status != SW_OK) {
            return status;
        }
        s->count++;
    }
    return make_curves(s, error);
}

/* How far the curves are off at an exact point, as a part of the value. */
static double miss_of(const segment *s, const exact_point *at, const double *largest) {
    double worst = 0.0;
    for (size_t f = 0; f < CHECKED; f++) {
        const double exact = field_of(&at->point, f);
        const double size = fmax(fabs(exact), floor_part * largest[f]);
        if (size > 0.0) {
            worst = fmax(worst, fabs(value_at(s, f, at->x) - exact) / size);
        }
    }
    return worst;
}

static void largest_values(const segment *s, double *largest) {
    for (size_t f = 0; f < CHECKED; f++) {
        largest[f] = 0.0;
        for (size_t i = 0; i < s->count; i++) {
            largest[f] = fmax(largest[f], fabs(field_of(&s->exact[i].point, f)));
        }
    }
}

/* Try every interval not yet found good; the middles join the points. *worst is the largest miss
 * of this round, *open how many intervals must be tried again. */
static sw_status try_middles(const sw_deliver_table *table, segment *s, double *worst, size_t *open,
                             sw_error *error) {
    double largest[CHECKED];
    const double wanted = table->rough ? wanted_roughly : wanted_fully;
    largest_values(s, largest);
    exact_point *joined = calloc(POINT_LIMIT, sizeof *joined);
    if (joined == NULL) {
        return sw_fail(error, SW_MEMORY, "out of memory for a table over speed");
    }
    size_t count = 0;
    sw_status status = SW_OK;
    *worst = 0.0;
    *open = 0;
    for (size_t i = 0; status == SW_OK && i < s->count; i++) {
        exact_point *left = &joined[count++];
        *left = s->exact[i];
        if (i + 1 == s->count || left->tried || count + (s->count - i) >= POINT_LIMIT) {
            continue;
        }
        exact_point *middle = &joined[count++];
        *middle = *left;
        middle->x = 0.5 * (s->exact[i].x + s->exact[i + 1].x);
        status = solve(table, true, middle, error);
        const double miss = status == SW_OK ? miss_of(s, middle, largest) : 0.0;
        *worst = fmax(*worst, miss);
        left->tried = miss < wanted;
        middle->tried = left->tried;
        *open += left->tried ? 0 : 2;
    }
    if (status == SW_OK) {
        memcpy(s->exact, joined, count * sizeof *joined);
        s->count = count;
        status = make_curves(s, error);
    }
    free(joined);
    return status;
}

static sw_status refine_active(sw_deliver_table *table, sw_error *error) {
    size_t open = 1;
    for (int round = 0; round < ROUND_LIMIT && open > 0; round++) {
        double worst = 0.0;
        const sw_status status = try_middles(table, &table->active, &worst, &open, error);
        if (status != SW_OK) {
            return status;
        }
        table->worst = worst;
    }
    return SW_OK;
}

static sw_status build(sw_deliver_table *table, sw_error *error) {
    sw_status status =
        sw_deliver_cut_in(&table->motor, &table->wiring, &table->load, &table->cut_in_rpm, error);
    if (status == SW_OK && table->rectified) {
        status =
            sw_option_build(&table->motor, &table->wiring, &table->load, &table->option, error);
        if (table->rough) {
            table->option.settled = settled_roughly;
        }
    }
    if (status == SW_OK) {
        const double last_rpm = fmin(table->cut_in_rpm, table->max_rpm);
        status = first_points(table, false, table->rough ? ROUGH_IDLE : IDLE_POINTS,
                              fmax(last_rpm, 1e-9 * table->max_rpm), &table->idle, error);
    }
    if (status == SW_OK && table->max_rpm > table->cut_in_rpm) {
        const double last = sqrt(table->max_rpm - table->cut_in_rpm);
        status = first_points(table, true, table->rough ? ROUGH_POINTS : FIRST_POINTS, last,
                              &table->active, error);
        if (status == SW_OK) {
            status = refine_active(table, error);
        }
    }
    return status;
}

static sw_status tabulate(const sw_motor *motor, const sw_wiring *wiring,
                          const sw_deliver_load *load, double max_rpm, bool rough,
                          sw_deliver_table **table, sw_error *error) {
    *table = NULL;
    if (!(max_rpm > 0.0) || !isfinite(max_rpm)) {
        return sw_fail(error, SW_VALUE,
                       "largest speed of a table: found %g rpm, expected more "
                       "than 0",
                       max_rpm);
    }
    sw_deliver_table *made = calloc(1, sizeof *made);
    if (made == NULL) {
        return sw_fail(error, SW_MEMORY, "out of memory for a table over speed");
    }
    made->motor = *motor;
    made->wiring = *wiring;
    made->load = *load;
    made->max_rpm = max_rpm;
    made->rough = rough;
    made->rectified = motor->kind != SW_BRUSHED && wiring->rectifier != SW_RECTIFIER_NONE;
    const sw_status status = build(made, error);
    if (status != SW_OK) {
        sw_deliver_table_free(made);
        return status;
    }
    *table = made;
    return SW_OK;
}

sw_status sw_deliver_table_new(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_deliver_load *load, double max_rpm,
                               sw_deliver_table **table, sw_error *error) {
    return tabulate(motor, wiring, load, max_rpm, false, table, error);
}

sw_status sw_deliver_table_sketch(const sw_motor *motor, const sw_wiring *wiring,
                                  const sw_deliver_load *load, double max_rpm,
                                  sw_deliver_table **table, sw_error *error) {
    return tabulate(motor, wiring, load, max_rpm, true, table, error);
}

void sw_deliver_table_free(sw_deliver_table *table) {
    if (table == NULL) {
        return;
    }
    drop_curves(&table->idle);
    drop_curves(&table->active);
    free(table->idle.exact);
    free(table->active.exact);
    free(table);
}

/* Which segment a speed falls in, and where. */
static const segment *place(const sw_deliver_table *table, double speed_rpm, double *x) {
    if (speed_rpm > table->cut_in_rpm && table->active.count > 0) {
        *x = sqrt(speed_rpm - table->cut_in_rpm);
        return &table->active;
    }
    *x = speed_rpm;
    return &table->idle;
}

/* The exact point at or below x, for what is not a number that can be interpolated. */
static const exact_point *below(const segment *s, double x) {
    return &s->exact[gsl_interp_bsearch(s->x, x, 0, s->count - 1)];
}

void sw_deliver_table_at(const sw_deliver_table *table, double speed_rpm,
                         sw_operating_point *point) {
    double x = 0.0;
    const segment *s = place(table, speed_rpm, &x);
    const exact_point *near = below(s, x);
    *point = near->point;
    for (size_t f = 0; f < FIELDS; f++) {
        *field(point, f) = value_at(s, f, x);
    }
    point->speed_rpm = speed_rpm;
    point->frequency_hz =
        table->motor.kind == SW_BRUSHED ? 0.0 : speed_rpm * table->motor.pole_pairs.value / 60.0;
    if (s == &table->active && point->conduction == SW_CONDUCTION_NONE) {
        point->conduction = SW_CONDUCTION_PULSED;
    }
    const double emf_w = point->shaft_torque_nm * speed_rpm / SW_RPM_PER_RAD_S;
    sw_operate_shaft(&table->motor, &table->wiring, &table->load, emf_w, point);
}

double sw_deliver_table_torque_nm(const sw_deliver_table *table, double speed_rpm) {
    double x = 0.0;
    const segment *s = place(table, speed_rpm, &x);
    return value_at(s, 2, x) + table->wiring.machines * sw_motor_drag_nm(&table->motor, speed_rpm);
}

double sw_deliver_table_dc_power_w(const sw_deliver_table *table, double speed_rpm) {
    double x = 0.0;
    const segment *s = place(table, speed_rpm, &x);
    return value_at(s, 1, x);
}

double sw_deliver_table_cut_in_rpm(const sw_deliver_table *table) {
    return table->cut_in_rpm;
}

double sw_deliver_table_max_rpm(const sw_deliver_table *table) {
    return table->max_rpm;
}

double sw_deliver_table_worst_error(const sw_deliver_table *table) {
    return table->worst;
}

size_t sw_deliver_table_points(const sw_deliver_table *table) {
    return table->idle.count + table->active.count;
}
