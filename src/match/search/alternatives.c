#include "src/match/search/alternatives.h"

#include "src/match/search/choice.h"

#include <math.h>

static void add(const sw_search_request *request, sw_match *match, sw_alternative_kind kind,
                const sw_choice *choice) {
    if (choice == NULL || match->alternatives == SW_ALTERNATIVE_LIMIT)
        return;
    sw_alternative *added = &match->alternative[match->alternatives++];
    *added = (sw_alternative){kind, *choice};
    /* Other options are told as "about": their sketched tables are good enough for that. */
    sw_choice_evaluate(request, &match->search,
                       choice->electrical == match->best.electrical ? &SW_GRID_FINE
                                                                    : &SW_GRID_COARSE,
                       &added->choice);
}

/* The next stock size on one side of the recommended one, same wiring: a larger wheel is a smaller
 * ratio. */
static const sw_choice *next_wheel(const sw_match *match, bool larger) {
    const sw_choice *next = NULL;
    const sw_choice *best = &match->best;
    double least = INFINITY;
    for (size_t i = 0; i < match->search.choices; i++) {
        const sw_choice *it = &match->search.choice[i];
        if (it->electrical != best->electrical || it->gear.drive != best->gear.drive)
            continue;
        double gap = log(best->drive.ratio / it->drive.ratio);
        if ((larger ? gap <= 0 : gap >= 0) || !(fabs(gap) < least))
            continue;
        least = fabs(gap);
        next = it;
    }
    return next;
}

/* The first of the sorted choices that makes power with another drive. */
static const sw_choice *other_drive(const sw_match *match, sw_drive_id drive) {
    for (size_t i = 0; i < match->search.choices; i++) {
        const sw_choice *it = &match->search.choice[i];
        if (it->electrical == match->best.electrical && it->gear.drive == drive &&
            it->running_kwh > 0)
            return it;
    }
    return NULL;
}

/* What sets an electrical option apart from the recommended one. */
static sw_alternative_kind kind_of(const sw_match *match, const sw_electrical *it) {
    const sw_electrical *best = &match->search.electrical[match->best.electrical];
    if (!it->reachable && !it->other_battery)
        return SW_ALTERNATIVE_OPENED;
    if (fabs(it->nominal_v - best->nominal_v) > 1e-6)
        return SW_ALTERNATIVE_BATTERY;
    return it->wiring.machines != best->wiring.machines ? SW_ALTERNATIVE_MACHINES
                                                        : SW_ALTERNATIVE_WIRING;
}

/* Do two options differ from the recommended one in the same way? Then the better one speaks. */
static bool same_kind(const sw_match *match, const sw_electrical *a, const sw_electrical *b) {
    sw_alternative_kind kind = kind_of(match, a);
    if (kind != kind_of(match, b))
        return false;
    switch (kind) {
    case SW_ALTERNATIVE_BATTERY:
        return fabs(a->nominal_v - b->nominal_v) < 1e-6;
    case SW_ALTERNATIVE_MACHINES:
        return a->wiring.machines == b->wiring.machines;
    default:
        return a->rewiring == b->rewiring && a->wiring.rectifier == b->wiring.rectifier;
    }
}

/* The best choice of each way to differ: choices are sorted, so the first one met. */
static void add_electricals(const sw_search_request *request, sw_match *match, bool opened) {
    size_t told[SW_ELECTRICAL_LIMIT];
    size_t count = 0;
    for (size_t i = 0; i < match->search.choices; i++) {
        const sw_choice *choice = &match->search.choice[i];
        const sw_electrical *it = &match->search.electrical[choice->electrical];
        bool seen = choice->electrical == match->best.electrical ||
                    choice->rejection != SW_REJECTED_NOT ||
                    (kind_of(match, it) == SW_ALTERNATIVE_OPENED) != opened;
        for (size_t j = 0; j < count && !seen; j++)
            seen = same_kind(match, &match->search.electrical[told[j]], it);
        if (seen || count == SW_ELECTRICAL_LIMIT)
            continue;
        told[count++] = choice->electrical;
        add(request, match, kind_of(match, it), choice);
    }
}

void sw_alternative_list(const sw_search_request *request, sw_match *match) {
    if (match->best.gear.drive != SW_DRIVE_DIRECT) {
        add(request, match, SW_ALTERNATIVE_SMALLER_WHEEL, next_wheel(match, false));
        add(request, match, SW_ALTERNATIVE_LARGER_WHEEL, next_wheel(match, true));
    }
    for (int drive = 0; drive < SW_DRIVE_COUNT; drive++)
        if ((sw_drive_id)drive != match->best.gear.drive)
            add(request, match, SW_ALTERNATIVE_DRIVE, other_drive(match, (sw_drive_id)drive));
    add_electricals(request, match, false);
    add_electricals(request, match, true);
}
