/* A slow USB stick: loaded before the program (LD_PRELOAD), it makes fsync take SLOW_DISK_MS
 * milliseconds more. */
#define _GNU_SOURCE

#include <stdlib.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

/* NOLINTNEXTLINE(readability-inconsistent-declaration-parameter-name): the system names it __fd */
int fsync(int file) {
    const char *text = getenv("SLOW_DISK_MS");
    long pause_ms = text != NULL ? strtol(text, NULL, 10) : 0;
    struct timespec pause = {pause_ms / 1000, pause_ms % 1000 * 1000000};
    nanosleep(&pause, NULL);
    return (int)syscall(SYS_fsync, file);
}
