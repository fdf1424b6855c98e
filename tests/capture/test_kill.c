/* A recorder that is killed at any moment leaves a readable file with at most the last second
 * missing. The short form kills 8 recorders that run at the same time; SPINWORTH_DRILL_ROUNDS=50
 * in the environment makes it 50 times as many. SPINWORTH_DRILL_SEED repeats a run's moments. */
#define _XOPEN_SOURCE 700

#include "tests/capture/support_drill.h"

#include "tests/support.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { RUNS = 8, RATE = 48000 };

static const pattern fed = {.kind = PATTERN_NOISE};

typedef struct victim {
    drill_run run;
    char file[32], diary[32];
    double after_s, recorded_s; /* from the line's start to the kill: wanted, found */
} victim;

static const char *environment(const char *name, const char *otherwise) {
    const char *value = getenv(name);
    return value != NULL ? value : otherwise;
}

static void begin(const char *folder, victim *all) {
    char text[4096];
    size_t used = 0;
    for (int i = 0; i < RUNS; i++) {
        snprintf(all[i].file, sizeof all[i].file, "k%d.%s", i, i % 4 == 3 ? "flac" : "wav");
        snprintf(all[i].diary, sizeof all[i].diary, "k%d.diary", i);
        used += (size_t)snprintf(
            text + used, sizeof text - used,
            "pcm.k%d { type testline format S24_3LE diary \"%s/k%d.diary\" }\n", i, folder, i);
    }
    drill_lines(folder, "k0", text);
    for (int i = 0; i < RUNS; i++) {
        snprintf(text, sizeof text, "record %s --input k%d", all[i].file, i);
        drill_start(folder, all[i].diary, "", text, &all[i].run);
    }
}

/* Kill each at its moment, counted from when its line was started. */
static void kill_all(const char *folder, victim *all) {
    double end_s = drill_now_s() + 30;
    for (int left = RUNS; left > 0 && drill_now_s() < end_s; drill_sleep(0.002))
        for (int i = 0; i < RUNS; i++) {
            double since_s = drill_now_s() - drill_diary_s(folder, all[i].diary, "start");
            if (all[i].recorded_s > 0 || !(since_s >= all[i].after_s))
                continue;
            kill(all[i].run.pid, SIGKILL);
            all[i].recorded_s = since_s;
            left--;
        }
}

static void check(const char *folder, victim *v) {
    drill_take take;
    int status = drill_wait(&v->run, 5);
    if (status != -SIGKILL)
        fail_msg("%s: ended by itself, %d\n%s", v->file, status, v->run.err);
    assert_true(drill_take_read(folder, v->file, &take));
    double missing_s = v->recorded_s - (double)take.frames / RATE;
    print_message("%s: killed after %.3f s, %.3f s missing\n", v->file, v->recorded_s, missing_s);
    assert_true(drill_log_ended(folder, v->file, "open"));
    assert_int_equal(drill_take_matches(&take, 0, &fed, 0, 24), take.frames);
    /* What record promises: kept twice a second, and what PortAudio holds (0.1 s). */
    assert_true(missing_s <= 1);
    drill_take_free(&take);
}

static void a_killed_recorder_leaves_its_file(void **state) {
    const long rounds = strtol(environment("SPINWORTH_DRILL_ROUNDS", "1"), NULL, 10);
    char now[32];
    snprintf(now, sizeof now, "%ld", (long)time(NULL));
    unsigned seed = (unsigned)strtoul(environment("SPINWORTH_DRILL_SEED", now), NULL, 10);
    print_message("seed %u\n", seed);
    (void)state;
    for (long round = 0; round < rounds; round++) {
        victim all[RUNS] = {0};
        char *folder = NULL;
        assert_int_equal(drill_setup((void **)&folder), 0);
        /* From 0.05 s: also before the first second is full. */
        for (int i = 0; i < RUNS; i++)
            all[i].after_s = 0.05 + 2.95 * rand_r(&seed) / RAND_MAX;
        begin(folder, all);
        kill_all(folder, all);
        for (int i = 0; i < RUNS; i++)
            check(folder, &all[i]);
        drill_teardown((void **)&folder);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_killed_recorder_leaves_its_file),
    };
    return drill_possible() ? cmocka_run_group_tests_name("kill", tests, NULL, NULL) : DRILL_SKIP;
}
