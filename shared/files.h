/* Files: read whole, save atomically. The one place with operating-system calls. */
#ifndef SPINWORTH_SHARED_FILES_H
#define SPINWORTH_SHARED_FILES_H

#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* Room for a path: longer ones are refused. */
enum { SW_PATH_ROOM = 4096 };

/* Can path be read as a file? SW_NOT_FOUND, SW_NOT_READABLE (directory, permission) or SW_OK.
 * "-" is standard input and always fine. */
sw_status sw_file_check(const char *path, sw_error *error);

/* Read all of path ("-" = standard input) into *data, with a NUL after it that *length does
 * not count. The caller frees *data. SW_EMPTY when there is not one byte; SW_FORMAT beyond
 * limit bytes. */
sw_status sw_file_read(const char *path, size_t limit, char **data, size_t *length,
                       sw_error *error);

/* Is there something at path? */
bool sw_file_exists(const char *path);

/* May something be saved at path? SW_USAGE for a directory, a device or a pipe, SW_EXISTS when
 * path is there and force is false. Ask before long work; saving asks again. */
sw_status sw_file_check_target(const char *path, bool force, sw_error *error);

/* Write beside, fsync, rename; through a link its target is replaced. SW_EXISTS when path is there
 * and force is false. Nothing is left behind on failure, and an old file stays whole. */
sw_status sw_file_save(const char *path, const char *data, size_t length, bool force,
                       sw_error *error);

/* All regular files in directory whose names end with suffix, sorted, as full paths; the
 * caller frees with sw_file_list_free. SW_EMPTY when there are none. */
sw_status sw_file_list(const char *directory, const char *suffix, char ***paths, size_t *count,
                       sw_error *error);
void sw_file_list_free(char **paths, size_t count);

/* Is path a file on a disk, which can be read as often as one likes? */
bool sw_file_is_plain(const char *path);

/* Is path a directory? */
bool sw_file_is_directory(const char *path);

/* Is the running program the file at path? called is argv[0], for systems that do not tell. */
bool sw_file_is_program(const char *path, const char *called);

/* Does a person type at the other end of stream? */
bool sw_file_is_terminal(FILE *stream);

#endif
