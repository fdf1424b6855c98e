/* What the capture drills share: a folder with an ALSA configuration of test lines (device.c), the
 * program run on it in the background, and recordings held against what the lines fed. */
#ifndef SPINWORTH_TESTS_CAPTURE_SUPPORT_DRILL_H
#define SPINWORTH_TESTS_CAPTURE_SUPPORT_DRILL_H

#include "tests/capture/support_pattern.h"

#include <stdbool.h>
#include <stdint.h>
#include <sys/types.h>

enum { DRILL_PATH_ROOM = 256, DRILL_TEXT_ROOM = 8192, DRILL_SKIP = 77 };

/* False, after saying why, where the test line could not be built. */
bool drill_possible(void);

/* cmocka set-up and tear-down of one test: *state is the folder's path. */
int drill_setup(void **state);
int drill_teardown(void **state);

/* Write FOLDER/asound.conf with these definitions ("pcm.line { type testline ... }" ...); a
 * pcm.default of the first line's name is added, without which PortAudio gives up. */
void drill_lines(const char *folder, const char *first, const char *definitions);

/* The program at work: "spinworth ARGUMENTS" run in the folder by a shell. */
typedef struct drill_run {
    pid_t pid;
    char out_path[DRILL_PATH_ROOM], err_path[DRILL_PATH_ROOM], report_path[DRILL_PATH_ROOM];
    char out[DRILL_TEXT_ROOM], err[DRILL_TEXT_ROOM]; /* after drill_wait */
    double ended_s;                                  /* when it wrote its last words */
} drill_run;

/* Begin; tag names the files of its output. before: shell text put in front ("ulimit -f 100;"). */
void drill_start(const char *folder, const char *tag, const char *before, const char *arguments,
                 drill_run *run);

/* Its exit status, or minus the signal that ended it. Fails the test, with its output, when it
 * has not ended after limit_s. */
int drill_wait(drill_run *run, double limit_s);

double drill_now_s(void);
void drill_sleep(double seconds);

/* Wait until a file of the folder holds at least this many bytes; false after limit_s. */
bool drill_file_grows(const char *folder, const char *name, long bytes, double limit_s);

/* What the document beside a recording (NAME.json) says: a number; NAN when it is not there.
 * A quantity gives its value. */
double drill_log_number(const char *folder, const char *recording, const char *key);
bool drill_log_flag(const char *folder, const char *recording, const char *key);
/* Does it say that the recording ended so? */
bool drill_log_ended(const char *folder, const char *recording, const char *end);
/* How many events of this kind it lists. */
int drill_log_events(const char *folder, const char *recording, const char *kind);

/* When a line wrote this word into its diary FOLDER/name, in drill_now_s's time; NAN: never. */
double drill_diary_s(const char *folder, const char *name, const char *word);

/* A recording in memory: 32 bit samples, full scale 2^31, interleaved. */
typedef struct drill_take {
    int *sample;
    int64_t frames;
    unsigned channels;
    double rate_hz;
} drill_take;

/* False when the file cannot be read. Free with drill_take_free. */
bool drill_take_read(const char *folder, const char *name, drill_take *take);
void drill_take_free(drill_take *take);

/* How many frames from take frame `from` on are, bit by bit, those fed from `fed` on, at a line of
 * this many bits. */
int64_t drill_take_matches(const drill_take *take, int64_t from, const pattern *fed,
                           int64_t fed_from, int bits);

/* Which frame of the line the take's frame is, searched from `near` on; -1 when not found. */
int64_t drill_take_find(const drill_take *take, int64_t frame, const pattern *fed, int64_t near,
                        int bits);

#endif
