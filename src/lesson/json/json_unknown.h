// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_JSON_UNKNOWN_H
#define QUINTFALL_LESSON_JSON_UNKNOWN_H

#include "json_read.h"

/**
   Keep the members of an object that are not in a list.

   @param store Object of objects by their place; made when first needed.
   @param place Under which they are kept.
   @param known Names, ended by NULL.
*/
QfStatus
json_keep_unknown(json_object**      store,
                  const Members*     members,
                  const char*        place,
                  const char* const* known);

/**
   Pick the members of an object that are not in a list, and such members of the
   objects that are.

   @param known Names, ended by NULL.
   @param within Names known within any object that is a member, ended by NULL.
   @param[out] result An object (transfer full), or NULL if there are none.
*/
QfStatus
json_pick_unknown(json_object*       object,
                  const char* const* known,
                  const char* const* within,
                  json_object**      result);

/// Add members that an object lacks, and so within its members that are objects
void
json_write_missing(json_object* object, json_object* members);

/// Add what was kept from a place; `store` may be NULL
void
json_write_unknown(json_object* object, json_object* store, const char* place);

#endif // QUINTFALL_LESSON_JSON_UNKNOWN_H
