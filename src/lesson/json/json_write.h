// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_JSON_WRITE_H
#define QUINTFALL_LESSON_JSON_WRITE_H

#include "quintfall/key.h"
#include "quintfall/time.h"

#include <json-c/json.h>

/*
   What ran out of memory shows as a missing member.
*/

/// Add a member (takes the value)
void
json_write(json_object* object, const char* name, json_object* value);

void
json_write_text(json_object* object, const char* name, const char* text);

void
json_write_time(json_object* object, const char* name, QfTime time);

void
json_write_key(json_object* object, const char* name, QfKey key);

void
json_write_int(json_object* object, const char* name, int64_t value);

void
json_write_number(json_object* object, const char* name, double value);

void
json_write_bool(json_object* object, const char* name, bool value);

#endif // QUINTFALL_LESSON_JSON_WRITE_H
