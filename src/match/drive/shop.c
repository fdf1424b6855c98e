#include "src/match/drive/shop.h"

#include "shared/constants.h"

#include <math.h>
#include <stdlib.h>

/* A chain wheel on the rotor from this size, on the motor up to that. */
static const int LEAST_RING = 28;
static const int MOST_SPROCKET = 28;

/* Larger pulleys go on the rotor, smaller ones on the motor. */
static const double SPLIT_PULLEY_MM = 110;

/* A wheel of polyurethane on a bare steel rim is what most people find first. */
static const char USUAL_PAIR[] = "polyurethane-steel";
static const char PNEUMATIC_PAIR[] = "pneumatic-steel";

/* Pairs whose ratios lie nearer than this do the same. */
static const double SAME_RATIO = 0.02;

/* A wheel this near to a stock size is that wheel. */
static const double SAME_SIZE_MM = 1;

static sw_range range_of(const double pair[2]) {
    return (sw_range){pair[0], pair[1]};
}

static sw_status read_surface(const char *reference_dir, const char *name, sw_surface *surface,
                              sw_error *error) {
    sw_friction pair;
    sw_status status = sw_friction_pair(reference_dir, name, &pair, error);
    if (status != SW_OK)
        return status;
    *surface = (sw_surface){range_of(pair.dry), range_of(pair.wet), range_of(pair.rolling_arm_mm),
                            range_of(pair.creep), range_of(pair.stiffness_n_mm)};
    return SW_OK;
}

/* One number of every row of a table. */
static sw_status read_sizes(const char *reference_dir, const char *name, const char *key,
                            double size[SW_SHOP_SIZES], size_t *count, sw_error *error) {
    sw_table table;
    sw_status status = sw_table_open(reference_dir, name, &table, error);
    if (status != SW_OK)
        return status;
    for (size_t i = 0; i < sw_node_count(&table.list) && *count < SW_SHOP_SIZES; i++) {
        sw_node row = sw_node_item(&table.list, i);
        status = sw_row_number(&row, key, &size[*count], error);
        if (status != SW_OK)
            break;
        (*count)++;
    }
    sw_table_close(&table);
    return status;
}

static sw_status read_chain_and_belt(sw_shop *shop, sw_error *error) {
    double teeth[SW_SHOP_SIZES] = {0};
    size_t tolerances = 0;
    sw_status status = read_sizes(shop->reference_dir, "pulleys", "diameter", shop->pulley_mm,
                                  &shop->pulleys, error);
    if (status == SW_OK)
        status = read_sizes(shop->reference_dir, "pulleys", "tolerance", shop->pulley_off_mm,
                            &tolerances, error);
    if (status == SW_OK)
        status =
            read_sizes(shop->reference_dir, "sprockets", "teeth", teeth, &shop->sprockets, error);
    for (size_t i = 0; status == SW_OK && i < shop->sprockets; i++)
        shop->teeth[i] = (int)lround(teeth[i]);
    return status;
}

static sw_status read_limits(sw_shop *shop, sw_error *error) {
    sw_status status = sw_safety_find(shop->reference_dir, "bare-dry", &shop->bare_dry, error);
    if (status == SW_OK)
        status = sw_safety_find(shop->reference_dir, "extra-low-voltage", &shop->extra_low, error);
    return status;
}

sw_status sw_shop_read(const char *reference_dir, sw_shop *shop, sw_error *error) {
    *shop = (sw_shop){.reference_dir = reference_dir};
    sw_status status = read_surface(reference_dir, USUAL_PAIR, &shop->surface, error);
    if (status == SW_OK)
        status = read_surface(reference_dir, PNEUMATIC_PAIR, &shop->pneumatic, error);
    if (status == SW_OK)
        status = read_limits(shop, error);
    if (status == SW_OK)
        status = read_chain_and_belt(shop, error);
    if (status == SW_OK)
        status = sw_stock_wheels(reference_dir, &shop->wheel, &shop->wheels, error);
    return status;
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

sw_status sw_shop_take_surface(sw_shop *shop, const char *name, sw_error *error) {
    shop->surface_stated = true;
    return read_surface(shop->reference_dir, name, &shop->surface, error);
}

const sw_surface *sw_shop_surface(const sw_shop *shop, double wheel_mm) {
    const sw_stock_wheel *stock = sw_shop_wheel(shop, wheel_mm);
    bool pneumatic = !shop->surface_stated && stock != NULL && stock->pneumatic &&
                     fabs(stock->diameter_mm - wheel_mm) <= SAME_SIZE_MM;
    return pneumatic ? &shop->pneumatic : &shop->surface;
}

static double pulley_off(const sw_shop *shop, double diameter_mm) {
    for (size_t i = 0; i < shop->pulleys; i++)
        if (fabs(shop->pulley_mm[i] - diameter_mm) < 0.5 * SAME_SIZE_MM)
            return shop->pulley_off_mm[i] / diameter_mm;
    return 0;
}

double sw_shop_ratio_off(const sw_shop *shop, const sw_gear *gear) {
    const sw_stock_wheel *wheel = sw_shop_wheel(shop, gear->wheel_mm);
    if (gear->drive == SW_DRIVE_BELT)
        return pulley_off(shop, gear->driver_mm) + pulley_off(shop, gear->wheel_mm);
    bool stock = gear->drive == SW_DRIVE_FRICTION && wheel != NULL &&
                 fabs(wheel->diameter_mm - gear->wheel_mm) <= SAME_SIZE_MM;
    return stock ? wheel->tolerance_mm / gear->wheel_mm : 0;
}

double sw_chain_pitch_mm(int teeth) {
    return 12.7 / sin(M_PI / teeth);
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

/* Of a chain or belt only the ratio counts here, so pairs of about the same one are one gear: that
 * with the larger wheel on the motor, which wears a chain and bends a belt less. */
static void add_pair(gear_list *list, sw_gear gear) {
    double ratio = gear.driver_mm / gear.wheel_mm;
    for (size_t i = 0; i < list->count; i++) {
        sw_gear *other = &list->gear[i];
        if (other->drive != gear.drive ||
            !(fabs(other->driver_mm / other->wheel_mm / ratio - 1) < SAME_RATIO))
            continue;
        if (gear.wheel_mm > other->wheel_mm)
            *other = gear;
        return;
    }
    add_gear(list, gear);
}

static void add_chains(const sw_shop *shop, gear_list *list) {
    for (size_t i = 0; i < shop->sprockets; i++)
        for (size_t j = 0; j < shop->sprockets; j++) {
            int ring = shop->teeth[i];
            int sprocket = shop->teeth[j];
            if (ring >= LEAST_RING && sprocket <= MOST_SPROCKET && ring > sprocket)
                add_pair(list, (sw_gear){SW_DRIVE_CHAIN, sw_chain_pitch_mm(ring),
                                         sw_chain_pitch_mm(sprocket), ring, sprocket});
        }
}

static void add_belts(const sw_shop *shop, gear_list *list) {
    for (size_t i = 0; i < shop->pulleys; i++)
        for (size_t j = 0; j < shop->pulleys; j++) {
            double driver_mm = shop->pulley_mm[i];
            double pulley_mm = shop->pulley_mm[j];
            if (driver_mm > SPLIT_PULLEY_MM && pulley_mm <= SPLIT_PULLEY_MM)
                add_pair(list, (sw_gear){SW_DRIVE_BELT, driver_mm, pulley_mm, 0, 0});
        }
}

static bool allowed(unsigned drives, sw_drive_id drive) {
    return drives == 0 || (drives & SW_DRIVE_BIT(drive)) != 0;
}

size_t sw_shop_gears(const sw_shop *shop, const sw_gear_wish *wish, sw_gear gear[SW_GEAR_LIMIT]) {
    gear_list list = {gear, 0};
    if (isfinite(wish->wheel_mm)) {
        add_gear(&list, (sw_gear){SW_DRIVE_FRICTION, wish->rim_mm, wish->wheel_mm, 0, 0});
        return list.count;
    }
    if (allowed(wish->drives, SW_DRIVE_DIRECT))
        add_gear(&list, (sw_gear){SW_DRIVE_DIRECT, NAN, NAN, 0, 0});
    if (isfinite(wish->rim_mm) && allowed(wish->drives, SW_DRIVE_FRICTION))
        add_wheels(shop, wish->rim_mm, &list);
    if (allowed(wish->drives, SW_DRIVE_CHAIN))
        add_chains(shop, &list);
    if (allowed(wish->drives, SW_DRIVE_BELT))
        add_belts(shop, &list);
    return list.count;
}
