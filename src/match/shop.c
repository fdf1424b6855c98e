#include "src/match/shop.h"

#include <math.h>
#include <stdlib.h>

static const double PI = 3.14159265358979323846;

/* Bicycle chain wheels that turn up in scrap: common practice, no source. */
static const int RINGS[] = {28, 32, 39, 42, 48, 53};
static const int SPROCKETS[] = {9, 11, 13, 16, 18, 22};

/* Pulleys for a flat or V belt that people have or turn from plywood: common practice, no source. */
static const double DRIVERS_MM[] = {200, 300, 400, 500, 600};
static const double PULLEYS_MM[] = {40, 50, 63, 80, 100, 125};

/* A wheel of polyurethane on a bare steel rim is what most people find first. */
static const char USUAL_PAIR[] = "polyurethane-on-steel";

static sw_range range_of(const double pair[2]) {
    return (sw_range){pair[0], pair[1]};
}

static sw_status read_limits(sw_shop *shop, sw_error *error) {
    sw_status status = sw_safety_find(shop->reference_dir, "bare-dry", &shop->bare_dry, error);
    if (status == SW_OK)
        status = sw_safety_find(shop->reference_dir, "bare-wet", &shop->bare_wet, error);
    if (status == SW_OK)
        status = sw_safety_find(shop->reference_dir, "extra-low-voltage", &shop->extra_low, error);
    return status;
}

sw_status sw_shop_read(const char *reference_dir, sw_shop *shop, sw_error *error) {
    sw_friction pair;
    *shop = (sw_shop){.reference_dir = reference_dir};
    sw_status status = sw_friction_pair(reference_dir, USUAL_PAIR, &pair, error);
    if (status == SW_OK)
        status = read_limits(shop, error);
    if (status == SW_OK)
        status = sw_stock_wheels(reference_dir, &shop->wheel, &shop->wheels, error);
    if (status != SW_OK)
        return status;
    shop->surface = (sw_surface){range_of(pair.dry), range_of(pair.wet),
                                 range_of(pair.rolling_arm_mm), range_of(pair.creep)};
    return SW_OK;
}

void sw_shop_free(sw_shop *shop) {
    free(shop->wheel);
    *shop = (sw_shop){0};
}

const sw_stock_wheel *sw_shop_wheel(const sw_shop *shop, double diameter_mm) {
    const sw_stock_wheel *nearest = NULL;
    for (size_t i = 0; i < shop->wheels; i++)
        if (nearest == NULL || fabs(shop->wheel[i].diameter_mm - diameter_mm) <
                                   fabs(nearest->diameter_mm - diameter_mm))
            nearest = &shop->wheel[i];
    return nearest;
}

double sw_chain_pitch_mm(int teeth) {
    return 12.7 / sin(PI / teeth);
}

typedef struct gear_list {
    sw_gear *gear;
    size_t count;
} gear_list;

static void add_gear(gear_list *list, sw_gear gear) {
    if (list->count < SW_GEAR_LIMIT)
        list->gear[list->count++] = gear;
}

/* Sizes that many sellers list twice (two tyres of one diameter) are one gear. */
static void add_wheels(const sw_shop *shop, double rim_mm, gear_list *list) {
    for (size_t i = 0; i < shop->wheels; i++) {
        double wheel_mm = shop->wheel[i].diameter_mm;
        if (i > 0 && shop->wheel[i - 1].diameter_mm == wheel_mm)
            continue;
        add_gear(list, (sw_gear){SW_DRIVE_FRICTION, rim_mm, wheel_mm, 0, 0});
    }
}

static void add_chains(gear_list *list) {
    for (size_t i = 0; i < sizeof RINGS / sizeof *RINGS; i++)
        for (size_t j = 0; j < sizeof SPROCKETS / sizeof *SPROCKETS; j++)
            add_gear(list, (sw_gear){SW_DRIVE_CHAIN, sw_chain_pitch_mm(RINGS[i]),
                                     sw_chain_pitch_mm(SPROCKETS[j]), RINGS[i], SPROCKETS[j]});
}

static void add_belts(gear_list *list) {
    for (size_t i = 0; i < sizeof DRIVERS_MM / sizeof *DRIVERS_MM; i++)
        for (size_t j = 0; j < sizeof PULLEYS_MM / sizeof *PULLEYS_MM; j++)
            add_gear(list, (sw_gear){SW_DRIVE_BELT, DRIVERS_MM[i], PULLEYS_MM[j], 0, 0});
}

size_t sw_shop_gears(const sw_shop *shop, double rim_mm, double wheel_mm,
                     sw_gear gear[SW_GEAR_LIMIT]) {
    gear_list list = {gear, 0};
    if (isfinite(wheel_mm)) {
        add_gear(&list, (sw_gear){SW_DRIVE_FRICTION, rim_mm, wheel_mm, 0, 0});
        return list.count;
    }
    add_gear(&list, (sw_gear){SW_DRIVE_DIRECT, NAN, NAN, 0, 0});
    if (isfinite(rim_mm)) {
        add_wheels(shop, rim_mm, &list);
        return list.count;
    }
    add_chains(&list);
    add_belts(&list);
    return list.count;
}
