/* A short-circuited winding drives a field against the magnets. How strong it is inside them needs
 * their thickness and the turns in each slot, which no reading at the wires tells; so no field is
 * computed. What the wires do tell is a bound on the flux: a steady short opposes the magnets until
 * the coils' flux is nearly nothing, current flux / L; a short made at full speed swings to about
 * twice that, which turns the flux round for a moment. Whether a magnet bears it goes by its
 * coercivity, which falls with heat (neodymium, samarium-cobalt) or with cold (ferrite). */
#include "src/match/storm/magnets.h"

#include "shared/table.h"

#include <math.h>

/* A frosty night, and a motor after hours of strong wind: common practice, no source. */
static const double COLD_DEGC = -20;
static const double HOT_DEGC = 80;
static const double ROOM_DEGC = 20;

sw_status sw_magnet_risk_of(const char *reference_dir, sw_magnet_kind kind, sw_magnet_risk *risk,
                            sw_error *error) {
    sw_table table;
    sw_node row;
    double change[2] = {0, 0};
    sw_magnet_kind taken = kind == SW_MAGNET_UNKNOWN ? SW_MAGNET_FERRITE : kind;
    *risk = (sw_magnet_risk){.kind = kind};
    sw_status status =
        sw_table_find(reference_dir, "magnets", sw_magnet_kind_name(taken), &table, &row, error);
    if (status != SW_OK)
        return status;
    status = sw_row_range(&row, "coercivity", risk->coercivity, error);
    if (status == SW_OK)
        status = sw_row_range(&row, "coercivity_change", change, error);
    sw_table_close(&table);
    bool cold_is_worse = change[0] + change[1] > 0;
    double steepest = cold_is_worse ? change[1] : change[0];
    risk->worst_degc = cold_is_worse ? COLD_DEGC : HOT_DEGC;
    risk->coercivity_left = fmax(0, 1 + 0.01 * steepest * (risk->worst_degc - ROOM_DEGC));
    return status;
}
