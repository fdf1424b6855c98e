#include "src/cli/meter_line.h"

#include "shared/files.h"
#include "shared/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ONE_BAR = 12, TWO_BARS = 6 };

static const double LINE_EVERY_S = 2;
static const double LONG_S = 600;     /* minutes are told from here on */
static const double SHORTEST_S = 0.5; /* from line to line when the advice changes */

static const char *advice_words(sw_live_advice advice, bool with_drill) {
    switch (advice) {
    case SW_LIVE_WAIT:
        return "waiting: spin it";
    case SW_LIVE_HUM:
        return "only mains hum";
    case SW_LIVE_SPEED_UP:
        return "speed up, then hold";
    case SW_LIVE_HOLD_STEADY:
        return "hold it steady";
    case SW_LIVE_KEEP_HOLDING:
        return "good, keep holding";
    case SW_LIVE_FREE_SHAFT:
        return with_drill ? "let go the trigger" : "free the shaft now";
    case SW_LIVE_RUN_DOWN:
        return "let it run down";
    case SW_LIVE_DONE:
        return "it has stopped: done";
    case SW_LIVE_AGAIN:
        return "too short: spin again";
    case SW_LIVE_TOO_LOUD:
        return "slower or divider down";
    case SW_LIVE_TOO_QUIET:
        return "faster or divider up";
    case SW_LIVE_ADVICES:
        break;
    }
    return "";
}

/* Root of the level over the bar, so that a tenth of full scale is a third of it. */
static int place(double level, int width) {
    int at = (int)lround(sqrt(fmin(fmax(level, 0), 1)) * width);
    return at > width ? width : at;
}

static void add_bar(double level, double peak, int width, sw_text *text) {
    char bar[ONE_BAR + 1];
    int full = place(level, width);
    int mark = place(peak, width) - 1;
    for (int i = 0; i < width; i++)
        bar[i] = i < full ? '#' : '.';
    if (mark >= full && mark >= 0)
        bar[mark] = '|';
    bar[width] = '\0';
    sw_text_add(text, "[%s]", bar);
}

static void add_levels(const sw_live_reading *reading, sw_text *text) {
    double most = 0;
    double held = 0;
    bool clipped = false;
    for (size_t c = 0; c < reading->channels; c++) {
        most = fmax(most, reading->level[c]);
        held = fmax(held, reading->peak[c]);
        clipped = clipped || reading->clipped[c];
    }
    if (reading->channels == 2)
        for (size_t c = 0; c < 2; c++)
            add_bar(reading->level[c], reading->peak[c], TWO_BARS, text);
    else
        add_bar(most, held, ONE_BAR, text);
    if (clipped)
        sw_text_add(text, " CLIP");
    else
        sw_text_add(text, " %3.0f%%", 100 * most);
}

/* Three digits, "-" for what is not known, so that the line does not dance. */
static void add_number(double value, const char *unit, int width, sw_text *text) {
    char number[32] = "-";
    if (isfinite(value))
        snprintf(number, sizeof number, "%.*f%s",
                 fabs(value) < 10    ? 2
                 : fabs(value) < 100 ? 1
                                     : 0,
                 value, unit);
    sw_text_add(text, " %*s", width, number);
}

static double two_figures(double value) {
    double step = pow(10, floor(log10(fmax(value, 1))) - 1);
    return step * round(value / step);
}

static void add_numbers(const sw_live_reading *reading, sw_text *text) {
    char rpm[32] = "-";
    char wander[32] = "-";
    if (reading->elapsed_s < LONG_S)
        sw_text_add(text, "%5.1f s ", reading->elapsed_s);
    else
        sw_text_add(text, "%3d min ", (int)(reading->elapsed_s / 60));
    add_levels(reading, text);
    add_number(reading->frequency_hz, "Hz", 6, text);
    if (isfinite(reading->rpm))
        snprintf(rpm, sizeof rpm, "%s%.0frpm", reading->rpm_guessed ? "~" : "",
                 reading->rpm_rough ? two_figures(reading->rpm) : reading->rpm);
    sw_text_add(text, " %7s", rpm);
    add_number(reading->volts, "V", 5, text);
    if (isfinite(reading->wander))
        snprintf(wander, sizeof wander, "\u00b1%.1f%%", fmin(100 * reading->wander, 99.9));
    sw_text_add(text, " %*s", isfinite(reading->wander) ? 6 : 5, wander);
}

static void add_advice(const sw_live_reading *reading, bool with_drill, sw_text *text) {
    if (reading->advice == SW_LIVE_KEEP_HOLDING)
        sw_text_add(text, "good, hold %.0f s more", ceil(reading->to_go_s));
    else
        sw_text_add(text, "%s", advice_words(reading->advice, with_drill));
}

/* ---- on the screen ---- */

sw_meter_line sw_meter_line_start(FILE *screen, bool with_drill) {
    sw_meter_line line = {.screen = screen, .with_drill = with_drill, .said = SW_LIVE_ADVICES};
    const char *no_colour = getenv("NO_COLOR");
    const char *terminal = getenv("TERM");
    line.terminal = sw_file_is_terminal(screen);
    line.style = line.terminal ? SW_METER_DRAWN : SW_METER_LINES;
    line.bold = line.terminal && (no_colour == NULL || *no_colour == '\0') && terminal != NULL &&
                strcmp(terminal, "dumb") != 0;
    return line;
}

/* Over what stands there, the rest of it blanked out. */
static void draw(sw_meter_line *line, const sw_live_reading *reading) {
    sw_text numbers = {0};
    sw_text advice = {0};
    add_numbers(reading, &numbers);
    add_advice(reading, line->with_drill, &advice);
    size_t columns =
        sw_text_columns(sw_text_string(&numbers)) + 2 + sw_text_columns(sw_text_string(&advice));
    int blank = line->columns > columns ? (int)(line->columns - columns) : 0;
    (void)fprintf(line->screen, "\r%s  %s%s%s%*s", sw_text_string(&numbers),
                  line->bold ? "\033[1m" : "", sw_text_string(&advice), line->bold ? "\033[0m" : "",
                  blank, "");
    (void)fflush(line->screen);
    line->columns = columns;
    sw_text_free(&numbers);
    sw_text_free(&advice);
}

static void print_now_and_then(sw_meter_line *line, const sw_live_reading *reading) {
    double wait_s = reading->advice == line->said ? 0 : LINE_EVERY_S - SHORTEST_S;
    if (reading->elapsed_s < line->next_s - wait_s)
        return;
    sw_text text = {0};
    add_numbers(reading, &text);
    sw_text_add(&text, "  ");
    add_advice(reading, line->with_drill, &text);
    (void)fprintf(line->screen, "%s\n", sw_text_string(&text));
    sw_text_free(&text);
    line->next_s = reading->elapsed_s + LINE_EVERY_S;
    line->said = reading->advice;
}

void sw_meter_line_show(sw_meter_line *line, const sw_live_reading *reading) {
    if (line->style == SW_METER_DRAWN)
        draw(line, reading);
    else if (line->style == SW_METER_LINES)
        print_now_and_then(line, reading);
}

void sw_meter_line_say(sw_meter_line *line, const char *words) {
    if (line->columns > 0)
        (void)fprintf(line->screen, "\r%*s\r", (int)line->columns, "");
    line->columns = 0;
    (void)fprintf(line->screen, "%s\n", words);
    (void)fflush(line->screen);
}

void sw_meter_line_ring(sw_meter_line *line) {
    if (line->terminal)
        (void)fputc('\a', line->screen);
}

void sw_meter_line_end(sw_meter_line *line) {
    if (line->columns > 0)
        (void)fputc('\n', line->screen);
    line->columns = 0;
    (void)fflush(line->screen);
}
