/* What the groups are together: which windings make the generator, which wires stay out of it.
 *
 * A speed-sensor coil has many turns of thin wire round a small magnet: volts enough to be taken
 * for a winding, ohms so many that its greatest power E^2 / 4R (a matched load, Jacobi 1840) is
 * a fraction of a watt, and shorting it does not brake the shaft. A single winding beside a
 * better one is taken for a sensor by its watts where volts are known, else by its ohms. */
#include "src/measure/wires/wires_parts.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* A winding that cannot give this at the volts seen is none to build on. */
static const double SENSOR_W = 2;
/* So many times the ohms of the power winding, with nothing else known (common practice). */
static const double SENSOR_RATIO = 5;
/* Beside windings of other kinds; main and auxiliary, field and armature differ by less. */
static const double FAR_RATIO = 10;
/* Beside three power wires, so many loose ones are sensor supply and signals. */
static const int SIGNAL_WIRES = 4;

static bool has_word(const char *text, const char *word) {
    size_t length = strlen(word);
    for (; *text != '\0'; text++) {
        size_t i = 0;
        while (i < length && tolower((unsigned char)text[i]) == word[i])
            i++;
        if (i == length)
            return true;
    }
    return false;
}

static bool is_earth_colour(const char *colour) {
    return has_word(colour, "green") && has_word(colour, "yellow");
}

static bool group_is(const sw_wires *wires, const sw_wire_group *group, sw_wire_weight weight) {
    for (int i = 0; i < group->count; i++)
        if (wires->weight[group->wire[i]] != weight)
            return false;
    return true;
}

/* Best of what was said of the group's pairs: yes wins over no. Greatest watts of its pairs. */
static void note_evidence(const sw_wire_mesh *mesh, sw_wire_group *group) {
    for (int i = 0; i < group->count; i++)
        for (int k = i + 1; k < group->count; k++) {
            int a = group->wire[i];
            int b = group->wire[k];
            const sw_wire_pair *pair = &mesh->wires->pair[a][b];
            if (pair->stiffer > group->stiffer)
                group->stiffer = pair->stiffer;
            if (!sw_quantity_known(pair->volts) || !(mesh->ohm[a][b] > 0))
                continue;
            double volts = pair->volts.value;
            double watts = volts * volts / (4 * mesh->ohm[a][b]);
            double u = watts * hypot(2 * sw_quantity_u_or(pair->volts, 0.02) / volts,
                                     mesh->u[a][b] / mesh->ohm[a][b]);
            if (!(watts <= group->greatest_watts.value))
                group->greatest_watts = sw_quantity_of(watts, u, "W");
        }
}

static bool is_windings(sw_wire_kind kind) {
    return kind <= SW_WIRES_UNEVEN;
}

/* The group that a generator would be made of, -1 when there is none: braking counts most, then
 * thick wire, then three phases, then few ohms. */
static double merit(const sw_wires *wires, const sw_wire_group *group) {
    double merit = 0;
    if (!is_windings(group->kind))
        return -1;
    merit += group->stiffer == SW_YES ? 1000 : group->stiffer == SW_NO ? -0.5 : 0;
    merit += group_is(wires, group, SW_THICK) ? 100 : 0;
    merit += group->kind == SW_WIRES_THREE || group->kind == SW_WIRES_THREE_POINT ? 10 : 0;
    merit += sw_quantity_known(group->ohm) ? 1 / (1 + group->ohm.value) : 0;
    return merit;
}

static int best_group(const sw_wires *wires, const sw_wire_finding *finding) {
    int best = -1;
    double most = -1;
    for (int i = 0; i < finding->groups; i++) {
        double it = merit(wires, &finding->group[i]);
        if (it > most) {
            most = it;
            best = i;
        }
    }
    return best;
}

static void turn_into(sw_wire_group *group, sw_wire_kind kind, sw_wire_role role,
                      sw_wire_finding *finding) {
    group->kind = kind;
    for (int i = 0; i < group->count; i++)
        finding->role[group->wire[i]] = role;
}

/* Is this winding, beside the best one, only a sensor? */
static bool is_sensor(const sw_wires *wires, const sw_wire_group *group,
                      const sw_wire_group *best) {
    if (group == best || group->kind != SW_WIRES_WINDING || group->stiffer == SW_YES)
        return false;
    if (sw_quantity_known(group->greatest_watts))
        return group->greatest_watts.value < SENSOR_W;
    if (sw_wires_alike(group->ohm.value, group->ohm.u, best->ohm.value, best->ohm.u))
        return false;
    if (group_is(wires, group, SW_THIN) && group_is(wires, best, SW_THICK))
        return true;
    bool three = best->kind == SW_WIRES_THREE || best->kind == SW_WIRES_THREE_POINT;
    return group->ohm.value > (three ? SENSOR_RATIO : FAR_RATIO) * best->ohm.value;
}

static void find_sensors(const sw_wires *wires, sw_wire_group *best, sw_wire_finding *finding) {
    for (int i = 0; i < finding->groups; i++) {
        sw_wire_group *group = &finding->group[i];
        if (best == NULL || !is_sensor(wires, group, best))
            continue;
        turn_into(group, SW_WIRES_SENSOR, SW_ROLE_SENSOR, finding);
        if (!sw_quantity_known(group->greatest_watts) && group->stiffer == SW_NOT_SAID)
            sw_wires_doubt(
                finding, SW_DOUBT_SENSOR,
                "%d-%d looks like a speed-sensor coil (%.3g ohm beside %.3g). To prove "
                "it, read its AC volts while it spins and add  --volts '%d-%d 5V': below "
                "2 W it is no winding to build on.",
                group->wire[0] + 1, group->wire[1] + 1, group->ohm.value, best->ohm.value,
                group->wire[0] + 1, group->wire[1] + 1);
    }
}

/* A single winding with nothing beside it can be a sensor coil too. */
static void doubt_only_winding(sw_wire_group *best, sw_wire_finding *finding) {
    if (best == NULL || !sw_quantity_known(best->greatest_watts) ||
        best->greatest_watts.value >= SENSOR_W)
        return;
    sw_wires_doubt(finding, SW_DOUBT_SENSOR,
                   "%d-%d gives at most %.2g W at the volts you read (E^2 / 4R): that is what a "
                   "speed-sensor coil does. Look for other wires, or spin faster.",
                   best->wire[0] + 1, best->wire[1] + 1, best->greatest_watts.value);
}

static int count_lone(const sw_wire_finding *finding) {
    int lone = 0;
    for (int i = 0; i < finding->groups; i++)
        lone += finding->group[i].kind == SW_WIRES_LONE;
    return lone;
}

static void find_lone(const sw_wires *wires, const sw_wire_group *best, sw_wire_finding *finding) {
    bool many = best != NULL && count_lone(finding) >= SIGNAL_WIRES;
    for (int i = 0; i < finding->groups; i++) {
        sw_wire_group *group = &finding->group[i];
        int wire = group->wire[0];
        if (group->kind == SW_WIRES_SIGNALS)
            turn_into(group, SW_WIRES_SIGNALS, SW_ROLE_SIGNAL, finding);
        if (group->kind != SW_WIRES_LONE)
            continue;
        bool thin_beside_thick =
            best != NULL && wires->weight[wire] == SW_THIN && group_is(wires, best, SW_THICK);
        if (is_earth_colour(wires->colour[wire]))
            turn_into(group, SW_WIRES_EARTH, SW_ROLE_EARTH, finding);
        else if (wires->weight[wire] != SW_THICK && (thin_beside_thick || many))
            turn_into(group, SW_WIRES_SIGNALS, SW_ROLE_SIGNAL, finding);
        else if (wires->weight[wire] == SW_THICK || wires->count <= 3)
            sw_wires_doubt(finding, SW_DOUBT_BROKEN,
                           "wire %d has no connection to any other%s: a broken coil or lead, "
                           "unless it is the frame's earth.",
                           wire + 1, wires->weight[wire] == SW_THICK ? " though it is thick" : "");
    }
}

void sw_wires_sort(sw_wire_group *group) {
    for (int i = 1; i < group->count; i++)
        for (int k = i; k > 0 && group->wire[k] < group->wire[k - 1]; k--) {
            int swap = group->wire[k];
            group->wire[k] = group->wire[k - 1];
            group->wire[k - 1] = swap;
        }
}

/* All loose and gathered signal wires make one group, so that they are said once. */
static void join_signals(sw_wire_finding *finding) {
    int first = -1;
    int kept = 0;
    for (int i = 0; i < finding->groups; i++) {
        sw_wire_group *group = &finding->group[i];
        if (group->kind == SW_WIRES_SIGNALS && first >= 0) {
            sw_wire_group *target = &finding->group[first];
            for (int k = 0; k < group->count; k++)
                target->wire[target->count++] = group->wire[k];
            sw_wires_sort(target);
            continue;
        }
        if (group->kind == SW_WIRES_SIGNALS)
            first = kept;
        if (kept != i)
            finding->group[kept] = *group;
        kept++;
    }
    finding->groups = kept;
}

static int count_kind(const sw_wire_finding *finding, sw_wire_kind kind,
                      const sw_wire_group *like) {
    int count = 0;
    for (int i = 0; i < finding->groups; i++) {
        const sw_wire_group *group = &finding->group[i];
        bool alike = sw_wires_alike(group->ohm.value, group->ohm.u, like->ohm.value, like->ohm.u);
        count += group->kind == kind && alike;
    }
    return count;
}

static sw_wire_machine machine_of_windings(int alike, int all) {
    if (alike != all)
        return SW_MACHINE_UNLIKE_WINDINGS;
    return alike == 1   ? SW_MACHINE_ONE_WINDING
           : alike == 2 ? SW_MACHINE_TWO_PHASE
           : alike == 3 ? SW_MACHINE_THREE_WINDINGS
           : alike == 4 ? SW_MACHINE_FOUR_COILS
                        : SW_MACHINE_UNCLEAR;
}

static int all_of_kind(const sw_wire_finding *finding, sw_wire_kind kind) {
    int count = 0;
    for (int i = 0; i < finding->groups; i++)
        count += finding->group[i].kind == kind;
    return count;
}

static sw_wire_machine machine_of(const sw_wire_group *best, const sw_wire_finding *finding) {
    if (best == NULL)
        return all_of_kind(finding, SW_WIRES_UNFINISHED) + all_of_kind(finding, SW_WIRES_UNCLEAR) >
                       0
                   ? SW_MACHINE_UNCLEAR
                   : SW_MACHINE_NONE;
    int alike = count_kind(finding, best->kind, best);
    switch (best->kind) {
    case SW_WIRES_THREE:
    case SW_WIRES_THREE_POINT:
        return SW_MACHINE_THREE_PHASE;
    case SW_WIRES_WINDING:
        return machine_of_windings(alike, all_of_kind(finding, SW_WIRES_WINDING));
    case SW_WIRES_CENTRE_TAP:
        return alike == 2 ? SW_MACHINE_TWO_PHASE_TAPPED : SW_MACHINE_ONE_TAPPED;
    case SW_WIRES_COMMON_FOUR:
    case SW_WIRES_FOUR:
        return SW_MACHINE_TWO_PHASE_COMMON;
    case SW_WIRES_MAIN_AUX:
        return SW_MACHINE_UNLIKE_WINDINGS;
    default:
        return SW_MACHINE_UNCLEAR;
    }
}

static int phases_of(sw_wire_machine machine) {
    switch (machine) {
    case SW_MACHINE_THREE_PHASE:
    case SW_MACHINE_THREE_WINDINGS:
        return 3;
    case SW_MACHINE_ONE_WINDING:
    case SW_MACHINE_ONE_TAPPED:
        return 1;
    case SW_MACHINE_TWO_PHASE:
    case SW_MACHINE_TWO_PHASE_TAPPED:
    case SW_MACHINE_TWO_PHASE_COMMON:
    case SW_MACHINE_FOUR_COILS:
        return 2;
    default:
        return 0;
    }
}

/* Windings like the best one go to the rectifier with all but their inner points. */
static void choose_wires(const sw_wire_group *best, sw_wire_finding *finding) {
    if (best == NULL || finding->phases == 0)
        return;
    for (int i = 0; i < finding->groups; i++) {
        sw_wire_group *group = &finding->group[i];
        group->use = group->kind == best->kind &&
                     sw_wires_alike(group->ohm.value, group->ohm.u, best->ohm.value, best->ohm.u);
        for (int k = 0; group->use && k < group->count; k++) {
            sw_wire_role role = finding->role[group->wire[k]];
            finding->use[group->wire[k]] = role == SW_ROLE_LINE || role == SW_ROLE_COIL_END;
        }
    }
}

static void doubt_magnets(const sw_wire_group *best, sw_wire_finding *finding) {
    if (best != NULL && best->stiffer == SW_NO)
        sw_wires_doubt(finding, SW_DOUBT_NO_MAGNETS,
                       "shorting the winding does not make the shaft stiffer: no magnets, or a "
                       "freewheel. Turn it the other way round too, and hold a screwdriver to the "
                       "rotor.");
}

void sw_wires_roles(const sw_wire_mesh *mesh, sw_wire_finding *finding) {
    for (int i = 0; i < finding->groups; i++)
        note_evidence(mesh, &finding->group[i]);
    int chosen = best_group(mesh->wires, finding);
    sw_wire_group *best = chosen < 0 ? NULL : &finding->group[chosen];
    find_sensors(mesh->wires, best, finding);
    find_lone(mesh->wires, best, finding);
    doubt_only_winding(best, finding);
    sw_wire_group copy; /* groups move when signals are joined */
    if (best != NULL)
        copy = *best;
    best = best != NULL ? &copy : NULL;
    join_signals(finding);
    finding->machine = machine_of(best, finding);
    finding->phases = phases_of(finding->machine);
    choose_wires(best, finding);
    doubt_magnets(best, finding);
}
