// SPDX-License-Identifier: MIT
#include "json_unknown.h"

#include "json_write.h"

#include <string.h>

static bool
is_listed(const char* const name, const char* const* const names)
{
  bool is_found = false;
  for (size_t i = 0; names[i] && !is_found; ++i) {
    is_found = !strcmp(name, names[i]);
  }
  return is_found;
}

/// Add a member to an object that is made when first needed; takes the value
static QfStatus
add(json_object** const object, const char* const name, json_object* const value)
{
  *object = *object ? *object : json_object_new_object();
  if (!*object || json_object_object_add(*object, name, value)) {
    json_object_put(value);
    return QF_ERR_NO_MEM;
  }
  return QF_OK;
}

QfStatus
json_pick_unknown(json_object* const       object,
                  const char* const* const known,
                  const char* const* const within,
                  json_object** const      result)
{
  static const char* const none[] = {NULL};

  json_object* kept = NULL;
  QfStatus     st   = QF_OK;
  json_object_object_foreach(object, name, value)
  {
    const bool   is_unknown = !is_listed(name, known);
    json_object* own        = is_unknown ? json_object_get(value) : NULL; // NULL is a null
    if (!is_unknown && *within && json_object_is_type(value, json_type_object)) {
      st = json_pick_unknown(value, within, none, &own);
    }
    st = st || (!own && !is_unknown) ? st : add(&kept, name, own);
    if (st) {
      break;
    }
  }
  if (st) {
    json_object_put(kept);
    return st;
  }
  *result = kept;
  return QF_OK;
}

void
json_write_missing(json_object* const object, json_object* const members)
{
  json_object_object_foreach(members, name, value)
  {
    json_object* own = NULL;
    if (!json_object_object_get_ex(object, name, &own)) {
      json_write(object, name, json_object_get(value));
    } else if (json_object_is_type(own, json_type_object) &&
               json_object_is_type(value, json_type_object)) {
      json_write_missing(own, value);
    }
  }
}

QfStatus
json_keep_unknown(json_object** const      store,
                  const Members* const     members,
                  const char* const        place,
                  const char* const* const known)
{
  static const char* const none[] = {NULL};

  json_object*   kept = NULL;
  const QfStatus st   = json_pick_unknown(members->object, known, none, &kept);
  return st || !kept ? st : add(store, place, kept);
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
