#include "src/match/electric/simple.h"

#include "shared/constants.h"

#include <math.h>
#include <string.h>

enum { NEWTON_LIMIT = 200, PEAK_SAMPLES = 360 };

/* Diodes one after the other between a brushed motor and its load. */
static sw_status diodes_of_brushed(const sw_wiring *wiring, const sw_deliver_load *load,
                                   int *diodes, sw_error *error) {
    switch (wiring->rectifier) {
    case SW_RECTIFIER_BLOCKING_DIODE:
    case SW_RECTIFIER_HALF_WAVE:
        *diodes = 1;
        return SW_OK;
    case SW_RECTIFIER_BRIDGE:
        *diodes = 2;
        return SW_OK;
    case SW_RECTIFIER_NONE:
        *diodes = 0;
        if (load->kind == SW_LOAD_RESISTOR) {
            return SW_OK;
        }
        return sw_fail(error, SW_UNSUPPORTED,
                       "without a diode the battery drives the brushed motor whenever it turns "
                       "too slowly: use blocking-diode");
    case SW_RECTIFIER_DOUBLER:
    case SW_RECTIFIER_CENTRE_TAP:
    case SW_RECTIFIER_COUNT:
        break;
    }
    return sw_fail(error, SW_UNSUPPORTED,
                   "%s needs alternating current, and a brushed motor gives direct current: use "
                   "blocking-diode",
                   sw_rectifier_name(wiring->rectifier));
}

/* One machine, its diodes and what it works against. */
typedef struct loop {
    sw_terminals terminals;
    sw_diode_law law;
    int diodes;
    double drop_v; /* of the brushes */
    double load_v;
} loop;

static sw_status loop_of(const sw_motor *motor, const sw_wiring *wiring,
                         const sw_deliver_load *load, loop *it, sw_error *error) {
    it->law = sw_diode_law_of(&wiring->diode);
    it->drop_v = sw_quantity_known(motor->brush_drop) ? motor->brush_drop.value : 0.0;
    it->load_v = load->kind == SW_LOAD_RESISTOR ? 0.0 : load->battery_v;
    sw_status status = sw_terminals_of(motor, wiring, &it->terminals, error);
    return status == SW_OK ? diodes_of_brushed(wiring, load, &it->diodes, error) : status;
}

/* Resistance of the whole loop of one machine without its diodes. */
static double loop_ohm(const sw_terminals *terminals, const sw_wiring *wiring,
                       const sw_deliver_load *load) {
    const double inner_ohm = load->kind == SW_LOAD_RESISTOR    ? load->resistor_ohm
                             : load->kind == SW_LOAD_CONVERTER ? 0.0
                                                               : load->battery_ohm;
    return terminals->ohm + 2.0 * load->cable_ac_ohm +
           wiring->machines * (inner_ohm + load->cable_dc_ohm);
}

/* Current of volts behind ohms and diodes: Newton from above is monotone in the logarithmic
 * variable, since ohm is (e^y - 1) + n Vt y is convex; here in the current with a bracket. */
static double loop_current(double volts, double ohm, int diodes, const sw_diode_law *law) {
    if (volts <= diodes * law->threshold_v) {
        return 0.0;
    }
    double low = 0.0;
    double high = (volts - diodes * law->threshold_v) / (ohm + diodes * law->rs_ohm);
    double current = high;
    for (int i = 0; i < NEWTON_LIMIT && high - low > 1e-14 * high; i++) {
        double slope = 0.0;
        const double left =
            volts - ohm * current - diodes * sw_diode_law_volts(law, current, &slope);
        if (left > 0.0) {
            low = current;
        } else {
            high = current;
        }
        const double next = current + left / (ohm + diodes * slope);
        current = next > low && next < high ? next : 0.5 * (low + high);
    }
    return current;
}

sw_status sw_operate_brushed(const sw_motor *motor, const sw_wiring *wiring,
                             const sw_deliver_load *load, double speed_rpm,
                             sw_operating_point *point, double *emf_w, sw_error *error) {
    loop it;
    sw_status status = loop_of(motor, wiring, load, &it, error);
    if (status != SW_OK) {
        return status;
    }
    const double ohm = loop_ohm(&it.terminals, wiring, load);
    if (!(ohm > 0.0)) {
        return sw_fail(error, SW_VALUE,
                       "no resistance anywhere: the current would be without "
                       "limit");
    }
    const double emf_v = it.terminals.volts_per_rpm * speed_rpm;
    const double current = loop_current(emf_v - it.drop_v - it.load_v, ohm, it.diodes, &it.law);
    const double n = wiring->machines;
    double slope = 0.0;
    const double diode_v = current > 0.0 ? sw_diode_law_volts(&it.law, current, &slope) : 0.0;
    const double rail_v = emf_v - (current > 0.0 ? it.drop_v : 0.0) -
                          current * (it.terminals.ohm + 2.0 * load->cable_ac_ohm) -
                          it.diodes * diode_v;
    memset(point, 0, sizeof *point);
    point->speed_rpm = speed_rpm;
    point->dc_current_a = n * current;
    point->dc_voltage_v = current > 0.0 ? rail_v : it.load_v;
    point->dc_power_w = n * current * point->dc_voltage_v;
    point->copper_loss_w = n * current * (current * it.terminals.ohm + it.drop_v);
    point->diode_loss_w = n * it.diodes * diode_v * current;
    point->cable_ac_loss_w = n * 2.0 * load->cable_ac_ohm * current * current;
    point->load_square_a2 = n * n * current * current;
    point->phase_current_rms_a = current;
    point->phase_current_peak_a = current;
    point->diode_peak_inverse_v = it.diodes == 1 ? it.load_v : it.load_v + emf_v;
    point->power_factor = 1.0;
    point->conduction = current > 0.0 ? SW_CONDUCTION_CONTINUOUS : SW_CONDUCTION_NONE;
    *emf_w = n * emf_v * current;
    return SW_OK;
}

sw_status sw_brushed_cut_in_rpm(const sw_motor *motor, const sw_wiring *wiring,
                                const sw_deliver_load *load, double *speed_rpm, sw_error *error) {
    loop it;
    sw_status status = loop_of(motor, wiring, load, &it, error);
    if (status != SW_OK) {
        return status;
    }
    *speed_rpm =
        (it.load_v + it.diodes * it.law.threshold_v + it.drop_v) / it.terminals.volts_per_rpm;
    return SW_OK;
}

/* Phasor sum of one phase whose circuit is its EMF, ohm + j order x, and nothing else. */
typedef struct phasors {
    double a2;     /* rms current squared */
    double emf_v2; /* rms EMF squared */
    double peak_a;
} phasors;

static phasors sum_phasors(const sw_emf *emf, double speed_rpm, double ohm, double x_ohm,
                           bool skip_thirds) {
    phasors sum = {0.0, 0.0, 0.0};
    double re[SW_ORDER_LIMIT] = {0.0};
    double im[SW_ORDER_LIMIT] = {0.0};
    for (int h = 0; h < emf->orders; h++) {
        const double r = emf->re[0][h] * speed_rpm;
        const double i = emf->im[0][h] * speed_rpm;
        sum.emf_v2 += 0.5 * (r * r + i * i);
        if (skip_thirds && emf->order[h] % 3 == 0) {
            continue;
        }
        const double x = emf->order[h] * x_ohm;
        const double size2 = ohm * ohm + x * x;
        re[h] = (r * ohm + i * x) / size2;
        im[h] = (i * ohm - r * x) / size2;
        sum.a2 += 0.5 * (re[h] * re[h] + im[h] * im[h]);
    }
    for (int s = 0; s < PEAK_SAMPLES; s++) {
        double current = 0.0;
        for (int h = 0; h < emf->orders; h++) {
            const double angle = emf->order[h] * 2.0 * M_PI * s / PEAK_SAMPLES;
            current += re[h] * cos(angle) - im[h] * sin(angle);
        }
        sum.peak_a = fmax(sum.peak_a, fabs(current));
    }
    return sum;
}

/* Current that circulates in a delta, rms squared. */
static double circulating_a2(const sw_windings *windings, double speed_rpm, double ohm,
                             double x_ohm) {
    const sw_emf *emf = &windings->emf;
    double sum = 0.0;
    for (int h = 0; windings->delta && h < emf->orders; h++) {
        if (emf->order[h] % 3 == 0) {
            const double e2 = 0.5 * speed_rpm * speed_rpm *
                              (emf->re[0][h] * emf->re[0][h] + emf->im[0][h] * emf->im[0][h]);
            const double x = emf->order[h] * x_ohm;
            sum += e2 / (ohm * ohm + x * x);
        }
    }
    return sum;
}

/* The figures of `phases` equal loops of own, outer and cable resistance. */
static void fill_resistors(const phasors *all, double around_a2, int phases, int machines,
                           double own_ohm, double outer_ohm, double cable_ohm,
                           sw_operating_point *point) {
    const double loops = (double)phases * machines;
    const double around_w = 3.0 * own_ohm * around_a2 * machines;
    point->ac_power_w = loops * all->a2 * outer_ohm;
    point->copper_loss_w = loops * all->a2 * own_ohm + around_w;
    point->circulating_loss_w = around_w;
    point->cable_ac_loss_w = loops * all->a2 * cable_ohm;
    point->phase_current_rms_a = sqrt(all->a2 + around_a2);
    point->phase_current_peak_a = all->peak_a;
    point->circulating_current_rms_a = sqrt(around_a2);
    const double emf_w = point->ac_power_w + point->copper_loss_w + point->cable_ac_loss_w;
    const double apparent = loops * sqrt(all->emf_v2) * point->phase_current_rms_a;
    point->power_factor = apparent > 0.0 ? emf_w / apparent : NAN;
}

sw_status sw_operate_resistors(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_deliver_load *load, double speed_rpm,
                               sw_operating_point *point, double *emf_w, sw_error *error) {
    sw_terminals terminals;
    sw_windings windings;
    if (load->kind != SW_LOAD_RESISTOR || !(load->resistor_ohm > 0.0)) {
        return sw_fail(error, SW_UNSUPPORTED,
                       "without a rectifier only resistors can be driven: give --resistor above "
                       "zero, or a rectifier");
    }
    sw_status status = sw_terminals_of(motor, wiring, &terminals, error);
    if (status == SW_OK) {
        status = sw_windings_of(motor, wiring, &terminals, &windings, error);
    }
    if (status != SW_OK) {
        return status;
    }
    const bool three = motor->phases == 3;
    const double share = three ? windings.impedance_share : 1.0;
    const double own_ohm = share * terminals.ohm;
    const double own_x = share * 2.0 * M_PI * terminals.hertz_per_rpm * speed_rpm * terminals.henry;
    /* Equal resistors across the line pairs are a star of a third of them; seen from a winding
     * in delta they are across it, in series with three times a line's cable. */
    const double outer_ohm =
        wiring->machines * load->resistor_ohm * (three && !windings.delta ? 1.0 / 3.0 : 1.0);
    const double cable_ohm = load->cable_ac_ohm * (!three ? 2.0 : windings.delta ? 3.0 : 1.0);
    const phasors all =
        sum_phasors(&windings.emf, speed_rpm, own_ohm + outer_ohm + cable_ohm, own_x, three);
    memset(point, 0, sizeof *point);
    point->speed_rpm = speed_rpm;
    point->frequency_hz = terminals.hertz_per_rpm * speed_rpm;
    point->conduction = SW_CONDUCTION_CONTINUOUS;
    fill_resistors(&all, circulating_a2(&windings, speed_rpm, own_ohm, own_x), motor->phases,
                   wiring->machines, own_ohm, outer_ohm, cable_ohm, point);
    *emf_w = point->ac_power_w + point->copper_loss_w + point->cable_ac_loss_w;
    return SW_OK;
}
