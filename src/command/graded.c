// SPDX-License-Identifier: MIT
#include "graded.h"

#include "json_out.h"

#include "quintfall/report.h"
#include "quintfall/text.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

void
graded_list_clear(GradedList* const list)
{
  for (size_t i = 0; i < list->n_items; ++i) {
    qf_grade_free(list->items[i].grade);
    qf_answer_free(list->items[i].answer);
    free(list->items[i].path);
  }
  free(list->items);
  *list = (GradedList){0};
}

bool
graded_has_passed(const GradedList* const list, const Graded* const item)
{
  return qf_grade_get_percent(item->grade) >= list->pass_percent;
}

static const char*
base_name(const char* const path)
{
  const char* const slash = strrchr(path, '/');
  return slash ? slash + 1 : path;
}

const char*
graded_name(const Graded* const item)
{
  const char* const name = qf_answer_get_student(item->answer);
  return name[0] ? name : base_name(item->path);
}

// ---- text

static void
add_result(QfText* const text, const GradedList* const list, const Graded* const item)
{
  const QfGrade* const grade = item->grade;
  const char* const    word  = qf_grade_get_text(grade);
  qf_text_addf(text, "%.4g of %.4g points, %.1f %%", qf_grade_get_points(grade),
               qf_grade_get_possible(grade), qf_grade_get_percent(grade));
  qf_text_addf(text, "%s%s%s", word[0] ? ", " : "", word,
               graded_has_passed(list, item) ? "" : ", below the pass mark");
}

static void
add_layer(QfText* const text, const QfGrade* const grade, const QfLayer layer)
{
  qf_text_addf(text, "%s: %.4g of %.4g", qf_layer_name(layer),
               qf_grade_get_layer_points(grade, layer), qf_grade_get_layer_possible(grade, layer));
}

char*
graded_text(const GradedList* const list)
{
  QfText text = {0};
  for (size_t i = 0; i < list->n_items; ++i) {
    const Graded* const item = &list->items[i];
    qf_text_addf(&text, "%s%s: ", i ? "\n" : "", graded_name(item));
    add_result(&text, list, item);
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
item_json(const GradedList* const list, const Graded* const item)
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
  json_object_object_add(object, "passed", json_object_new_boolean(graded_has_passed(list, item)));
  json_object_object_add(object, "layers", layers_json(grade));
  json_object_object_add(object, "remarks", remarks);
  json_object_object_add(object, "verdicts", verdicts_json(grade));
  json_object_object_add(object, "concepts", tallies);
  return object;
}

char*
graded_json(const GradedList* const list)
{
  json_object* const root  = json_object_new_object();
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < list->n_items; ++i) {
    json_object_array_add(array, item_json(list, &list->items[i]));
  }
  json_object_object_add(root, "answers", array);
  return json_take_text(root);
}

// ---- CSV

/// Add a field, quoted (RFC 4180); what a table program would take for a formula is made text
static void
add_field(QfText* const text, const char* const field)
{
  qf_text_add(text, field[0] && strchr("=+-@\t\r", field[0]) ? "\"'" : "\"");
  for (const char* c = field; *c; ++c) {
    qf_text_add_bytes(text, c, 1);
    if (*c == '"') {
      qf_text_add(text, "\"");
    }
  }
  qf_text_add(text, "\"");
}

static void
add_row(QfText* const text, const GradedList* const list, const Graded* const item)
{
  const QfGrade* const grade = item->grade;
  add_field(text, qf_answer_get_student(item->answer));
  qf_text_add(text, ",");
  add_field(text, qf_answer_get_student_id(item->answer));
  qf_text_add(text, ",");
  add_field(text, base_name(item->path));
  qf_text_addf(text, ",%zu,%zu,%.6g,%.6g,%.2f,", item->attempt, qf_answer_n_heard(item->answer),
               qf_grade_get_points(grade), qf_grade_get_possible(grade),
               qf_grade_get_percent(grade));
  add_field(text, qf_grade_get_text(grade));
  qf_text_add(text, graded_has_passed(list, item) ? ",yes" : ",no");
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    if (qf_grade_has_layer(grade, (QfLayer)l)) {
      qf_text_addf(text, ",%.6g", qf_grade_get_layer_points(grade, (QfLayer)l));
    } else {
      qf_text_add(text, ",");
    }
  }
  QfText remarks = {0};
  for (size_t i = 0; i < qf_grade_n_remarks(grade); ++i) {
    qf_text_addf(&remarks, "%s%s", i ? " " : "", qf_grade_get_remark(grade, i));
  }
  qf_text_add(text, ",");
  add_field(text, remarks.data ? remarks.data : "");
  qf_text_add(text, "\r\n");
  qf_text_free(&remarks);
}

char*
graded_csv(const GradedList* const list)
{
  QfText text = {0};
  qf_text_add(&text, "student,id,file,attempt,hearings,points,possible,percent,grade,passed");
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    qf_text_addf(&text, ",%s", qf_layer_id((QfLayer)l));
  }
  qf_text_add(&text, ",remarks\r\n");
  for (size_t i = 0; i < list->n_items; ++i) {
    add_row(&text, list, &list->items[i]);
  }
  return qf_text_take(&text);
}

// ---- PDF

/// Paragraphs that own their texts
typedef struct {
  QfParagraph* items;
  char**       texts;
  size_t       n_items;
  size_t       capacity;
} Paragraphs;

/// Append a paragraph (takes the text); false if memory ran out
static bool
add_paragraph(Paragraphs* const paragraphs, const QfReportStyle style, char* const text)
{
  if (!text || paragraphs->n_items == paragraphs->capacity) {
    free(text);
    return false;
  }
  paragraphs->texts[paragraphs->n_items]   = text;
  paragraphs->items[paragraphs->n_items++] = (QfParagraph){style, text};
  return true;
}

static bool
add_layer_paragraphs(Paragraphs* const paragraphs, const QfGrade* const grade, const QfLayer layer)
{
  QfText heading = {0};
  add_layer(&heading, grade, layer);
  bool   is_ok     = add_paragraph(paragraphs, QF_REPORT_HEADING, qf_text_take(&heading));
  size_t n_reasons = 0;
  for (size_t i = 0; is_ok && i < qf_grade_n_verdicts(grade); ++i) {
    const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
    if (verdict->layer == layer && verdict->reason[0]) {
      is_ok = add_paragraph(paragraphs, QF_REPORT_ITEM, strdup(verdict->reason));
      ++n_reasons;
    }
  }
  return is_ok && (n_reasons || add_paragraph(paragraphs, QF_REPORT_TEXT, strdup("All right.")));
}

static bool
add_comments(Paragraphs* const paragraphs, const GradedList* const list, const Graded* const item)
{
  QfText result = {0};
  add_result(&result, list, item);
  bool is_ok =
    add_paragraph(paragraphs, QF_REPORT_TITLE, strdup(graded_name(item))) &&
    add_paragraph(paragraphs, QF_REPORT_TEXT, strdup(qf_answer_get_title(item->answer))) &&
    add_paragraph(paragraphs, QF_REPORT_TEXT, qf_text_take(&result));
  for (size_t i = 0; is_ok && i < qf_grade_n_remarks(item->grade); ++i) {
    is_ok = add_paragraph(paragraphs, QF_REPORT_TEXT, strdup(qf_grade_get_remark(item->grade, i)));
  }
  for (int l = 0; is_ok && l < QF_LAYER_N_KINDS; ++l) {
    if (qf_grade_has_layer(item->grade, (QfLayer)l)) {
      is_ok = add_layer_paragraphs(paragraphs, item->grade, (QfLayer)l);
    }
  }
  return is_ok;
}

static QfStatus
write_pdf(const GradedList* const list,
          const Graded* const     item,
          const char* const       path,
          QfError* const          error)
{
  enum { OTHER_PARAGRAPHS = 32 };

  const size_t capacity   = qf_grade_n_verdicts(item->grade) + OTHER_PARAGRAPHS;
  Paragraphs   paragraphs = {.capacity = capacity};
  paragraphs.items        = (QfParagraph*)calloc(capacity, sizeof(QfParagraph));
  paragraphs.texts        = (char**)calloc(capacity, sizeof(char*));
  const bool is_ok = paragraphs.items && paragraphs.texts && add_comments(&paragraphs, list, item);
  const QfStatus st =
    is_ok ? qf_report_export(paragraphs.items, paragraphs.n_items, graded_name(item), path, error)
          : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  for (size_t i = 0; i < paragraphs.n_items; ++i) {
    free(paragraphs.texts[i]);
  }
  free(paragraphs.texts);
  free(paragraphs.items);
  return st;
}

QfExit
graded_pdfs(const GradedList* const list, const char* const folder)
{
  QfExit result = QF_EXIT_DONE;
  if (mkdir(folder, 0777) && errno != EEXIST) {
    fprintf(stderr, "%s: %s\n", folder, strerror(errno));
    return QF_EXIT_INPUT;
  }
  for (size_t i = 0; i < list->n_items; ++i) {
    const char* const name  = base_name(list->items[i].path);
    const char* const dot   = strrchr(name, '.');
    const int         stem  = dot && dot > name ? (int)(dot - name) : (int)strlen(name);
    QfError           error = {0};
    char*             path  = NULL;
    if (asprintf(&path, "%s/%.*s.pdf", folder, stem, name) < 0) {
      return QF_EXIT_MACHINE;
    }
    if (write_pdf(list, &list->items[i], path, &error)) {
      result = fail(&error, path);
    }
    free(path);
  }
  return result;
}
