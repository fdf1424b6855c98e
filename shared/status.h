/* Status values and messages.
 *
 * Every function that can fail returns a sw_status and takes a sw_error as its last argument
 * (which may be NULL when only the status matters). The message is one line for the person at
 * the bench: it names the file, the line or key, what was found and what was expected.
 * There is no errno-like state: an error lives where the caller put it.
 */
#ifndef SPINWORTH_SHARED_STATUS_H
#define SPINWORTH_SHARED_STATUS_H

typedef enum sw_status {
    SW_OK = 0,
    SW_USAGE,          /* a wrong call: unknown option, two options that exclude each other */
    SW_EXISTS,         /* the output is there already and --force was not given */
    SW_NOT_FOUND,      /* no such file, table or name */
    SW_NOT_READABLE,   /* a directory, or no permission to read */
    SW_EMPTY,          /* a file without a byte or without a row */
    SW_FORMAT,         /* cannot be read as what it should be: binary, torn, a bad row */
    SW_VALUE,          /* a value that is no number, NaN, or outside its range */
    SW_UNIT,           /* no unit, an unknown unit, or one of another dimension */
    SW_UNKNOWN_KEY,    /* a key in a document that the program does not know */
    SW_DUPLICATE_KEY,  /* a key that stands twice */
    SW_MISSING_KEY,    /* a key that is needed */
    SW_TOO_SHORT,      /* fewer samples or readings than the question needs */
    SW_MISMATCH,       /* two inputs that do not fit: rates, lengths, channel numbers */
    SW_UNSUPPORTED,    /* understood, but not possible here, with the reason */
    SW_NO_CONVERGENCE, /* an iteration ended without an answer */
    SW_IO,             /* disk or pipe fault: full, read-only, closed */
    SW_DEVICE,         /* a capture device fault */
    SW_MEMORY,         /* out of memory */
    SW_STATUS_COUNT
} sw_status;

typedef struct sw_error {
    sw_status status;
    char message[600];
} sw_error;

/* Short lower_snake_case name of a status ("unknown_key"), never NULL. */
const char *sw_status_name(sw_status status);

/* Process exit status: 0 fine, 2 wrong call, 3 bad input, 4 device or disk fault. */
int sw_status_exit(sw_status status);

/* Write the message (printf style) into error unless it is NULL. */
void sw_error_set(sw_error *error, sw_status status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static inline sw_status sw_status_pass(sw_status status) {
    return status;
}

/* The same, and return status: sw_fail(error, SW_UNIT, "found %s", text). A macro, so that
 * compilers and checkers see at the call which status comes back. */
#define sw_fail(error, status, ...)                                                                \
    (sw_error_set((error), (status), __VA_ARGS__), sw_status_pass(status))

/* Put "prefix: " before the message that error already has; returns error's status. */
sw_status sw_fail_within(sw_error *error, const char *prefix);

#endif
