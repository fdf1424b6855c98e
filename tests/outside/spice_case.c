#include "tests/outside/spice_case.h"

#include "tests/support.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { OUTPUT_ROOM = 65536, PATH_ROOM = 512 };

static const double pi = 3.14159265358979324;

/* What each kind is made of. */
typedef struct kind {
    const char *name;
    int windings;
    double apart_deg;
    sw_rectifier rectifier;
} kind;

static const kind kinds[SPICE_CIRCUITS] = {
    [SPICE_STAR_BRIDGE] = {"star-bridge", 3, 120.0, SW_RECTIFIER_BRIDGE},
    [SPICE_DELTA_BRIDGE] = {"delta-bridge", 3, 120.0, SW_RECTIFIER_BRIDGE},
    [SPICE_ONE_PHASE_BRIDGE] = {"one-phase-bridge", 1, 0.0, SW_RECTIFIER_BRIDGE},
    [SPICE_HALF_WAVE] = {"half-wave", 1, 0.0, SW_RECTIFIER_HALF_WAVE},
    [SPICE_STAR_HALF_WAVE] = {"star-half-wave", 3, 120.0, SW_RECTIFIER_HALF_WAVE},
    [SPICE_CENTRE_TAP] = {"centre-tap", 2, 180.0, SW_RECTIFIER_CENTRE_TAP},
    [SPICE_DOUBLER] = {"doubler", 1, 0.0, SW_RECTIFIER_DOUBLER},
    [SPICE_STAR_DOUBLER] = {"star-doubler", 3, 120.0, SW_RECTIFIER_DOUBLER},
    [SPICE_TWO_PHASE] = {"two-phase", 2, 90.0, SW_RECTIFIER_BRIDGE},
    [SPICE_SMOOTHED_RESISTOR] = {"smoothed-resistor", 3, 120.0, SW_RECTIFIER_BRIDGE},
};

static double between(gsl_rng *random, double low, double high) {
    return low * pow(high / low, gsl_rng_uniform(random));
}

/* Peak volts that drive the load when nothing flows, for a winding of one volt. */
static double drive_of(spice_circuit circuit) {
    switch (circuit) {
    case SPICE_STAR_BRIDGE:
    case SPICE_SMOOTHED_RESISTOR:
        return sqrt(3.0);
    case SPICE_DOUBLER:
    case SPICE_STAR_DOUBLER:
        return 2.0;
    default:
        return 1.0;
    }
}

spice_case spice_case_draw(spice_circuit circuit, gsl_rng *random) {
    static const double models[3][3] = {
        {1.25e-8, 1.70, 0.016}, {1e-5, 1.05, 0.019}, {7e-9, 1.81, 0.034}};
    const double *model = models[gsl_rng_uniform_int(random, 3)];
    spice_case c;
    memset(&c, 0, sizeof c);
    c.circuit = circuit;
    c.battery_v = gsl_rng_uniform_int(random, 2) == 0 ? 12.0 : 24.0;
    /* From just above cut-in to deep into it. */
    c.peak_v = (c.battery_v + 1.6) / drive_of(circuit) * between(random, 1.03, 2.5);
    c.hertz = between(random, 10.0, 300.0);
    c.ohm = between(random, 0.05, 3.0);
    const double ratio = gsl_rng_uniform_int(random, 4) == 0 ? 0.0 : between(random, 0.05, 8.0);
    c.henry = ratio * c.ohm / (2.0 * pi * c.hertz);
    c.battery_ohm = gsl_rng_uniform_int(random, 3) == 0 ? 0.0 : between(random, 0.01, 0.2);
    if (circuit <= SPICE_DELTA_BRIDGE && gsl_rng_uniform_int(random, 2) == 0) {
        c.third = 0.05 + 0.15 * gsl_rng_uniform(random);
        c.third_deg = 360.0 * gsl_rng_uniform(random);
    }
    if (circuit == SPICE_DOUBLER || circuit == SPICE_STAR_DOUBLER) {
        c.farad = between(random, 1.0, 20.0) / (2.0 * pi * c.hertz * c.ohm);
    }
    if (circuit == SPICE_SMOOTHED_RESISTOR) {
        c.resistor_ohm = c.ohm * between(random, 2.0, 20.0);
        c.farad = between(random, 0.5, 10.0) / (2.0 * pi * c.hertz * c.resistor_ohm);
        c.battery_v = 0.0;
        c.battery_ohm = 0.0;
    }
    c.is_a = model[0];
    c.n = model[1];
    c.rs_ohm = model[2];
    return c;
}

/* ---- the deck ---- */

/* A diode and the leak across it that keeps the simulator's matrix sound. */
static void add_diode(FILE *deck, const char *from, const char *to, int *count) {
    ++*count;
    fprintf(deck, "D%d %s %s dm\nRk%d %s %s 10meg\n", *count, from, to, *count, from, to);
}

static void add_winding(FILE *deck, const spice_case *c, int k, const char *from, const char *to) {
    const double shift = -k * kinds[c->circuit].apart_deg * pi / 180.0;
    fprintf(deck, "B%d x%d %s V=%.12g*(sin(%.12g*time%+.12g)%+.12g*sin(%.12g*time%+.12g))\n", k, k,
            from, c->peak_v, 2.0 * pi * c->hertz, shift, c->third, 6.0 * pi * c->hertz,
            3.0 * shift + c->third_deg * pi / 180.0);
    fprintf(deck, "Vs%d x%d y%d 0\nRw%d y%d z%d %.12g\n", k, k, k, k, k, k, c->ohm);
    if (c->henry > 0.0) {
        fprintf(deck, "Lw%d z%d %s %.12g\n", k, k, to, c->henry);
    } else {
        fprintf(deck, "Vz%d z%d %s 0\n", k, k, to);
    }
    fprintf(deck, "Bp%d p%d 0 V=v(x%d,%s)*i(Vs%d)\nBc%d c%d 0 V=%.12g*i(Vs%d)*i(Vs%d)\n", k, k, k,
            from, k, k, k, c->ohm, k, k);
}

static void add_windings(FILE *deck, const spice_case *c) {
    static const char *const lines[] = {"a", "b", "c"};
    const int windings = kinds[c->circuit].windings;
    for (int k = 0; k < windings; k++) {
        switch (c->circuit) {
        case SPICE_DELTA_BRIDGE:
            add_winding(deck, c, k, lines[(k + 1) % 3], lines[k]);
            break;
        case SPICE_ONE_PHASE_BRIDGE:
            add_winding(deck, c, k, "b", "a");
            break;
        case SPICE_TWO_PHASE:
            add_winding(deck, c, k, k == 0 ? "b" : "d", k == 0 ? "a" : "c");
            break;
        case SPICE_HALF_WAVE:
        case SPICE_STAR_HALF_WAVE:
        case SPICE_CENTRE_TAP:
            add_winding(deck, c, k, "0", lines[k]);
            break;
        case SPICE_DOUBLER:
        case SPICE_STAR_DOUBLER:
            add_winding(deck, c, k, "m", lines[k]);
            break;
        default:
            add_winding(deck, c, k, "s", lines[k]);
        }
    }
}

static void add_diodes(FILE *deck, const spice_case *c) {
    static const char *const nodes[] = {"a", "b", "c", "d"};
    const bool one_way = c->circuit == SPICE_HALF_WAVE || c->circuit == SPICE_STAR_HALF_WAVE ||
                         c->circuit == SPICE_CENTRE_TAP;
    int legs = kinds[c->circuit].windings;
    legs = c->circuit == SPICE_ONE_PHASE_BRIDGE ? 2 : c->circuit == SPICE_TWO_PHASE ? 4 : legs;
    int count = 0;
    for (int k = 0; k < legs; k++) {
        add_diode(deck, nodes[k], "r", &count);
        if (!one_way) {
            add_diode(deck, "0", nodes[k], &count);
        }
    }
    fprintf(deck, ".model dm D(Is=%.12g N=%.12g Rs=%.12g)\n", c->is_a, c->n, c->rs_ohm);
}

static void add_load(FILE *deck, const spice_case *c) {
    if (c->circuit == SPICE_SMOOTHED_RESISTOR) {
        fprintf(deck, "Vm r q 0\nRl q 0 %.12g\nCl r 0 %.12g\n", c->resistor_ohm, c->farad);
    } else {
        fprintf(deck, "Vm r q 0\n");
        fprintf(deck, c->battery_ohm > 0.0 ? "Rb q e %.12g\n" : "Vb0 q e %.1g\n", c->battery_ohm);
        fprintf(deck, "Vb e 0 %.12g\n", c->battery_v);
    }
    if (c->circuit == SPICE_DOUBLER || c->circuit == SPICE_STAR_DOUBLER) {
        fprintf(deck, "C1 r m %.12g ic=%.12g\nC2 m 0 %.12g ic=%.12g\n", c->farad,
                0.5 * c->battery_v, c->farad, 0.5 * c->battery_v);
    }
    fprintf(deck, "Bl l 0 V=v(r)*i(Vm)\n");
}

/* Periods until transients are below 1e-4, and the last ones to be averaged. */
static void add_run(FILE *deck, const spice_case *c) {
    const double ratio = 2.0 * pi * c->hertz * fmax(c->henry / c->ohm, c->farad * c->ohm);
    const double other = 2.0 * pi * c->hertz * c->farad * c->resistor_ohm;
    const double periods = ceil(10.0 * fmax(ratio, other) / (2.0 * pi)) + 8.0;
    const double from = periods / c->hertz;
    const double to = (periods + 2.0) / c->hertz;
    fprintf(deck, ".options reltol=1e-4 method=gear maxord=2 trtol=1\n");
    fprintf(deck, ".tran %.12g %.12g %.12g %.12g uic\n", 1e-3 / c->hertz, to, from - 1.0 / c->hertz,
            1e-3 / c->hertz);
    fprintf(deck, ".meas tran dc_a avg i(Vm) from=%.12g to=%.12g\n", from, to);
    fprintf(deck, ".meas tran rail_w avg v(l) from=%.12g to=%.12g\n", from, to);
    for (int k = 0; k < kinds[c->circuit].windings; k++) {
        fprintf(deck, ".meas tran shaft%d avg v(p%d) from=%.12g to=%.12g\n", k, k, from, to);
        fprintf(deck, ".meas tran copper%d avg v(c%d) from=%.12g to=%.12g\n", k, k, from, to);
    }
    fprintf(deck, ".end\n");
}

/* ---- running it ---- */

int spice_present(void) {
    return support_run("command -v ngspice", NULL, 0, NULL, 0) == 0;
}

/* "name = value" in the simulator's output. */
static int find_measure(const char *output, const char *name, double *value) {
    const size_t length = strlen(name);
    for (const char *at = output; at != NULL; at = strchr(at, '\n')) {
        at += *at == '\n';
        if (strncmp(at, name, length) == 0 && strchr(" =", at[length]) != NULL) {
            const char *equals = strchr(at, '=');
            char *end = NULL;
            *value = equals != NULL ? strtod(equals + 1, &end) : NAN;
            return equals != NULL && end != equals + 1 && isfinite(*value);
        }
    }
    return 0;
}

static int read_measures(const spice_case *c, const char *output, spice_result *result) {
    double rail_w = 0.0;
    memset(result, 0, sizeof *result);
    int fine = find_measure(output, "dc_a", &result->dc_a);
    fine = fine && find_measure(output, "rail_w", &rail_w);
    for (int k = 0; fine && k < kinds[c->circuit].windings; k++) {
        char name[32];
        double shaft_w = 0.0;
        double copper_w = 0.0;
        snprintf(name, sizeof name, "shaft%d", k);
        fine = find_measure(output, name, &shaft_w);
        snprintf(name, sizeof name, "copper%d", k);
        fine = fine && find_measure(output, name, &copper_w);
        result->shaft_w += shaft_w;
        result->copper_w += copper_w;
    }
    result->diode_w = result->shaft_w - result->copper_w - rail_w;
    return fine;
}

int spice_case_simulate(const spice_case *c, const char *directory, spice_result *result) {
    char path[PATH_ROOM];
    char command[2 * PATH_ROOM];
    snprintf(path, sizeof path, "%s/case.cir", directory);
    FILE *deck = fopen(path, "w");
    if (deck == NULL) {
        return 0;
    }
    fprintf(deck, "rectifier\n");
    add_windings(deck, c);
    add_diodes(deck, c);
    add_load(deck, c);
    add_run(deck, c);
    fclose(deck);
    char *output = malloc(OUTPUT_ROOM);
    snprintf(command, sizeof command, "ngspice -b '%s' 2>&1", path);
    const int ran = output != NULL && support_run(command, output, OUTPUT_ROOM, NULL, 0) == 0;
    const int fine = ran && read_measures(c, output, result);
    free(output);
    return fine;
}

/* ---- the program ---- */

/* The motor record that such windings would give. */
static sw_motor motor_of(const spice_case *c, double rpm) {
    sw_motor motor;
    sw_motor_init(&motor);
    const kind *k = &kinds[c->circuit];
    const bool three = k->windings == 3;
    const bool tapped = c->circuit == SPICE_CENTRE_TAP; /* two halves of one winding */
    const double scale = three ? 2.0 : tapped ? 2.0 : 1.0;
    motor.kind = SW_MAGNET_AC;
    motor.phases = tapped ? 1 : k->windings;
    motor.phase_angle = sw_quantity_of(k->windings == 2 && !tapped ? 90.0 : 120.0, NAN, "deg");
    motor.connection = three ? SW_STAR : SW_AS_IT_COMES;
    motor.pole_pairs.value = 12;
    motor.voltage_constant = sw_quantity_of(
        c->peak_v * (three ? sqrt(1.5) : sqrt(0.5) * (tapped ? 2.0 : 1.0)) / rpm, NAN, "V/rpm");
    motor.winding_resistance = sw_quantity_of(scale * c->ohm, NAN, "ohm");
    motor.winding_inductance = sw_quantity_of(scale * c->henry * 1e3, NAN, "mH");
    /* sin(3 x + a) with sin x = cos(y): y = x - 90 degrees. */
    motor.harmonics_of_phase = true;
    motor.harmonics = 2;
    motor.harmonic[0] = (sw_harmonic){1, 1.0, 0.0};
    motor.harmonic[1] = (sw_harmonic){3, c->third, 180.0 + c->third_deg};
    return motor;
}

sw_status spice_case_solve(const spice_case *c, spice_result *result, sw_error *error) {
    const double rpm = 60.0 * c->hertz / 12.0;
    const sw_motor motor = motor_of(c, rpm);
    sw_wiring wiring = sw_wiring_default(&motor);
    sw_deliver_load load;
    sw_operating_point point;
    memset(&load, 0, sizeof load);
    wiring.connection = c->circuit == SPICE_DELTA_BRIDGE ? SW_DELTA : SW_AS_IT_COMES;
    wiring.rectifier = kinds[c->circuit].rectifier;
    wiring.diode = (sw_diode){"", c->is_a, c->n, c->rs_ohm, 0.0};
    load.kind = c->circuit == SPICE_SMOOTHED_RESISTOR ? SW_LOAD_RESISTOR : SW_LOAD_BATTERY;
    load.battery_v = c->battery_v;
    load.battery_ohm = c->battery_ohm;
    load.resistor_ohm = c->resistor_ohm;
    load.capacitor_f = c->farad;
    const sw_status status = sw_deliver(&motor, &wiring, &load, rpm, &point, error);
    if (status == SW_OK) {
        *result = (spice_result){point.dc_current_a, point.shaft_power_w, point.copper_loss_w,
                                 point.diode_loss_w};
    }
    return status;
}

static int close_enough(const char *what, double simulated, double solved, double part,
                        double least) {
    const double off = fabs(simulated - solved);
    if (off <= fmax(part * fabs(simulated), least)) {
        return 1;
    }
    printf("  %s: simulator %.6g, program %.6g (%.2f %%)\n", what, simulated, solved,
           100.0 * (solved / simulated - 1.0));
    return 0;
}

int spice_case_agrees(const spice_case *c, const spice_result *simulated,
                      const spice_result *solved) {
    const double leak_w = 5e-3; /* leaks of the simulator's diodes, which the program has not */
    int fine = close_enough("mean current, A", simulated->dc_a, solved->dc_a, 0.01, 0.005);
    fine &= close_enough("shaft, W", simulated->shaft_w, solved->shaft_w, 0.02, leak_w);
    fine &= close_enough("copper, W", simulated->copper_w, solved->copper_w, 0.02, leak_w);
    fine &= close_enough("diodes, W", simulated->diode_w, solved->diode_w, 0.02, leak_w);
    if (!fine) {
        printf("  in: ");
        spice_case_print(stdout, c, simulated);
    }
    return fine;
}

/* ---- tables ---- */

void spice_case_print_header(FILE *out) {
    fprintf(out, "circuit,peak_v,third,third_deg,hertz,ohm,henry,battery_v,battery_ohm,"
                 "resistor_ohm,farad,is_a,n,rs_ohm,dc_a,shaft_w,copper_w,diode_w\n");
}

void spice_case_print(FILE *out, const spice_case *c, const spice_result *result) {
    fprintf(out,
            "%s,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.7g,%.7g,%.7g,"
            "%.7g\n",
            kinds[c->circuit].name, c->peak_v, c->third, c->third_deg, c->hertz, c->ohm, c->henry,
            c->battery_v, c->battery_ohm, c->resistor_ohm, c->farad, c->is_a, c->n, c->rs_ohm,
            result->dc_a, result->shaft_w, result->copper_w, result->diode_w);
}

int spice_case_scan(const char *line, spice_case *c, spice_result *result) {
    double *const out[] = {&c->peak_v,       &c->third,     &c->third_deg,    &c->hertz,
                           &c->ohm,          &c->henry,     &c->battery_v,    &c->battery_ohm,
                           &c->resistor_ohm, &c->farad,     &c->is_a,         &c->n,
                           &c->rs_ohm,       &result->dc_a, &result->shaft_w, &result->copper_w,
                           &result->diode_w};
    const char *comma = strchr(line, ',');
    int found = -1;
    for (int k = 0; comma != NULL && k < SPICE_CIRCUITS; k++) {
        const size_t length = strlen(kinds[k].name);
        found = (size_t)(comma - line) == length && strncmp(line, kinds[k].name, length) == 0
                    ? k
                    : found;
    }
    if (found < 0) {
        return 0;
    }
    c->circuit = (spice_circuit)found;
    for (size_t i = 0; i < sizeof out / sizeof out[0]; i++) {
        char *end = NULL;
        if (comma == NULL) {
            return 0;
        }
        *out[i] = strtod(comma + 1, &end);
        comma = *end == ',' ? end : NULL;
    }
    return 1;
}
