// SPDX-License-Identifier: MIT
#include "rubric_json.h"

#include "json_text.h"
#include "json_write.h"

#include "quintfall/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RUBRIC_FORMAT "quintfall-rubric"

enum {
  RUBRIC_VERSION = 1,
  PLACE_SIZE     = 96,
};

const char* const rubric_members[] = {"name",   "layers",         "rounding",
                                      "out_of", "pass_percent",   "grades",
                                      "equal",  "follows_errors", NULL};

static const char* const rounding_words[QF_ROUNDING_N_KINDS] = {
  [QF_ROUNDING_NONE]       = "none",
  [QF_ROUNDING_HALF_UP]    = "half-up",
  [QF_ROUNDING_SHORT_FULL] = "half-up-short-of-full",
};

/// The equalities of a rubric by their names in files
typedef struct {
  const char* word;
  size_t      offset;
} EqualWord;

static const EqualWord equal_words[] = {
  {"enharmonic", offsetof(QfRubric, enharmonic_is_equal)},
  {"six-four", offsetof(QfRubric, six_four_is_equal)},
  {"degree-for-applied", offsetof(QfRubric, degree_is_applied)},
  {"key", offsetof(QfRubric, key_is_free)},
  {"case", offsetof(QfRubric, case_is_free)},
};

static const size_t n_equal_words = sizeof(equal_words) / sizeof(equal_words[0]);

static bool*
equal_member(QfRubric* const rubric, const size_t index)
{
  return (bool*)((char*)rubric + equal_words[index].offset);
}

static json_object*
layers_json(const QfRubric* const rubric)
{
  json_object* const layers = json_object_new_object();
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    const QfLayerRubric* const layer  = &rubric->layers[l];
    json_object* const         object = json_object_new_object();
    json_object* const         losses = json_object_new_object();
    for (int a = 0; a < QF_ASPECT_N_KINDS; ++a) {
      if (layer->losses[a] > 0.0) {
        json_write_number(losses, qf_aspect_id((QfAspect)a), layer->losses[a]);
      }
    }
    json_write_number(object, "worth", layer->worth);
    json_write(object, "losses", losses);
    json_write_number(object, "extra", layer->extra);
    json_write(layers, qf_layer_id((QfLayer)l), object);
  }
  return layers;
}

void
rubric_json_add(json_object* const object, const QfRubric* const rubric)
{
  QfRubric           copy   = *rubric;
  json_object* const grades = json_object_new_array();
  json_object* const equal  = json_object_new_array();
  for (size_t i = 0; i < rubric->n_grades; ++i) {
    json_object* const grade = json_object_new_object();
    json_write_number(grade, "least", rubric->grades[i].least);
    json_write_text(grade, "text", rubric->grades[i].text);
    json_object_array_add(grades, grade);
  }
  for (size_t i = 0; i < n_equal_words; ++i) {
    if (*equal_member(&copy, i)) {
      json_object_array_add(equal, json_text_string(equal_words[i].word));
    }
  }

  json_write_text(object, "name", rubric->name);
  json_write(object, "layers", layers_json(rubric));
  json_write_text(object, "rounding", rounding_words[rubric->rounding]);
  json_write_number(object, "out_of", rubric->out_of);
  json_write_number(object, "pass_percent", rubric->pass_percent);
  json_write(object, "grades", grades);
  json_write(object, "equal", equal);
  json_write_bool(object, "follows_errors", rubric->follows_errors);
}

/// An object among the members; NULL in `result->object` if it is missing
static QfStatus
read_object(const Members* const members,
            const char* const    name,
            char                 place[PLACE_SIZE],
            Members* const       result)
{
  snprintf(place, PLACE_SIZE, "%s%s%s", members->place, members->place[0] ? "." : "", name);
  *result = (Members){json_read_member(members, name), place, members->error};
  return !result->object || json_object_is_type(result->object, json_type_object)
           ? QF_OK
           : json_read_fail(members, name, "an object");
}

/// A fault that is listed costs what is said, one that is not costs nothing
static QfStatus
read_losses(const Members* const members, QfLayerRubric* const layer)
{
  char     place[PLACE_SIZE];
  Members  losses = {0};
  QfStatus st     = read_object(members, "losses", place, &losses);
  if (st || !losses.object) {
    return st;
  }
  for (int a = 0; !st && a < QF_ASPECT_N_KINDS; ++a) {
    layer->losses[a] = 0.0;
    st = json_read_number(&losses, qf_aspect_id((QfAspect)a), 0.0, 1.0, &layer->losses[a]);
  }
  return st;
}

static QfStatus
read_layers(const Members* const members, QfRubric* const rubric)
{
  char     place[PLACE_SIZE];
  Members  layers = {0};
  QfStatus st     = read_object(members, "layers", place, &layers);
  for (int l = 0; !st && layers.object && l < QF_LAYER_N_KINDS; ++l) {
    char    layer_place[PLACE_SIZE];
    Members layer = {0};
    st            = read_object(&layers, qf_layer_id((QfLayer)l), layer_place, &layer);
    if (!st && layer.object) {
      st = json_read_number(&layer, "worth", 0.0, 100.0, &rubric->layers[l].worth);
      st = st ? st : json_read_number(&layer, "extra", 0.0, 1.0, &rubric->layers[l].extra);
      st = st ? st : read_losses(&layer, &rubric->layers[l]);
    }
  }
  return st;
}

static QfStatus
read_rounding(const Members* const members, QfRubric* const rubric)
{
  const char* word = rounding_words[rubric->rounding];
  QfStatus    st   = json_read_string(members, "rounding", false, 40, &word);
  if (st) {
    return st;
  }
  for (int i = 0; i < QF_ROUNDING_N_KINDS; ++i) {
    if (!strcmp(word, rounding_words[i])) {
      rubric->rounding = (QfRounding)i;
      return QF_OK;
    }
  }
  return json_read_fail(members, "rounding", "\"none\", \"half-up\" or \"half-up-short-of-full\"");
}

static QfStatus
read_grades(const Members* const members, QfRubric* const rubric)
{
  json_object* array = NULL;
  QfStatus     st    = json_read_array(members, "grades", false, &array);
  if (st || !array) {
    return st;
  }
  const size_t n_grades = json_object_array_length(array);
  if (n_grades > QF_RUBRIC_MAX_GRADES) {
    return json_read_fail(members, "grades", "at most 12 grades");
  }
  rubric->n_grades = n_grades;
  for (size_t i = 0; !st && i < n_grades; ++i) {
    char place[PLACE_SIZE];
    snprintf(place, sizeof(place), "%s%sgrades[%zu]", members->place, members->place[0] ? "." : "",
             i);
    const Members grade = {json_object_array_get_idx(array, i), place, members->error};
    const char*   text  = "";
    rubric->grades[i]   = (QfGradeWord){0};
    if (!json_object_is_type(grade.object, json_type_object)) {
      return json_read_fail(&grade, NULL, "an object");
    }
    st = json_read_number(&grade, "least", 0.0, 100.0, &rubric->grades[i].least);
    st = st ? st : json_read_string(&grade, "text", true, QF_GRADE_TEXT_SIZE, &text);
    if (!st) {
      snprintf(rubric->grades[i].text, QF_GRADE_TEXT_SIZE, "%s", text);
    }
  }
  return st;
}

static QfStatus
read_equal(const Members* const members, QfRubric* const rubric)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, "equal", false, &array);
  if (st || !array) {
    return st;
  }
  for (size_t i = 0; i < n_equal_words; ++i) {
    *equal_member(rubric, i) = false;
  }
  for (size_t i = 0; i < json_object_array_length(array); ++i) {
    json_object* const item = json_object_array_get_idx(array, i);
    const char* const  word =
      json_object_is_type(item, json_type_string) ? json_object_get_string(item) : "";
    size_t w = 0;
    while (w < n_equal_words && strcmp(word, equal_words[w].word)) {
      ++w;
    }
    if (w == n_equal_words) {
      return json_read_fail(members, "equal",
                            "some of \"enharmonic\", \"six-four\", \"degree-for-applied\", "
                            "\"key\" and \"case\"");
    }
    *equal_member(rubric, w) = true;
  }
  return QF_OK;
}

QfStatus
rubric_json_read(const Members* const members, QfRubric* const result)
{
  if (!json_object_is_type(members->object, json_type_object)) {
    return json_read_fail(members, NULL, "an object");
  }

  QfRubric    rubric = qf_rubric_default();
  const char* name   = "";
  QfStatus    st     = json_read_string(members, "name", false, QF_RUBRIC_NAME_SIZE, &name);
  st                 = st ? st : read_layers(members, &rubric);
  st                 = st ? st : read_rounding(members, &rubric);
  st                 = st ? st : json_read_number(members, "out_of", 0.0, 1000.0, &rubric.out_of);
  st = st ? st : json_read_number(members, "pass_percent", 0.0, 100.0, &rubric.pass_percent);
  st = st ? st : read_grades(members, &rubric);
  st = st ? st : read_equal(members, &rubric);
  st = st ? st : json_read_bool(members, "follows_errors", &rubric.follows_errors);
  if (st) {
    return st;
  }
  memset(rubric.name, 0, sizeof(rubric.name));
  snprintf(rubric.name, sizeof(rubric.name), "%s", name);

  QfError fault = {0};
  if (qf_rubric_check(&rubric, &fault)) {
    return qf_error_set(members->error, QF_ERR_BAD_FILE, "%s%s%s", members->place,
                        members->place[0] ? ": " : "", fault.text);
  }
  *result = rubric;
  return QF_OK;
}

QfStatus
qf_rubric_to_json(const QfRubric* const rubric, char** const json, QfError* const error)
{
  json_object* const object = json_object_new_object();
  if (object) {
    json_write_text(object, "format", RUBRIC_FORMAT);
    json_write_int(object, "version", RUBRIC_VERSION);
    rubric_json_add(object, rubric);
  }
  return json_text_take(object, json, error);
}

QfStatus
qf_rubric_from_json(const char* const json,
                    const size_t      length,
                    QfRubric* const   result,
                    QfError* const    error)
{
  json_object* document = NULL;
  QfStatus     st       = json_read_text(json, length, &document, error);
  if (st) {
    return st;
  }

  const Members members = {document, "", error};
  const char*   format  = "";
  int64_t       version = 0;
  if (!json_object_is_type(document, json_type_object)) {
    st = json_read_fail(&members, NULL, "an object that holds a rubric");
  }
  st = st ? st : json_read_string(&members, "format", true, 64, &format);
  if (!st && strcmp(format, RUBRIC_FORMAT)) {
    st = json_read_fail(&members, "format", "\"" RUBRIC_FORMAT "\"");
  }
  st = st ? st : json_read_int(&members, "version", true, 1, INT32_MAX, &version);
  st = st ? st : rubric_json_read(&members, result);
  json_object_put(document);
  return st;
}

QfStatus
qf_rubric_load(const char* const path, QfRubric* const result, QfError* const error)
{
  void*    data   = NULL;
  size_t   length = 0;
  QfStatus st     = qf_file_read(path, &data, &length, error);
  st              = st ? st : qf_rubric_from_json((const char*)data, length, result, error);
  free(data);
  return st;
}

QfStatus
qf_rubric_save(const QfRubric* const rubric, const char* const path, QfError* const error)
{
  char*    json = NULL;
  QfStatus st   = qf_rubric_to_json(rubric, &json, error);
  st            = st ? st : qf_file_write(path, json, strlen(json), error);
  free(json);
  return st;
}
