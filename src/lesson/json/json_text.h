// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_JSON_TEXT_H
#define QUINTFALL_LESSON_JSON_TEXT_H

#include "quintfall/text.h"

#include <json-c/json.h>

/// Write JSON with two spaces of indent; what fits on a line stays on one
void
json_text_write(QfText* text, json_object* json);

/// A string; bytes that are not UTF-8 (a name cut or imported so) become U+FFFD
json_object*
json_text_string(const char* text);

/// A number in the shortest form that reads back the same
json_object*
json_text_number(double value);

#endif // QUINTFALL_LESSON_JSON_TEXT_H
