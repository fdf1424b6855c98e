/* What can be bought or found to couple and wire a generator, and the limits it is held to: read
 * once from the reference tables, then only looked at. */
#ifndef SPINWORTH_MATCH_SHOP_H
#define SPINWORTH_MATCH_SHOP_H

#include "shared/status.h"
#include "src/match/drive/drive.h"
#include "src/match/parts/reference.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_GEAR_LIMIT = 160, SW_SHOP_SIZES = 32 };

/* One way to couple: a wheel for this rim, a pair of pulleys, chain ring and sprocket, or none. */
typedef struct sw_gear {
    sw_drive_id drive;
    double driver_mm; /* NaN for direct */
    double wheel_mm;
    int driver_teeth; /* chain; else 0 */
    int wheel_teeth;
} sw_gear;

typedef struct sw_shop {
    sw_stock_wheel *wheel; /* owned, ascending */
    size_t wheels;
    size_t sprockets;
    int teeth[SW_SHOP_SIZES]; /* chain wheels, ascending */
    size_t pulleys;
    double pulley_mm[SW_SHOP_SIZES];     /* ascending */
    double pulley_off_mm[SW_SHOP_SIZES]; /* a new one may differ by this much either way */
    sw_surface surface;                  /* of the usual wheel on a steel rim, or the one stated */
    sw_surface pneumatic;                /* of a wheel with air in its tyre */
    bool surface_stated;                 /* then every wheel has it */
    sw_safety_limit bare_dry;
    sw_safety_limit extra_low; /* protected circuits */
    const char *reference_dir; /* borrowed */
} sw_shop;

/* All tables a match needs; reference_dir is borrowed. Errors name the table. Free also after one.
 */
sw_status sw_shop_read(const char *reference_dir, sw_shop *shop, sw_error *error);
void sw_shop_free(sw_shop *shop);

/* State the surface of wheel and rim by its row in reference/friction.json. */
sw_status sw_shop_take_surface(sw_shop *shop, const char *name, sw_error *error);

/* The surface that a wheel of this size has: a pneumatic one where the stock wheel is. */
const sw_surface *sw_shop_surface(const sw_shop *shop, double wheel_mm);

/* The stock wheel nearest to a diameter, NULL when the shop has none. */
const sw_stock_wheel *sw_shop_wheel(const sw_shop *shop, double diameter_mm);

/* How far the ratio of stock parts may be off either way, as a part of it: wheel or both pulleys
 * at the ends of their tolerance; nothing for a chain, whose teeth are counted. */
double sw_shop_ratio_off(const sw_shop *shop, const sw_gear *gear);

/* What the builder has and will have. */
typedef struct sw_gear_wish {
    double rim_mm;   /* NaN = none */
    double wheel_mm; /* only this wheel on it; NaN = any */
    unsigned drives; /* SW_DRIVE_BIT of each kind allowed; 0 = all */
} sw_gear_wish;

/* Every way to couple: straight, the wheels on the rim if there is one, chains and belts. Chains
 * of about the same ratio are one, belts too. */
size_t sw_shop_gears(const sw_shop *shop, const sw_gear_wish *wish, sw_gear gear[SW_GEAR_LIMIT]);

/* Pitch diameter of a chain wheel, p / sin(pi / z) with the pitch p of 12.7 mm. */
double sw_chain_pitch_mm(int teeth);

#endif
