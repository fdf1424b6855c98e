/* One electrical option tabulated over speed, for searches that ask a hundred thousand times.
 *
 * Exact points at speeds chosen so that the curves between them are right; how right is measured
 * against exact points that the curves did not use (worst_error). Ratio, number of machines on
 * other shafts and the like only rescale what comes out.
 */
#ifndef SPINWORTH_MATCH_DELIVER_TABLE_H
#define SPINWORTH_MATCH_DELIVER_TABLE_H

#include "src/match/deliver/deliver.h"

#include <stddef.h>

typedef struct sw_deliver_table sw_deliver_table;

/* Tabulate from standstill to max_rpm. */
sw_status sw_deliver_table_new(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_deliver_load *load, double max_rpm,
                               sw_deliver_table **table, sw_error *error);
/* The same to some two parts in a hundred instead of one in a thousand, several times as fast: to
 * sort out what is worth a closer look. */
sw_status sw_deliver_table_sketch(const sw_motor *motor, const sw_wiring *wiring,
                                  const sw_deliver_load *load, double max_rpm,
                                  sw_deliver_table **table, sw_error *error);
void sw_deliver_table_free(sw_deliver_table *table);

/* Every member of the operating point at a speed (rpm >= 0); no current below cut-in. Above
 * max_rpm the last point is held. */
void sw_deliver_table_at(const sw_deliver_table *table, double speed_rpm,
                         sw_operating_point *point);

/* Only what the balance of torques and the year's energy need. Torque includes drag. */
double sw_deliver_table_torque_nm(const sw_deliver_table *table, double speed_rpm);
double sw_deliver_table_dc_power_w(const sw_deliver_table *table, double speed_rpm);

double sw_deliver_table_cut_in_rpm(const sw_deliver_table *table);
double sw_deliver_table_max_rpm(const sw_deliver_table *table);

/* Largest error found between the curves and exact points they were not made from, as a part of
 * the value (or of 1/200 of the largest value, where that is more). */
double sw_deliver_table_worst_error(const sw_deliver_table *table);
size_t sw_deliver_table_points(const sw_deliver_table *table);

#endif
