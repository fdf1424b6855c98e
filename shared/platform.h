/* What the C library lacks and every operating system has under another name: a steady clock,
 * threads, a file that must be new, room on a disk, messages of libraries kept off the screen.
 * Beside shared/files.c the one place with operating-system calls. */
#ifndef SPINWORTH_SHARED_PLATFORM_H
#define SPINWORTH_SHARED_PLATFORM_H

#include "shared/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

/* Seconds of a clock that never jumps; its zero means nothing. */
double sw_platform_seconds(void);

/* Sleep about so long (a signal may end it earlier). */
void sw_platform_sleep(double seconds);

/* Now, as "2026-05-04T13:02:11Z". */
void sw_platform_utc(char *out, size_t room);

/* ---- a person at the keyboard ---- */

typedef enum sw_line_end {
    SW_LINE_READ,
    SW_LINE_OVER,       /* no more input */
    SW_LINE_INTERRUPTED /* Ctrl-C while it was waited for */
} sw_line_end;

/* Like fgets, but Ctrl-C meanwhile only ends the wait, unless the program was started to ignore
 * it. */
sw_line_end sw_platform_read_line(FILE *input, char *line, size_t room);

/* ---- threads ---- */

typedef struct sw_thread sw_thread;

/* Run work(argument) beside the caller. Signals stay with the thread that calls this. */
sw_status sw_thread_start(void (*work)(void *), void *argument, sw_thread **thread,
                          sw_error *error);
/* Wait until it has ended, and release it. NULL is fine. */
void sw_thread_join(sw_thread *thread);

/* ---- a new file ---- */

typedef struct sw_new_file sw_new_file;

/* SW_EXISTS when anything is at path already, also when another program makes it at the same
 * moment; SW_IO when it cannot be made. The path is borrowed. */
sw_status sw_new_file_open(const char *path, sw_new_file **file, sw_error *error);
int64_t sw_new_file_length(const sw_new_file *file);
int64_t sw_new_file_tell(const sw_new_file *file);
/* The position afterwards, -1 on failure. */
int64_t sw_new_file_seek(sw_new_file *file, int64_t offset);
/* Bytes written or read; fewer than asked is a fault, which sw_new_file_fault tells. */
size_t sw_new_file_write(sw_new_file *file, const void *bytes, size_t count);
size_t sw_new_file_read(sw_new_file *file, void *bytes, size_t count);
/* Have the disk keep what was written so far. */
bool sw_new_file_sync(sw_new_file *file);
/* Words for the first fault, NULL when there was none. */
const char *sw_new_file_fault(const sw_new_file *file);
/* False when the disk did not take all. NULL is fine. */
bool sw_new_file_close(sw_new_file *file);

/* Take away a file that the caller has made and does not want after all. */
void sw_platform_remove(const char *path);

/* Bytes an ordinary user may still write to the disk that path is or will be on, -1 = not known. */
int64_t sw_platform_free_bytes(const char *path);

/* ---- libraries that print ---- */

/* Send standard error to nowhere until it is given back; -1 = could not. One thread only. */
int sw_platform_hush(void);
void sw_platform_unhush(int kept);
/* A stream to the real standard error while it is hushed (the caller closes it); NULL = none. */
FILE *sw_platform_heard(int kept);

/* A function of a library that is loaded already, NULL when there is none of that name. */
typedef void (*sw_function)(void);
sw_function sw_platform_function(const char *name);

#endif
