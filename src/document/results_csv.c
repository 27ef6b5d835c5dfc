// SPDX-License-Identifier: MIT
#include "results_impl.h"

#include "quintfall/text.h"

#include <string.h>

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
add_row(QfText* const text, const QfResults* const list, const QfResult* const item)
{
  const QfGrade* const grade = item->grade;
  add_field(text, qf_answer_get_student(item->answer));
  qf_text_add(text, ",");
  add_field(text, qf_answer_get_student_id(item->answer));
  qf_text_add(text, ",");
  add_field(text, result_base_name(item->path));
  qf_text_addf(text, ",%zu,%zu,%.6g,%.6g,%.2f,", item->attempt, qf_answer_n_heard(item->answer),
               qf_grade_get_points(grade), qf_grade_get_possible(grade),
               qf_grade_get_percent(grade));
  add_field(text, qf_grade_get_text(grade));
  qf_text_add(text, qf_result_has_passed(list, item) ? ",yes" : ",no");
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
  const QfTally* const weakest                          = qf_result_weakest(item);
  char                 words[QF_CONCEPT_NAME_SIZE + 32] = "";
  if (weakest) {
    qf_tally_describe(weakest, words, sizeof(words));
  }
  qf_text_add(text, ",");
  add_field(text, words);
  qf_text_add(text, ",");
  add_field(text, remarks.data ? remarks.data : "");
  qf_text_add(text, "\r\n");
  qf_text_free(&remarks);
}

char*
qf_results_csv(const QfResults* const list)
{
  QfText text = {0};
  qf_text_add(&text, "student,id,file,attempt,hearings,points,possible,percent,grade,passed");
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    qf_text_addf(&text, ",%s", qf_layer_id((QfLayer)l));
  }
  qf_text_add(&text, ",missed_most,remarks\r\n");
  for (size_t i = 0; i < list->n_items; ++i) {
    add_row(&text, list, &list->items[i]);
  }
  return qf_text_take(&text);
}
