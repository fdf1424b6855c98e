/* How long a search and a whole match take, beside the time of 1000 exact operating points of the
 * same motor in the same run, which tells how fast the machine is. Not a test; prints figures.
 *
 *   bench_match [rounds] */
#include "tests/match/scene.h"

#include "src/match/deliver/deliver.h"
#include "src/match/search/search.h"

#include <math.h>
#include <time.h>

typedef struct bench {
    scene scene;
} bench;

/* Time that this process used, so that a busy machine does not count. */
static double used_s(void) {
    return (double)clock() / CLOCKS_PER_SEC;
}

static double points_s(const bench *it) {
    sw_operating_point point;
    sw_wiring wiring = sw_wiring_default(&it->scene.motor);
    sw_deliver_load seen = sw_load_electrical(&it->scene.load);
    double start = used_s();
    for (int i = 1; i <= 1000; i++)
        (void)sw_deliver(&it->scene.motor, &wiring, &seen, i, &point, NULL);
    return used_s() - start;
}

static void report(const char *what, double seconds, double unit_s) {
    printf("  %-48s %7.0f ms  %6.2f times 1000 exact points\n", what, 1e3 * seconds,
           seconds / unit_s);
}

static void time_search(const bench *it, const char *what, size_t voltages, int machines,
                        bool outlook, double unit_s) {
    sw_search search;
    sw_search_request request = {.motor = &it->scene.motor,
                                 .rotor = &it->scene.rotor,
                                 .site = &it->scene.site,
                                 .load = &it->scene.load,
                                 .shop = &it->scene.shop,
                                 .rim = {3, 2, 1.5, 300, NAN, 1, NAN, 0},
                                 .wheel_mm = NAN,
                                 .voltages = voltages,
                                 .voltage = {12, 24, 48, 36},
                                 .machines = machines,
                                 .outlook = outlook};
    double start = used_s();
    sw_status status = sw_search_run(&request, &search, NULL);
    report(status == SW_OK ? what : "a search that failed", used_s() - start, unit_s);
    if (status == SW_OK)
        sw_search_free(&search);
}

static void time_match(const bench *it, const char *what, size_t voltages, int machines,
                       double unit_s) {
    static sw_match match;
    sw_match_request request = {.motor = &it->scene.motor,
                                .rotor = &it->scene.rotor,
                                .site = &it->scene.site,
                                .load = &it->scene.load,
                                .shop = &it->scene.shop,
                                .wheel_mm = NAN,
                                .run_out_mm = NAN,
                                .moving_kg = NAN,
                                .voltages = voltages,
                                .voltage = {12, 24, 36, 48},
                                .machines = machines};
    double start = used_s();
    sw_status status = sw_match_run(&request, &match, NULL);
    report(status == SW_OK ? what : "a match that failed", used_s() - start, unit_s);
    if (status == SW_OK)
        sw_match_free(&match);
}

int main(void) {
    static bench it;
    sw_units *units = NULL;
    if (sw_units_new(&units, NULL) != SW_OK)
        return 1;
    it.scene.rotor = scene_rotor(units, SCENE_DRUM);
    it.scene.motor = scene_motor(units, SCENE_RING);
    it.scene.motor.can_rewire = SW_REWIRE_REWIND;
    it.scene.motor.coil_groups = 2;
    it.scene.site = scene_site(units, SCENE_SITE);
    it.scene.load = scene_load(units, SCENE_LOAD);
    it.scene.shop = scene_shop();
    double unit_s = points_s(&it);
    printf("1000 exact points: %.0f ms\n", 1e3 * unit_s);
    time_search(&it, "search, one battery, one machine", 0, 1, false, unit_s);
    time_search(&it, "with the outlook", 0, 1, true, unit_s);
    time_search(&it, "12, 24 and 48 V, 1 to 3 machines, any coils", 3, 3, true, unit_s);
    time_search(&it, "4 voltages, 1 to 4 machines, any coils", 4, 4, true, unit_s);
    time_match(&it, "a whole match", 0, 1, unit_s);
    time_match(&it, "a whole match, 4 voltages, 1 to 4 machines", 4, 4, unit_s);
    scene_tear_down(&it.scene);
    sw_units_free(units);
    return 0;
}
