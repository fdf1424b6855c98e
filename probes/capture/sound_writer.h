/* A sound file that grows while one records: 24 bits, WAV or FLAC by the name's ending. A WAV
 * larger than 4 GiB becomes an RF64 by itself. */
#ifndef SPINWORTH_PROBES_CAPTURE_SOUND_WRITER_H
#define SPINWORTH_PROBES_CAPTURE_SOUND_WRITER_H

#include "shared/status.h"

#include <stddef.h>
#include <stdint.h>

typedef struct sw_sound_writer sw_sound_writer;

typedef struct sw_sound_form {
    int rate_hz;
    size_t channels;
    const char *comment; /* kept in the file, NULL = none */
} sw_sound_form;

/* Does the name end in .wav or .flac? SW_USAGE when not. */
sw_status sw_sound_writer_check(const char *path, sw_error *error);

/* A new file; SW_EXISTS when there is one already. The path is borrowed. */
sw_status sw_sound_writer_open(const char *path, const sw_sound_form *form,
                               sw_sound_writer **writer, sw_error *error);

/* Interleaved frames. SW_IO when the disk does not take them; what it took stays readable. */
sw_status sw_sound_writer_put(sw_sound_writer *writer, const int32_t *frames, size_t count,
                              sw_error *error);

/* Make what was put so far survive a kill and a power cut: header and disk. A FLAC's header waits
 * for the end, but all of its frames can be read without. */
sw_status sw_sound_writer_keep(sw_sound_writer *writer, sw_error *error);

/* Close and release; the file stays readable even when this fails. NULL is fine. */
sw_status sw_sound_writer_close(sw_sound_writer *writer, sw_error *error);

/* Bytes a second that the file grows by at most. */
double sw_sound_form_bytes(const sw_sound_form *form);

#endif
