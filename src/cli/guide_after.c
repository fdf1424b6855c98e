/* The guide after the spin: what a look, a meter and a scale can tell, then measure. */
#include "src/cli/guide.h"

#include "shared/files.h"
#include "shared/motor.h"
#include "shared/text.h"
#include "src/cli/commands.h"
#include "src/cli/guide_questions.h"
#include "src/cli/measure_sources.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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

/* The call of measure that the answers make. */
static void add_answers(const sw_guide *guide, const sw_option *options, sw_arguments *measure) {
    bool disc = guide->disc_mass[0] != '\0' && guide->disc_diameter[0] != '\0';
    bool direct = guide->dc_volts[0] != '\0' && guide->dc_speed[0] != '\0';
    bool weighed = !guide->direct && sw_guide_knows_inertia(guide);
    const char *about = guide->loud ? guide->slower : guide->about;
    const struct {
        const char *name;
        const char *value;
        bool known;
    } rows[] = {
        {"--coast", guide->with_drill ? "with-drill" : "free", guide->with_drill || weighed},
        {"--about", about, about[0] != '\0'},
        {"--dc-volts", guide->dc_volts, direct},
        {"--speed", guide->dc_speed, direct},
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
    sw_text_add(&text, "  ");
    sw_cli_add_call("measure", measure, &text);
    sw_text_add(&text, "%s", more);
    sw_talk_say(4, sw_text_string(&text));
    sw_text_free(&text);
}

/* The volts that only a meter reads, and the drag that nothing in such a recording tells. */
static void tell_direct_is_left(const sw_guide *guide, const sw_arguments *measure,
                                const char *motor) {
    sw_text call = {0};
    if (guide->direct || sw_argument_given(measure, "--dc-volts"))
        return;
    sw_talk_say(0, "\nIf it has brushes after all: read the volts with a meter on DC, at a steady "
                   "speed that is timed, and put in what you read:");
    sw_text_add(&call, "  spinworth measure --into");
    sw_cli_add_word(motor, &call);
    sw_text_add(&call, " --dc-volts VOLTS --speed SPEED");
    sw_talk_say(4, sw_text_string(&call));
    sw_text_free(&call);
}

/* The saved motor knows its recording again, with the probe and all that was said of it. */
static void tell_what_is_left(const sw_guide *guide, const sw_arguments *measure,
                              const char *motor) {
    sw_text call = {0};
    if (guide->direct || !guide->turned) {
        tell_direct_is_left(guide, measure, motor);
        return;
    }
    if (guide->with_drill || sw_guide_knows_inertia(guide))
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

sw_status sw_guide_after(sw_guide *guide, const char *recording, size_t channels, sw_error *error) {
    char motor[SW_PATH_ROOM];
    sw_status status = sw_guide_target(guide->arguments, recording, motor, sizeof motor, error);
    if (status != SW_OK)
        return status;
    bool turned = sw_guide_was_turned(guide);
    if (!turned && !guide->stopped) {
        (void)fputs("Nothing was measured; the recording is kept.\n", stderr);
        return SW_OK;
    }
    if (turned)
        sw_guide_ask_all(guide, recording, channels);
    sw_arguments measure = call_of_measure(guide, recording, motor);
    if (guide->stopped) {
        tell_what_is_kept(recording, &measure);
        return SW_OK;
    }
    (void)fputc('\n', stderr);
    return measure_it(guide, &measure, motor, error);
}
