// SPDX-License-Identifier: MIT
#include "json_text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  LINE_WIDTH  = 96,
  NUMBER_SIZE = 40,
};

static const char*
scalar_text(json_object* const json)
{
  return json_object_to_json_string_ext(json,
                                        JSON_C_TO_STRING_PLAIN | JSON_C_TO_STRING_NOSLASHESCAPE);
}

static void
write_string(QfText* const text, const char* const string)
{
  json_object* const json = json_object_new_string(string);
  qf_text_add(text, json ? scalar_text(json) : "\"\"");
  text->failed |= !json;
  json_object_put(json);
}

/// Write on one line; gives up, leaving an unfinished text, beyond `limit` bytes
static bool
write_flat(QfText* const text, json_object* const json, const size_t limit)
{
  if (json_object_is_type(json, json_type_array)) {
    const size_t n_items = json_object_array_length(json);
    qf_text_add(text, "[");
    for (size_t i = 0; i < n_items; ++i) {
      qf_text_add(text, i ? ", " : "");
      if (!write_flat(text, json_object_array_get_idx(json, i), limit)) {
        return false;
      }
    }
    qf_text_add(text, "]");
  } else if (json_object_is_type(json, json_type_object)) {
    const char* separator = "";
    qf_text_add(text, "{");
    json_object_object_foreach(json, name, value)
    {
      qf_text_add(text, separator);
      write_string(text, name);
      qf_text_add(text, ": ");
      if (!write_flat(text, value, limit)) {
        return false;
      }
      separator = ", ";
    }
    qf_text_add(text, "}");
  } else {
    qf_text_add(text, scalar_text(json));
  }
  return text->length <= limit;
}

static void
write_indent(QfText* const text, const size_t depth)
{
  qf_text_add(text, "\n");
  for (size_t i = 0; i < depth; ++i) {
    qf_text_add(text, "  ");
  }
}

static void
write_value(QfText* text, json_object* json, size_t depth);

static void
write_tall(QfText* const text, json_object* const json, const size_t depth)
{
  if (json_object_is_type(json, json_type_array)) {
    const size_t n_items = json_object_array_length(json);
    qf_text_add(text, "[");
    for (size_t i = 0; i < n_items; ++i) {
      qf_text_add(text, i ? "," : "");
      write_indent(text, depth + 1U);
      write_value(text, json_object_array_get_idx(json, i), depth + 1U);
    }
    write_indent(text, depth);
    qf_text_add(text, "]");
    return;
  }

  const char* separator = "";
  qf_text_add(text, "{");
  json_object_object_foreach(json, name, value)
  {
    qf_text_add(text, separator);
    write_indent(text, depth + 1U);
    write_string(text, name);
    qf_text_add(text, ": ");
    write_value(text, value, depth + 1U);
    separator = ",";
  }
  write_indent(text, depth);
  qf_text_add(text, "}");
}

static void
write_value(QfText* const text, json_object* const json, const size_t depth)
{
  QfText     flat = {0};
  const bool is_scalar =
    !json_object_is_type(json, json_type_array) && !json_object_is_type(json, json_type_object);
  if (is_scalar) {
    qf_text_add(text, scalar_text(json));
  } else if (depth && write_flat(&flat, json, LINE_WIDTH - 2U * depth)) {
    qf_text_add_bytes(text, flat.data, flat.length);
  } else {
    write_tall(text, json, depth);
  }
  text->failed |= flat.failed;
  qf_text_free(&flat);
}

void
json_text_write(QfText* const text, json_object* const json)
{
  write_value(text, json, 0);
  qf_text_add(text, "\n");
}

QfStatus
json_text_take(json_object* const json, char** const result, QfError* const error)
{
  QfText text = {0};
  if (json) {
    json_text_write(&text, json);
    json_object_put(json);
  }

  char* const taken = json ? qf_text_take(&text) : NULL;
  if (!taken) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  *result = taken;
  return QF_OK;
}

/// Bytes of the UTF-8 character at the start of a text, 0 if there is none
static size_t
character_size(const unsigned char* const text)
{
  if (text[0] < 0x80U) {
    return 1;
  }

  const size_t size = text[0] >= 0xF0U ? 4U : text[0] >= 0xE0U ? 3U : 2U;
  uint32_t     code = text[0] & (0xFFU >> (size + 1U));
  if (text[0] < 0xC2U || text[0] > 0xF4U) {
    return 0;
  }
  for (size_t i = 1; i < size; ++i) {
    if ((text[i] & 0xC0U) != 0x80U) {
      return 0;
    }
    code = (code << 6U) | (text[i] & 0x3FU);
  }

  const bool is_long      = (size == 3 && code < 0x800U) || (size == 4 && code < 0x10000U);
  const bool is_surrogate = code >= 0xD800U && code <= 0xDFFFU;
  return is_long || is_surrogate || code > 0x10FFFFU ? 0 : size;
}

json_object*
json_text_string(const char* const text)
{
  QfText clean = {0};
  for (size_t i = 0; text[i];) {
    const size_t size = character_size((const unsigned char*)text + i);
    qf_text_add_bytes(&clean, size ? text + i : "\xEF\xBF\xBD", size ? size : 3U);
    i += size ? size : 1U;
  }

  char* const        string = qf_text_take(&clean);
  json_object* const json   = string ? json_object_new_string(string) : NULL;
  free(string);
  return json;
}

json_object*
json_text_number(const double value)
{
  char buffer[NUMBER_SIZE];
  for (int digits = 6; digits <= 17; ++digits) {
    snprintf(buffer, sizeof(buffer), "%.*g", digits, value);
    if (strtod(buffer, NULL) == value) {
      break;
    }
  }

  char* const comma = strchr(buffer, ','); // Some locales write one, JSON never does.
  if (comma) {
    *comma = '.';
  }
  return json_object_new_double_s(value, buffer);
}
