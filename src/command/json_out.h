// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_JSON_OUT_H
#define QUINTFALL_SRC_COMMAND_JSON_OUT_H

#include "quintfall/time.h"

#include <json-c/json.h>

/// Add a member that is text
void
json_add_text(json_object* object, const char* name, const char* text);

/// Add a member that is a time, as a fraction of a whole note
void
json_add_time(json_object* object, const char* name, QfTime time);

/// The text of a tree, which is freed (transfer full, or NULL if out of memory)
char*
json_take_text(json_object* root);

#endif // QUINTFALL_SRC_COMMAND_JSON_OUT_H
