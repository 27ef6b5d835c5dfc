// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_JSON_TEXT_H
#define QUINTFALL_LESSON_JSON_TEXT_H

#include "quintfall/status.h"
#include "quintfall/text.h"

#include <json-c/json.h>

/// Write JSON with two spaces of indent; what fits on a line stays on one
void
json_text_write(QfText* text, json_object* json);

/**
   Write JSON as a text of its own.

   @param json Taken; NULL if memory ran out.
   @param[out] result (transfer full) Set on success.
   @return #QF_OK or #QF_ERR_NO_MEM.
*/
QfStatus
json_text_take(json_object* json, char** result, QfError* error);

/// A string; bytes that are not UTF-8 (a name cut or imported so) become U+FFFD
json_object*
json_text_string(const char* text);

/// A number in the shortest form that reads back the same
json_object*
json_text_number(double value);

#endif // QUINTFALL_LESSON_JSON_TEXT_H
