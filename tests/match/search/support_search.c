#include "tests/match/search/support_search.h"

#include <math.h>

void search_set_up(const sw_units *units, const char *rotor, const char *motor, search_bench *it) {
    scene_set_up(units, rotor, motor, SCENE_SITE, &it->scene);
    it->request = (sw_search_request){.motor = &it->scene.motor,
                                      .rotor = &it->scene.rotor,
                                      .site = &it->scene.site,
                                      .load = &it->scene.load,
                                      .shop = &it->scene.shop,
                                      .rim = {3, 2, 1.5, 300, NAN, 1, NAN, 0},
                                      .wheel_mm = NAN};
}

void search_run(search_bench *it, sw_search *search) {
    sw_error error = {0};
    assert_ok(sw_search_run(&it->request, search, &error), &error);
}
