/* Sound files through libsndfile: every container and word length it knows. Samples arrive scaled
 * so that full scale is 1. The file is read through the source, so that a pipe works too, and so
 * that the length in the header of a recording that was cut short can be put right on the way. */
#include "probes/kinds.h"
#include "probes/riff.h"

#include <math.h>
#include <sndfile.h>
#include <stdlib.h>
#include <string.h>

enum { RATE_LIMIT_HZ = 50000000 };

typedef struct sound_state {
    SNDFILE *file;
    sw_source *source;
    size_t channels;
    int64_t patch_at; /* offset of the four bytes to replace, -1 = none */
    unsigned char patch[4];
} sound_state;

static bool starts(const unsigned char *head, size_t length, size_t at, const char *mark) {
    size_t width = strlen(mark);
    return length >= at + width && memcmp(head + at, mark, width) == 0;
}

static bool recognise(const char *path, const unsigned char *head, size_t length) {
    (void)path;
    static const char *const MARKS[] = {"RIFF", "RIFX", "RF64", "riff\x2e\x91\xcf\x11",
                                        "fLaC", "caff", ".snd", "OggS"};
    for (size_t i = 0; i < sizeof MARKS / sizeof *MARKS; i++)
        if (starts(head, length, 0, MARKS[i]))
            return true;
    return starts(head, length, 0, "FORM") && starts(head, length, 8, "AIF");
}

/* ---- the library's view of the source ---- */

static sf_count_t source_length(void *user) {
    return ((sound_state *)user)->source != NULL ? sw_source_size(((sound_state *)user)->source)
                                                 : 0;
}

static sf_count_t source_seek(sf_count_t offset, int whence, void *user) {
    sound_state *state = user;
    if (whence == SF_SEEK_CUR)
        offset += sw_source_tell(state->source);
    if (whence == SF_SEEK_END)
        offset += sw_source_size(state->source);
    return sw_source_seek(state->source, offset);
}

static sf_count_t source_read(void *bytes, sf_count_t count, void *user) {
    sound_state *state = user;
    int64_t from = sw_source_tell(state->source);
    sf_count_t got = (sf_count_t)sw_source_read(state->source, bytes, (size_t)count);
    for (int i = 0; i < 4 && state->patch_at >= 0; i++) {
        int64_t at = state->patch_at + i - from;
        if (at >= 0 && at < got)
            ((unsigned char *)bytes)[at] = state->patch[i];
    }
    return got;
}

static sf_count_t source_write(const void *bytes, sf_count_t count, void *user) {
    (void)bytes;
    (void)count;
    (void)user;
    return 0;
}

static sf_count_t source_tell(void *user) {
    return sw_source_tell(((sound_state *)user)->source);
}

/* ---- what the header says ---- */

static void set_length(sound_state *state, const sw_riff *riff) {
    state->patch_at = riff->data_size_at;
    uint32_t size = riff->data_actual < UINT32_MAX ? (uint32_t)riff->data_actual : UINT32_MAX - 1;
    for (int i = 0; i < 4; i++)
        state->patch[i] = (unsigned char)(size >> (8 * i));
}

/* A recorder writes the length at the end; one that was killed left 0 or all ones there. */
static sw_status check_riff(sound_state *state, const char *name, sw_text *notes, sw_error *error) {
    sw_riff riff = sw_riff_look(state->source);
    if (!riff.found)
        return SW_OK;
    if (riff.rate_hz == 0)
        return sw_fail(error, SW_VALUE, "%s: the header says 0 samples a second", name);
    if (riff.channels == 0)
        return sw_fail(error, SW_VALUE, "%s: the header says 0 channels", name);
    if (!riff.data_found)
        return SW_OK;
    bool unset = riff.data_declared == 0 || riff.data_declared == UINT32_MAX;
    if (unset && riff.data_actual > 0) {
        set_length(state, &riff);
        sw_text_add(notes, "the recording was not closed properly; read as far as it goes\n");
    } else if ((int64_t)riff.data_declared > riff.data_actual)
        sw_text_add(notes,
                    "cut short: the header promises %u bytes of sound, the file has %lld; read as "
                    "far as it goes\n",
                    riff.data_declared, (long long)riff.data_actual);
    return SW_OK;
}

static int bits_of(int format) {
    switch (format & SF_FORMAT_SUBMASK) {
    case SF_FORMAT_PCM_S8:
    case SF_FORMAT_PCM_U8:
        return 8;
    case SF_FORMAT_PCM_16:
    case SF_FORMAT_ALAC_16:
        return 16;
    case SF_FORMAT_ALAC_20:
        return 20;
    case SF_FORMAT_PCM_24:
    case SF_FORMAT_ALAC_24:
        return 24;
    case SF_FORMAT_PCM_32:
    case SF_FORMAT_ALAC_32:
        return 32;
    default:
        return 0;
    }
}

static bool is_lossy(int format) {
    int coding = format & SF_FORMAT_SUBMASK;
    return coding == SF_FORMAT_VORBIS || coding == SF_FORMAT_OPUS || coding == SF_FORMAT_GSM610 ||
           (coding >= SF_FORMAT_IMA_ADPCM && coding < SF_FORMAT_ALAC_16);
}

/* The head of a FLAC gets its length at the end; where that was not reached the library answers
 * with the largest number it has. */
static bool length_known(const SF_INFO *info) {
    return info->frames < SF_COUNT_MAX;
}

static void describe_coding(SNDFILE *file, const SF_INFO *info, sw_text *notes) {
    SF_FORMAT_INFO major = {.format = info->format & SF_FORMAT_TYPEMASK};
    SF_FORMAT_INFO coding = {.format = info->format & SF_FORMAT_SUBMASK};
    sf_command(file, SFC_GET_FORMAT_INFO, &major, (int)sizeof major);
    sf_command(file, SFC_GET_FORMAT_INFO, &coding, (int)sizeof coding);
    sw_text_add(notes, "sound file: %s, %s; %d Hz, %d channel%s",
                major.name != NULL ? major.name : "unnamed container",
                coding.name != NULL ? coding.name : "unnamed coding", info->samplerate,
                info->channels, info->channels == 1 ? "" : "s");
    if (length_known(info))
        sw_text_add(notes, ", %.6g s\n", (double)info->frames / info->samplerate);
    else
        sw_text_add(notes, "\nthe recording was not closed properly; read as far as it goes\n");
    if (is_lossy(info->format))
        sw_text_add(notes, "this coding throws away what the ear does not miss: fine for counting "
                           "cycles, doubtful for volts\n");
}

static sw_status check_info(const SF_INFO *info, const char *name, sw_error *error) {
    if (info->channels > SW_CHANNEL_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED, "%s: has %d channels, expected 1 to %d", name,
                       info->channels, SW_CHANNEL_LIMIT);
    if (info->samplerate <= 0 || info->samplerate > RATE_LIMIT_HZ)
        return sw_fail(error, SW_VALUE, "%s: the header says %d samples a second, expected 1 to %d",
                       name, info->samplerate, RATE_LIMIT_HZ);
    if (info->frames <= 0)
        return sw_fail(error, SW_EMPTY, "%s: there is no sound in it", name);
    return SW_OK;
}

static void describe(const SF_INFO *info, double rate_hz, sw_probe_description *description) {
    int bits = bits_of(info->format);
    description->rate_hz = rate_hz > 0 ? rate_hz : info->samplerate;
    description->frames = length_known(info) ? info->frames : -1;
    description->channels = (size_t)info->channels;
    description->coupling = SW_COUPLING_AC;
    for (size_t c = 0; c < description->channels; c++) {
        sw_probe_channel *channel = &description->channel[c];
        snprintf(channel->name, sizeof channel->name, "channel %zu", c + 1);
        channel->full_scale = 1;
        channel->step = bits > 0 ? ldexp(1, 1 - bits) : 0;
    }
    if (rate_hz > 0 && fabs(rate_hz - info->samplerate) > 1e-9 * rate_hz)
        sw_text_add(&description->notes, "the file says %d Hz; %g Hz taken, as asked\n",
                    info->samplerate, rate_hz);
}

/* ---- the kind ---- */

static void close_sound(void *state) {
    sound_state *sound = state;
    if (sound->file != NULL)
        sf_close(sound->file);
    free(sound);
}

static sw_status open_library(sound_state *state, SF_INFO *info, const char *name,
                              sw_error *error) {
    static SF_VIRTUAL_IO functions = {source_length, source_seek, source_read, source_write,
                                      source_tell};
    state->file = sf_open_virtual(&functions, SFM_READ, info, state);
    if (state->file != NULL)
        return check_info(info, name, error);
    const char *reason = sf_strerror(NULL);
    if (strstr(reason, "SF_INFO") != NULL)
        reason = "its header gives no sample rate or no channels";
    return sw_fail(error, SW_FORMAT, "%s: cannot be read as a sound file: %s", name, reason);
}

/* Read through once for the length: a recording is thinned by it. */
static sw_status find_length(sound_state *state, SF_INFO *info, const char *name, sw_error *error) {
    enum { FRAMES = 1024 };
    double block[FRAMES * SW_CHANNEL_LIMIT];
    sf_count_t frames = 0;
    for (sf_count_t got = 1; got > 0; frames += got)
        got = sf_readf_double(state->file, block, FRAMES);
    sf_close(state->file);
    state->file = NULL;
    if (sw_source_seek(state->source, 0) != 0)
        return sw_fail(error, SW_IO, "%s: cannot be read twice", name);
    *info = (SF_INFO){0};
    sw_status status = open_library(state, info, name, error);
    info->frames = frames;
    return status;
}

static sw_status open_sound(const sw_probe_request *request, sw_source *source, void **state,
                            sw_probe_description *description, sw_error *error) {
    sound_state *fresh = calloc(1, sizeof *fresh);
    SF_INFO info = {0};
    const char *name = sw_source_name(source);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to open it", name);
    fresh->source = source;
    fresh->patch_at = -1;
    sw_status status = check_riff(fresh, name, &description->notes, error);
    if (status == SW_OK)
        status = open_library(fresh, &info, name, error);
    if (status != SW_OK) {
        close_sound(fresh);
        return status;
    }
    describe_coding(fresh->file, &info, &description->notes);
    if (!length_known(&info))
        status = find_length(fresh, &info, name, error);
    if (status != SW_OK) {
        close_sound(fresh);
        return status;
    }
    describe(&info, request->rate_hz, description);
    fresh->channels = description->channels;
    *state = fresh;
    return SW_OK;
}

static sw_status read_sound(void *state, double *block, size_t frames, size_t *got,
                            sw_error *error) {
    sound_state *sound = state;
    *got = (size_t)sf_readf_double(sound->file, block, (sf_count_t)frames);
    if (*got == 0 && sw_source_broken(sound->source))
        return sw_fail(error, SW_IO, "%s: reading failed", sw_source_name(sound->source));
    return SW_OK;
}

const sw_probe_kind SW_PROBE_SOUND_FILE = {
    .name = "sound file",
    .describes = "WAV, W64, RF64, FLAC, AIFF and what else the sound library reads",
    .recognise = recognise,
    .open = open_sound,
    .read = read_sound,
    .close = close_sound,
};
