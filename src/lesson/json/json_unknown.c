// SPDX-License-Identifier: MIT
#include "json_unknown.h"

#include "json_write.h"

#include <string.h>

QfStatus
json_keep_unknown(json_object** const      store,
                  const Members* const     members,
                  const char* const        place,
                  const char* const* const known)
{
  json_object* kept = NULL;
  json_object_object_foreach(members->object, name, value)
  {
    bool is_known = false;
    for (size_t i = 0; known[i] && !is_known; ++i) {
      is_known = !strcmp(name, known[i]);
    }
    if (is_known) {
      continue;
    }
    kept                      = kept ? kept : json_object_new_object();
    json_object* const shared = json_object_get(value);
    if (!kept || json_object_object_add(kept, name, shared)) {
      json_object_put(shared);
      json_object_put(kept);
      return QF_ERR_NO_MEM;
    }
  }
  if (!kept) {
    return QF_OK;
  }

  *store = *store ? *store : json_object_new_object();
  if (!*store || json_object_object_add(*store, place, kept)) {
    json_object_put(kept);
    return QF_ERR_NO_MEM;
  }
  return QF_OK;
}

void
json_write_unknown(json_object* const object, json_object* const store, const char* const place)
{
  json_object* members = NULL;
  if (store && json_object_object_get_ex(store, place, &members)) {
    json_object_object_foreach(members, name, value)
    {
      json_write(object, name, json_object_get(value));
    }
  }
}
