#include "src/cli/record_watch.h"

#include "probes/profile_doubt.h"
#include "shared/day.h"
#include "shared/motor.h"
#include "src/cli/record_wishes.h"
#include "src/report/recording_text.h"

#include <math.h>
#include <string.h>

static sw_status read_profile(const sw_cli *cli, const sw_arguments *arguments, sw_profile *profile,
                              sw_error *error) {
    const char *path = sw_argument(arguments, "--probe");
    *profile = sw_profile_uncalibrated();
    return path != NULL ? sw_profile_read(path, cli->units, profile, error) : SW_OK;
}

/* The rough speed that was given, or that the guide was told. */
static sw_status read_about(const sw_cli *cli, const sw_arguments *arguments, const sw_guide *guide,
                            double *about_rpm, sw_error *error) {
    sw_quantity about = sw_quantity_unknown();
    sw_status status =
        sw_argument_quantity_in(arguments, "--about", "rpm", 0.1, 1e6, cli->units, &about, error);
    if (status == SW_OK && !sw_quantity_known(about) && guide != NULL && guide->about[0] != '\0')
        status = sw_quantity_parse(cli->units, guide->about, "rpm", &about, error);
    *about_rpm = sw_quantity_known(about) ? about.value : NAN;
    return status;
}

static sw_status read_pole_pairs(const sw_cli *cli, const sw_arguments *arguments, int *pole_pairs,
                                 sw_error *error) {
    const char *into = sw_argument(arguments, "--into");
    sw_motor motor;
    *pole_pairs = 0;
    if (into == NULL)
        return SW_OK;
    sw_status status = sw_motor_read(into, cli->units, &motor, error);
    if (status == SW_OK)
        *pole_pairs = motor.pole_pairs.value;
    return status;
}

sw_status sw_record_live_request(const sw_cli *cli, const sw_arguments *arguments,
                                 const sw_capture_description *about, const sw_guide *guide,
                                 sw_live_request *request, sw_error *error) {
    *request = (sw_live_request){.rate_hz = about->rate_hz, .channels = about->channels};
    sw_status status = read_profile(cli, arguments, &request->profile, error);
    if (status == SW_OK)
        status = read_about(cli, arguments, guide, &request->about_rpm, error);
    if (status == SW_OK)
        status = read_pole_pairs(cli, arguments, &request->pole_pairs, error);
    if (status == SW_OK)
        status = sw_record_hold(cli, arguments, &request->hold_s, error);
    return status;
}

static sw_status choose_style(const sw_arguments *arguments, sw_meter_line *line, sw_error *error) {
    static const char *const STYLES[] = {"lines", "line", "off", NULL};
    int style = -1;
    sw_status status = sw_argument_word(arguments, "--meter", STYLES, &style, error);
    if (style >= 0)
        line->style = (sw_meter_style)style;
    return status;
}

/* What speaks against the probe's numbers is said before the recording, while it can be mended. */
static void tell_of_probe(const sw_profile *profile, sw_meter_line *line) {
    char sentence[400];
    for (int d = 0; d < SW_PROFILE_DOUBTS; d++) {
        if (!sw_profile_doubt_say(profile, (sw_profile_doubt)d, sw_day_today(), sentence,
                                  sizeof sentence))
            continue;
        sw_text text = {0};
        sw_text_paragraph(&text, 0, "Note: %s.", sentence);
        if (text.length > 0)
            text.data[text.length - 1] = '\0'; /* the line's own break follows */
        sw_meter_line_say(line, sw_text_string(&text));
        sw_text_free(&text);
    }
}

sw_status sw_record_watch_start(const sw_cli *cli, const sw_arguments *arguments,
                                const sw_capture_description *about, FILE *screen, sw_guide *guide,
                                sw_record_watch *watch, sw_error *error) {
    const char *coast = sw_argument(arguments, "--coast");
    bool with_drill =
        guide != NULL ? guide->with_drill : coast != NULL && strcmp(coast, "with-drill") == 0;
    sw_live_request request;
    *watch = (sw_record_watch){.guide = guide, .line = sw_meter_line_start(screen, with_drill)};
    sw_status status = sw_record_live_request(cli, arguments, about, guide, &request, error);
    if (status == SW_OK)
        status = choose_style(arguments, &watch->line, error);
    if (status == SW_OK && sw_argument_given(arguments, "--probe"))
        tell_of_probe(&request.profile, &watch->line);
    return status == SW_OK ? sw_live_meter_new(&request, &watch->meter, error) : status;
}

static void tell(sw_record_watch *watch, const sw_capture_description *about,
                 const sw_capture_news *news) {
    char sentence[400];
    for (size_t i = 0; i < news->events; i++) {
        sw_recording_event_say(&news->event[i], about, sentence, sizeof sentence);
        if (*sentence != '\0')
            sw_meter_line_say(&watch->line, sentence);
    }
}

static bool see(void *user, const sw_capture_description *about, const int32_t *frames,
                const sw_capture_news *news) {
    sw_record_watch *watch = user;
    sw_live_reading reading;
    tell(watch, about, news);
    if (watch->done ||
        !sw_live_meter_feed(watch->meter, news->first, frames, news->frames, &reading))
        return watch->done;
    if (watch->guide != NULL)
        watch->done = sw_guide_follow(watch->guide, &watch->line, &reading);
    sw_meter_line_show(&watch->line, &reading);
    return watch->done;
}

sw_record_observer sw_record_watch_observer(sw_record_watch *watch) {
    return (sw_record_observer){watch, see};
}

void sw_record_watch_end(sw_record_watch *watch) {
    sw_meter_line_end(&watch->line);
    sw_live_meter_free(watch->meter);
    watch->meter = NULL;
}
