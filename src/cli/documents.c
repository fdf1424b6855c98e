#include "src/cli/documents.h"

#include "shared/files.h"

#include <string.h>

sw_status sw_document_hint(sw_status status, const char *path, const char *kind, sw_error *error) {
    if (status != SW_NOT_FOUND || strcmp(path, "-") == 0 || sw_file_exists(path))
        return status;
    return sw_fail(error, status,
                   "%.150s: no such file; a few questions make one: spinworth ask %s -o %.150s",
                   path, kind, path);
}

sw_status sw_document_need(const char *kind, sw_error *error) {
    return sw_fail(error, SW_USAGE,
                   "--%s is missing, for example --%s %s.json (spinworth ask %s -o %s.json makes "
                   "one by a few questions)",
                   kind, kind, kind, kind, kind);
}
