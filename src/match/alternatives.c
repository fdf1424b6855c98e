#include "src/match/alternatives.h"

#include <math.h>

static void add(const sw_search_request *request, sw_match *match, sw_alternative_kind kind,
                const sw_choice *choice) {
    if (choice == NULL || match->alternatives == SW_ALTERNATIVE_LIMIT)
        return;
    sw_alternative *added = &match->alternative[match->alternatives++];
    *added = (sw_alternative){kind, *choice};
    sw_search_refine(request, &match->search, &added->choice);
}

/* The next stock wheel on one side of the recommended one, same wiring. */
static const sw_choice *next_wheel(const sw_match *match, bool larger) {
    const sw_choice *next = NULL;
    const sw_choice *best = &match->best;
    for (size_t i = 0; i < match->search.choices; i++) {
        const sw_choice *it = &match->search.choice[i];
        if (it->electrical != best->electrical || it->gear.drive != best->gear.drive ||
            it->gear.driver_mm != best->gear.driver_mm)
            continue;
        double gap = it->gear.wheel_mm - best->gear.wheel_mm;
        if (larger ? gap <= 0 : gap >= 0)
            continue;
        if (next == NULL || fabs(gap) < fabs(next->gear.wheel_mm - best->gear.wheel_mm))
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

static const sw_choice *best_of_electrical(const sw_match *match, size_t electrical) {
    for (size_t i = 0; i < match->search.choices; i++)
        if (match->search.choice[i].electrical == electrical &&
            match->search.choice[i].rejection == SW_REJECTED_NOT)
            return &match->search.choice[i];
    return NULL;
}

void sw_alternative_list(const sw_search_request *request, sw_match *match) {
    if (match->best.gear.drive == SW_DRIVE_FRICTION && isnan(request->wheel_mm)) {
        add(request, match, SW_ALTERNATIVE_SMALLER_WHEEL, next_wheel(match, false));
        add(request, match, SW_ALTERNATIVE_LARGER_WHEEL, next_wheel(match, true));
    }
    for (int drive = 0; drive < SW_DRIVE_COUNT; drive++)
        if ((sw_drive_id)drive != match->best.gear.drive)
            add(request, match, SW_ALTERNATIVE_DRIVE, other_drive(match, (sw_drive_id)drive));
    for (size_t i = 0; i < match->search.electricals; i++) {
        if (i == match->best.electrical)
            continue;
        add(request, match,
            match->search.electrical[i].reachable ? SW_ALTERNATIVE_WIRING : SW_ALTERNATIVE_OPENED,
            best_of_electrical(match, i));
    }
}
