#include "shared/waveform.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

sw_status sw_waveform_new(size_t channels, size_t frames, double rate_hz, sw_waveform *waveform,
                          sw_error *error) {
    *waveform = (sw_waveform){.rate_hz = rate_hz, .frames = frames, .channels = channels};
    if (channels == 0 || channels > SW_CHANNEL_LIMIT)
        return sw_fail(error, SW_MISMATCH, "found %zu channels, expected 1 to %d", channels,
                       SW_CHANNEL_LIMIT);
    for (size_t c = 0; c < channels; c++) {
        snprintf(waveform->channel[c].name, SW_CHANNEL_NAME_ROOM, "channel %zu", c + 1);
        if (frames < SIZE_MAX / sizeof(double))
            waveform->channel[c].samples = calloc(frames > 0 ? frames : 1, sizeof(double));
        if (waveform->channel[c].samples == NULL) {
            sw_waveform_free(waveform);
            return sw_fail(error, SW_MEMORY, "not enough memory for %zu samples", frames);
        }
    }
    return SW_OK;
}

void sw_waveform_free(sw_waveform *waveform) {
    for (size_t c = 0; c < waveform->channels && c < SW_CHANNEL_LIMIT; c++)
        free(waveform->channel[c].samples);
    *waveform = (sw_waveform){0};
}

sw_status sw_waveform_difference(sw_waveform *waveform, size_t plus, size_t minus,
                                 sw_error *error) {
    if (plus >= waveform->channels || minus >= waveform->channels || plus == minus)
        return sw_fail(error, SW_USAGE,
                       "--difference %zu-%zu: the recording has %zu channels, and the two must "
                       "differ",
                       plus + 1, minus + 1, waveform->channels);
    sw_channel *into = &waveform->channel[plus];
    const sw_channel *from = &waveform->channel[minus];
    for (size_t i = 0; i < waveform->frames; i++)
        into->samples[i] -= from->samples[i];
    snprintf(into->name, sizeof into->name, "%zu-%zu", plus + 1, minus + 1);
    bool scaled = into->full_scale > 0 && from->full_scale > 0;
    into->full_scale = scaled ? into->full_scale + from->full_scale : 0;
    bool stepped = into->step > 0 && from->step > 0;
    into->step = stepped ? hypot(into->step, from->step) : 0; /* as their noises add */
    sw_channel kept = *into;
    for (size_t c = 0; c < waveform->channels; c++)
        if (c != plus)
            free(waveform->channel[c].samples);
    memset(waveform->channel, 0, sizeof waveform->channel);
    waveform->channel[0] = kept;
    waveform->channels = 1;
    return SW_OK;
}
