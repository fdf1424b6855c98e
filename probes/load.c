#include "probes/load.h"

#include "probes/clean.h"
#include "probes/thin.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_FRAMES = 8192, STEP_SAMPLES = 4096 };

/* Where samples go while a file is read. */
typedef struct sink {
    size_t channels;
    size_t frames; /* written */
    size_t room;   /* of each channel */
    sw_channel *channel;
    sw_cleaner cleaner[SW_CHANNEL_LIMIT];
    sw_thinner *thinner[SW_CHANNEL_LIMIT]; /* NULL without thinning */
    double *column;                        /* one channel of a block */
} sink;

sw_status sw_part_open(sw_part *part, const sw_recording_request *request, size_t index,
                       sw_error *error) {
    sw_probe_request one = {request->paths[index], request->rate_hz, request->units};
    part->name = strcmp(one.path, "-") == 0 ? "standard input" : one.path;
    sw_status status = sw_probe_open(&one, &part->probe, error);
    if (status == SW_OK)
        part->kind = sw_probe_describe(part->probe)->kind;
    return status;
}

size_t sw_parts_thinning(const sw_part *parts, size_t count) {
    double total = 0;
    for (size_t i = 0; i < count; i++) {
        const sw_probe_description *about = sw_probe_describe(parts[i].probe);
        if (about->rate_hz > 0 && about->frames > 0)
            total += (double)about->frames * (double)about->channels;
    }
    double factor = ceil(total / SW_RECORDING_SAMPLE_LIMIT);
    return factor > 1 ? (size_t)factor : 1;
}

/* ---- the sink ---- */

static void sink_close(sink *into) {
    for (size_t c = 0; c < into->channels; c++)
        sw_thinner_free(into->thinner[c]);
    free(into->column);
}

static sw_status sink_open(sink *into, const sw_probe_description *about, sw_waveform *waveform,
                           size_t factor, sw_error *error) {
    *into = (sink){.channels = about->channels, .channel = waveform->channel};
    into->room = waveform->frames;
    into->column = malloc(BLOCK_FRAMES * sizeof *into->column);
    sw_status status = into->column != NULL ? SW_OK : sw_fail(error, SW_MEMORY, "out of memory");
    for (size_t c = 0; c < about->channels && status == SW_OK; c++) {
        into->cleaner[c] = (sw_cleaner){.full_scale = about->channel[c].full_scale,
                                        .step = about->channel[c].step};
        if (factor > 1)
            status = sw_thinner_new(factor, &into->thinner[c], error);
    }
    return status;
}

/* More room, when a file turns out longer than its header said or did not say. */
static sw_status grow(sink *into, size_t frames, sw_error *error) {
    if (frames <= into->room)
        return SW_OK;
    if (frames * into->channels > SW_RECORDING_SAMPLE_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED,
                       "longer than %d samples, and its length is not known "
                       "before the end",
                       SW_RECORDING_SAMPLE_LIMIT);
    size_t room = 2 * frames;
    for (size_t c = 0; c < into->channels; c++) {
        double *larger = realloc(into->channel[c].samples, room * sizeof *larger);
        if (larger == NULL)
            return sw_fail(error, SW_MEMORY, "not enough memory for %zu samples", room);
        into->channel[c].samples = larger;
    }
    into->room = room;
    return SW_OK;
}

static void thin_column(sink *into, size_t c, size_t frames, size_t *written) {
    sw_clean(&into->cleaner[c], into->column, frames);
    *written = sw_thinner_push(into->thinner[c], into->column, frames,
                               into->channel[c].samples + into->frames);
}

static sw_status take_block(sink *into, const double *block, size_t frames, sw_error *error) {
    size_t written = frames;
    sw_status status = grow(into, into->frames + frames, error);
    for (size_t c = 0; c < into->channels && status == SW_OK; c++) {
        double *column =
            into->thinner[c] != NULL ? into->column : into->channel[c].samples + into->frames;
        for (size_t i = 0; i < frames; i++)
            column[i] = block[i * into->channels + c];
        if (into->thinner[c] != NULL)
            thin_column(into, c, frames, &written);
    }
    into->frames += written;
    return status;
}

/* The rest of the filters, or the cleaning of the whole channel. */
static sw_status finish(sink *into, sw_error *error) {
    size_t rest = into->thinner[0] != NULL ? sw_thinner_left(into->thinner[0]) : 0;
    sw_status status = grow(into, into->frames + rest, error);
    for (size_t c = 0; c < into->channels && status == SW_OK; c++)
        if (into->thinner[c] != NULL)
            rest = sw_thinner_flush(into->thinner[c], into->channel[c].samples + into->frames);
        else
            sw_clean(&into->cleaner[c], into->channel[c].samples, into->frames);
    into->frames += rest;
    return status;
}

static sw_status read_all(sw_probe *probe, sink *into, sw_error *error) {
    double *block = malloc(BLOCK_FRAMES * into->channels * sizeof *block);
    if (block == NULL)
        return sw_fail(error, SW_MEMORY, "out of memory");
    sw_status status = SW_OK;
    size_t got = 1;
    while (status == SW_OK && got > 0) {
        status = sw_probe_read(probe, block, BLOCK_FRAMES, &got, error);
        if (status == SW_OK && got > 0)
            status = take_block(into, block, got, error);
    }
    free(block);
    return status == SW_OK ? finish(into, error) : status;
}

/* ---- after reading ---- */

static double step_of_channel(const sw_channel *channel, size_t frames) {
    double *some = malloc(STEP_SAMPLES * sizeof *some);
    size_t stride = frames / STEP_SAMPLES + 1;
    size_t count = 0;
    for (size_t i = 0; some != NULL && i < frames; i += stride)
        some[count++] = channel->samples[i];
    double step = some != NULL ? sw_step_of(some, count) : 0;
    free(some);
    return step;
}

/* The step, and what was cut off below full scale (a scope's screen, a level turned down later). */
static size_t inspect(sw_channel *channel, size_t frames, const sw_cleaner *cleaner, bool thinned) {
    if (thinned)
        return cleaner->clipped;
    if (channel->step == 0)
        channel->step = step_of_channel(channel, frames);
    size_t flat = sw_flat_tops(channel->samples, frames, channel->step);
    return flat > cleaner->clipped ? flat : cleaner->clipped;
}

static sw_status settle(sw_part *part, const sink *into, size_t factor, sw_text *notes,
                        sw_error *error) {
    const sw_probe_description *about = sw_probe_describe(part->probe);
    sw_waveform *waveform = &part->waveform;
    waveform->frames = into->frames;
    if (into->frames == 0)
        return sw_fail(error, SW_EMPTY, "%s: there are no samples in it", part->name);
    for (size_t c = 0; c < into->channels; c++) {
        const sw_cleaner *cleaner = &into->cleaner[c];
        if (!cleaner->seen)
            return sw_fail(error, SW_FORMAT, "%s: %s has no finite value", part->name,
                           about->channel[c].name);
        size_t clipped = inspect(&waveform->channel[c], into->frames, cleaner, factor > 1);
        if (clipped > 0)
            sw_text_add(notes, "%s: %zu samples are cut off (clipped)\n", about->channel[c].name,
                        clipped);
        part->clipped += clipped;
        part->missing += cleaner->missing;
    }
    if (part->missing > 0)
        sw_text_add(notes, "%zu empty cells filled by a straight line\n", part->missing);
    if (factor > 1)
        sw_text_add(notes, "very long: low-passed and every %zuth sample kept, %.9g Hz\n", factor,
                    waveform->rate_hz);
    return SW_OK;
}

static void head_of_waveform(sw_waveform *waveform, const sw_probe_description *about) {
    waveform->start_s = about->start_s;
    waveform->coupling = about->coupling;
    for (size_t c = 0; c < about->channels; c++) {
        snprintf(waveform->channel[c].name, SW_CHANNEL_NAME_ROOM, "%s", about->channel[c].name);
        waveform->channel[c].full_scale = about->channel[c].full_scale;
        waveform->channel[c].step = about->channel[c].step;
    }
}

static sw_status load_waveform(sw_part *part, size_t factor, sw_text *notes, sw_error *error) {
    const sw_probe_description *about = sw_probe_describe(part->probe);
    /* Besides the samples themselves, room for a block and for the filter's tail. */
    size_t frames = about->frames > 0 ? (size_t)about->frames / factor + 64 : 2 * BLOCK_FRAMES;
    if (factor > 1)
        frames += BLOCK_FRAMES;
    sink into;
    sw_status status = sw_waveform_new(about->channels, frames, about->rate_hz / (double)factor,
                                       &part->waveform, error);
    if (status != SW_OK)
        return status;
    head_of_waveform(&part->waveform, about);
    status = sink_open(&into, about, &part->waveform, factor, error);
    if (status == SW_OK)
        status = read_all(part->probe, &into, error);
    if (status == SW_OK)
        status = settle(part, &into, factor, notes, error);
    part->rate_u_hz = about->rate_u_hz / (double)factor;
    sink_close(&into);
    return status;
}

static sw_status copy_readings(sw_part *part, const sw_readings *readings, sw_error *error) {
    part->readings = malloc(sizeof *part->readings);
    if (part->readings == NULL)
        return sw_fail(error, SW_MEMORY, "out of memory");
    *part->readings = *readings;
    part->readings->reading = malloc((readings->count + 1) * sizeof *readings->reading);
    if (part->readings->reading == NULL)
        return sw_fail(error, SW_MEMORY, "out of memory");
    memcpy(part->readings->reading, readings->reading, readings->count * sizeof *readings->reading);
    return SW_OK;
}

sw_status sw_part_load(sw_part *part, size_t factor, bool named, sw_text *notes, sw_error *error) {
    const sw_readings *readings = sw_probe_readings(part->probe);
    if (named)
        sw_text_add(notes, "%s:\n", part->name);
    sw_text_add(notes, "%s", sw_text_string(&sw_probe_describe(part->probe)->notes));
    sw_status status = readings != NULL ? copy_readings(part, readings, error)
                                        : load_waveform(part, factor, notes, error);
    sw_probe_close(part->probe);
    part->probe = NULL;
    return status;
}

void sw_part_free(sw_part *part) {
    sw_probe_close(part->probe);
    sw_waveform_free(&part->waveform);
    if (part->readings != NULL)
        sw_readings_free(part->readings);
    free(part->readings);
    *part = (sw_part){0};
}
