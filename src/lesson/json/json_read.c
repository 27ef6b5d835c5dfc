// SPDX-License-Identifier: MIT
#include "json_read.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_DEPTH    = 32,
  EXCERPT_SIZE = 48,
  FOUND_SIZE   = 96,
};

static int
line_of(const char* const text, const size_t offset)
{
  int line = 1;
  for (size_t i = 0; i < offset; ++i) {
    line += text[i] == '\n';
  }
  return line;
}

static QfStatus
fail_text(QfError* const    error,
          const char* const text,
          const size_t      offset,
          const char* const reason)
{
  qf_error_set(error, QF_ERR_BAD_FILE, "this is not well-formed JSON: %s", reason);
  qf_error_place(error, line_of(text, offset), -1, NULL);
  if (error) {
    error->offset = offset;
  }
  return QF_ERR_BAD_FILE;
}

/// Infinite numbers and NaN are no JSON, whatever a parser lets through
static bool
is_finite(json_object* const json)
{
  switch (json_object_get_type(json)) {
    case json_type_double:
      return isfinite(json_object_get_double(json));
    case json_type_array:
      for (size_t i = 0; i < json_object_array_length(json); ++i) {
        if (!is_finite(json_object_array_get_idx(json, i))) {
          return false;
        }
      }
      return true;
    case json_type_object: {
      json_object_object_foreach(json, name, value)
      {
        (void)name;
        if (!is_finite(value)) {
          return false;
        }
      }
      return true;
    }
    default:
      return true;
  }
}

QfStatus
json_read_text(const char* const   text,
               const size_t        length,
               json_object** const result,
               QfError* const      error)
{
  if (length > INT_MAX - 1) {
    return qf_error_set(error, QF_ERR_RANGE, "the file is too large for a lesson");
  }

  json_tokener* const tokener = json_tokener_new_ex(MAX_DEPTH);
  if (!tokener) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  json_tokener_set_flags(tokener, JSON_TOKENER_STRICT | JSON_TOKENER_VALIDATE_UTF8);

  json_object* const            json   = json_tokener_parse_ex(tokener, text, (int)length);
  const enum json_tokener_error fault  = json_tokener_get_error(tokener);
  const size_t                  offset = json_tokener_get_parse_end(tokener);
  json_tokener_free(tokener);

  const char* const reason = fault == json_tokener_continue  ? "it ends too early"
                             : fault != json_tokener_success ? json_tokener_error_desc(fault)
                                                             : NULL;
  size_t            end    = offset;
  while (!reason && end < length && strchr(" \t\r\n", text[end]) && text[end]) {
    ++end;
  }

  QfStatus st = QF_OK;
  if (reason || end < length) {
    st = fail_text(error, text, offset, reason ? reason : "something follows its end");
  } else if (!is_finite(json)) {
    st = qf_error_set(error, QF_ERR_BAD_FILE, "a number in the file is too large");
  }
  if (st) {
    json_object_put(json);
    return st;
  }
  *result = json;
  return QF_OK;
}

static void
describe_found(json_object* const json, const bool is_present, char buffer[FOUND_SIZE])
{
  if (!is_present) {
    snprintf(buffer, FOUND_SIZE, "nothing");
    return;
  }
  if (json_object_is_type(json, json_type_object)) {
    snprintf(buffer, FOUND_SIZE, "an object");
  } else if (json_object_is_type(json, json_type_array)) {
    snprintf(buffer, FOUND_SIZE, "a list");
  } else {
    const char* const text =
      json_object_to_json_string_ext(json, JSON_C_TO_STRING_PLAIN | JSON_C_TO_STRING_NOSLASHESCAPE);
    const size_t length = strlen(text);
    size_t       cut    = length < EXCERPT_SIZE ? length : EXCERPT_SIZE;
    while (cut < length && cut > 0 && ((unsigned char)text[cut] & 0xC0U) == 0x80U) {
      --cut; // Not inside a character
    }
    snprintf(buffer, FOUND_SIZE, "%.*s%s", (int)cut, text, cut < length ? "..." : "");
  }
}

QfStatus
json_read_fail(const Members* const members, const char* const name, const char* const expected)
{
  json_object* found      = members->object;
  const bool   is_present = !name || json_object_object_get_ex(members->object, name, &found);
  char         text[FOUND_SIZE];
  describe_found(found, is_present, text);

  // That an object as a whole is an object tells nothing
  const bool is_told = name || !json_object_is_type(found, json_type_object);
  return qf_error_set(members->error, QF_ERR_BAD_FILE, "%s%s%s: expected %s%s%s", members->place,
                      members->place[0] && name ? "." : "",
                      name                ? name
                      : members->place[0] ? ""
                                          : "the file",
                      expected, is_told ? ", found " : "", is_told ? text : "");
}

json_object*
json_read_member(const Members* const members, const char* const name)
{
  json_object* value = NULL;
  json_object_object_get_ex(members->object, name, &value);
  return value;
}

QfStatus
json_read_string(const Members* const members,
                 const char* const    name,
                 const bool           is_needed,
                 const size_t         max_size,
                 const char** const   result)
{
  json_object* const json = json_read_member(members, name);
  if (!json && !is_needed) {
    return QF_OK;
  }
  if (!json_object_is_type(json, json_type_string)) {
    return json_read_fail(members, name, "a text");
  }

  const char* const text   = json_object_get_string(json);
  const size_t      length = (size_t)json_object_get_string_len(json);
  if (strlen(text) != length) {
    return json_read_fail(members, name, "a text without a NUL character");
  }
  if (length >= max_size) {
    char expected[48];
    snprintf(expected, sizeof(expected), "a text of at most %zu bytes", max_size - 1U);
    return json_read_fail(members, name, expected);
  }
  *result = text;
  return QF_OK;
}

QfStatus
json_read_int(const Members* const members,
              const char* const    name,
              const bool           is_needed,
              const int64_t        min,
              const int64_t        max,
              int64_t* const       result)
{
  json_object* const json = json_read_member(members, name);
  if (!json && !is_needed) {
    return QF_OK;
  }

  const int64_t value = json_object_get_int64(json);
  if (!json_object_is_type(json, json_type_int) || value < min || value > max) {
    char expected[80];
    snprintf(expected, sizeof(expected), "a whole number from %lld to %lld", (long long)min,
             (long long)max);
    return json_read_fail(members, name, expected);
  }
  *result = value;
  return QF_OK;
}

QfStatus
json_read_number(const Members* const members,
                 const char* const    name,
                 const double         min,
                 const double         max,
                 double* const        result)
{
  json_object* const json = json_read_member(members, name);
  if (!json) {
    return QF_OK;
  }

  const double value = json_object_get_double(json);
  const bool   is_number =
    json_object_is_type(json, json_type_double) || json_object_is_type(json, json_type_int);
  if (!is_number || !(value >= min && value <= max)) {
    char expected[80];
    snprintf(expected, sizeof(expected), "a number from %g to %g", min, max);
    return json_read_fail(members, name, expected);
  }
  *result = value;
  return QF_OK;
}

QfStatus
json_read_bool(const Members* const members, const char* const name, bool* const result)
{
  json_object* const json = json_read_member(members, name);
  if (!json) {
    return QF_OK;
  }
  if (!json_object_is_type(json, json_type_boolean)) {
    return json_read_fail(members, name, "true or false");
  }
  *result = json_object_get_boolean(json);
  return QF_OK;
}

QfStatus
json_read_time(const Members* const members,
               const char* const    name,
               const bool           is_needed,
               QfTime* const        result)
{
  const char*    text = NULL;
  const QfStatus st   = json_read_string(members, name, is_needed, 64, &text);
  if (st || !text) {
    return st;
  }

  QfTime time = QF_TIME_ZERO;
  if (qf_time_parse(text, &time, NULL) || time.num < 0) {
    return json_read_fail(members, name, "a time in whole notes such as \"3/8\"");
  }
  *result = time;
  return QF_OK;
}

QfStatus
json_read_key(const Members* const members,
              const char* const    name,
              const bool           is_needed,
              QfKey* const         result)
{
  const char*    text = NULL;
  const QfStatus st   = json_read_string(members, name, is_needed, 64, &text);
  if (st || !text) {
    return st;
  }
  return qf_key_parse(text, result, NULL)
           ? json_read_fail(members, name, "a key such as \"Eb major\"")
           : QF_OK;
}

QfStatus
json_read_array(const Members* const members,
                const char* const    name,
                const bool           is_needed,
                json_object** const  result)
{
  json_object* const json = json_read_member(members, name);
  if (!json && !is_needed) {
    return QF_OK;
  }
  if (!json_object_is_type(json, json_type_array)) {
    return json_read_fail(members, name, "a list");
  }
  *result = json;
  return QF_OK;
}

QfStatus
json_read_items(const Members* const members,
                json_object* const   array,
                const char* const    name,
                const ReadItemFunc   read,
                void* const          data)
{
  enum { PLACE_SIZE = 96 };

  QfStatus     st      = QF_OK;
  const size_t n_items = json_object_array_length(array);
  for (size_t i = 0; !st && i < n_items; ++i) {
    char place[PLACE_SIZE];
    snprintf(place, sizeof(place), "%s%s%s[%zu]", members->place, members->place[0] ? "." : "",
             name, i);
    const Members item = {json_object_array_get_idx(array, i), place, members->error};
    st                 = json_object_is_type(item.object, json_type_object)
                           ? read(&item, data)
                           : json_read_fail(&item, NULL, "an object");
  }
  return st;
}

QfStatus
json_read_list(const Members* const members,
               const char* const    name,
               const bool           is_needed,
               const ReadItemFunc   read,
               void* const          data)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, name, is_needed, &array);
  return st || !array ? st : json_read_items(members, array, name, read, data);
}

QfStatus
json_read_text_into(const Members* const members,
                    const char* const    name,
                    char* const          buffer,
                    const size_t         size)
{
  const char*    text = NULL;
  const QfStatus st   = json_read_string(members, name, false, size, &text);
  if (!st && text) {
    memcpy(buffer, text, strlen(text) + 1U);
  }
  return st;
}
