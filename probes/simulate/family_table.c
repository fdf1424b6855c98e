/* Typical motors of the scrap pile.
 *
 * Slots, poles and windings: teardown notes and tables named in reference/ (27/30 wheel hubs,
 * 46-magnet bicycle hubs, 12/14 model motors, 50 pole pairs of 1.8 degree steppers were read in
 * public texts; 36/48 and 42/56 drums, 12/8 disk spindles are common practice, no source). Volts,
 * ohms, millihenries, inertia and drag are round figures of that size of machine, common
 * practice, no source; each motor is drawn around them. Resistance and inductance go with the
 * square of the volts, as turns do.
 */
#include "probes/simulate/family_table.h"

#define AC SW_SIM_MAGNET_AC
#define SLOTS SW_SIM_SLOTS
/* One family a paragraph; the formatter would give each number a line. */
/* clang-format off */
static const sw_sim_family_row FAMILIES[] = {
    {"pump-2", "drain pump, one phase, two poles in a U core",
     AC, SW_SIM_U_CORE, 1, 2, 2, 1, 1,
     {45, 75}, 160, 900, 4e-6, {2e-3, 3e-6, 0}, 5e-3, {500, 2400}},
    {"fan-4", "small fan, one phase, four poles",
     AC, SLOTS, 1, 4, 4, 1, 4,
     {1.5, 6}, 12, 6, 8e-6, {6e-4, 1e-6, 1e-8}, 8e-4, {500, 2200}},
    {"pump-6", "circulation pump, three phases, six poles, 9 slots",
     AC, SLOTS, 3, 6, 9, 1, 2,
     {20, 60}, 18, 55, 3e-5, {4e-3, 1e-5, 0}, 8e-3, {400, 2000}},
    {"fan-8", "fan motor, three phases, eight poles, 12 slots",
     AC, SLOTS, 3, 8, 12, 1, 2,
     {15, 60}, 22, 45, 2e-3, {0.01, 4e-5, 2e-6}, 0.012, {300, 1500}},
    {"disk-8", "disk spindle, three phases, eight poles, 12 slots",
     AC, SLOTS, 3, 8, 12, 1, 8,
     {0.8, 1.5}, 2.5, 0.7, 1.4e-4, {1e-3, 3e-6, 1e-9}, 3e-4, {400, 2200}},
    {"alternator-12", "car alternator on magnets, twelve poles, 36 slots",
     AC, SLOTS, 3, 12, 36, 3, 1,
     {5, 14}, 0.16, 0.4, 3.5e-3, {0.08, 2e-4, 1e-6}, 0.06, {300, 1800}},
    {"model-14", "model motor, three phases, 14 poles, 12 slots",
     AC, SLOTS, 3, 14, 12, 1, 1,
     {1.5, 9}, 0.15, 0.05, 6e-5, {6e-3, 1e-5, 0}, 6e-3, {300, 1600}},
    {"wheel-16", "wheel motor, three phases, 16 poles, 18 slots",
     AC, SLOTS, 3, 16, 18, 1, 1,
     {15, 50}, 0.3, 0.5, 3e-3, {0.06, 3e-4, 0}, 0.03, {250, 1200}},
    {"hub-20", "geared hub, its inner rotor, 20 poles, 18 slots",
     AC, SLOTS, 3, 20, 18, 1, 1,
     {8, 20}, 0.2, 0.2, 1.2e-3, {0.04, 2e-4, 0}, 0.02, {300, 1200}},
    {"drum-24", "washer drum, inner rotor, 24 poles, 27 slots",
     AC, SLOTS, 3, 24, 27, 1, 2,
     {90, 300}, 6, 30, 0.012, {0.25, 1e-3, 0}, 0.1, {200, 900}},
    {"hub-30", "scooter wheel hub, 30 poles, 27 slots",
     AC, SLOTS, 3, 30, 27, 1, 1,
     {30, 75}, 0.35, 0.6, 8e-3, {0.12, 1e-3, 0}, 0.04, {150, 700}},
    {"hub-32", "motorcycle wheel hub, 32 poles, 36 slots",
     AC, SLOTS, 3, 32, 36, 1, 1,
     {50, 120}, 0.15, 0.4, 0.06, {0.35, 3e-3, 0}, 0.08, {150, 650}},
    {"drum-36", "washer drum, 36 poles, 27 slots",
     AC, SLOTS, 3, 36, 27, 1, 3,
     {90, 350}, 6, 30, 0.02, {0.4, 1.5e-3, 0}, 0.3, {150, 700}},
    {"hub-40", "wheel hub, 40 poles, 36 slots",
     AC, SLOTS, 3, 40, 36, 1, 1,
     {50, 120}, 0.2, 0.4, 0.06, {0.3, 2.5e-3, 0}, 0.06, {150, 600}},
    {"hub-42", "wheel hub, 42 poles, 36 slots",
     AC, SLOTS, 3, 42, 36, 1, 1,
     {50, 120}, 0.2, 0.4, 0.06, {0.3, 2.5e-3, 0}, 0.06, {150, 600}},
    {"hub-46", "bicycle wheel hub, 46 poles, 51 slots",
     AC, SLOTS, 3, 46, 51, 1, 1,
     {60, 150}, 0.25, 0.4, 0.08, {0.35, 3e-3, 0}, 0.05, {150, 600}},
    {"drum-48", "washer drum, 48 poles, 36 slots",
     AC, SLOTS, 3, 48, 36, 1, 4,
     {110, 600}, 9, 45, 0.025, {0.5, 2e-3, 0}, 0.4, {150, 650}},
    {"drum-56", "washer drum, 56 poles, 42 slots",
     AC, SLOTS, 3, 56, 42, 1, 4,
     {100, 450}, 7, 30, 0.03, {0.6, 2.5e-3, 0}, 0.4, {150, 600}},
    {"ring-72", "direct drive, 72 poles, 54 slots",
     AC, SLOTS, 3, 72, 54, 1, 1,
     {150, 600}, 4, 15, 0.2, {0.8, 5e-3, 0}, 0.5, {80, 350}},
    {"ring-80", "direct drive, 80 poles, 84 slots",
     AC, SLOTS, 3, 80, 84, 1, 1,
     {150, 600}, 3, 10, 0.25, {0.8, 5e-3, 0}, 0.2, {80, 350}},
    {"ring-112", "direct drive, 112 poles, 84 slots",
     AC, SLOTS, 3, 112, 84, 1, 1,
     {200, 800}, 4, 12, 0.4, {1.0, 8e-3, 0}, 0.6, {60, 250}},
    {"stepper-24", "can stepper, two phases, 7.5 degree steps",
     AC, SW_SIM_CLAW, 2, 24, 24, 1, 24,
     {12, 45}, 40, 30, 2e-6, {5e-3, 5e-6, 0}, 5e-3, {200, 1200}},
    {"stepper-100", "stepper, two phases, 1.8 degree steps",
     AC, SW_SIM_HYBRID, 2, 100, 48, 1, 100,
     {10, 60}, 2.5, 5, 3e-5, {0.03, 1.5e-4, 0}, 0.02, {100, 700}},
    {"brushed-2", "small brushed motor, two poles, 12 bars",
     SW_SIM_BRUSHED, SLOTS, 1, 2, 12, 1, 1,
     {4, 25}, 1.5, 1.5, 2e-5, {0.015, 1e-5, 0}, 6e-3, {300, 2000}},
    {"brushed-4", "treadmill motor, four poles, 25 bars",
     SW_SIM_BRUSHED, SLOTS, 1, 4, 25, 1, 1,
     {15, 50}, 1.2, 4, 4e-3, {0.12, 2e-4, 0}, 0.04, {200, 1500}},
    {"no-magnets", "induction motor, what magnetism is left",
     SW_SIM_NO_MAGNETS, SLOTS, 3, 4, 36, 8, 1,
     {0.02, 0.3}, 20, 80, 3e-3, {0.05, 1e-4, 1e-6}, 1e-4, {300, 2000}},
    {"sensor-16", "speed sensor of a washer motor, a coil of many turns",
     AC, SW_SIM_CLAW, 1, 16, 16, 1, 16,
     {1.5, 8}, 160, 120, 8e-4, {0.03, 1e-4, 1e-7}, 5e-4, {300, 2000}},
};
/* clang-format on */
#undef AC
#undef SLOTS

const sw_sim_family_row *sw_sim_family_row_at(size_t index) {
    return index < sizeof FAMILIES / sizeof *FAMILIES ? &FAMILIES[index] : NULL;
}
