/* Drills run programs and watch them from outside: POSIX. */
#define _XOPEN_SOURCE 700

#include "tests/capture/support_drill.h"

#include "tests/support.h"

#include <cjson/cJSON.h>
#include <errno.h>
#include <math.h>
#include <signal.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

bool drill_possible(void) {
    if (access(TEST_LINE_MODULE, R_OK) == 0)
        return true;
    puts("Skipped: the test line needs ALSA's headers (Debian: libasound2-dev) at build time.");
    return false;
}

int drill_setup(void **state) {
    char *folder = malloc(DRILL_PATH_ROOM);
    if (folder == NULL)
        return -1;
    support_temporary_directory(folder, DRILL_PATH_ROOM);
    *state = folder;
    return 0;
}

int drill_teardown(void **state) {
    support_remove_tree(*state);
    free(*state);
    return 0;
}

static void join(char out[static DRILL_PATH_ROOM], const char *folder, const char *name,
                 const char *ending) {
    int used = snprintf(out, DRILL_PATH_ROOM, "%s/%s%s", folder, name, ending);
    assert_in_range(used, 1, DRILL_PATH_ROOM - 1);
}

void drill_lines(const char *folder, const char *first, const char *definitions) {
    char path[DRILL_PATH_ROOM];
    join(path, folder, "asound.conf", "");
    FILE *stream = fopen(path, "w");
    assert_non_null(stream);
    fprintf(stream,
            "pcm_type.testline { lib \"%s\" }\n%s\n"
            "pcm.default { type plug slave.pcm \"%s\" }\n",
            TEST_LINE_MODULE, definitions, first);
    assert_int_equal(fclose(stream), 0);
}

double drill_now_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void drill_sleep(double seconds) {
    struct timespec time = {(time_t)seconds, (long)((seconds - (double)(time_t)seconds) * 1e9)};
    while (nanosleep(&time, &time) != 0 && errno == EINTR)
        ;
}

/* What a sanitizer finds goes into a file: the program's standard error leads to nowhere while it
 * records. In the child. */
static void report_to(const char *path) {
    static const char *const names[] = {"ASAN_OPTIONS", "UBSAN_OPTIONS", "TSAN_OPTIONS"};
    char options[1024];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        const char *given = getenv(names[i]);
        snprintf(options, sizeof options, "%s:log_path=%s", given != NULL ? given : "", path);
        setenv(names[i], options, 1);
    }
}

void drill_start(const char *folder, const char *tag, const char *before, const char *arguments,
                 drill_run *run) {
    char command[2048];
    memset(run, 0, sizeof *run);
    join(run->out_path, folder, tag, ".out");
    join(run->err_path, folder, tag, ".err");
    join(run->report_path, folder, tag, ".sanitizer");
    /* exec: the process that is watched and killed is the program itself. */
    int used =
        snprintf(command, sizeof command,
                 "cd '%s' && export ALSA_CONFIG_PATH='%s/asound.conf' && "
                 "%s exec '%s' %s >'%s' 2>'%s' </dev/null",
                 folder, folder, before, TEST_SPINWORTH, arguments, run->out_path, run->err_path);
    assert_in_range(used, 1, sizeof command - 1);
    run->pid = fork();
    assert_true(run->pid >= 0);
    if (run->pid == 0) {
        report_to(run->report_path);
        execl("/bin/sh", "sh", "-c", command, (char *)NULL);
        _exit(127);
    }
}

static void slurp(const char *path, char out[static DRILL_TEXT_ROOM]) {
    FILE *stream = fopen(path, "rb");
    size_t length = stream == NULL ? 0 : fread(out, 1, DRILL_TEXT_ROOM - 1, stream);
    out[length] = '\0';
    if (stream != NULL)
        fclose(stream);
}

static void show_report(const drill_run *run) {
    char path[2 * DRILL_PATH_ROOM];
    char text[DRILL_TEXT_ROOM];
    snprintf(path, sizeof path, "%s.%ld", run->report_path, (long)run->pid);
    slurp(path, text);
    if (text[0] != '\0')
        print_error("%s", text);
}

/* When a file was last written, in drill_now_s's time. */
static double written_s(const char *path) {
    struct stat about;
    struct timespec now;
    if (stat(path, &about) != 0)
        return -INFINITY;
    clock_gettime(CLOCK_REALTIME, &now);
    double ago_s = (double)(now.tv_sec - about.st_mtim.tv_sec) +
                   1e-9 * (double)(now.tv_nsec - about.st_mtim.tv_nsec);
    return drill_now_s() - ago_s;
}

int drill_wait(drill_run *run, double limit_s) {
    int status = 0;
    double end_s = drill_now_s() + limit_s;
    pid_t ended = 0;
    while ((ended = waitpid(run->pid, &status, WNOHANG)) == 0 && drill_now_s() < end_s)
        drill_sleep(0.01);
    show_report(run);
    run->ended_s = fmax(written_s(run->out_path), written_s(run->err_path));
    if (ended == 0) {
        kill(run->pid, SIGKILL);
        waitpid(run->pid, &status, 0);
    }
    slurp(run->out_path, run->out);
    slurp(run->err_path, run->err);
    if (ended == 0)
        fail_msg("did not end in %.1f s\n%s\n%s", limit_s, run->out, run->err);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

bool drill_file_grows(const char *folder, const char *name, long bytes, double limit_s) {
    char path[DRILL_PATH_ROOM];
    join(path, folder, name, "");
    double end_s = drill_now_s() + limit_s;
    struct stat about;
    while (stat(path, &about) != 0 || about.st_size < bytes) {
        if (drill_now_s() > end_s)
            return false;
        drill_sleep(0.01);
    }
    return true;
}

static cJSON *read_log(const char *folder, const char *recording) {
    char path[DRILL_PATH_ROOM];
    static char text[1 << 17];
    join(path, folder, recording, ".json");
    FILE *stream = fopen(path, "rb");
    size_t length = stream == NULL ? 0 : fread(text, 1, sizeof text - 1, stream);
    text[length] = '\0';
    if (stream != NULL)
        fclose(stream);
    cJSON *log = cJSON_Parse(text);
    if (log == NULL)
        fail_msg("%s: no document: %s", path, text);
    return log;
}

double drill_log_number(const char *folder, const char *recording, const char *key) {
    cJSON *log = read_log(folder, recording);
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(log, key);
    if (cJSON_IsObject(item))
        item = cJSON_GetObjectItemCaseSensitive(item, "value");
    double value = cJSON_IsNumber(item) ? item->valuedouble : NAN;
    cJSON_Delete(log);
    return value;
}

bool drill_log_flag(const char *folder, const char *recording, const char *key) {
    cJSON *log = read_log(folder, recording);
    bool set = cJSON_IsTrue(cJSON_GetObjectItemCaseSensitive(log, key));
    cJSON_Delete(log);
    return set;
}

static bool is_text(const cJSON *item, const char *text) {
    const char *found = cJSON_GetStringValue(item);
    return found != NULL && strcmp(found, text) == 0;
}

bool drill_log_ended(const char *folder, const char *recording, const char *end) {
    cJSON *log = read_log(folder, recording);
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(log, "end");
    bool same = is_text(item, end);
    if (!same)
        print_error("%s ended: %s, expected %s\n", recording, cJSON_GetStringValue(item), end);
    cJSON_Delete(log);
    return same;
}

int drill_log_events(const char *folder, const char *recording, const char *kind) {
    cJSON *log = read_log(folder, recording);
    const cJSON *event;
    int count = 0;
    cJSON_ArrayForEach(event, cJSON_GetObjectItemCaseSensitive(log, "events")) {
        count += is_text(cJSON_GetObjectItemCaseSensitive(event, "kind"), kind);
    }
    cJSON_Delete(log);
    return count;
}

double drill_diary_s(const char *folder, const char *name, const char *word) {
    char path[DRILL_PATH_ROOM];
    char found[32];
    double time_s = NAN;
    join(path, folder, name, "");
    FILE *stream = fopen(path, "r");
    if (stream == NULL)
        return NAN;
    /* NOLINTNEXTLINE(cert-err34-c): the diary is the drill's own */
    while (fscanf(stream, "%31s %lf", found, &time_s) == 2 && strcmp(found, word) != 0)
        time_s = NAN;
    fclose(stream);
    return time_s;
}

static void read_all(SNDFILE *file, drill_take *take) {
    enum { CHUNK = 65536 };
    sf_count_t read = 0;
    do {
        size_t room = ((size_t)take->frames + CHUNK) * take->channels;
        int *more = realloc(take->sample, room * sizeof *more);
        assert_non_null(more);
        take->sample = more;
        read = sf_readf_int(file, more + take->frames * take->channels, CHUNK);
        take->frames += read;
    } while (read > 0);
}

bool drill_take_read(const char *folder, const char *name, drill_take *take) {
    char path[DRILL_PATH_ROOM];
    join(path, folder, name, "");
    *take = (drill_take){0};
    SF_INFO about = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &about);
    if (file == NULL) {
        print_error("%s: %s\n", path, sf_strerror(NULL));
        return false;
    }
    take->channels = (unsigned)about.channels;
    take->rate_hz = about.samplerate;
    read_all(file, take);
    sf_close(file);
    /* A FLAC whose end was never written does not know its length. */
    if (take->frames == about.frames || about.frames == SF_COUNT_MAX)
        return true;
    print_error("%s: %lld of %lld frames can be read\n", path, (long long)take->frames,
                (long long)about.frames);
    drill_take_free(take);
    return false;
}

void drill_take_free(drill_take *take) {
    free(take->sample);
    *take = (drill_take){0};
}

static bool same_frame(const drill_take *take, int64_t frame, const pattern *fed, int64_t fed_frame,
                       int bits) {
    for (unsigned channel = 0; channel < take->channels; channel++) {
        uint32_t word = (uint32_t)pattern_sample(fed, (uint64_t)fed_frame, channel) << 8;
        word &= UINT32_MAX << (32 - bits);
        if ((uint32_t)take->sample[frame * take->channels + channel] != word)
            return false;
    }
    return true;
}

int64_t drill_take_matches(const drill_take *take, int64_t from, const pattern *fed,
                           int64_t fed_from, int bits) {
    int64_t frame = from;
    while (frame < take->frames && same_frame(take, frame, fed, fed_from + frame - from, bits))
        frame++;
    return frame - from;
}

int64_t drill_take_find(const drill_take *take, int64_t frame, const pattern *fed, int64_t near,
                        int bits) {
    enum { ENOUGH = 4, FAR = 1000000 };
    for (int64_t at = near; frame + ENOUGH <= take->frames && at < near + FAR; at++)
        if (drill_take_matches(take, frame, fed, at, bits) >= ENOUGH)
            return at;
    return -1;
}
