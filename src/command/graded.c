// SPDX-License-Identifier: MIT
#include "graded.h"

#include "json_out.h"

#include "quintfall/text.h"

#include <stdlib.h>

static void
add_layer(QfText* const text, const QfGrade* const grade, const QfLayer layer)
{
  qf_text_addf(text, "%s: %.4g of %.4g", qf_layer_name(layer),
               qf_grade_get_layer_points(grade, layer), qf_grade_get_layer_possible(grade, layer));
}

char*
graded_text(const QfResults* const list)
{
  QfText text = {0};
  for (size_t i = 0; i < list->n_items; ++i) {
    const QfResult* const item = &list->items[i];
    qf_text_addf(&text, "%s%s: ", i ? "\n" : "", qf_result_name(item));
    char* const summary = qf_result_summary(list, item);
    qf_text_add(&text, summary ? summary : "");
    free(summary);
    qf_text_add(&text, "\n");
    for (size_t r = 0; r < qf_grade_n_remarks(item->grade); ++r) {
      qf_text_addf(&text, "  %s\n", qf_grade_get_remark(item->grade, r));
    }
    for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
      if (qf_grade_has_layer(item->grade, (QfLayer)l)) {
        qf_text_add(&text, "  ");
        add_layer(&text, item->grade, (QfLayer)l);
        qf_text_add(&text, "\n");
      }
    }
    for (size_t v = 0; v < qf_grade_n_verdicts(item->grade); ++v) {
      const QfVerdict* const verdict = qf_grade_get_verdict(item->grade, v);
      if (verdict->reason[0]) {
        qf_text_addf(&text, "    %s\n", verdict->reason);
      }
    }
  }
  return qf_text_take(&text);
}

// ---- JSON

static const char* const match_words[] = {[QF_MATCH_SAME]    = "same",
                                          [QF_MATCH_VERSION] = "other-version",
                                          [QF_MATCH_OTHER]   = "other-lesson"};

static const char* const verdict_words[] = {
  [QF_VERDICT_RIGHT] = "right",     [QF_VERDICT_PARTLY] = "partly", [QF_VERDICT_WRONG] = "wrong",
  [QF_VERDICT_MISSING] = "missing", [QF_VERDICT_EXTRA] = "extra",
};

static void
add_number(json_object* const object, const char* const name, const double value)
{
  json_object_object_add(object, name, json_object_new_double(value));
}

static json_object*
verdicts_json(const QfGrade* const grade)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < qf_grade_n_verdicts(grade); ++i) {
    const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
    json_object* const     object  = json_object_new_object();
    json_add_text(object, "layer", qf_layer_id(verdict->layer));
    json_add_time(object, "start", verdict->start);
    json_add_text(object, "verdict", verdict_words[verdict->kind]);
    add_number(object, "points", verdict->points);
    add_number(object, "possible", verdict->possible);
    if (verdict->reason[0]) {
      json_add_text(object, "reason", verdict->reason);
    }
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
layers_json(const QfGrade* const grade)
{
  json_object* const layers = json_object_new_object();
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    const QfLayer layer = (QfLayer)l;
    if (qf_grade_has_layer(grade, layer)) {
      json_object* const object = json_object_new_object();
      add_number(object, "points", qf_grade_get_layer_points(grade, layer));
      add_number(object, "possible", qf_grade_get_layer_possible(grade, layer));
      json_object_object_add(layers, qf_layer_id(layer), object);
    }
  }
  return layers;
}

static json_object*
item_json(const QfResults* const list, const QfResult* const item)
{
  const QfGrade* const grade   = item->grade;
  json_object* const   object  = json_object_new_object();
  json_object* const   remarks = json_object_new_array();
  json_object* const   tallies = json_object_new_object();
  for (size_t i = 0; i < qf_grade_n_remarks(grade); ++i) {
    json_object_array_add(remarks, json_object_new_string(qf_grade_get_remark(grade, i)));
  }
  for (size_t i = 0; i < qf_grade_n_tallies(grade); ++i) {
    const QfTally* const tally = qf_grade_get_tally(grade, i);
    json_object* const   pair  = json_object_new_object();
    json_object_object_add(pair, "right", json_object_new_int(tally->right));
    json_object_object_add(pair, "asked", json_object_new_int(tally->asked));
    json_object_object_add(tallies, tally->concept, pair);
  }
  json_add_text(object, "file", item->path);
  json_add_text(object, "student", qf_answer_get_student(item->answer));
  json_add_text(object, "id", qf_answer_get_student_id(item->answer));
  json_add_text(object, "lesson", match_words[qf_grade_get_match(grade)]);
  json_object_object_add(object, "attempt", json_object_new_int64((int64_t)item->attempt));
  json_object_object_add(object, "hearings",
                         json_object_new_int64((int64_t)qf_answer_n_heard(item->answer)));
  add_number(object, "points", qf_grade_get_points(grade));
  add_number(object, "possible", qf_grade_get_possible(grade));
  add_number(object, "percent", qf_grade_get_percent(grade));
  json_add_text(object, "grade", qf_grade_get_text(grade));
  json_object_object_add(object, "passed",
                         json_object_new_boolean(qf_result_has_passed(list, item)));
  json_object_object_add(object, "layers", layers_json(grade));
  json_object_object_add(object, "remarks", remarks);
  json_object_object_add(object, "verdicts", verdicts_json(grade));
  json_object_object_add(object, "concepts", tallies);
  return object;
}

/// What all answers together got right, by concept
static json_object*
class_json(const QfResults* const list)
{
  json_object* const object   = json_object_new_object();
  json_object* const concepts = json_object_new_array();
  QfTally*           tallies  = NULL;
  size_t             n        = 0;
  if (!qf_results_tallies(list, &tallies, &n, NULL)) {
    for (size_t i = 0; i < n; ++i) {
      json_object* const item = json_object_new_object();
      json_add_text(item, "concept", tallies[i].concept);
      json_object_object_add(item, "right", json_object_new_int(tallies[i].right));
      json_object_object_add(item, "asked", json_object_new_int(tallies[i].asked));
      json_object_array_add(concepts, item);
    }
    free(tallies);
  }
  json_object_object_add(object, "answers", json_object_new_int64((int64_t)list->n_items));
  json_object_object_add(object, "students",
                         json_object_new_int64((int64_t)qf_results_n_students(list)));
  json_object_object_add(object, "concepts", concepts);
  return object;
}

char*
graded_json(const QfResults* const list)
{
  json_object* const root  = json_object_new_object();
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < list->n_items; ++i) {
    json_object_array_add(array, item_json(list, &list->items[i]));
  }
  json_object_object_add(root, "answers", array);
  json_object_object_add(root, "class", class_json(list));
  return json_take_text(root);
}
