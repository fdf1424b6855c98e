/* The head of a growing 24-bit WAV file, always true for what follows it. */
#ifndef SPINWORTH_PROBES_CAPTURE_WAV_HEAD_H
#define SPINWORTH_PROBES_CAPTURE_WAV_HEAD_H

#include <stddef.h>
#include <stdint.h>

enum { SW_WAV_HEAD_ROOM = 512, SW_WAV_SAMPLE_BYTES = 3 };

typedef struct sw_wav_form {
    uint32_t rate_hz;
    uint16_t channels;
    const char *comment; /* cut to fit, NULL = none */
} sw_wav_form;

/* Write the head for data_bytes of sound into out (SW_WAV_HEAD_ROOM); its length, which depends
 * on the form alone. Up to 4 GiB it is a plain WAV, from there on an RF64. */
size_t sw_wav_head(const sw_wav_form *form, uint64_t data_bytes, unsigned char *out);

/* The top 24 bits of each sample, as they stand in the file; out has 3 bytes a sample. */
void sw_wav_samples(const int32_t *samples, size_t count, unsigned char *out);

#endif
