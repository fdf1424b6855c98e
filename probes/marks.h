/* The marks that a recorder left beside a sound file (FILE.json): where samples are missing, and
 * whether its clock was right. A file without such a log has no marks. */
#ifndef SPINWORTH_PROBES_MARKS_H
#define SPINWORTH_PROBES_MARKS_H

#include "shared/quantity.h"
#include "shared/text.h"
#include "shared/waveform.h"

#include <stdbool.h>
#include <stddef.h>

enum { SW_MARK_LIMIT = 400 };

typedef struct sw_marks {
    size_t overruns; /* samples lost, all that happened */
    size_t stalls;   /* the input paused */
    double lost_s;   /* missing in all, as far as it is known */
    bool lost_is_least;
    size_t gaps; /* places of overruns and pauses, rising */
    double gap_s[SW_MARK_LIMIT];
    bool some_untold; /* more losses were counted than are listed: their places are known ... */
    double told_s;    /* ... only before this moment */
    bool cut;         /* the waveform was cut to the piece below */
    double from_s, to_s;
    bool wrong_rate; /* by the system's clock the rate was this one, not the file's */
    double rate_hz;
} sw_marks;

/* Add the marks of one file; nothing when it has no log. `rate_hz` is the rate asked for by the
 * person, 0 = none (one that was asked for is not doubted). A log that cannot be read is told in
 * the notes. */
void sw_marks_read(const char *path, double rate_hz, const sw_units *units, sw_marks *marks,
                   sw_text *notes);

/* A fit across a gap would be wrong: keep the longest piece of the waveform without one, when it
 * is long enough to be worth it. */
void sw_marks_cut(sw_marks *marks, sw_waveform *waveform, sw_text *notes);

#endif
