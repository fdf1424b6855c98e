/* "Did you mean ...?": the nearest of the words that would have been right. */
#ifndef SPINWORTH_SHARED_NEAR_H
#define SPINWORTH_SHARED_NEAR_H

/* The word in the NULL-terminated list that is nearest to what was typed, by letters changed, left
 * out, added or swapped with their neighbour; NULL when none is near: one letter
 * may differ, and one more for each four that were typed. */
const char *sw_near_word(const char *typed, const char *const *words);

#endif
