#include "src/match/electric/shoot.h"

#include "shared/constants.h"

#include <math.h>
#include <string.h>

enum { ITERATION_LIMIT = 80, FIRST_MARCHES = 3, DAMPINGS = 4 };

/* Estimated relative error of the state at which it counts as periodic, and the one that will do
 * when the search comes no nearer: switching instants that pass a grid point leave that much. */
static const double goal = 1e-7;
static const double enough = 1e-5;
typedef struct vector {
    double v[SW_STATE_LIMIT];
} vector;

/* One search: the circuit, its unknowns, and their scales. */
typedef struct search {
    const sw_circuit *circuit;
    const sw_circulation *circulation;
    sw_stretch stretch;
    int size;
    int legs; /* unknown leg currents come first */
    int leg[SW_LEG_LIMIT];
    double scale[SW_STATE_LIMIT];
    int maps;
} search;

/* The last leg of a floating group follows from the others; without inductance no leg current
 * is a state. */
static void list_unknowns(search *s) {
    const sw_topology *topology = s->circuit->topology;
    const int caps = sw_circuit_caps(s->circuit);
    s->legs = 0;
    for (int k = 0; s->circuit->leg_x_ohm > 0.0 && k < topology->legs; k++) {
        const bool last =
            k + 1 == topology->legs || topology->leg[k + 1].group != topology->leg[k].group;
        if (!(topology->floating && last)) {
            s->leg[s->legs++] = k;
        }
    }
    s->size = s->legs + caps;
    for (int i = 0; i < s->size; i++) {
        s->scale[i] = i < s->legs ? s->circuit->scale_a : s->circuit->scale_v;
    }
}

static vector pack(const search *s, const sw_electric_state *state) {
    vector x;
    memset(&x, 0, sizeof x);
    for (int i = 0; i < s->size; i++) {
        x.v[i] = i < s->legs ? state->leg_a[s->leg[i]] : state->cap_v[i - s->legs];
    }
    return x;
}

/* Fill the dependent currents; a leg without a lower diode cannot carry a negative one. */
static sw_electric_state unpack(const search *s, const vector *x) {
    const sw_topology *topology = s->circuit->topology;
    sw_electric_state state;
    memset(&state, 0, sizeof state);
    for (int i = 0; i < s->legs; i++) {
        const int k = s->leg[i];
        const bool one_way = topology->leg[k].down_port < 0;
        state.leg_a[k] = one_way ? fmax(x->v[i], 0.0) : x->v[i];
        if (topology->floating) {
            int last = k;
            while (last + 1 < topology->legs &&
                   topology->leg[last + 1].group == topology->leg[k].group) {
                last++;
            }
            state.leg_a[last] -= x->v[i];
        }
    }
    for (int i = s->legs; i < s->size; i++) {
        state.cap_v[i - s->legs] = x->v[i];
    }
    return state;
}

/* Undo the symmetry: what the state after one part means at the start. */
static sw_electric_state turn_back(const sw_circuit *circuit, const sw_electric_state *after) {
    const sw_turn *turn = circuit->turn;
    const sw_topology *topology = circuit->topology;
    sw_electric_state start = *after;
    for (int k = 0; k < topology->legs; k++) {
        start.leg_a[turn->perm[k]] = turn->sign * after->leg_a[k];
        for (int side = 0; side < 2 && topology->units > 0; side++) {
            const int unit = k < topology->units ? k : 0;
            const int from = topology->units > 1 ? turn->perm[unit] : 0;
            const int other = turn->sign < 0 ? 1 - side : side;
            start.cap_v[2 * from + other] = after->cap_v[2 * unit + side];
        }
    }
    return start;
}

/* P(x), turned back. */
static bool run(search *s, const vector *x, vector *image, sw_tally *tally) {
    sw_electric_state state = unpack(s, x);
    s->maps++;
    if (!sw_march(s->circuit, &s->stretch, s->circulation, &state, tally)) {
        return false;
    }
    const sw_electric_state start = turn_back(s->circuit, &state);
    *image = pack(s, &start);
    return true;
}

/* Largest component in units of the scales. */
static double size_of(const search *s, const vector *x) {
    double largest = 0.0;
    for (int i = 0; i < s->size; i++) {
        const double part = fabs(x->v[i]) / s->scale[i];
        largest = part > largest || isnan(part) ? part : largest;
    }
    return largest;
}

static bool difference_slope(search *s, const vector *x, const vector *image,
                             double slope[][SW_STATE_LIMIT]) {
    for (int j = 0; j < s->size; j++) {
        const double nudge = 1e-5 * s->scale[j] + 1e-5 * fabs(x->v[j]);
        vector moved = *x;
        vector moved_image;
        moved.v[j] += nudge;
        if (!run(s, &moved, &moved_image, NULL)) {
            return false;
        }
        for (int i = 0; i < s->size; i++) {
            slope[i][j] = (moved_image.v[i] - image->v[i]) / nudge;
        }
    }
    return true;
}

/* (1 - slope) move = misfit by elimination with row exchange, rows and columns in units of the
 * scales. */
static bool newton_move(const search *s, double slope[][SW_STATE_LIMIT], const vector *misfit,
                        vector *move) {
    double m[SW_STATE_LIMIT][SW_STATE_LIMIT + 1];
    const int n = s->size;
    for (int i = 0; i < n; i++) {
        for (int j = 0; j < n; j++) {
            m[i][j] = ((i == j ? 1.0 : 0.0) - slope[i][j]) * s->scale[j] / s->scale[i];
        }
        m[i][n] = misfit->v[i] / s->scale[i];
    }
    for (int j = 0; j < n; j++) {
        int pivot = j;
        for (int i = j + 1; i < n; i++) {
            pivot = fabs(m[i][j]) > fabs(m[pivot][j]) ? i : pivot;
        }
        if (!(fabs(m[pivot][j]) > 1e-12)) {
            return false;
        }
        for (int k = 0; k <= n; k++) {
            const double swap = m[j][k];
            m[j][k] = m[pivot][k];
            m[pivot][k] = swap;
        }
        for (int i = 0; i < n; i++) {
            const double factor = i == j ? 0.0 : m[i][j] / m[j][j];
            for (int k = j; k <= n; k++) {
                m[i][k] -= factor * m[j][k];
            }
        }
    }
    for (int j = 0; j < n; j++) {
        move->v[j] = m[j][n] / m[j][j] * s->scale[j];
    }
    return true;
}

/* Broyden (1965): the least change of the slope that explains the last step. */
static void broyden(const search *s, double slope[][SW_STATE_LIMIT], const vector *step,
                    const vector *image_step) {
    double length2 = 0.0;
    for (int j = 0; j < s->size; j++) {
        length2 += step->v[j] * step->v[j] / (s->scale[j] * s->scale[j]);
    }
    for (int i = 0; i < s->size && length2 > 0.0; i++) {
        double expected = 0.0;
        for (int j = 0; j < s->size; j++) {
            expected += slope[i][j] * step->v[j];
        }
        const double miss = (image_step->v[i] - expected) / length2;
        for (int j = 0; j < s->size; j++) {
            slope[i][j] += miss * step->v[j] / (s->scale[j] * s->scale[j]);
        }
    }
}

static vector minus(const vector *a, const vector *b) {
    vector d;
    for (int i = 0; i < SW_STATE_LIMIT; i++) {
        d.v[i] = a->v[i] - b->v[i];
    }
    return d;
}

static vector plus(const vector *a, const vector *b, double factor) {
    vector sum;
    for (int i = 0; i < SW_STATE_LIMIT; i++) {
        sum.v[i] = a->v[i] + factor * b->v[i];
    }
    return sum;
}

/* Where a search stands: a state, its image, the misfit between them, and what was collected on
 * the way. */
typedef struct standing {
    vector x;
    vector image;
    double misfit;
    sw_tally tally;
} standing;

static bool stand_at(search *s, const vector *x, standing *at) {
    at->x = *x;
    sw_tally_start(&at->tally);
    if (!run(s, x, &at->image, &at->tally)) {
        return false;
    }
    const vector misfit = minus(&at->image, x);
    at->misfit = size_of(s, &misfit);
    return true;
}

/* Start from the state at hand; a cold one first settles a little by itself. */
static bool first_stand(search *s, sw_periodic *periodic, standing *at) {
    vector x = pack(s, &periodic->state);
    const int marches = periodic->warm ? 0 : FIRST_MARCHES;
    for (int i = 0; i <= marches; i++) {
        if (!stand_at(s, &x, at)) {
            return false;
        }
        x = at->image;
    }
    return periodic->slope_warm || difference_slope(s, &at->x, &at->image, periodic->slope);
}

/* Go along the Newton move, less far when the misfit does not shrink. *whole tells whether the
 * full move was good; false when no part of it was. */
static bool go_along(search *s, const vector *move, double slope[][SW_STATE_LIMIT], standing *at,
                     bool *whole) {
    double part = 1.0;
    for (int i = 0; i < DAMPINGS; i++) {
        const vector next = plus(&at->x, move, part);
        standing there;
        if (stand_at(s, &next, &there) && there.misfit < (1.0 - 0.25 * part) * at->misfit) {
            const vector step = minus(&there.x, &at->x);
            const vector image_step = minus(&there.image, &at->image);
            *whole = i == 0 && there.misfit < 0.5 * at->misfit;
            broyden(s, slope, &step, &image_step);
            *at = there;
            return true;
        }
        part *= 0.4;
    }
    return false;
}

/* Newton with Broyden updates. Where no part of a move helps, a few parts of the period are
 * simply run through, which always comes nearer; then the slope is taken afresh. */
static bool iterate(search *s, sw_periodic *periodic, standing *at) {
    if (!first_stand(s, periodic, at)) {
        return false;
    }
    for (int i = 0; i < ITERATION_LIMIT; i++) {
        const vector misfit = minus(&at->image, &at->x);
        vector move;
        memset(&move, 0, sizeof move);
        const bool solved = newton_move(s, periodic->slope, &misfit, &move);
        periodic->misfit = solved ? size_of(s, &move) : INFINITY;
        if (periodic->misfit < goal && at->misfit < goal) {
            return true;
        }
        bool whole = false;
        const bool gone = solved && go_along(s, &move, periodic->slope, at, &whole);
        for (int k = 0; !gone && k < 2; k++) {
            const vector next = at->image;
            if (!stand_at(s, &next, at)) {
                return false;
            }
        }
        if (!whole && !difference_slope(s, &at->x, &at->image, periodic->slope)) {
            return false;
        }
    }
    return periodic->misfit < enough && at->misfit < enough;
}

sw_status sw_shoot(const sw_circuit *circuit, const sw_circulation *circulation, int steps,
                   sw_periodic *periodic, sw_tally *tally, sw_error *error) {
    search s;
    memset(&s, 0, sizeof s);
    s.circuit = circuit;
    s.circulation = circulation;
    s.stretch.span = 2.0 * M_PI / circuit->turn->parts;
    s.stretch.steps = steps / circuit->turn->parts;
    list_unknowns(&s);
    standing at;
    memset(&at, 0, sizeof at);
    periodic->misfit = 0.0;
    /* Without a state to search for one run is the answer. */
    const bool found = s.size > 0 ? iterate(&s, periodic, &at) : stand_at(&s, &at.x, &at);
    periodic->maps = s.maps;
    if (!found) {
        return sw_fail(error, SW_NO_CONVERGENCE,
                       "the steady state of the %s was not found (misfit %.1e, wanted %.0e)",
                       circuit->topology->name, periodic->misfit, goal);
    }
    *tally = at.tally;
    periodic->state = unpack(&s, &at.x);
    periodic->warm = true;
    periodic->slope_warm = true;
    return SW_OK;
}
