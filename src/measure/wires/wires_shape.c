/* What one group of connected wires is, from its ohms alone.
 *
 * Idea. Windings that meet in one point give r(i,j) = a(i) + a(j), with an arm a for every wire
 * (three points always have such a star: Kennelly 1899). Least squares over all pairs has a
 * closed form: with S(i) = sum of r(i,j) over j, A = sum of all r / (n - 1), a(i) = (S(i) - A) /
 * (n - 2). The pattern of the arms names the group:
 *
 *   3 arms alike             star or delta: ohms cannot tell which
 *   3 alike and one nothing  star with star point (ohms to it are half of those between lines)
 *   2 alike and one nothing  a coil with its middle brought out
 *   2 unlike and one nothing main and auxiliary winding with their common wire
 *   4 alike and one nothing  four coils on one common wire
 *   no star                  taps along one coil, when ohms add up along a line
 *
 * "Nothing" means less than four hundredths of the mean arm, three standard deviations and half
 * of what the leads may hold. Where an arm of a symmetric group could be nothing as well, the
 * meter is too coarse to tell, and that is said. A delta with one broken coil reads like a coil
 * with its middle brought out: said too.
 */
#include "src/measure/wires/wires_parts.h"

#include <math.h>
#include <string.h>

/* Windings meant to be alike differ by a few hundredths (common practice, no source). */
static const double LIKENESS = 0.04;
static const double NOTHING_K = 3;
/* A thermal switch or a bridge, and no winding of thin wire (common practice, no source). */
static const double SWITCH_OHM = 0.6;

typedef struct arms {
    int count;
    double ohm[SW_WIRE_LIMIT];
    double u;
    double worst_misfit; /* largest residual over what is allowed */
    double mean;
    double nothing_ohm;
    int nothings;
    int nothing; /* index of the least arm */
    int others_alike;
    bool all_alike;
} arms;

bool sw_wires_alike(double a, double u_a, double b, double u_b) {
    return fabs(a - b) <= NOTHING_K * hypot(u_a, u_b) + LIKENESS * fmax(fabs(a), fabs(b));
}

static double ohm_between(const sw_wire_mesh *mesh, const sw_wire_group *group, int i, int k) {
    return mesh->ohm[group->wire[i]][group->wire[k]];
}

static double u_between(const sw_wire_mesh *mesh, const sw_wire_group *group, int i, int k) {
    return mesh->u[group->wire[i]][group->wire[k]];
}

static void solve_arms(const sw_wire_mesh *mesh, const sw_wire_group *group, arms *it) {
    int n = group->count;
    double all = 0;
    double row[SW_WIRE_LIMIT] = {0};
    for (int i = 0; i < n; i++)
        for (int k = 0; k < n; k++)
            if (i != k) {
                row[i] += ohm_between(mesh, group, i, k);
                all += ohm_between(mesh, group, i, k) / 2;
                it->u = fmax(it->u, u_between(mesh, group, i, k));
            }
    it->count = n;
    for (int i = 0; i < n; i++) {
        it->ohm[i] = (row[i] - all / (n - 1)) / (n - 2);
        it->mean += it->ohm[i] / n;
    }
}

static void judge_fit(const sw_wire_mesh *mesh, const sw_wire_group *group, arms *it) {
    for (int i = 0; i < it->count; i++)
        for (int k = i + 1; k < it->count; k++) {
            double ohm = ohm_between(mesh, group, i, k);
            double allowed = NOTHING_K * u_between(mesh, group, i, k) + LIKENESS * ohm;
            double misfit = fabs(ohm - it->ohm[i] - it->ohm[k]) / allowed;
            it->worst_misfit = fmax(it->worst_misfit, misfit);
        }
}

/* Are all arms alike, leaving out one (-1: none)? Their spread is judged on the ohms between two
 * of them, which are what was read. */
static bool alike_without(const arms *it, int left_out) {
    double low = INFINITY;
    double high = 0;
    for (int i = 0; i < it->count; i++)
        if (i != left_out) {
            low = fmin(low, it->ohm[i]);
            high = fmax(high, it->ohm[i]);
        }
    return high - low <= NOTHING_K * it->u + LIKENESS * 2 * high;
}

static void judge_pattern(const sw_wire_mesh *mesh, arms *it) {
    it->nothing_ohm = LIKENESS * it->mean + NOTHING_K * it->u + mesh->lead_room_ohm / 2;
    for (int i = 0; i < it->count; i++) {
        it->nothings += it->ohm[i] <= it->nothing_ohm;
        if (it->ohm[i] < it->ohm[it->nothing])
            it->nothing = i;
    }
    it->all_alike = alike_without(it, -1);
    it->others_alike = alike_without(it, it->nothing);
}

static void set_roles(const sw_wire_group *group, sw_wire_role role, sw_wire_finding *finding) {
    for (int i = 0; i < group->count; i++)
        finding->role[group->wire[i]] = role;
}

/* Mean over the pairs that leave out one wire (-1: none). */
static sw_quantity mean_ohm(const sw_wire_mesh *mesh, const sw_wire_group *group, int left_out) {
    double sum = 0;
    double u = 0;
    int pairs = 0;
    for (int i = 0; i < group->count; i++)
        for (int k = i + 1; k < group->count; k++)
            if (i != left_out && k != left_out) {
                sum += ohm_between(mesh, group, i, k);
                u = fmax(u, u_between(mesh, group, i, k));
                pairs++;
            }
    /* The meter's scale is common to all readings: the mean is no better than one of them. */
    return pairs > 0 ? sw_quantity_of(sum / pairs, u, "ohm") : sw_quantity_unknown();
}

static void shape_two(const sw_wire_mesh *mesh, sw_wire_group *group, sw_wire_finding *finding) {
    bool thick = mesh->wires->weight[group->wire[0]] == SW_THICK ||
                 mesh->wires->weight[group->wire[1]] == SW_THICK;
    group->ohm = mean_ohm(mesh, group, -1);
    group->arm_ohm[0] = group->arm_ohm[1] = group->ohm.value / 2;
    bool brakes = mesh->wires->pair[group->wire[0]][group->wire[1]].stiffer == SW_YES;
    group->kind =
        group->ohm.value < SWITCH_OHM && !thick && !brakes ? SW_WIRES_SWITCH : SW_WIRES_WINDING;
    set_roles(group, group->kind == SW_WIRES_SWITCH ? SW_ROLE_SWITCH : SW_ROLE_COIL_END, finding);
}

/* Of three arms none of which is nothing: which pair reads furthest from the middle one? */
static void say_uneven(const sw_wire_group *group, const arms *it, sw_wire_finding *finding) {
    char one[16];
    char two[16];
    char three[16];
    sw_wires_number_text(it->ohm[0] + it->ohm[1], one, sizeof one);
    sw_wires_number_text(it->ohm[1] + it->ohm[2], two, sizeof two);
    sw_wires_number_text(it->ohm[0] + it->ohm[2], three, sizeof three);
    sw_wires_doubt(finding, SW_DOUBT_UNEVEN,
                   "%d-%d, %d-%d and %d-%d read %s, %s and %s ohm, which should be alike: measure "
                   "again with clean wire ends. If it stays so, a coil has shorted turns or a "
                   "broken strand.",
                   group->wire[0] + 1, group->wire[1] + 1, group->wire[1] + 1, group->wire[2] + 1,
                   group->wire[0] + 1, group->wire[2] + 1, one, two, three);
}

static void say_too_small(const sw_wire_group *group, const char *other, sw_wire_finding *finding) {
    sw_wires_doubt(finding, SW_DOUBT_TOO_SMALL,
                   "the ohms of wire %d and its neighbours are too small for the meter to rule out "
                   "%s: take off the test leads (--test-leads), or send 1 A through and read the "
                   "volts.",
                   group->wire[0] + 1, other);
}

static void set_tap(const sw_wire_mesh *mesh, sw_wire_group *group, const arms *it,
                    sw_wire_kind kind, sw_wire_role ends, sw_wire_role tap,
                    sw_wire_finding *finding) {
    group->kind = kind;
    group->ohm = mean_ohm(mesh, group, it->nothing);
    set_roles(group, ends, finding);
    finding->role[group->wire[it->nothing]] = tap;
}

static void set_main_and_auxiliary(const sw_wire_mesh *mesh, sw_wire_group *group, const arms *it,
                                   sw_wire_finding *finding) {
    int one = (it->nothing + 1) % 3;
    int two = (it->nothing + 2) % 3;
    /* The main winding has the thicker wire, hence fewer ohms (common practice, no source). */
    int main_end = it->ohm[one] < it->ohm[two] ? one : two;
    set_tap(mesh, group, it, SW_WIRES_MAIN_AUX, SW_ROLE_AUXILIARY, SW_ROLE_COMMON, finding);
    finding->role[group->wire[main_end]] = SW_ROLE_MAIN;
}

static void say_broken_delta(const sw_wire_mesh *mesh, const sw_wire_group *group, const arms *it,
                             sw_wire_finding *finding) {
    const sw_wire_weight *weight = mesh->wires->weight;
    int tap = group->wire[it->nothing];
    int end = group->wire[(it->nothing + 1) % 3];
    if (weight[tap] != SW_THICK || weight[end] != SW_THICK)
        return;
    sw_wires_doubt(finding, SW_DOUBT_BROKEN,
                   "three thick wires with readings of one, one and two parts: a delta with a "
                   "broken coil reads exactly like a coil with its middle brought out. Three "
                   "unequal volts while it spins would prove it.");
}

static void shape_three(const sw_wire_mesh *mesh, sw_wire_group *group, const arms *it,
                        sw_wire_finding *finding) {
    if (it->all_alike) {
        group->kind = SW_WIRES_THREE;
        group->ohm = mean_ohm(mesh, group, -1);
        set_roles(group, SW_ROLE_LINE, finding);
        /* Three thick wires are phases anyhow: nobody brings a middle out that thick. */
        if (it->nothings > 0 && mesh->wires->weight[group->wire[0]] != SW_THICK)
            say_too_small(group, "a coil with its middle brought out", finding);
    } else if (it->nothings == 1 && it->others_alike) {
        set_tap(mesh, group, it, SW_WIRES_CENTRE_TAP, SW_ROLE_COIL_END, SW_ROLE_CENTRE_TAP,
                finding);
        say_broken_delta(mesh, group, it, finding);
    } else if (it->nothings == 1) {
        set_main_and_auxiliary(mesh, group, it, finding);
    } else {
        group->kind = SW_WIRES_UNEVEN;
        group->ohm = mean_ohm(mesh, group, -1);
        set_roles(group, SW_ROLE_LINE, finding);
        say_uneven(group, it, finding);
    }
}

/* Ohms add up along a line: order the wires by their ohms from one end of the farthest pair. */
static bool is_chain(const sw_wire_mesh *mesh, const sw_wire_group *group) {
    int end = 0;
    double farthest = 0;
    for (int i = 0; i < group->count; i++)
        for (int k = 0; k < group->count; k++)
            if (i != k && ohm_between(mesh, group, i, k) > farthest) {
                farthest = ohm_between(mesh, group, i, k);
                end = i;
            }
    for (int i = 0; i < group->count; i++)
        for (int k = i + 1; k < group->count; k++) {
            if (i == end || k == end)
                continue;
            double apart =
                fabs(ohm_between(mesh, group, end, i) - ohm_between(mesh, group, end, k));
            double u = hypot(u_between(mesh, group, end, i), u_between(mesh, group, end, k));
            if (!sw_wires_alike(apart + mesh->lead_room_ohm / 2, u, ohm_between(mesh, group, i, k),
                                u_between(mesh, group, i, k)))
                return false;
        }
    return true;
}

static void shape_other(const sw_wire_mesh *mesh, sw_wire_group *group, sw_wire_finding *finding) {
    bool chain = is_chain(mesh, group);
    group->kind = chain ? SW_WIRES_TAPPED : SW_WIRES_UNCLEAR;
    if (chain) {
        set_roles(group, SW_ROLE_TAP, finding);
        return;
    }
    sw_wires_doubt(finding, SW_DOUBT_NOT_KNOWN,
                   "%d wires from wire %d on hang together in a way that is not known here: spin "
                   "it and compare the volts of its pairs.",
                   group->count, group->wire[0] + 1);
}

/* Four wires and more that meet in one point. False when that is not what they do. */
static bool shape_star(const sw_wire_mesh *mesh, sw_wire_group *group, const arms *it,
                       sw_wire_finding *finding) {
    bool tapped = it->nothings == 1 && it->others_alike;
    if (it->worst_misfit > 1)
        return false;
    if (group->count == 4 && tapped && !it->all_alike) {
        set_tap(mesh, group, it, SW_WIRES_THREE_POINT, SW_ROLE_LINE, SW_ROLE_STAR_POINT, finding);
        return true;
    }
    if (group->count == 5 && tapped && !it->all_alike) {
        set_tap(mesh, group, it, SW_WIRES_COMMON_FOUR, SW_ROLE_COIL_END, SW_ROLE_COMMON, finding);
        return true;
    }
    if (group->count != 4 || !it->all_alike)
        return false;
    group->kind = SW_WIRES_FOUR;
    group->ohm = mean_ohm(mesh, group, -1);
    set_roles(group, SW_ROLE_COIL_END, finding);
    if (it->nothings > 0)
        say_too_small(group, "a star with its star point", finding);
    return true;
}

void sw_wires_shape(const sw_wire_mesh *mesh, sw_wire_group *group, sw_wire_finding *finding) {
    arms it = {0};
    if (group->count == 2) {
        shape_two(mesh, group, finding);
        return;
    }
    solve_arms(mesh, group, &it);
    judge_fit(mesh, group, &it);
    judge_pattern(mesh, &it);
    bool done = group->count == 3;
    if (done)
        shape_three(mesh, group, &it, finding);
    else
        done = shape_star(mesh, group, &it, finding);
    if (!done)
        shape_other(mesh, group, finding);
    for (int i = 0; done && i < group->count; i++)
        group->arm_ohm[i] = fmax(it.ohm[i], 0);
}
