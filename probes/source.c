#include "probes/source.h"

#include "shared/files.h"

#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What fits into a temporary file without filling somebody's disk. */
static const int64_t SPOOL_LIMIT_BYTES = (int64_t)4 * 1024 * 1024 * 1024;

struct sw_source {
    FILE *stream;
    const char *name; /* borrowed */
    int64_t size;
    size_t head_length;
    unsigned char head[SW_SOURCE_HEAD_BYTES];
};

static sw_status copy_stream(FILE *from, FILE *to, const char *name, sw_error *error) {
    static const size_t BLOCK = 65536;
    unsigned char *block = malloc(BLOCK);
    if (block == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to read it", name);
    int64_t total = 0;
    sw_status status = SW_OK;
    for (size_t got = fread(block, 1, BLOCK, from); got > 0 && status == SW_OK;
         got = fread(block, 1, BLOCK, from)) {
        total += (int64_t)got;
        if (total > SPOOL_LIMIT_BYTES)
            status = sw_fail(error, SW_FORMAT, "%s: more than 4 GiB came through the pipe", name);
        else if (fwrite(block, 1, got, to) != got)
            status = sw_fail(error, SW_IO, "%s: the temporary copy cannot be written", name);
    }
    free(block);
    if (status == SW_OK && ferror(from))
        return sw_fail(error, SW_IO, "%s: reading failed", name);
    return status;
}

/* Replace a stream that cannot seek by a temporary copy of it. */
static sw_status spool(sw_source *source, sw_error *error) {
    FILE *copy = tmpfile();
    if (copy == NULL)
        return sw_fail(error, SW_IO, "%s: no temporary file can be made to hold it", source->name);
    sw_status status = copy_stream(source->stream, copy, source->name, error);
    if (source->stream != stdin)
        fclose(source->stream);
    source->stream = copy;
    return status;
}

static bool find_size(sw_source *source) {
    if (fseek(source->stream, 0, SEEK_END) != 0)
        return false;
    long end = ftell(source->stream);
    source->size = end;
    return end >= 0 && fseek(source->stream, 0, SEEK_SET) == 0;
}

static sw_status read_head(sw_source *source, sw_error *error) {
    if (!find_size(source))
        return sw_fail(error, SW_IO, "%s: cannot be read", source->name);
    source->head_length = fread(source->head, 1, SW_SOURCE_HEAD_BYTES, source->stream);
    if (ferror(source->stream))
        return sw_fail(error, SW_IO, "%s: reading failed", source->name);
    if (source->size == 0 || source->head_length == 0)
        return sw_fail(error, SW_EMPTY, "%s: the file is empty", source->name);
    sw_source_seek(source, 0);
    return SW_OK;
}

static sw_status open_stream(sw_source *source, const char *path, sw_error *error) {
    if (strcmp(path, "-") == 0) {
        source->stream = stdin;
        return spool(source, error);
    }
    sw_status status = sw_file_check(path, error);
    if (status != SW_OK)
        return status;
    source->stream = fopen(path, "rb");
    if (source->stream == NULL)
        return sw_fail(error, SW_NOT_READABLE, "%s: cannot be opened", path);
    return fseek(source->stream, 0, SEEK_END) == 0 ? SW_OK : spool(source, error);
}

sw_status sw_source_open(const char *path, sw_source **source, sw_error *error) {
    *source = NULL;
    sw_source *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to open it", path);
    fresh->name = strcmp(path, "-") == 0 ? "standard input" : path;
    sw_status status = open_stream(fresh, path, error);
    if (status == SW_OK)
        status = read_head(fresh, error);
    if (status == SW_OK)
        *source = fresh;
    else
        sw_source_close(fresh);
    return status;
}

void sw_source_close(sw_source *source) {
    if (source != NULL && source->stream != NULL && source->stream != stdin)
        fclose(source->stream);
    free(source);
}

const char *sw_source_name(const sw_source *source) {
    return source->name;
}

int64_t sw_source_size(const sw_source *source) {
    return source->size;
}

const unsigned char *sw_source_head(const sw_source *source, size_t *length) {
    *length = source->head_length;
    return source->head;
}

int64_t sw_source_seek(sw_source *source, int64_t offset) {
    if (offset < 0 || offset > LONG_MAX || fseek(source->stream, (long)offset, SEEK_SET) != 0)
        return -1;
    return offset;
}

int64_t sw_source_tell(const sw_source *source) {
    return ftell(source->stream);
}

size_t sw_source_read(sw_source *source, void *bytes, size_t count) {
    return fread(bytes, 1, count, source->stream);
}

int sw_source_broken(const sw_source *source) {
    return ferror(source->stream);
}
