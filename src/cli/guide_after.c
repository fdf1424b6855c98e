/* The guide after the spin: what a look, a meter and a scale can tell, then measure. */
#include "src/cli/guide.h"

#include "shared/files.h"
#include "shared/motor.h"
#include "shared/text.h"
#include "src/cli/commands.h"
#include "src/cli/measure_sources.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* After the recording nothing is an error: what is not answered is not known. */
static void ask_value(sw_guide *guide, const char *prompt, const char *unit,
                      char answer[SW_TALK_ROOM]) {
    if (guide->ended)
        return;
    sw_talk_kind kind = sw_talk_ask_quantity(prompt, unit, guide->cli->units, answer);
    if (kind != SW_TALK_ANSWER)
        answer[0] = '\0';
    guide->ended = kind == SW_TALK_END || kind == SW_TALK_QUIT;
}

/* One channel cannot tell three phases from one; a look at the wires can. */
static void ask_wires(sw_guide *guide) {
    static const char *const PHASES[] = {[2] = "1", [3] = "3"};
    static const int WIRES_OF[] = {[1] = 2, [2] = 4, [3] = 3};
    char answer[SW_TALK_ROOM];
    if (guide->ended)
        return;
    (void)fputs("\nHow many power wires (alike, the thick ones) has the motor itself?\n", stderr);
    if (guide->simulated != NULL)
        (void)fprintf(stderr, "(The simulated motor has %d.)\n",
                      WIRES_OF[guide->simulated->motor.phases]);
    sw_talk_kind kind = sw_talk_ask("  [2, 3, 4 ...; Enter or ? = don't know]", answer);
    guide->ended = kind == SW_TALK_END || kind == SW_TALK_QUIT;
    if (kind == SW_TALK_ANSWER && (strcmp(answer, "2") == 0 || strcmp(answer, "3") == 0))
        guide->phases = PHASES[answer[0] - '0'];
}

static const double SIMULATED_LEADS_OHM = 0.2;
static const double LEADS_MATTER_OHM = 2;

/* Below two ohms what the meter's own leads take must be known too. */
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

static void ask_disc(sw_guide *guide) {
    static const double DISC_KG = 2;
    if (guide->ended)
        return;
    (void)fputs(
        "\nDrag needs weight and size of the turning part (rotor, drum, wheel), taken as a\n"
        "disc. Its weight?\n",
        stderr);
    if (guide->simulated != NULL) /* J = m d^2 / 8 */
        (void)fprintf(stderr, "(The simulated rotor: %.0fkg, %.0fmm across.)\n", DISC_KG,
                      1000 * sqrt(8 * guide->simulated->motor.inertia_kgm2 / DISC_KG));
    ask_value(guide, "  [3kg; Enter or ? = later]", "kg", guide->disc_mass);
    if (guide->disc_mass[0] != '\0')
        ask_value(guide, "  across? [290mm; Enter or ? = later]", "mm", guide->disc_diameter);
}

static bool add(sw_arguments *arguments, const sw_option *options, const char *name,
                const char *value) {
    for (const sw_option *option = options; option->name != NULL; option++)
        if (strcmp(option->name, name) == 0 && arguments->given < SW_ARGUMENT_LIMIT) {
            arguments->option[arguments->given++] = (sw_given){option, value};
            return true;
        }
    return false;
}

/* What was given to record and means the same to measure. */
static void hand_on(const sw_arguments *given, const sw_option *options, sw_arguments *out) {
    static const char *const OWN[] = {"--rate", "--meter", "--force", "--coast", NULL};
    for (size_t i = 0; i < given->given; i++) {
        bool own = false;
        for (size_t k = 0; OWN[k] != NULL; k++)
            own = own || strcmp(given->option[i].option->name, OWN[k]) == 0;
        if (!own)
            (void)add(out, options, given->option[i].option->name, given->option[i].value);
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
    char answer[SW_TALK_ROOM];
    if (guide->turned)
        return true;
    sw_talk_kind kind = sw_talk_ask(
        "\nNothing regular was heard. Did the shaft turn? [Enter or y = yes, n = no]", answer);
    guide->ended = kind == SW_TALK_END || kind == SW_TALK_QUIT;
    return kind != SW_TALK_QUIT && answer[0] != 'n' && answer[0] != 'N';
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
    const struct {
        const char *name;
        const char *value;
        bool known;
    } rows[] = {
        {"--coast", guide->with_drill ? "with-drill" : "free",
         guide->with_drill || knows_inertia(guide)},
        {"--about", guide->about, guide->about[0] != '\0'},
        {"--phases", guide->phases, guide->phases != NULL},
        {"--resistance", guide->resistance, guide->resistance[0] != '\0'},
        {"--test-leads", guide->leads, guide->leads[0] != '\0'},
        {"--disc-mass", guide->disc_mass, disc},
        {"--disc-diameter", guide->disc_diameter, disc},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].known)
            (void)add(measure, options, rows[i].name, rows[i].value);
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

static sw_status measure_it(const sw_guide *guide, const char *recording, const char *motor,
                            sw_error *error) {
    const sw_option *options = sw_command_find("measure")->options;
    sw_arguments measure = {.words = 1, .word = {recording}};
    hand_on(guide->arguments, options, &measure);
    add_answers(guide, options, &measure);
    if (!sw_argument_given(&measure, "--output") && !sw_argument_given(&measure, "--into"))
        (void)add(&measure, options, "--output", motor);
    sw_status status = sw_command_find("measure")->run(guide->cli, &measure, error);
    if (status == SW_OK) {
        tell_what_is_left(guide, &measure, motor);
        return SW_OK;
    }
    sw_talk_say(0, "The recording is kept. What was asked for, to be typed again when mended:");
    print_call(&measure, "");
    return status;
}

sw_status sw_guide_after(sw_guide *guide, const char *recording, size_t channels, sw_error *error) {
    char motor[SW_PATH_ROOM];
    sw_status status = sw_guide_target(guide->arguments, recording, motor, sizeof motor, error);
    if (status != SW_OK)
        return status;
    if (!was_turned(guide)) {
        (void)fputs("Nothing was measured; the recording is kept.\n", stderr);
        return SW_OK;
    }
    if (channels == 1)
        ask_wires(guide);
    ask_resistance(guide);
    if (!guide->with_drill && !knows_inertia(guide))
        ask_disc(guide);
    (void)fputc('\n', stderr);
    return measure_it(guide, recording, motor, error);
}
