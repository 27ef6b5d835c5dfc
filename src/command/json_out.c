// SPDX-License-Identifier: MIT
#include "json_out.h"

#include "quintfall/text.h"

void
json_add_text(json_object* const object, const char* const name, const char* const text)
{
  json_object_object_add(object, name, json_object_new_string(text));
}

void
json_add_time(json_object* const object, const char* const name, const QfTime time)
{
  char text[48];
  qf_time_write(time, text, sizeof(text));
  json_add_text(object, name, text);
}

char*
json_take_text(json_object* const root)
{
  const int         flags = JSON_C_TO_STRING_PRETTY | JSON_C_TO_STRING_NOSLASHESCAPE;
  const char* const text  = json_object_to_json_string_ext(root, flags);
  QfText            out   = {0};
  if (text) {
    qf_text_addf(&out, "%s\n", text);
  }

  json_object_put(root);
  return text ? qf_text_take(&out) : NULL;
}
