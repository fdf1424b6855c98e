/* The guide's questions after the spin: what a look, a meter and a scale can tell. An answer is
 * held against the limits that measure has for it while it can still be given again. */
#include "src/cli/guide_questions.h"

#include "probes/capture/simulated_motor.h"
#include "probes/recording.h"
#include "probes/simulate/simulate.h"
#include "shared/motor.h"
#include "src/cli/measure_mechanics.h"
#include "src/cli/measure_request.h"
#include "src/measure/family.h"
#include "src/measure/measure.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- what measure would say to an answer ---- */

/* What measure has no option for is left out. */
static void put(sw_arguments *call, const char *name, const char *value) {
    for (const sw_option *option = SW_MEASURE_OPTIONS; option->name != NULL; option++)
        if (name != NULL && value != NULL && strcmp(option->name, name) == 0)
            call->option[call->given++] = (sw_given){option, value};
}

/* Without the option's name before it, which nobody has typed. */
static sw_status plainly(sw_status status, const char *option, sw_error *error) {
    size_t length = strlen(option);
    if (status != SW_OK && strncmp(error->message, option, length) == 0 &&
        strncmp(error->message + length, ": ", 2) == 0)
        memmove(error->message, error->message + length + 2,
                strlen(error->message + length + 2) + 1);
    return status;
}

/* Could the simulated motor be spun so fast, and recorded? */
static sw_status simulates(const sw_guide *guide, const char *answer, sw_error *error) {
    sw_sim_spec spec = *guide->simulated;
    sw_sim *sim = NULL;
    sw_quantity about;
    sw_status status = sw_quantity_parse(guide->cli->units, answer, "rpm", &about, error);
    if (status != SW_OK)
        return status;
    sw_simulated_motor_spin_at(&spec, about.value);
    status = sw_sim_new(&spec, &sim, error);
    sw_sim_free(sim);
    return status;
}

sw_status sw_guide_fits(const void *user, const char *answer, sw_error *error) {
    const sw_guide_fact *fact = user;
    sw_arguments call = {.words = 0};
    sw_measure_request request;
    sw_motor facts;
    bool any = false;
    put(&call, fact->option, answer);
    put(&call, fact->other, fact->value);
    sw_status status = sw_measure_request_from(fact->guide->cli, &call, &request, error);
    if (status == SW_OK)
        status = sw_measure_facts_from(fact->guide->cli, &call, &facts, &any, error);
    if (status == SW_OK && strcmp(fact->option, "--about") == 0 && fact->guide->simulated != NULL)
        status = simulates(fact->guide, answer, error);
    return plainly(status, fact->option, error);
}

/* ---- the questions ---- */

/* After the recording nothing is an error: what is not answered is not known. */
static void take_kind(sw_guide *guide, sw_talk_kind kind) {
    guide->stopped = guide->stopped || kind == SW_TALK_STOP;
    guide->ended = guide->ended || kind == SW_TALK_END || kind == SW_TALK_QUIT || guide->stopped;
}

static void ask_value(sw_guide *guide, const char *prompt, const char *unit,
                      const sw_guide_fact *fact, char answer[SW_TALK_ROOM]) {
    sw_talk_check check = {sw_guide_fits, fact};
    if (guide->ended)
        return;
    sw_talk_kind kind =
        sw_talk_ask_quantity(prompt, unit, guide->cli->units, fact != NULL ? &check : NULL, answer);
    if (kind != SW_TALK_ANSWER)
        answer[0] = '\0';
    take_kind(guide, kind);
}

/* Slowed down because it was too loud: the drill's plate counts no more. */
static void ask_slower(sw_guide *guide) {
    if (guide->ended || !guide->loud)
        return;
    (void)fputs("\nIt was too loud at first. If you then held it slower: about how fast did it\n"
                "turn in the end?\n",
                stderr);
    if (guide->held_rpm != NULL)
        (void)fprintf(stderr, "(The simulated person guesses %.0frpm.)\n",
                      10 * round(*guide->held_rpm / 10));
    const sw_guide_fact fact = {.guide = guide, .option = "--about"};
    ask_value(guide, "  [120rpm, '20 turns in 10 s'; Enter or ? = don't know]", "rpm", &fact,
              guide->slower);
}

/* One channel cannot tell three phases from one; a look at the wires can. */
static void ask_wires(sw_guide *guide) {
    /* From the second on; more say nothing: coils brought out apart, a star point, sensors. */
    static const char *const COUNTS[] = {"1", "2", "3",  "4",  "5",  "6", "7",
                                         "8", "9", "10", "11", "12", NULL};
    static const char *const PHASES[] = {[2] = "1", [3] = "3"};
    static const int WIRES_OF[] = {[1] = 2, [2] = 4, [3] = 3};
    int wires = 0;
    if (guide->ended)
        return;
    (void)fputs("\nHow many power wires (alike, the thick ones) has the motor itself?\n", stderr);
    if (guide->simulated != NULL)
        (void)fprintf(stderr, "(The simulated motor has %d.)\n",
                      WIRES_OF[guide->simulated->motor.phases]);
    take_kind(guide, sw_talk_ask_choice("  [2, 3, 4 ...; Enter or ? = don't know]", COUNTS,
                                        "motors have 2 to 12; type for example 3, or ? if you "
                                        "don't know.",
                                        &wires));
    if (wires == 2 || wires == 3)
        guide->phases = PHASES[wires];
    else if (wires > 3)
        sw_talk_say(2, "  Which of them belong together their ohms tell: spinworth wires.");
}

static const double SIMULATED_LEADS_OHM = 0.2;
static const double LEADS_MATTER_OHM = 10; /* 0.2 ohm are two per cent of it */

/* Below ten ohms what the meter's own leads take must be known too. */
static void ask_resistance(sw_guide *guide) {
    if (guide->ended || sw_argument_given(guide->arguments, "--resistance"))
        return;
    (void)fputs("\nOhms between two of the motor's wires, as a multimeter shows them?\n", stderr);
    if (guide->simulated != NULL)
        (void)fprintf(stderr, "(On the simulated motor it shows %.3gohm.)\n",
                      guide->simulated->motor.resistance_ohm + SIMULATED_LEADS_OHM);
    const sw_guide_fact ohms = {.guide = guide, .option = "--resistance"};
    ask_value(guide, "  [7.2ohm; Enter or ? = later]", "ohm", &ohms, guide->resistance);
    sw_quantity shown;
    if (guide->resistance[0] == '\0' || sw_argument_given(guide->arguments, "--test-leads") ||
        sw_quantity_parse(guide->cli->units, guide->resistance, "ohm", &shown, NULL) != SW_OK ||
        shown.value >= LEADS_MATTER_OHM)
        return;
    (void)fputs("And what does it show with its own leads held together?\n", stderr);
    if (guide->simulated != NULL)
        (void)fprintf(stderr, "(The simulated meter: %.3gohm.)\n", SIMULATED_LEADS_OHM);
    const sw_guide_fact leads = {guide, "--test-leads", "--resistance", guide->resistance};
    ask_value(guide, "  [0.2ohm; Enter or ? = don't know]", "ohm", &leads, guide->leads);
}

/* A disc of the simulated rotor's inertia, a quarter as thick as it is wide and, with its holes and
 * spokes, as heavy as 3 kg a litre: J = m d^2 / 8, m = density pi d^3 / 16. */
static void tell_simulated_disc(double inertia_kgm2) {
    static const double DENSITY_KG_M3 = 3000;
    double diameter_m = pow(128 * inertia_kgm2 / (DENSITY_KG_M3 * M_PI), 0.2);
    double mass_kg = 8 * inertia_kgm2 / (diameter_m * diameter_m);
    if (mass_kg < 1)
        (void)fprintf(stderr, "(The simulated rotor: %.3gg, %.3gmm across.)\n", 1000 * mass_kg,
                      1000 * diameter_m);
    else
        (void)fprintf(stderr, "(The simulated rotor: %.3gkg, %.3gmm across.)\n", mass_kg,
                      1000 * diameter_m);
}

/* Weight and size must make a rotor: neither a pole nor a sheet. */
static sw_status disc_fits(const sw_guide *guide, sw_error *error) {
    sw_arguments call = {.words = 0};
    sw_quantity inertia;
    put(&call, "--disc-mass", guide->disc_mass);
    put(&call, "--disc-diameter", guide->disc_diameter);
    return sw_mechanics_disc(guide->cli, &call, false, &inertia, error);
}

static void ask_weight_and_size(sw_guide *guide) {
    ask_value(guide, "  [3kg; Enter or ? = later]", "kg", NULL, guide->disc_mass);
    if (guide->disc_mass[0] != '\0')
        ask_value(guide, "  across? [290mm; Enter or ? = later]", "mm", NULL, guide->disc_diameter);
}

static void ask_disc(sw_guide *guide) {
    if (guide->ended)
        return;
    (void)fputs(
        "\nDrag needs weight and size of the turning part (rotor, drum, wheel), taken as a\n"
        "disc. Its weight?\n",
        stderr);
    if (guide->simulated != NULL)
        tell_simulated_disc(guide->simulated->motor.inertia_kgm2);
    for (int tries = 0; tries < SW_TALK_TRIES; tries++) {
        sw_error why;
        if (tries > 0)
            (void)fputs("Its weight?\n", stderr);
        ask_weight_and_size(guide);
        if (guide->disc_mass[0] == '\0' || guide->disc_diameter[0] == '\0' ||
            disc_fits(guide, &why) == SW_OK)
            return;
        sw_talk_say(2, why.message);
        guide->disc_mass[0] = guide->disc_diameter[0] = '\0';
    }
}

/* ---- steady volts, which no sound input passes ---- */

static void tell_simulated_direct(const sw_guide *guide) {
    const sw_sim_truth *truth = guide->truth;
    if (guide->simulated == NULL || truth == NULL)
        return;
    double held_rpm = truth->hold_speed_rpm;
    double rpm = 10 * round((isfinite(held_rpm) ? held_rpm : truth->spec.spin.speed_rpm) / 10);
    if (truth->spec.motor.kind != SW_SIM_BRUSHED)
        (void)fputs("(The simulated meter shows 0V.)\n", stderr);
    else
        (void)fprintf(stderr, "(The simulated meter shows %.3gV at %.0frpm.)\n",
                      truth->volts_per_rpm * rpm, rpm);
}

/* Volts for a turn that no motor gives: a slip of the range or of the speed. */
static sw_status direct_fits(const sw_guide *guide, sw_error *error) {
    sw_arguments call = {.words = 0};
    sw_family_guess guess;
    sw_motor motor;
    bool any = false;
    put(&call, "--dc-volts", guide->dc_volts);
    put(&call, "--speed", guide->dc_speed);
    sw_status status = sw_measure_facts_from(guide->cli, &call, &motor, &any, error);
    if (status == SW_OK)
        status = sw_family_guess_at(guide->cli->reference_dir, &motor, &guess, error);
    if (status != SW_OK)
        return status;
    sw_family_check_volts(&guess, &motor);
    return motor.warnings == 0 ? SW_OK : sw_fail(error, SW_VALUE, "%s", motor.warning[0].message);
}

/* What is no volt at all is an answer: there are none. */
static sw_status volts_fit(const void *user, const char *answer, sw_error *error) {
    const sw_guide_fact *fact = user;
    sw_quantity volts;
    if (sw_quantity_parse(fact->guide->cli->units, answer, "V", &volts, NULL) == SW_OK &&
        volts.value == 0)
        return SW_OK;
    return sw_guide_fits(user, answer, error);
}

static void ask_volts_and_speed(sw_guide *guide) {
    const sw_guide_fact volts = {guide, "--dc-volts", "--speed", "540rpm"};
    const sw_guide_fact speed = {guide, "--speed", "--dc-volts", guide->dc_volts};
    const sw_talk_check check = {volts_fit, &volts};
    sw_quantity read;
    guide->dc_speed[0] = '\0';
    sw_talk_kind kind = sw_talk_ask_quantity("  [12.3V; 0V = none; Enter or ? = later]", "V",
                                             guide->cli->units, &check, guide->dc_volts);
    take_kind(guide, kind);
    if (kind != SW_TALK_ANSWER ||
        (sw_quantity_parse(guide->cli->units, guide->dc_volts, "V", &read, NULL) == SW_OK &&
         read.value == 0))
        guide->dc_volts[0] = '\0';
    if (guide->dc_volts[0] != '\0')
        ask_value(guide, "  at what speed? [540rpm, '45 turns in 5 s'; Enter or ? = later]", "rpm",
                  &speed, guide->dc_speed);
}

static void ask_direct(sw_guide *guide) {
    if (guide->ended)
        return;
    (void)fputs(
        guide->direct
            ? "\nIt gives volts of one sign, through brushes, and no sound input passes\n"
              "those. While the drill holds it steady: what does a meter on DC volts show\n"
              "between its two wires?\n"
            : "\nA brushed motor gives steady volts, which no sound input passes. While the\n"
              "drill holds it steady: what does a meter on DC volts show between two wires?\n",
        stderr);
    tell_simulated_direct(guide);
    for (int tries = 0; tries < 2; tries++) { /* what is said twice is so */
        sw_error why;
        ask_volts_and_speed(guide);
        if (guide->ended || guide->dc_speed[0] == '\0' || direct_fits(guide, &why) == SW_OK)
            break;
        if (tries == 0)
            sw_talk_say(2, why.message);
    }
    guide->direct = guide->direct || guide->dc_speed[0] != '\0';
}

/* Only the ripple of brushes in it, or nothing of a motor at all? */
static bool hears_direct(const sw_guide *guide, const char *recording) {
    sw_measure_request request;
    sw_recording heard;
    sw_motor motor;
    const sw_recording_request files = {
        .paths = &recording, .count = 1, .units = guide->cli->units};
    sw_arguments call = {.words = 0};
    put(&call, "--probe", sw_argument(guide->arguments, "--probe"));
    if (sw_measure_request_from(guide->cli, &call, &request, NULL) != SW_OK ||
        sw_recording_load(&files, &heard, NULL) != SW_OK)
        return false;
    if (!request.profile.calibrated)
        request.profile = sw_profile_uncalibrated();
    bool direct = sw_measure(&heard.waveform, heard.clipped, &request, &motor, NULL) == SW_OK &&
                  (motor.kind == SW_BRUSHED || sw_motor_warned(&motor, SW_WARN_DC_BLOCKED));
    sw_recording_free(&heard);
    return direct;
}

/* ---- all of them ---- */

/* What no motor was heard in is measured only where one was turned: that it gives nothing is an
 * answer too. */
bool sw_guide_was_turned(sw_guide *guide) {
    static const char *const CHOICES[] = {"y", "yes", "n", "no", NULL};
    int chosen = 0;
    if (guide->turned)
        return true;
    sw_talk_kind kind = sw_talk_ask_choice(
        "\nNothing regular was heard. Did the shaft turn? [Enter or y = yes, n = no]", CHOICES,
        "type y for yes, n for no.", &chosen);
    take_kind(guide, kind);
    return kind != SW_TALK_QUIT && kind != SW_TALK_STOP && chosen < 3;
}

/* A free run-down gives drag only with the inertia. */
bool sw_guide_knows_inertia(const sw_guide *guide) {
    const char *into = sw_argument(guide->arguments, "--into");
    sw_motor motor;
    if (guide->disc_mass[0] != '\0' && guide->disc_diameter[0] != '\0')
        return true;
    return into != NULL && sw_motor_read(into, guide->cli->units, &motor, NULL) == SW_OK &&
           sw_quantity_known(motor.inertia);
}

void sw_guide_ask_all(sw_guide *guide, const char *recording, size_t channels) {
    guide->direct = hears_direct(guide, recording);
    ask_slower(guide);
    if (guide->direct || !guide->turned)
        ask_direct(guide);
    if (channels == 1 && !guide->direct)
        ask_wires(guide);
    ask_resistance(guide);
    if (!guide->direct && !guide->with_drill && !sw_guide_knows_inertia(guide))
        ask_disc(guide);
}
