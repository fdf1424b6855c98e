/* From files to the form measuring takes. All files are opened first, so that the thinning can be
 * chosen for all of them; each is then read whole as a part, and the parts become the channels of
 * one waveform. */
#include "probes/recording.h"

#include "probes/load.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Scope files of one capture differ in their fitted rate by rounding only. */
static const double RATE_TOLERANCE = 1e-4;

static sw_status check_request(const sw_recording_request *request, sw_error *error) {
    size_t pipes = 0;
    if (request->count == 0 || request->count > SW_RECORDING_FILE_LIMIT)
        return sw_fail(error, SW_USAGE, "found %zu recordings, expected 1 to %d", request->count,
                       SW_RECORDING_FILE_LIMIT);
    for (size_t i = 0; i < request->count; i++)
        pipes += strcmp(request->paths[i], "-") == 0;
    if (pipes > 1)
        return sw_fail(error, SW_USAGE, "standard input (-) can be named only once");
    if (request->rate_hz < 0 || !isfinite(request->rate_hz))
        return sw_fail(error, SW_USAGE, "--rate must be above zero");
    return SW_OK;
}

/* ---- parts into one ---- */

static sw_status check_fit(const sw_part *first, const sw_part *other, sw_error *error) {
    double rate = first->waveform.rate_hz;
    double apart = fabs(other->waveform.rate_hz - rate);
    double u = hypot(first->rate_u_hz, other->rate_u_hz);
    if (apart > fmax(RATE_TOLERANCE * rate, 4 * u))
        return sw_fail(error, SW_MISMATCH, "%s: %.9g samples a second, but %s has %.9g",
                       other->name, other->waveform.rate_hz, first->name, rate);
    double late = fabs(other->waveform.start_s - first->waveform.start_s) * rate;
    if (late > 1)
        return sw_fail(error, SW_MISMATCH,
                       "%s: begins at %.9g s, but %s at %.9g s; channels of one recording begin "
                       "together",
                       other->name, other->waveform.start_s, first->name, first->waveform.start_s);
    return SW_OK;
}

static void move_channels(sw_waveform *from, sw_waveform *into) {
    for (size_t c = 0; c < from->channels; c++) {
        sw_channel *channel = &into->channel[into->channels++];
        *channel = from->channel[c];
        if (strncmp(channel->name, "channel ", 8) == 0)
            snprintf(channel->name, sizeof channel->name, "channel %zu", into->channels);
        from->channel[c] = (sw_channel){0};
    }
    from->channels = 0;
}

static void shorten(sw_part *parts, size_t count, sw_text *notes) {
    size_t least = parts[0].waveform.frames;
    size_t most = least;
    for (size_t i = 1; i < count; i++) {
        size_t frames = parts[i].waveform.frames;
        least = frames < least ? frames : least;
        most = frames > most ? frames : most;
    }
    parts[0].waveform.frames = least;
    if (most > least)
        sw_text_add(notes, "the files differ in length; cut to the shortest, %zu samples\n", least);
}

static sw_status join_waveforms(sw_part *parts, size_t count, sw_recording *recording,
                                sw_error *error) {
    size_t channels = 0;
    for (size_t i = 0; i < count; i++) {
        sw_status status = i == 0 ? SW_OK : check_fit(&parts[0], &parts[i], error);
        if (status != SW_OK)
            return status;
        channels += parts[i].waveform.channels;
    }
    if (channels > SW_CHANNEL_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED, "%zu channels in %zu files, expected 1 to %d",
                       channels, count, SW_CHANNEL_LIMIT);
    shorten(parts, count, &recording->notes);
    recording->waveform = parts[0].waveform;
    recording->rate_u_hz = parts[0].rate_u_hz;
    parts[0].waveform = (sw_waveform){0};
    for (size_t i = 1; i < count; i++)
        move_channels(&parts[i].waveform, &recording->waveform);
    return SW_OK;
}

static sw_status join(sw_part *parts, size_t count, sw_recording *recording, sw_error *error) {
    recording->kind = parts[0].kind;
    for (size_t i = 0; i < count; i++) {
        recording->clipped += parts[i].clipped;
        recording->missing += parts[i].missing;
        if (parts[i].readings != NULL && count > 1)
            return sw_fail(error, SW_UNSUPPORTED,
                           "%s: a table of readings must be given alone, not beside other files",
                           parts[i].name);
    }
    if (parts[0].readings == NULL)
        return join_waveforms(parts, count, recording, error);
    recording->readings = parts[0].readings;
    recording->is_readings = true;
    parts[0].readings = NULL;
    return SW_OK;
}

/* ---- the whole ---- */

static sw_status take_difference(const sw_recording_request *request, sw_recording *recording,
                                 sw_error *error) {
    if (request->difference_plus == 0 && request->difference_minus == 0)
        return SW_OK;
    if (recording->is_readings)
        return sw_fail(error, SW_USAGE, "--difference needs a waveform, not a table of readings");
    if (request->difference_plus < 1 || request->difference_minus < 1)
        return sw_fail(error, SW_USAGE, "--difference names two channels, for example 1-2");
    sw_status status =
        sw_waveform_difference(&recording->waveform, (size_t)request->difference_plus - 1,
                               (size_t)request->difference_minus - 1, error);
    if (status == SW_OK)
        sw_text_add(&recording->notes, "channel %d minus channel %d taken as the one signal\n",
                    request->difference_plus, request->difference_minus);
    return status;
}

static sw_status load_parts(const sw_recording_request *request, sw_part *parts, sw_text *notes,
                            sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; i < request->count && status == SW_OK; i++)
        status = sw_part_open(&parts[i], request, i, error);
    size_t factor = status == SW_OK ? sw_parts_thinning(parts, request->count) : 1;
    for (size_t i = 0; i < request->count && status == SW_OK; i++)
        status = sw_part_load(&parts[i], factor, request->count > 1, notes, error);
    return status;
}

static void mind_marks(const sw_recording_request *request, sw_recording *recording) {
    for (size_t i = 0; i < request->count && !recording->is_readings; i++)
        sw_marks_read(request->paths[i], request->rate_hz, request->units, &recording->marks,
                      &recording->notes);
    if (!recording->is_readings)
        sw_marks_cut(&recording->marks, &recording->waveform, &recording->notes);
}

sw_status sw_recording_load(const sw_recording_request *request, sw_recording *recording,
                            sw_error *error) {
    *recording = (sw_recording){0};
    sw_part parts[SW_RECORDING_FILE_LIMIT] = {0};
    sw_status status = check_request(request, error);
    if (status != SW_OK)
        return status;
    status = load_parts(request, parts, &recording->notes, error);
    if (status == SW_OK)
        status = join(parts, request->count, recording, error);
    if (status == SW_OK)
        status = take_difference(request, recording, error);
    if (status == SW_OK)
        mind_marks(request, recording);
    for (size_t i = 0; i < request->count; i++)
        sw_part_free(&parts[i]);
    if (status != SW_OK)
        sw_recording_free(recording);
    return status;
}

void sw_recording_free(sw_recording *recording) {
    sw_waveform_free(&recording->waveform);
    if (recording->readings != NULL)
        sw_readings_free(recording->readings);
    free(recording->readings);
    sw_text_free(&recording->notes);
    *recording = (sw_recording){0};
}
