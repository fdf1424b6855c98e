/* Sound files for the tests, written through libsndfile. */
#ifndef SPINWORTH_TESTS_SOUND_MAKER_H
#define SPINWORTH_TESTS_SOUND_MAKER_H

#include <sndfile.h>
#include <stddef.h>

/* Write interleaved samples (-1 .. 1). */
static inline int write_sound(const char *path, int format, int rate_hz, int channels,
                              const double *samples, size_t frames) {
    SF_INFO info = {.samplerate = rate_hz, .channels = channels, .format = format};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (file == NULL)
        return 0;
    sf_count_t written = sf_writef_double(file, samples, (sf_count_t)frames);
    sf_close(file);
    return written == (sf_count_t)frames;
}

#endif
