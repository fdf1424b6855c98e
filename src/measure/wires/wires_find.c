/* Ohms between wires -> groups.
 *
 * Idea. Wires that have ohms between them hang together: the groups are the connected parts of
 * the graph of readings. Within a group every pair must have a reading, and ohms between three
 * points obey r(a,c) <= r(a,b) + r(b,c), whatever is inside (resistance distance: Klein & Randic
 * 1993). A reading that breaks either rule is a mistake at the meter and is named; nothing is
 * guessed from it. What a group is follows from its star equivalent (wires_shape.c), what the
 * groups are together from their number, likeness, thickness and volts (wires_roles.c).
 *
 * Uncertainty: that of the meter (merge.h), four standard deviations for a contradiction. Test
 * leads that were not taken off add the same unknown ohms to every reading.
 *
 * Wires of position sensors are no resistors: the meter shows thousands of ohms that depend on
 * its polarity. Thin wires beside thick ones with such readings are set apart first.
 */
#include "shared/discharge.h"
#include "src/measure/merge.h"
#include "src/measure/wires/wires_parts.h"

#include <math.h>
#include <string.h>

static const double CONTRADICTION_K = 4;
/* Test leads of a cheap meter: 0.1 to 0.5 ohm together (common practice, no source). */
static const double LEAD_ROOM_OHM = 0.5;
/* From here on a reading is dirt or damp, no winding (common practice, no source). */
static const double LEAK_OHM = 1e6;
/* Electronics, not copper, when thin wires beside thick ones read this (common practice). */
static const double SIGNAL_OHM = 1000;
/* Below this, lead resistance matters. */
static const double LITTLE_OHM = 2;

/* One reading without the leads; what the leads' uncertainty makes negative is zero. */
static sw_status take_leads_off(const sw_wires *wires, int a, int b, sw_wire_mesh *mesh,
                                sw_error *error) {
    const sw_wire_pair *pair = &wires->pair[a][b];
    sw_quantity net = sw_meter_resistance(pair->ohm, wires->test_leads, sw_quantity_unknown());
    if (net.value < -CONTRADICTION_K * net.u)
        return sw_fail(error, SW_VALUE,
                       "%d-%d reads %g ohm, less than the %g ohm of the test leads alone", a + 1,
                       b + 1, pair->ohm.value, wires->test_leads.value);
    mesh->ohm[a][b] = mesh->ohm[b][a] = fmax(net.value, 0);
    mesh->u[a][b] = mesh->u[b][a] = net.u;
    return SW_OK;
}

static sw_status enter_pair(const sw_wires *wires, int a, int b, sw_wire_mesh *mesh,
                            sw_wire_finding *finding, sw_error *error) {
    const sw_wire_pair *pair = &wires->pair[a][b];
    bool ohms = pair->contact == SW_CONTACT_OHMS;
    if (pair->contact == SW_CONTACT_CLIMBS)
        sw_wires_doubt(finding, SW_DOUBT_CAPACITOR,
                       "a capacitor hangs between %d and %d. Unplug, discharge it through a "
                       "resistor (" SW_DISCHARGE_RESISTOR
                       "), take it off, and measure %d-%d again.",
                       a + 1, b + 1, a + 1, b + 1);
    if (pair->contact == SW_CONTACT_UNMEASURED)
        sw_wires_doubt(finding, SW_DOUBT_UNMEASURED, "measure the ohms of %d-%d too.", a + 1,
                       b + 1);
    if (ohms && pair->ohm.value >= LEAK_OHM) {
        sw_wires_doubt(finding, SW_DOUBT_LEAK,
                       "%d-%d reads %.2g million ohm: damp, dirt or fingers, taken as open.", a + 1,
                       b + 1, pair->ohm.value / 1e6);
        ohms = false;
    }
    mesh->joined[a][b] = mesh->joined[b][a] = ohms;
    return ohms ? take_leads_off(wires, a, b, mesh, error) : SW_OK;
}

static sw_status enter_readings(const sw_wires *wires, sw_wire_mesh *mesh, sw_wire_finding *finding,
                                sw_error *error) {
    memset(mesh, 0, sizeof *mesh);
    mesh->wires = wires;
    mesh->lead_room_ohm = sw_quantity_known(wires->test_leads) ? 0 : LEAD_ROOM_OHM;
    for (int a = 0; a < wires->count; a++)
        for (int b = 0; b < wires->count; b++)
            mesh->ohm[a][b] = mesh->u[a][b] = NAN;
    sw_status status = SW_OK;
    for (int a = 0; a < wires->count && status == SW_OK; a++)
        for (int b = a + 1; b < wires->count && status == SW_OK; b++)
            status = enter_pair(wires, a, b, mesh, finding, error);
    return status;
}

/* Spread from one wire over the readings. */
static void gather_group(const sw_wire_mesh *mesh, int first, bool *seen, sw_wire_group *group) {
    memset(group, 0, sizeof *group);
    group->ohm = group->greatest_watts = sw_quantity_unknown();
    group->wire[group->count++] = first;
    seen[first] = true;
    for (int i = 0; i < group->count; i++)
        for (int other = 0; other < mesh->wires->count; other++)
            if (!seen[other] && mesh->joined[group->wire[i]][other]) {
                seen[other] = true;
                group->wire[group->count++] = other;
            }
    sw_wires_sort(group);
    for (int i = 0; i < SW_WIRE_LIMIT; i++)
        group->arm_ohm[i] = NAN;
}

static bool any_thick(const sw_wires *wires) {
    for (int i = 0; i < wires->count; i++)
        if (wires->weight[i] == SW_THICK)
            return true;
    return false;
}

/* Thin wires beside thick ones, with thousands of ohms somewhere between them. */
static bool looks_like_signals(const sw_wire_mesh *mesh, const sw_wire_group *group) {
    double most_ohm = 0;
    if (!any_thick(mesh->wires))
        return false;
    for (int i = 0; i < group->count; i++) {
        if (mesh->wires->weight[group->wire[i]] == SW_THICK)
            return false;
        for (int k = 0; k < i; k++) {
            double ohm = mesh->ohm[group->wire[i]][group->wire[k]];
            if (ohm > most_ohm)
                most_ohm = ohm;
        }
    }
    return most_ohm >= SIGNAL_OHM;
}

/* Sensor wires that were not told from power wires break every rule of resistors. */
static const char *sensor_hint(const sw_wires *wires) {
    bool many = wires->count >= 5;
    return many && !any_thick(wires)
               ? "; thin sensor wires are no resistors: tell which are --thick and --thin"
               : "";
}

/* A wire that two others of an open pair are both connected to, -1 when there is none. */
static int between(const sw_wire_mesh *mesh, const sw_wire_group *group, int a, int b) {
    for (int k = 0; k < group->count; k++)
        if (mesh->joined[a][group->wire[k]] && mesh->joined[b][group->wire[k]])
            return group->wire[k];
    return -1;
}

static sw_status fail_open(const sw_wires *wires, int a, int via, int b, sw_error *error) {
    const sw_wire_pair *pair = &wires->pair[a][b];
    const char *found = pair->said ? "reads open" : "is not among the readings, which means open";
    return sw_fail(error, SW_VALUE,
                   "%d-%d %s, but %d-%d and %d-%d are connected, so %d-%d must be too: measure "
                   "%d-%d again (or write  %d-%d ?  if it was not measured)%s",
                   a + 1, b + 1, found, a + 1, via + 1, via + 1, b + 1, a + 1, b + 1, a + 1, b + 1,
                   a + 1, b + 1, sensor_hint(wires));
}

static sw_status check_complete(const sw_wire_mesh *mesh, sw_wire_group *group, sw_error *error) {
    for (int i = 0; i < group->count; i++)
        for (int k = i + 1; k < group->count; k++) {
            int a = group->wire[i];
            int b = group->wire[k];
            int via = between(mesh, group, a, b);
            if (mesh->joined[a][b])
                continue;
            if (mesh->wires->pair[a][b].contact == SW_CONTACT_UNMEASURED)
                group->kind = SW_WIRES_UNFINISHED;
            else if (via >= 0)
                return fail_open(mesh->wires, a, via, b, error);
        }
    return SW_OK;
}

static sw_status check_detour(const sw_wire_mesh *mesh, int a, int via, int b, sw_error *error) {
    double direct = mesh->ohm[a][b];
    double around = mesh->ohm[a][via] + mesh->ohm[via][b];
    double u = hypot(mesh->u[a][b], hypot(mesh->u[a][via], mesh->u[via][b]));
    if (!(direct > around + CONTRADICTION_K * u))
        return SW_OK;
    return sw_fail(error, SW_VALUE,
                   "%d-%d reads %.4g ohm, but by way of wire %d it is only %.4g + %.4g = %.4g: no "
                   "winding does that, so measure %d-%d again%s",
                   a + 1, b + 1, direct, via + 1, mesh->ohm[a][via], mesh->ohm[via][b], around,
                   a + 1, b + 1, sensor_hint(mesh->wires));
}

static sw_status check_detours(const sw_wire_mesh *mesh, const sw_wire_group *group,
                               sw_error *error) {
    sw_status status = SW_OK;
    for (int i = 0; i < group->count; i++)
        for (int k = i + 1; k < group->count; k++)
            for (int m = 0; m < group->count && status == SW_OK; m++)
                if (m != i && m != k)
                    status =
                        check_detour(mesh, group->wire[i], group->wire[m], group->wire[k], error);
    return status;
}

/* "Stiffer when shorted" cannot be true of two wires that nothing connects. */
static sw_status check_stiffer(const sw_wires *wires, const sw_wire_mesh *mesh, sw_error *error) {
    for (int a = 0; a < wires->count; a++)
        for (int b = a + 1; b < wires->count; b++) {
            const sw_wire_pair *pair = &wires->pair[a][b];
            if (pair->stiffer == SW_YES && !mesh->joined[a][b] &&
                pair->contact != SW_CONTACT_UNMEASURED)
                return sw_fail(error, SW_VALUE,
                               "%d-%d is said to make the shaft stiffer when shorted, but it reads "
                               "open: no current can flow there; check both",
                               a + 1, b + 1);
        }
    return SW_OK;
}

static void doubt_leads(const sw_wire_mesh *mesh, sw_wire_finding *finding) {
    int least_a = -1;
    int least_b = -1;
    for (int a = 0; a < mesh->wires->count; a++)
        for (int b = a + 1; b < mesh->wires->count; b++)
            if (mesh->ohm[a][b] < LITTLE_OHM &&
                (least_a < 0 || mesh->ohm[a][b] < mesh->ohm[least_a][least_b])) {
                least_a = a;
                least_b = b;
            }
    if (least_a >= 0 && mesh->lead_room_ohm > 0)
        sw_wires_doubt(finding, SW_DOUBT_LEADS,
                       "%d-%d reads %.3g ohm, so little that the meter's own leads count: short "
                       "them, and give what they show with --test-leads 0.2ohm.",
                       least_a + 1, least_b + 1, mesh->ohm[least_a][least_b]);
}

static sw_status find_group(const sw_wire_mesh *mesh, sw_wire_group *group,
                            sw_wire_finding *finding, sw_error *error) {
    if (group->count == 1) {
        group->kind = SW_WIRES_LONE;
        return SW_OK;
    }
    if (looks_like_signals(mesh, group)) {
        group->kind = SW_WIRES_SIGNALS;
        return SW_OK;
    }
    sw_status status = check_complete(mesh, group, error);
    if (status == SW_OK)
        status = check_detours(mesh, group, error);
    if (status == SW_OK && group->kind != SW_WIRES_UNFINISHED)
        sw_wires_shape(mesh, group, finding);
    return status;
}

sw_status sw_wires_find(const sw_wires *wires, sw_wire_finding *finding, sw_error *error) {
    sw_wire_mesh mesh;
    bool seen[SW_WIRE_LIMIT] = {false};
    memset(finding, 0, sizeof *finding);
    for (int i = 0; i < SW_WIRE_LIMIT; i++)
        finding->role[i] = SW_ROLE_UNKNOWN;
    sw_status status = enter_readings(wires, &mesh, finding, error);
    if (status == SW_OK)
        status = check_stiffer(wires, &mesh, error);
    for (int i = 0; i < wires->count && status == SW_OK; i++) {
        if (seen[i])
            continue;
        sw_wire_group *group = &finding->group[finding->groups++];
        gather_group(&mesh, i, seen, group);
        status = find_group(&mesh, group, finding, error);
    }
    if (status != SW_OK)
        return status;
    doubt_leads(&mesh, finding);
    sw_wires_roles(&mesh, finding);
    return SW_OK;
}
