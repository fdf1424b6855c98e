#include "src/cli/record_loop.h"

#include "shared/platform.h"

#include <math.h>
#include <signal.h>
#include <stdlib.h>

static const double LOOK_S = 0.05;

/* The one piece of global state: a signal handler can reach nothing else. */
static volatile sig_atomic_t asked_to_stop = 0;

static void ask_to_stop(int number) {
    (void)number;
    asked_to_stop = 1;
}

typedef void (*handler)(int number);

typedef struct handlers {
    handler interrupt, terminate, hang_up;
} handlers;

static handlers take_signals(void) {
    asked_to_stop = 0;
    handlers before = {signal(SIGINT, ask_to_stop), signal(SIGTERM, ask_to_stop), SIG_DFL};
#ifdef SIGHUP
    before.hang_up = signal(SIGHUP, ask_to_stop);
    if (before.hang_up == SIG_IGN) /* it was started to outlive the terminal */
        (void)signal(SIGHUP, SIG_IGN);
#endif
    return before;
}

static void give_back_signals(handlers before) {
    (void)signal(SIGINT, before.interrupt);
    (void)signal(SIGTERM, before.terminate);
#ifdef SIGHUP
    (void)signal(SIGHUP, before.hang_up);
#endif
}

static bool show(const sw_record_call *call, const int32_t *frames, const sw_capture_news *news) {
    const sw_capture_description *about = sw_capture_describe(call->request.capture);
    bool enough = false;
    for (size_t i = 0; i < call->observers; i++)
        enough = call->observer[i].see(call->observer[i].user, about, frames, news) || enough;
    return enough;
}

static void look_on(const sw_record_call *call, sw_recorder *recorder, int32_t *frames) {
    sw_capture_news news;
    while (sw_recorder_watch(recorder, LOOK_S, frames, &news))
        if (show(call, frames, &news) || asked_to_stop != 0)
            sw_recorder_stop(recorder);
}

sw_status sw_record_run(const sw_record_call *call, sw_recording_log *log, sw_error *error) {
    size_t channels = sw_capture_describe(call->request.capture)->channels;
    int32_t *frames = malloc(SW_CAPTURE_BLOCK_FRAMES * channels * sizeof *frames);
    sw_recorder *recorder = NULL;
    *log = (sw_recording_log){.rate_hz = NAN, .rate_u_hz = NAN};
    if (frames == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to record");
    handlers before = take_signals();
    sw_status status = sw_recorder_start(&call->request, &recorder, error);
    if (status == SW_OK) {
        look_on(call, recorder, frames);
        status = sw_recorder_finish(recorder, log, error);
    }
    give_back_signals(before);
    free(frames);
    return status;
}

/* ---- the screen ---- */

sw_record_screen sw_record_screen_open(void) {
    sw_record_screen screen = {.kept = sw_platform_hush()};
    screen.stream = sw_platform_heard(screen.kept);
    if (screen.stream != NULL)
        return screen;
    sw_platform_unhush(screen.kept);
    return (sw_record_screen){.stream = stderr, .kept = -1};
}

void sw_record_screen_close(sw_record_screen *screen) {
    if (screen->stream != NULL && screen->stream != stderr)
        (void)fclose(screen->stream);
    sw_platform_unhush(screen->kept);
    *screen = (sw_record_screen){.stream = stderr, .kept = -1};
}
