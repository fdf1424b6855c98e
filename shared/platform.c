/* POSIX calls: clock, threads, a file that must be new, free space, standard error. */
#define _GNU_SOURCE /* RTLD_DEFAULT */

#include "shared/platform.h"

#include "shared/files.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/statvfs.h>
#include <time.h>
#include <unistd.h>

/* ---- clock ---- */

double sw_platform_seconds(void) {
    struct timespec now = {0};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void sw_platform_sleep(double seconds) {
    if (!(seconds > 0))
        return;
    double whole = floor(seconds);
    struct timespec span = {.tv_sec = (time_t)whole, .tv_nsec = (long)((seconds - whole) * 1e9)};
    nanosleep(&span, NULL);
}

void sw_platform_utc(char *out, size_t room) {
    struct tm parts;
    time_t now = time(NULL);
    if (gmtime_r(&now, &parts) == NULL || strftime(out, room, "%Y-%m-%dT%H:%M:%SZ", &parts) == 0)
        *out = '\0';
}

/* ---- a person at the keyboard ---- */

static void only_wake(int number) {
    (void)number;
}

sw_line_end sw_platform_read_line(FILE *input, char *line, size_t room) {
    struct sigaction before;
    struct sigaction wake = {.sa_handler = only_wake}; /* without SA_RESTART: the read returns */
    sigemptyset(&wake.sa_mask);
    bool minded = sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler != SIG_IGN &&
                  sigaction(SIGINT, &wake, NULL) == 0;
    errno = 0;
    bool read = fgets(line, (int)room, input) != NULL;
    bool interrupted = !read && errno == EINTR;
    if (minded)
        (void)sigaction(SIGINT, &before, NULL);
    if (interrupted)
        clearerr(input);
    return read ? SW_LINE_READ : interrupted ? SW_LINE_INTERRUPTED : SW_LINE_OVER;
}

/* ---- threads ---- */

struct sw_thread {
    pthread_t id;
    void (*work)(void *);
    void *argument;
};

static void *run_work(void *thread) {
    const sw_thread *self = thread;
    self->work(self->argument);
    return NULL;
}

sw_status sw_thread_start(void (*work)(void *), void *argument, sw_thread **thread,
                          sw_error *error) {
    sw_thread *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a thread");
    fresh->work = work;
    fresh->argument = argument;
    sigset_t all;
    sigset_t before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    int reason = pthread_create(&fresh->id, NULL, run_work, fresh);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    if (reason != 0) {
        free(fresh);
        return sw_fail(error, SW_MEMORY, "a thread cannot be started: %s", strerror(reason));
    }
    *thread = fresh;
    return SW_OK;
}

void sw_thread_join(sw_thread *thread) {
    if (thread != NULL)
        pthread_join(thread->id, NULL);
    free(thread);
}

/* ---- a new file ---- */

struct sw_new_file {
    int descriptor;
    int64_t at;
    int64_t length;
    int reason; /* errno of the first fault, 0 = none */
};

sw_status sw_new_file_open(const char *path, sw_new_file **file, sw_error *error) {
    sw_new_file *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to open it", path);
    fresh->descriptor = open(path, O_CREAT | O_EXCL | O_RDWR | O_CLOEXEC, 0666);
    if (fresh->descriptor >= 0) {
        *file = fresh;
        return SW_OK;
    }
    free(fresh);
    if (errno == EEXIST)
        return sw_fail(error, SW_EXISTS, "%s: exists already; take another name", path);
    return sw_fail(error, SW_IO, "%s: cannot be written: %s", path, strerror(errno));
}

int64_t sw_new_file_length(const sw_new_file *file) {
    return file->length;
}

int64_t sw_new_file_tell(const sw_new_file *file) {
    return file->at;
}

int64_t sw_new_file_seek(sw_new_file *file, int64_t offset) {
    if (offset < 0)
        return -1;
    file->at = offset;
    return offset;
}

/* errno after a call that moved `moved` bytes: a disk that is full may say nothing. */
static void note_fault(sw_new_file *file, ssize_t moved) {
    if (file->reason == 0)
        file->reason = moved < 0 ? errno : ENOSPC;
}

size_t sw_new_file_write(sw_new_file *file, const void *bytes, size_t count) {
    size_t done = 0;
    while (done < count) {
        ssize_t moved =
            pwrite(file->descriptor, (const char *)bytes + done, count - done, (off_t)file->at);
        if (moved < 0 && errno == EINTR)
            continue;
        if (moved <= 0) {
            note_fault(file, moved);
            break;
        }
        done += (size_t)moved;
        file->at += moved;
    }
    if (file->at > file->length)
        file->length = file->at;
    return done;
}

size_t sw_new_file_read(sw_new_file *file, void *bytes, size_t count) {
    size_t done = 0;
    while (done < count) {
        ssize_t moved =
            pread(file->descriptor, (char *)bytes + done, count - done, (off_t)file->at);
        if (moved < 0 && errno == EINTR)
            continue;
        if (moved <= 0)
            break;
        done += (size_t)moved;
        file->at += moved;
    }
    return done;
}

/* A file system that has no fsync (a pipe's, some network ones) is no fault. */
bool sw_new_file_sync(sw_new_file *file) {
    int done = 0;
    do
        done = fsync(file->descriptor);
    while (done != 0 && errno == EINTR);
    if (done == 0 || errno == EINVAL || errno == EROFS)
        return true;
    note_fault(file, -1);
    return false;
}

const char *sw_new_file_fault(const sw_new_file *file) {
    return file->reason != 0 ? strerror(file->reason) : NULL;
}

bool sw_new_file_close(sw_new_file *file) {
    if (file == NULL)
        return true;
    bool fine = close(file->descriptor) == 0 && file->reason == 0;
    free(file);
    return fine;
}

void sw_platform_remove(const char *path) {
    (void)unlink(path);
}

int64_t sw_platform_free_bytes(const char *path) {
    struct statvfs room;
    char folder[SW_PATH_ROOM];
    const char *slash = strrchr(path, '/');
    int length = slash == NULL ? snprintf(folder, sizeof folder, ".")
                 : slash == path
                     ? snprintf(folder, sizeof folder, "/")
                     : snprintf(folder, sizeof folder, "%.*s", (int)(slash - path), path);
    if (length < 0 || (size_t)length >= sizeof folder || statvfs(folder, &room) != 0)
        return -1;
    return (int64_t)room.f_bavail * (int64_t)room.f_frsize;
}

/* ---- libraries that print ---- */

int sw_platform_hush(void) {
    int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    if (nowhere < 0)
        return -1;
    (void)fflush(stderr);
    int kept = dup(STDERR_FILENO);
    if (kept >= 0)
        (void)dup2(nowhere, STDERR_FILENO);
    close(nowhere);
    return kept;
}

void sw_platform_unhush(int kept) {
    if (kept < 0)
        return;
    (void)fflush(stderr);
    (void)dup2(kept, STDERR_FILENO);
    close(kept);
}

FILE *sw_platform_heard(int kept) {
    int descriptor = kept >= 0 ? dup(kept) : -1;
    FILE *stream = descriptor >= 0 ? fdopen(descriptor, "w") : NULL;
    if (stream == NULL && descriptor >= 0)
        close(descriptor);
    return stream;
}

/* ISO C has no way from an object's address to a function's; POSIX promises that the bits fit. */
sw_function sw_platform_function(const char *name) {
    void *address = dlsym(RTLD_DEFAULT, name);
    sw_function function = NULL;
    memcpy(&function, &address, sizeof function);
    return function;
}
