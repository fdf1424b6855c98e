#include "src/cli/guide.h"

#include "shared/discharge.h"
#include "src/cli/guide_questions.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A check: what to do, and what to answer who asks. */
typedef struct check {
    const char *what;
    const char *why;
} check;

static const check BEFORE_CLAMPING[] = {
    {"Unplug the appliance. Discharge its capacitor through a resistor, and take it off.",
     "A motor's capacitor (a can with two tabs) may hold mains volts for days. Hold a resistor "
     "across it: " SW_DISCHARGE_RESISTOR "; " SW_DISCHARGE_CHECK ". No capacitor: go on."},
    {"Disconnect the controller board. Only the motor's own wires stay. Thin wires beside three "
     "thick ones (sensors) are insulated and left alone.",
     "A board that stays on brakes the motor, and the motor's volts may kill it. spinworth wires "
     "sorts the wires by their ohms."},
};

static const check AFTER_RUBBING[] = {
    {"Clamp it: a vice, a V-block and a strap, a wheel hub by the flats of its axle. It must not "
     "turn with the drill.",
     "A drill twists hard when something catches. What is only held by hand or foot flies."},
    {"Couple the drill: a socket on the nut, a bolt head, a bit of hose over the shaft. Never to a "
     "bent or loose shaft. Side handle on.",
     "A chuck straight on a hardened or short shaft slips and chews it. A socket or a hose "
     "forgives "
     "a little misalignment."},
};

static const check WIRES = {
    "Two motor wires through the divider to the input; a third wire, if there is one, to the "
    "second channel. Cover the joints. Laptop on its battery: pull the mains adapter.",
    "A motor gives tens of volts or hundreds, a sound input takes one: never without the divider "
    "(spinworth divider). The mains adapter would tie the motor to earth. Automatic level and "
    "noise reduction of the input must be off."};

static const check READY = {
    "Eyes covered; hair, sleeves and gloves away from the chuck. One hand on the drill, the other "
    "on its side handle, nobody else near.",
    "Recording begins with Enter. Then take your time: the meter shows when to do what. Ctrl-C "
    "ends it at any time and keeps what was recorded."};

static const char STEP_PROMPT[] = "  [Enter = done, ? = why, q = stop]";

sw_guide sw_guide_start(const sw_cli *cli, const sw_arguments *arguments,
                        const sw_sim_spec *simulated, const double *held_rpm) {
    const char *coast = sw_argument(arguments, "--coast");
    return (sw_guide){.cli = cli,
                      .arguments = arguments,
                      .simulated = simulated,
                      .held_rpm = held_rpm,
                      .with_drill = coast != NULL && strcmp(coast, "with-drill") == 0,
                      .said = SW_LIVE_ADVICES,
                      .heard = SW_LIVE_ADVICES};
}

/* ---- before ---- */

static sw_status ran_out(const char *what, sw_error *error) {
    return sw_fail(error, SW_TOO_SHORT, "the answers end at \"%.60s\"; nothing was recorded", what);
}

/* Enter goes on, ? explains and asks again, and so does any other word. */
static sw_status pass(const check *one, int number, bool *go_on, sw_error *error) {
    static const char *const DONE[] = {"", "y", "yes", "ok", "done", NULL};
    char answer[SW_TALK_ROOM];
    char words[600];
    snprintf(words, sizeof words, "%d. %s", number, one->what);
    (void)fputc('\n', stderr);
    sw_talk_say(3, words);
    for (;;) {
        switch (sw_talk_ask(STEP_PROMPT, answer)) {
        case SW_TALK_ANSWER:
            if (sw_talk_is(answer, DONE))
                return SW_OK;
            sw_talk_say(3, "   Enter when it is done; q stops.");
            break;
        case SW_TALK_QUIT:
        case SW_TALK_STOP:
            *go_on = false;
            return SW_OK;
        case SW_TALK_END:
            return ran_out(one->what, error);
        case SW_TALK_UNKNOWN:
            snprintf(words, sizeof words, "   %s", one->why);
            sw_talk_say(3, words);
            break;
        }
    }
}

static sw_status pass_all(const check *checks, size_t count, int number, bool *go_on,
                          sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; i < count && status == SW_OK && *go_on; i++)
        status = pass(&checks[i], number + (int)i, go_on, error);
    return status;
}

static sw_status ask_rubbing(int number, bool *go_on, sw_error *error) {
    static const char *const CHOICES[] = {"n", "no", "y", "yes", NULL};
    int chosen = 0;
    (void)fprintf(stderr,
                  "\n%d. Turn the shaft by hand, all the way round and both ways (a geared hub\n"
                  "   too). Even steps are the magnets. Does anything rub, scrape or wobble?\n",
                  number);
    switch (sw_talk_ask_choice("  [Enter or n = no, y = yes, ? = cannot tell, q = stop]", CHOICES,
                               "type n for no, y for yes, ? if you cannot tell.", &chosen)) {
    case SW_TALK_QUIT:
    case SW_TALK_STOP:
        *go_on = false;
        return SW_OK;
    case SW_TALK_END:
        return ran_out("does anything rub", error);
    case SW_TALK_UNKNOWN:
        sw_talk_say(3, "   Then spin it slowly at first, and stop at the first scrape.");
        return SW_OK;
    case SW_TALK_ANSWER:
        break;
    }
    if (chosen < 3)
        return SW_OK;
    sw_talk_say(3, "   Put that right first: a bent shaft, a loose magnet or swarf in the gap "
                   "breaks things at drill speed.");
    *go_on = false;
    return SW_OK;
}

static sw_status ask_freeing(sw_guide *guide, int number, bool *go_on, sw_error *error) {
    static const char *const CHOICES[] = {"string", "socket", "hub", "not at all", NULL};
    int chosen = 0;
    (void)fprintf(
        stderr,
        "\n%d. After the hold the shaft should run down by itself, which shows the drag.\n"
        "   How can you free it?\n"
        "     1  it is spun by a string that pulls off\n"
        "     2  the drill's socket turns it one way only, and slips free\n"
        "     3  it is a hub or wheel, spun or flicked by hand\n"
        "     4  not at all: the drill stays on (the drag is left out)\n",
        number);
    sw_talk_kind kind =
        sw_talk_ask_choice("  [1 to 4, Enter or ? = 4, q = stop]", CHOICES,
                           "type a number from 1 to 4, ? if you don't know.", &chosen);
    if (kind == SW_TALK_END)
        return ran_out("how can you free it", error);
    *go_on = kind != SW_TALK_QUIT && kind != SW_TALK_STOP;
    guide->with_drill = chosen < 1 || chosen > 3;
    return SW_OK;
}

static sw_status ask_speed(sw_guide *guide, int number, bool *go_on, sw_error *error) {
    (void)fprintf(
        stderr,
        "\n%d. About how fast will it turn? The drill's plate tells; a rough figure (within\n"
        "   20 %%) is enough to find the pole pairs.\n",
        number);
    if (guide->simulated != NULL)
        (void)fprintf(stderr, "   (The simulated drill's plate says %.0frpm.)\n",
                      10 * ceil(guide->simulated->spin.speed_rpm / 10));
    const sw_guide_fact fact = {.guide = guide, .option = "--about"};
    const sw_talk_check fits = {sw_guide_fits, &fact};
    switch (sw_talk_ask_quantity("  [350rpm, '48 turns in 10 s'; Enter or ? = don't know]", "rpm",
                                 guide->cli->units, &fits, guide->about)) {
    case SW_TALK_ANSWER:
        break;
    case SW_TALK_UNKNOWN:
        guide->about[0] = '\0';
        break;
    case SW_TALK_QUIT:
    case SW_TALK_STOP:
        *go_on = false;
        break;
    case SW_TALK_END:
        return ran_out("about how fast will it turn", error);
    }
    return SW_OK;
}

static void tell_the_spin(const sw_guide *guide) {
    sw_talk_say(0, guide->with_drill
                       ? "\nThen: speed up over two or three seconds, hold, and when you are told "
                         "let the trigger go. The record ends by itself."
                       : "\nThen: speed up over two or three seconds, hold, and when you are told "
                         "free the shaft and let it run down. The record ends by itself.");
}

static void greet(const sw_guide *guide) {
    sw_talk_say(0, "I'll lead you through it, one step at a time.");
    if (guide->simulated != NULL)
        sw_talk_say(0, "The motor is simulated: there is nothing to clamp, the steps are shown so "
                       "that you know them.");
    if (!sw_argument_given(guide->arguments, "--probe"))
        sw_talk_say(0, "Without --probe probe.json (from spinworth calibrate) it finds frequency, "
                       "phases and pole pairs, but no volts.");
}

sw_status sw_guide_before(sw_guide *guide, bool *go_on, sw_error *error) {
    *go_on = true;
    greet(guide);
    int number = 1;
    sw_status status = pass_all(BEFORE_CLAMPING, 2, number, go_on, error);
    if (status == SW_OK && *go_on)
        status = ask_rubbing(3, go_on, error);
    if (status == SW_OK && *go_on)
        status = pass_all(AFTER_RUBBING, 2, 4, go_on, error);
    number = 6;
    if (status == SW_OK && *go_on && !sw_argument_given(guide->arguments, "--coast"))
        status = ask_freeing(guide, number++, go_on, error);
    if (status == SW_OK && *go_on)
        status = pass(&WIRES, number++, go_on, error);
    if (status == SW_OK && *go_on && !sw_argument_given(guide->arguments, "--about"))
        status = ask_speed(guide, number++, go_on, error);
    if (status == SW_OK && *go_on) {
        tell_the_spin(guide);
        status = pass(&READY, number, go_on, error);
    }
    if (status == SW_OK && !*go_on)
        sw_talk_say(0, "Stopped; nothing was recorded.");
    return status;
}

/* ---- while it spins ---- */

static const char *spoken(sw_live_advice advice, bool with_drill) {
    switch (advice) {
    case SW_LIVE_HUM:
        return "I hear only the mains. Are both clips on the motor's wires?";
    case SW_LIVE_SPEED_UP:
        return "It turns. Speed up slowly, then hold it.";
    case SW_LIVE_HOLD_STEADY:
        return "Hold it steady.";
    case SW_LIVE_KEEP_HOLDING:
        return "Good. Hold it there.";
    case SW_LIVE_FREE_SHAFT:
        return with_drill ? "Now let the trigger go." : "Now free the shaft.";
    case SW_LIVE_RUN_DOWN:
        return "Hands off. Let it run down.";
    case SW_LIVE_DONE:
        return "It has stopped. Done.";
    case SW_LIVE_AGAIN:
        return "That was too short. Spin it again.";
    case SW_LIVE_TOO_LOUD:
        return "Too loud: the crests are cut off. Hold it slower.";
    case SW_LIVE_TOO_QUIET:
        return "Faint. Faster, if the drill can.";
    case SW_LIVE_WAIT:
    case SW_LIVE_ADVICES:
        break;
    }
    return NULL;
}

static const int STANDS = 4;  /* readings before it is said */
static const int WAITS = 200; /* readings of nothing, 20 s */

static const int GIVES_UP = 600; /* a minute */

static bool is_urgent(sw_live_advice advice) {
    return advice == SW_LIVE_FREE_SHAFT || advice == SW_LIVE_DONE;
}

/* For the divider that would have done. */
static void note_level(sw_guide *guide, const sw_live_reading *reading) {
    bool loud = reading->advice == SW_LIVE_TOO_LOUD;
    bool driven = loud || reading->advice == SW_LIVE_KEEP_HOLDING ||
                  reading->advice == SW_LIVE_HOLD_STEADY || reading->advice == SW_LIVE_SPEED_UP;
    if (driven)
        guide->loud_last = loud;
    if (!driven || !isfinite(reading->frequency_hz))
        return;
    guide->top_hz = fmax(guide->top_hz, reading->frequency_hz);
    if (!loud && isfinite(reading->volts))
        guide->volts_per_hz = reading->volts / reading->frequency_hz;
}

bool sw_guide_follow(sw_guide *guide, sw_meter_line *line, const sw_live_reading *reading) {
    sw_live_advice now = reading->advice;
    bool nothing = now == SW_LIVE_WAIT || now == SW_LIVE_HUM;
    guide->heard_for = now == guide->heard ? guide->heard_for + 1 : 1;
    guide->heard = now;
    guide->waited = nothing ? guide->waited + 1 : 0;
    guide->turned = guide->turned || !nothing;
    note_level(guide, reading);
    if (guide->waited > 0 && guide->waited % WAITS == 0)
        sw_meter_line_say(line,
                          "Nothing heard yet. Are both clips on? Does it turn? (Of a brushed\n"
                          "motor's steady volts a sound input hears nothing: hold it steady, read\n"
                          "them with a meter on DC, and note the speed.) Ctrl-C ends.");
    if (now != guide->said && (guide->heard_for >= STANDS || is_urgent(now))) {
        guide->said = now;
        guide->loud = guide->loud || now == SW_LIVE_TOO_LOUD;
        if (is_urgent(now))
            sw_meter_line_ring(line);
        if (spoken(now, guide->with_drill) != NULL)
            sw_meter_line_say(line, spoken(now, guide->with_drill));
    }
    return now == SW_LIVE_DONE || guide->waited >= GIVES_UP;
}
