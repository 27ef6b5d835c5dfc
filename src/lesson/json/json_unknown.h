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

/// Add what was kept from a place; `store` may be NULL
void
json_write_unknown(json_object* object, json_object* store, const char* place);

#endif // QUINTFALL_LESSON_JSON_UNKNOWN_H
