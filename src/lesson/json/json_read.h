// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_JSON_READ_H
#define QUINTFALL_LESSON_JSON_READ_H

#include "quintfall/key.h"
#include "quintfall/time.h"

#include <json-c/json.h>

/// An object being read, and where it stands, for messages
typedef struct {
  json_object* object;
  const char*  place; ///< "voices[2].notes[5]", or empty for the whole
  QfError*     error;
} Members;

/// Parse a whole text strictly; a fault is placed by its line
QfStatus
json_read_text(const char* text, size_t length, json_object** result, QfError* error);

/**
   Say what is wrong with a member: `place.name: expected ..., found ...`.

   @param name Of the member, or NULL for the object itself.
   @return #QF_ERR_BAD_FILE.
*/
QfStatus
json_read_fail(const Members* members, const char* name, const char* expected);

/// The member, or NULL if it is missing or null
json_object*
json_read_member(const Members* members, const char* name);

/*
   In all readers a member that is missing leaves `result` as it was, unless
   `is_needed`.
*/

/// `max_size` counts the NUL; the text lives as long as the object
QfStatus
json_read_string(const Members* members,
                 const char*    name,
                 bool           is_needed,
                 size_t         max_size,
                 const char**   result);

QfStatus
json_read_int(const Members* members,
              const char*    name,
              bool           is_needed,
              int64_t        min,
              int64_t        max,
              int64_t*       result);

QfStatus
json_read_number(const Members* members, const char* name, double min, double max, double* result);

QfStatus
json_read_bool(const Members* members, const char* name, bool* result);

QfStatus
json_read_time(const Members* members, const char* name, bool is_needed, QfTime* result);

QfStatus
json_read_key(const Members* members, const char* name, bool is_needed, QfKey* result);

/// NULL if missing and not needed
QfStatus
json_read_array(const Members* members, const char* name, bool is_needed, json_object** result);

/// Read one object of a list
typedef QfStatus (*ReadItemFunc)(const Members* members, void* data);

/// Read each object of an array that stands at `name`
QfStatus
json_read_items(const Members* members,
                json_object*   array,
                const char*    name,
                ReadItemFunc   read,
                void*          data);

/// Read each object of a member that is a list
QfStatus
json_read_list(const Members* members,
               const char*    name,
               bool           is_needed,
               ReadItemFunc   read,
               void*          data);

/// Copy a text that fits a buffer
QfStatus
json_read_text_into(const Members* members, const char* name, char* buffer, size_t size);

#endif // QUINTFALL_LESSON_JSON_READ_H
