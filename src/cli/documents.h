/* Documents that somebody may not have yet: how to make one is said where it is missed. */
#ifndef SPINWORTH_CLI_DOCUMENTS_H
#define SPINWORTH_CLI_DOCUMENTS_H

#include "shared/status.h"

/* For the status of reading a "motor", "rotor", "site" or "load" at path: where no file was found,
 * the message names the call of ask that makes one. */
sw_status sw_document_hint(sw_status status, const char *path, const char *kind, sw_error *error);

/* The option that names one was not given: "--rotor is missing ...". */
sw_status sw_document_need(const char *kind, sw_error *error);

#endif
