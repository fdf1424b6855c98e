/* A scene and what a search over it is asked. */
#ifndef SPINWORTH_TESTS_MATCH_SUPPORT_SEARCH_H
#define SPINWORTH_TESTS_MATCH_SUPPORT_SEARCH_H

#include "tests/match/scene.h"

#include "src/match/search/search.h"

typedef struct search_bench {
    scene scene;
    sw_search_request request; /* borrows from the scene */
} search_bench;

/* Documents as in scene.h; tear down with scene_tear_down(&it->scene). */
void search_set_up(const sw_units *units, const char *rotor, const char *motor, search_bench *it);

/* Must succeed; the caller frees. */
void search_run(search_bench *it, sw_search *search);

#endif
