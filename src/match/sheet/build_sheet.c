#include "src/match/sheet/build_sheet.h"

#include <math.h>

/* Blade and strip fuses as sold: common practice, no source. */
static const double FUSES_A[] = {1,  2,  3,  5,  7.5, 10,  15,  20,  25,
                                 30, 40, 50, 60, 80,  100, 125, 150, 200};

/* A fuse must not blow in the storm: it would take the load off the rotor just then. */
static const double FUSE_MARGIN = 1.25;
static const double INVERSE_MARGIN = 2;
static const double DIODE_MARGIN = 1.5;
static const double DUMP_MARGIN = 1.5; /* common practice, no source */

/* Case of the rectifier at most this warm, air beside it this warm. Below the least heat a bridge
 * cools itself. Common practice, no source. */
static const double CASE_DEGC = 90;
static const double AIR_DEGC = 40;
static const double SELF_COOLED_W = 2;

/* Where no length is stated. */
static const double CABLE_M = 10;

/* A warm winding of usual enamel (130 degC) takes no more at once: common practice, no source. */
static const double MOST_RISE_K = 70;

static double fuse_above(double current_a) {
    for (size_t i = 0; i < sizeof FUSES_A / sizeof *FUSES_A; i++)
        if (FUSES_A[i] >= FUSE_MARGIN * current_a)
            return FUSES_A[i];
    return NAN;
}

/* What would do if the inductance were known to be as it usually is. */
static double usual_fuse(const sw_build_sheet_request *request, double fuse_a) {
    if (request->usual == NULL)
        return NAN;
    double stormy = sw_plant_settle(request->usual, request->storm_wind, 0).running_rad_s;
    double usual_a = fuse_above(sw_plant_at(request->usual, SW_GENERATOR_DC_AMPS, stormy));
    return usual_a < fuse_a ? usual_a : NAN;
}

static void fill_cable(const sw_shop *shop, const sw_load *load, double working_a,
                       sw_build_sheet *sheet) {
    double ohm_per_km = NAN;
    sheet->cable_mm2 = NAN;
    sheet->drop_v = NAN;
    sheet->own_mm2 = load->cable_area_mm2 > 0 ? load->cable_area_mm2 : NAN;
    sheet->cable_m = load->cable_length_m > 0 ? load->cable_length_m : CABLE_M;
    if (isnan(sheet->fuse_a) ||
        sw_cable_for_current(shop->reference_dir, sheet->fuse_a, &sheet->cable_mm2, NULL) != SW_OK)
        sheet->cable_mm2 = NAN;
    sheet->own_thin = sheet->own_mm2 < sheet->cable_mm2;
    double used_mm2 = isnan(sheet->own_mm2) ? sheet->cable_mm2 : sheet->own_mm2;
    bool behind = isnan(sheet->own_mm2) || !load->cable_on_ac_side;
    if (behind && isfinite(used_mm2) &&
        sw_cable_resistance(shop->reference_dir, used_mm2, &ohm_per_km, NULL) == SW_OK)
        sheet->drop_v = 2 * sheet->cable_m / 1000 * ohm_per_km * working_a;
}

/* It must take what comes up to the wind at which the rotor is stopped or tied down. */
static void fill_dump(const sw_load *load, double stop_dc_w, sw_build_sheet *sheet) {
    double full_v = sw_quantity_known(load->full_voltage) ? load->full_voltage.value
                                                          : 1.2 * load->voltage.value;
    bool battery = load->kind == SW_LOAD_BATTERY;
    sheet->dump_w = battery ? DUMP_MARGIN * stop_dc_w : NAN;
    sheet->dump_ohm = battery && sheet->dump_w > 0 ? full_v * full_v / sheet->dump_w : NAN;
}

/* What stands on open wires in a wind, by the ratio of speeds from the storm's row. */
static void fill_lost(const sw_build_sheet_request *request, sw_build_sheet *sheet) {
    const sw_storm_row *storm = &request->storm->row[request->storm->site_row];
    double idle = sw_plant_settle_idle(request->plant, request->working_wind).running_rad_s;
    double part = storm->rotor_rad_s > 0 ? idle / storm->rotor_rad_s : 0;
    sheet->lost_dc_v = part * storm->dc_v;
}

static bool brake_trusted(const sw_build_sheet_request *request) {
    const sw_storm *storm = request->storm;
    const sw_brake_stop *stop = &request->braking->row[storm->site_row];
    return storm->brake.known && storm->brake.inductance_known &&
           !request->plant->drive.kind->pressed && storm->row[storm->site_row].brake_stops &&
           stop->stops && stop->rise_k < MOST_RISE_K;
}

void sw_build_sheet_fill(const sw_build_sheet_request *request, sw_build_sheet *sheet) {
    const sw_plant *plant = request->plant;
    const sw_storm_row *storm = &request->storm->row[request->storm->site_row];
    double working = sw_plant_settle(plant, request->working_wind, 0).running_rad_s;
    double stormy = sw_plant_settle(plant, request->storm_wind, 0).running_rad_s;
    *sheet = (sw_build_sheet){0};
    if (plant->drive.kind->pressed)
        sheet->wheel = sw_shop_wheel(request->shop, plant->drive.wheel_mm);
    sheet->ratio_off = sw_shop_ratio_off(request->shop, &request->choice->gear);
    sheet->brake_trusted = brake_trusted(request);
    sheet->stop_wind = sheet->brake_trusted ? request->storm_wind : request->working_wind;
    if (isfinite(request->load->input_max_v) && request->load->kind == SW_LOAD_CONVERTER)
        sheet->stop_wind = fmin(sheet->stop_wind, request->lost_wind);
    fill_lost(request, sheet);
    sheet->storm_dc_a = sw_plant_at(plant, SW_GENERATOR_DC_AMPS, stormy);
    sheet->diode_inverse_v = INVERSE_MARGIN * storm->dc_v;
    sheet->diode_current_a = DIODE_MARGIN * sheet->storm_dc_a;
    sheet->diode_heat_w = sw_plant_at(plant, SW_GENERATOR_DIODE, stormy);
    sheet->sink_k_w =
        sheet->diode_heat_w > SELF_COOLED_W ? (CASE_DEGC - AIR_DEGC) / sheet->diode_heat_w : NAN;
    sheet->fuse_a = fuse_above(sheet->storm_dc_a);
    sheet->usual_fuse_a = usual_fuse(request, sheet->fuse_a);
    fill_cable(request->shop, request->load, sw_plant_at(plant, SW_GENERATOR_DC_AMPS, working),
               sheet);
    double stopped = sw_plant_settle(plant, sheet->stop_wind, 0).running_rad_s;
    fill_dump(request->load, sw_plant_at(plant, SW_GENERATOR_DC_POWER, stopped), sheet);
}
