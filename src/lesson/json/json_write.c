// SPDX-License-Identifier: MIT
#include "json_write.h"

#include "json_text.h"

void
json_write(json_object* const object, const char* const name, json_object* const value)
{
  if (json_object_object_add(object, name, value)) {
    json_object_put(value);
  }
}

void
json_write_text(json_object* const object, const char* const name, const char* const text)
{
  json_write(object, name, json_text_string(text));
}

void
json_write_time(json_object* const object, const char* const name, const QfTime time)
{
  char text[48];
  qf_time_write(time, text, sizeof(text));
  json_write_text(object, name, text);
}

void
json_write_key(json_object* const object, const char* const name, const QfKey key)
{
  char text[24];
  qf_key_write(key, text, sizeof(text));
  json_write_text(object, name, text);
}

void
json_write_int(json_object* const object, const char* const name, const int64_t value)
{
  json_write(object, name, json_object_new_int64(value));
}

void
json_write_number(json_object* const object, const char* const name, const double value)
{
  json_write(object, name, json_text_number(value));
}

void
json_write_bool(json_object* const object, const char* const name, const bool value)
{
  json_write(object, name, json_object_new_boolean(value));
}
