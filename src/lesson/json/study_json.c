// SPDX-License-Identifier: MIT
#include "study_json.h"

#include "json_text.h"
#include "json_write.h"

#include <string.h>

const char* const study_members[] = {"layers",      "max_hearings",  "max_attempts", "shows_rhythm",
                                     "shows_spans", "has_questions", "shows_result", NULL};

void
study_json_add(json_object* const object, const QfStudy study)
{
  json_object* const layers = json_object_new_array();
  for (unsigned l = 0; l < QF_LAYER_N_KINDS; ++l) {
    if (study.layers & (1U << l)) {
      json_object_array_add(layers, json_text_string(qf_layer_id((QfLayer)l)));
    }
  }
  json_write(object, "layers", layers);
  json_write_int(object, "max_hearings", study.max_hearings);
  json_write_int(object, "max_attempts", study.max_attempts);
  json_write_bool(object, "shows_rhythm", study.shows_rhythm);
  json_write_bool(object, "shows_spans", study.shows_spans);
  json_write_bool(object, "has_questions", study.has_questions);
  json_write_bool(object, "shows_result", study.shows_result);
}

static QfStatus
read_layers(const Members* const members, QfStudy* const study)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, "layers", false, &array);
  if (st || !array) {
    return st;
  }
  study->layers = 0;
  for (size_t i = 0; i < json_object_array_length(array); ++i) {
    json_object* const item  = json_object_array_get_idx(array, i);
    QfLayer            layer = QF_LAYER_BASS;
    if (!json_object_is_type(item, json_type_string) ||
        qf_layer_parse(json_object_get_string(item), &layer, NULL)) {
      return json_read_fail(members, "layers",
                            "some of \"bass\", \"soprano\", \"quality\", \"numeral\", \"inner\"");
    }
    study->layers |= 1U << (unsigned)layer;
  }
  return QF_OK;
}

QfStatus
study_json_read(const Members* const members, QfStudy* const result)
{
  if (!json_object_is_type(members->object, json_type_object)) {
    return json_read_fail(members, NULL, "an object");
  }

  QfStudy  study    = qf_study_default();
  int64_t  hearings = 0;
  int64_t  attempts = 0;
  QfStatus st       = read_layers(members, &study);
  st = st ? st : json_read_int(members, "max_hearings", false, 0, QF_MAX_HEARINGS, &hearings);
  st = st ? st : json_read_int(members, "max_attempts", false, 0, QF_MAX_ATTEMPTS, &attempts);
  st = st ? st : json_read_bool(members, "shows_rhythm", &study.shows_rhythm);
  st = st ? st : json_read_bool(members, "shows_spans", &study.shows_spans);
  st = st ? st : json_read_bool(members, "has_questions", &study.has_questions);
  st = st ? st : json_read_bool(members, "shows_result", &study.shows_result);
  if (!st) {
    study.max_hearings = (int)hearings;
    study.max_attempts = (int)attempts;
    *result            = study;
  }
  return st;
}
