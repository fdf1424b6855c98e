/* Any bytes as a recording: scope file, table of readings or sound file. Whatever comes out must be
 * a message or finite samples; the sanitizers watch the way there. */
#include "probes/recording.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

int LLVMFuzzerInitialize(int *count, char ***arguments);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static char path[64];
static sw_units *units;

static void remove_file(void) {
    remove(path);
    sw_units_free(units);
}

int LLVMFuzzerInitialize(int *count, char ***arguments) {
    (void)count;
    (void)arguments;
    /* In memory where the system has such a place, since it is written for every input. */
    const char *folder = access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp";
    snprintf(path, sizeof path, "%s/fuzz-recording-%ld", folder, (long)getpid());
    if (sw_units_new(&units, NULL) != SW_OK)
        abort();
    return atexit(remove_file);
}

static void check(const sw_recording *recording) {
    const sw_waveform *waveform = &recording->waveform;
    if (recording->is_readings)
        return;
    if (!(waveform->rate_hz > 0) || waveform->channels < 1)
        abort();
    for (size_t c = 0; c < waveform->channels; c++)
        for (size_t i = 0; i < waveform->frames; i++)
            if (!isfinite(waveform->channel[c].samples[i]))
                abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    FILE *file = fopen(path, "wb");
    if (file == NULL || fwrite(data, 1, size, file) != size || fclose(file) != 0)
        abort();
    const char *paths[] = {path};
    sw_recording_request request = {
        .paths = paths, .count = 1, .rate_hz = size % 2 == 0 ? 1000 : 0, .units = units};
    sw_recording recording;
    sw_error error = {0};
    if (sw_recording_load(&request, &recording, &error) == SW_OK) {
        check(&recording);
        sw_recording_free(&recording);
    } else if (error.message[0] == '\0') {
        abort();
    }
    return 0;
}
