#include "tests/probes/capture/support_script.h"

#include "shared/platform.h"
#include "tests/support.h"

#include <stdio.h>
#include <stdlib.h>

typedef struct player {
    script about;
    size_t at;          /* step */
    size_t given;       /* frames of the step */
    double step_from_s; /* when the step began */
} player;

int32_t script_sample(int64_t frame, size_t channel) {
    uint32_t bits = (uint32_t)frame * 2654435761U + (uint32_t)channel * 40503U;
    bits ^= bits >> 15;
    return (int32_t)(bits * 2246822519U);
}

static sw_status start(void *state, sw_error *error) {
    player *self = state;
    self->step_from_s = sw_platform_seconds();
    return self->about.start_fails ? sw_fail(error, SW_DEVICE, "script: does not start") : SW_OK;
}

static void next_step(player *self) {
    self->at++;
    self->given = 0;
    self->step_from_s = sw_platform_seconds();
}

static void fill(const player *self, int32_t *frames, const sw_capture_news *news) {
    for (size_t i = 0; i < news->frames; i++)
        for (size_t c = 0; c < self->about.channels; c++)
            frames[i * self->about.channels + c] =
                self->about.constant ? 5 : script_sample(news->first + (int64_t)i, c);
}

static sw_status read_script(void *state, double timeout_s, int32_t *frames, size_t room,
                             sw_capture_news *news, sw_error *error) {
    player *self = state;
    (void)error;
    const script_step *step = &self->about.step[self->at];
    double wait_s =
        self->at < self->about.steps
            ? self->step_from_s + (self->given == 0 ? step->pause_s : 0) - sw_platform_seconds()
            : timeout_s;
    if (self->at >= self->about.steps || wait_s > timeout_s) {
        sw_platform_sleep(timeout_s);
        return SW_OK;
    }
    sw_platform_sleep(wait_s);
    if (self->given == 0 && step->has_event) {
        sw_capture_event event = step->event;
        event.frame = news->first;
        sw_capture_note(news, event);
    }
    size_t left = step->frames - self->given;
    news->frames = left < room ? left : room;
    fill(self, frames, news);
    self->given += news->frames;
    if (self->given == step->frames)
        next_step(self);
    return SW_OK;
}

static void close_script(void *state) {
    free(state);
}

sw_capture *script_open(const script *about) {
    static const sw_capture_kind KIND = {"script", start, read_script, close_script};
    sw_capture_description description = {.rate_hz = about->rate_hz, .channels = about->channels};
    sw_capture *capture = NULL;
    player *self = calloc(1, sizeof *self);
    assert_non_null(self);
    self->about = *about;
    snprintf(description.device, sizeof description.device, "script");
    snprintf(description.host, sizeof description.host, "tests");
    assert_int_equal(sw_capture_new(&KIND, self, &description, &capture, NULL), SW_OK);
    return capture;
}
