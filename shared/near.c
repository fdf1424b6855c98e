#include "shared/near.h"

#include <stddef.h>
#include <stdint.h>
#include <string.h>

enum { LETTERS = 40 };

static size_t least_of(size_t a, size_t b) {
    return a < b ? a : b;
}

/* Letters changed, left out, added or swapped with their neighbour (the optimal string alignment
 * distance, L. Boytsov 2011, section 2.2), for words shorter than LETTERS. */
static size_t distance(const char *left, const char *right) {
    size_t rows[LETTERS][LETTERS];
    size_t lefts = strlen(left);
    size_t rights = strlen(right);
    if (lefts >= LETTERS || rights >= LETTERS)
        return SIZE_MAX;
    for (size_t i = 0; i <= lefts; i++)
        rows[i][0] = i;
    for (size_t j = 0; j <= rights; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= lefts; i++)
        for (size_t j = 1; j <= rights; j++) {
            size_t changed = rows[i - 1][j - 1] + (left[i - 1] != right[j - 1]);
            size_t best = least_of(changed, least_of(rows[i - 1][j], rows[i][j - 1]) + 1);
            if (i > 1 && j > 1 && left[i - 1] == right[j - 2] && left[i - 2] == right[j - 1])
                best = least_of(best, rows[i - 2][j - 2] + 1);
            rows[i][j] = best;
        }
    return rows[lefts][rights];
}

const char *sw_near_word(const char *typed, const char *const *words) {
    const char *best = NULL;
    size_t least = strlen(typed) / 4 + 2;
    for (; *words != NULL; words++) {
        size_t far = distance(typed, *words);
        if (far < least) {
            least = far;
            best = *words;
        }
    }
    return best;
}
