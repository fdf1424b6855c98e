/* The only file with POSIX calls: fsync, directory reading, the temporary name. */
#define _XOPEN_SOURCE 700

#include "shared/files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

bool sw_file_is_plain(const char *path) {
    struct stat status;
    return strcmp(path, "-") != 0 && stat(path, &status) == 0 && S_ISREG(status.st_mode);
}

bool sw_file_is_directory(const char *path) {
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

bool sw_file_exists(const char *path) {
    struct stat status;
    return lstat(path, &status) == 0;
}

bool sw_file_is_program(const char *path, const char *called) {
    struct stat running;
    struct stat other;
    bool known = stat("/proc/self/exe", &running) == 0 || stat(called, &running) == 0;
    return known && stat(path, &other) == 0 && running.st_dev == other.st_dev &&
           running.st_ino == other.st_ino;
}

sw_status sw_file_check(const char *path, sw_error *error) {
    if (strcmp(path, "-") == 0)
        return SW_OK;
    if (sw_file_is_directory(path))
        return sw_fail(error, SW_NOT_READABLE, "%s: is a directory, expected a file", path);
    if (access(path, R_OK) == 0)
        return SW_OK;
    if (errno == ENOENT || errno == ENOTDIR)
        return sw_fail(error, SW_NOT_FOUND, "%s: no such file", path);
    return sw_fail(error, SW_NOT_READABLE, "%s: cannot be read: %s", path, strerror(errno));
}

static sw_status read_stream(FILE *stream, const char *path, size_t limit, char **data,
                             size_t *length, sw_error *error) {
    size_t room = 65536;
    size_t used = 0;
    char *buffer = malloc(room + 1);
    while (buffer != NULL) {
        used += fread(buffer + used, 1, room - used, stream);
        if (used < room || used > limit)
            break;
        room *= 2;
        char *larger = realloc(buffer, room + 1);
        if (larger == NULL)
            free(buffer);
        buffer = larger;
    }
    if (buffer == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to read it", path);
    sw_status status = SW_OK;
    if (ferror(stream))
        status = sw_fail(error, SW_IO, "%s: reading failed: %s", path, strerror(errno));
    else if (used > limit)
        status = sw_fail(error, SW_FORMAT, "%s: larger than %zu bytes", path, limit);
    else if (used == 0)
        status = sw_fail(error, SW_EMPTY, "%s: the file is empty", path);
    if (status != SW_OK) {
        free(buffer);
        return status;
    }
    buffer[used] = '\0';
    *data = buffer;
    *length = used;
    return SW_OK;
}

sw_status sw_file_read(const char *path, size_t limit, char **data, size_t *length,
                       sw_error *error) {
    if (strcmp(path, "-") == 0)
        return read_stream(stdin, "standard input", limit, data, length, error);
    sw_status status = sw_file_check(path, error);
    if (status != SW_OK)
        return status;
    FILE *stream = fopen(path, "rb");
    if (stream == NULL)
        return sw_fail(error, SW_NOT_READABLE, "%s: cannot be read: %s", path, strerror(errno));
    status = read_stream(stream, path, limit, data, length, error);
    fclose(stream);
    return status;
}

static bool write_all(int descriptor, const char *data, size_t length) {
    while (length > 0) {
        ssize_t written = write(descriptor, data, length);
        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            return false;
        data += written;
        length -= (size_t)written;
    }
    return fsync(descriptor) == 0;
}

/* mkstemp makes files that only the owner reads; give the usual permissions instead. */
static void usual_permissions(int descriptor) {
    mode_t mask = umask(0);
    umask(mask);
    (void)fchmod(descriptor, 0666 & ~mask);
}

static sw_status exists_already(const char *path, sw_error *error) {
    return sw_fail(error, SW_EXISTS, "%s: exists already; add --force to replace it", path);
}

sw_status sw_file_check_target(const char *path, bool force, sw_error *error) {
    struct stat status;
    if (sw_file_is_directory(path))
        return sw_fail(error, SW_USAGE, "%s: is a directory, expected a file name", path);
    if (!force && sw_file_exists(path))
        return exists_already(path, error);
    if (stat(path, &status) == 0 && !S_ISREG(status.st_mode))
        return sw_fail(error, SW_USAGE, "%s: is a device or a pipe, expected a file name", path);
    return SW_OK;
}

/* link() refuses an existing name, so that two writers cannot overwrite each other. FAT and some
 * network folders have no links; there a look and a rename must do. */
static bool move_in_place(const char *beside, const char *path, bool force) {
    if (force)
        return rename(beside, path) == 0;
    if (link(beside, path) == 0) {
        unlink(beside);
        return true;
    }
    if (errno != EPERM && errno != EOPNOTSUPP && errno != ENOSYS)
        return false;
    if (sw_file_exists(path)) {
        errno = EEXIST;
        return false;
    }
    return rename(beside, path) == 0;
}

/* Leaves the reason in errno when it returns false. */
static bool save_beside(const char *beside, int descriptor, const char *path, const char *data,
                        size_t length, bool force) {
    usual_permissions(descriptor);
    bool fine = write_all(descriptor, data, length);
    int reason = errno;
    if (close(descriptor) != 0 && fine) {
        fine = false;
        reason = errno;
    }
    if (fine) {
        fine = move_in_place(beside, path, force);
        reason = errno;
    }
    if (!fine)
        unlink(beside);
    errno = reason;
    return fine;
}

static sw_status save_at(const char *path, const char *shown, const char *data, size_t length,
                         bool force, sw_error *error) {
    char beside[SW_PATH_ROOM];
    int needed = snprintf(beside, sizeof beside, "%s.XXXXXX", path);
    if (needed < 0 || (size_t)needed >= sizeof beside)
        return sw_fail(error, SW_USAGE, "%.60s...: the path is too long", shown);
    int descriptor = mkstemp(beside);
    if (descriptor >= 0 && save_beside(beside, descriptor, path, data, length, force))
        return SW_OK;
    if (errno == EEXIST && !force)
        return exists_already(shown, error);
    return sw_fail(error, SW_IO, "%s: cannot be written: %s", shown, strerror(errno));
}

sw_status sw_file_save(const char *path, const char *data, size_t length, bool force,
                       sw_error *error) {
    sw_status status = sw_file_check_target(path, force, error);
    if (status != SW_OK)
        return status;
    char *real = realpath(path, NULL); /* what a link points to is replaced, not the link */
    status = save_at(real != NULL ? real : path, path, data, length, force, error);
    free(real);
    return status;
}

static bool ends_with(const char *name, const char *suffix) {
    size_t name_length = strlen(name);
    size_t suffix_length = strlen(suffix);
    return name_length > suffix_length && strcmp(name + name_length - suffix_length, suffix) == 0;
}

static int by_name(const void *left, const void *right) {
    return strcmp(*(char *const *)left, *(char *const *)right);
}

void sw_file_list_free(char **paths, size_t count) {
    for (size_t i = 0; paths != NULL && i < count; i++)
        free(paths[i]);
    free(paths);
}

static char *join(const char *directory, const char *name) {
    size_t length = strlen(directory);
    size_t room = length + strlen(name) + 2;
    char *path = malloc(room);
    bool closed = length > 0 && directory[length - 1] == '/';
    if (path != NULL)
        snprintf(path, room, "%s%s%s", directory, closed ? "" : "/", name);
    return path;
}

static bool append(char ***paths, size_t *count, char *path) {
    char **larger = realloc(*paths, (*count + 1) * sizeof **paths);
    if (path == NULL || larger == NULL) {
        free(path);
        if (larger != NULL)
            *paths = larger;
        return false;
    }
    larger[(*count)++] = path;
    *paths = larger;
    return true;
}

/* What is a folder by that name is left out. */
static bool append_file(char ***paths, size_t *count, char *path) {
    if (path == NULL || !sw_file_is_directory(path))
        return append(paths, count, path);
    free(path);
    return true;
}

sw_status sw_file_list(const char *directory, const char *suffix, char ***paths, size_t *count,
                       sw_error *error) {
    *paths = NULL;
    *count = 0;
    DIR *stream = opendir(directory);
    if (stream == NULL) {
        sw_status status = errno == ENOENT ? SW_NOT_FOUND : SW_NOT_READABLE;
        return sw_fail(error, status, "%s: %s", directory, strerror(errno));
    }
    bool fine = true;
    for (struct dirent *entry = readdir(stream); fine && entry != NULL; entry = readdir(stream))
        if (entry->d_name[0] != '.' && ends_with(entry->d_name, suffix))
            fine = append_file(paths, count, join(directory, entry->d_name));
    closedir(stream);
    if (fine && *count > 0) {
        qsort(*paths, *count, sizeof **paths, by_name);
        return SW_OK;
    }
    sw_file_list_free(*paths, *count);
    *paths = NULL;
    if (!fine)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to list it", directory);
    return sw_fail(error, SW_EMPTY, "%s: no file ending in %s there", directory, suffix);
}

bool sw_file_is_terminal(FILE *stream) {
    return isatty(fileno(stream)) == 1;
}
