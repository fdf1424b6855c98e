/* The guide after the spin: what a look, a meter and a scale can tell, then measure. */
#include "src/cli/guide.h"

#include "shared/files.h"
#include "shared/motor.h"
#include "shared/text.h"
#include "src/cli/commands.h"
#include "src/cli/measure_sources.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* After the recording nothing is an error: what is not answered is not known. */
static void take_kind(sw_guide *guide, sw_talk_kind kind) {
    guide->stopped = guide->stopped || kind == SW_TALK_STOP;
    guide->ended = guide->ended || kind == SW_TALK_END || kind == SW_TALK_QUIT || guide->stopped;
}

static void ask_value(sw_guide *guide, const char *prompt, const char *unit,
                      char answer[SW_TALK_ROOM]) {
    if (guide->ended)
        return;
    sw_talk_kind kind = sw_talk_ask_quantity(prompt, unit, guide->cli->units, answer);
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
    ask_value(guide, "  [120rpm, '20 turns in 10 s'; Enter or ? = don't know]", "rpm",
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
    ask_value(guide, "  [7.2ohm; Enter or ? = later]", "ohm", guide->resistance);
    sw_quantity shown;
    if (guide->resistance[0] == '\0' || sw_argument_given(guide->arguments, "--test-leads") ||
        sw_quantity_parse(guide->cli->units, guide->resistance, "ohm", &shown, NULL) != SW_OK ||
        shown.value >= LEADS_MATTER_OHM)
        return;
    (void)fputs("And what does it show with its own leads held together?\n", stderr);
    if (guide->simulated != NULL)
        (void)fprintf(stderr, "(The simulated meter: %.3gohm.)\n", SIMULATED_LEADS_OHM);
    ask_value(guide, "  [0.2ohm; Enter or ? = don't know]", "ohm", guide->leads);
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

static void ask_disc(sw_guide *guide) {
    if (guide->ended)
        return;
    (void)fputs(
        "\nDrag needs weight and size of the turning part (rotor, drum, wheel), taken as a\n"
        "disc. Its weight?\n",
        stderr);
    if (guide->simulated != NULL)
        tell_simulated_disc(guide->simulated->motor.inertia_kgm2);
    ask_value(guide, "  [3kg; Enter or ? = later]", "kg", guide->disc_mass);
    if (guide->disc_mass[0] != '\0')
        ask_value(guide, "  across? [290mm; Enter or ? = later]", "mm", guide->disc_diameter);
}

/* What measure has no option for is left out. */
static void add(sw_arguments *arguments, const sw_option *options, const char *name,
                const char *value) {
    for (const sw_option *option = options; option->name != NULL; option++)
        if (strcmp(option->name, name) == 0 && arguments->given < SW_ARGUMENT_LIMIT) {
            arguments->option[arguments->given++] = (sw_given){option, value};
            return;
        }
}

/* What was given to record and means the same to measure; a rough speed only where it was held. */
static void hand_on(const sw_guide *guide, const sw_option *options, sw_arguments *out) {
    static const char *const OWN[] = {"--rate", "--meter", "--force", "--coast", NULL};
    const sw_arguments *given = guide->arguments;
    for (size_t i = 0; i < given->given; i++) {
        const char *name = given->option[i].option->name;
        bool own = guide->loud && strcmp(name, "--about") == 0;
        for (size_t k = 0; OWN[k] != NULL; k++)
            own = own || strcmp(name, OWN[k]) == 0;
        if (!own)
            add(out, options, name, given->option[i].value);
    }
}

sw_status sw_guide_target(const sw_arguments *arguments, const char *recording, char *out,
                          size_t room, sw_error *error) {
    const char *output = sw_argument(arguments, "--output");
    const char *given = output != NULL ? output : sw_argument(arguments, "--into");
    const char *dot = strrchr(recording, '.');
    size_t stem = dot != NULL ? (size_t)(dot - recording) : strlen(recording);
    int length = given != NULL ? snprintf(out, room, "%s", given)
                               : snprintf(out, room, "%.*s.json", (int)stem, recording);
    return length >= 0 && (size_t)length < room
               ? SW_OK
               : sw_fail(error, SW_USAGE, "%.60s...: the path is too long", recording);
}

/* What no motor was heard in is measured only where one was turned: that it gives nothing is an
 * answer too. */
static bool was_turned(sw_guide *guide) {
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
static bool knows_inertia(const sw_guide *guide) {
    const char *into = sw_argument(guide->arguments, "--into");
    sw_motor motor;
    if (guide->disc_mass[0] != '\0' && guide->disc_diameter[0] != '\0')
        return true;
    return into != NULL && sw_motor_read(into, guide->cli->units, &motor, NULL) == SW_OK &&
           sw_quantity_known(motor.inertia);
}

/* The call of measure that the answers make. */
static void add_answers(const sw_guide *guide, const sw_option *options, sw_arguments *measure) {
    bool disc = guide->disc_mass[0] != '\0' && guide->disc_diameter[0] != '\0';
    const char *about = guide->loud ? guide->slower : guide->about;
    const struct {
        const char *name;
        const char *value;
        bool known;
    } rows[] = {
        {"--coast", guide->with_drill ? "with-drill" : "free",
         guide->with_drill || knows_inertia(guide)},
        {"--about", about, about[0] != '\0'},
        {"--phases", guide->phases, guide->phases != NULL},
        {"--resistance", guide->resistance, guide->resistance[0] != '\0'},
        {"--test-leads", guide->leads, guide->leads[0] != '\0'},
        {"--disc-mass", guide->disc_mass, disc},
        {"--disc-diameter", guide->disc_diameter, disc},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].known)
            add(measure, options, rows[i].name, rows[i].value);
}

/* The call as it would be typed. */
static void print_call(const sw_arguments *measure, const char *more) {
    sw_text text = {0};
    sw_text_add(&text, "  spinworth measure");
    sw_cli_add_word(measure->word[0], &text);
    for (size_t i = 0; i < measure->given; i++) {
        sw_cli_add_word(measure->option[i].option->name, &text);
        if (measure->option[i].option->value != NULL)
            sw_cli_add_word(measure->option[i].value, &text);
    }
    sw_text_add(&text, "%s", more);
    sw_talk_say(4, sw_text_string(&text));
    sw_text_free(&text);
}

/* The saved motor knows its recording again, with the probe and all that was said of it. */
static void tell_what_is_left(const sw_guide *guide, const sw_arguments *measure,
                              const char *motor) {
    sw_text call = {0};
    if (guide->with_drill || knows_inertia(guide))
        return;
    if (sw_argument_given(measure, "--into")) {
        sw_talk_say(0, "\nDrag is left out: nothing was weighed.");
        return;
    }
    sw_talk_say(0, "\nDrag is left for when the turning part was weighed. Leave the recording "
                   "where it is, and put in your own weight and size:");
    sw_text_add(&call, "  spinworth measure --into");
    sw_cli_add_word(motor, &call);
    sw_text_add(&call, " --coast free --disc-mass WEIGHT --disc-diameter SIZE");
    sw_talk_say(4, sw_text_string(&call));
    sw_text_free(&call);
}

/* Volts for a divider with room: half as much again as the fastest would have given. */
static void tell_of_divider(const sw_guide *guide) {
    static const double ROOM = 1.5;
    char words[500];
    double volts = ROOM * guide->volts_per_hz * guide->top_hz;
    if (!guide->loud)
        return;
    char asked[60] = "--volts with half as much again as before";
    if (volts > 0)
        snprintf(asked, sizeof asked, "--volts %.0fV",
                 volts < 20 ? ceil(volts) : 10 * ceil(volts / 10));
    snprintf(words, sizeof words,
             "\n%s To spin it at full speed make a divider for more: spinworth divider %s "
             "--probe-out louder.json, calibrate that (spinworth calibrate), and record again.",
             guide->loud_last ? "It was too loud to the end, so no volts can be told, or too few."
                              : "It was too loud at first; what was cut off is left out.",
             asked);
    sw_talk_say(0, words);
}

static sw_arguments call_of_measure(const sw_guide *guide, const char *recording,
                                    const char *motor) {
    const sw_option *options = sw_command_find("measure")->options;
    sw_arguments measure = {.words = 1, .word = {recording}};
    hand_on(guide, options, &measure);
    add_answers(guide, options, &measure);
    if (!sw_argument_given(&measure, "--output") && !sw_argument_given(&measure, "--into"))
        add(&measure, options, "--output", motor);
    return measure;
}

static sw_status measure_it(const sw_guide *guide, const sw_arguments *measure, const char *motor,
                            sw_error *error) {
    sw_status status = sw_command_find("measure")->run(guide->cli, measure, error);
    if (status == SW_OK) {
        tell_what_is_left(guide, measure, motor);
        tell_of_divider(guide);
        return SW_OK;
    }
    sw_talk_say(0, "The recording is kept. What was asked for, to be typed again when mended:");
    print_call(measure, "");
    return status;
}

/* Ctrl-C at a question. */
static void tell_what_is_kept(const char *recording, const sw_arguments *measure) {
    char words[SW_PATH_ROOM];
    snprintf(
        words, sizeof words,
        "Stopped. The recording is kept in %.400s; no motor was measured or saved. To do that:",
        recording);
    sw_talk_say(0, words);
    print_call(measure, "");
}

static void ask_all(sw_guide *guide, size_t channels) {
    ask_slower(guide);
    if (channels == 1)
        ask_wires(guide);
    ask_resistance(guide);
    if (!guide->with_drill && !knows_inertia(guide))
        ask_disc(guide);
}

sw_status sw_guide_after(sw_guide *guide, const char *recording, size_t channels, sw_error *error) {
    char motor[SW_PATH_ROOM];
    sw_status status = sw_guide_target(guide->arguments, recording, motor, sizeof motor, error);
    if (status != SW_OK)
        return status;
    bool turned = was_turned(guide);
    if (!turned && !guide->stopped) {
        (void)fputs("Nothing was measured; the recording is kept.\n", stderr);
        return SW_OK;
    }
    if (turned)
        ask_all(guide, channels);
    sw_arguments measure = call_of_measure(guide, recording, motor);
    if (guide->stopped) {
        tell_what_is_kept(recording, &measure);
        return SW_OK;
    }
    (void)fputc('\n', stderr);
    return measure_it(guide, &measure, motor, error);
}
