// SPDX-License-Identifier: MIT
#include "results_impl.h"

#include "quintfall/text.h"

#include <stdlib.h>
#include <string.h>

void
qf_results_clear(QfResults* const list)
{
  for (size_t i = 0; i < list->n_items; ++i) {
    qf_grade_free(list->items[i].grade);
    qf_answer_free(list->items[i].answer);
    free(list->items[i].path);
  }
  free(list->items);
  *list = (QfResults){0};
}

bool
qf_result_has_passed(const QfResults* const list, const QfResult* const item)
{
  return qf_grade_get_percent(item->grade) >= list->pass_percent;
}

const char*
result_base_name(const char* const path)
{
  const char* const slash = strrchr(path, '/');
  return slash ? slash + 1 : path;
}

const char*
qf_result_name(const QfResult* const item)
{
  const char* const name = qf_answer_get_student(item->answer);
  return name[0] ? name : result_base_name(item->path);
}

static void
add_result(QfText* const text, const QfResults* const list, const QfResult* const item)
{
  const QfGrade* const grade = item->grade;
  const char* const    word  = qf_grade_get_text(grade);
  qf_text_addf(text, "%.4g of %.4g points, %.1f %%", qf_grade_get_points(grade),
               qf_grade_get_possible(grade), qf_grade_get_percent(grade));
  qf_text_addf(text, "%s%s%s", word[0] ? ", " : "", word,
               qf_result_has_passed(list, item) ? "" : ", below the pass mark");
}

char*
qf_result_summary(const QfResults* const results, const QfResult* const item)
{
  QfText text = {0};
  add_result(&text, results, item);
  return qf_text_take(&text);
}

QfStatus
qf_results_add(QfResults* const      results,
               QfLesson* const       lesson,
               const char* const     path,
               const size_t          attempt,
               const QfRubric* const rubric,
               const QfNamingKind    naming,
               QfError* const        error)
{
  QfResult item = {0};
  QfStatus st   = qf_answer_load(path, &item.answer, error);
  if (!st) {
    item.attempt = attempt ? attempt : qf_answer_n_attempts(item.answer);

    const QfGradeOptions how = {rubric, attempt ? attempt - 1U : QF_LAST_ATTEMPT, naming};
    st                       = qf_grade_new(lesson, item.answer, how, &item.grade, error);
  }

  QfResult* const grown =
    st ? NULL : (QfResult*)realloc(results->items, (results->n_items + 1U) * sizeof(QfResult));
  item.path = grown ? strdup(path) : NULL;
  if (grown) {
    results->items = grown;
  }
  if (!item.path) {
    qf_grade_free(item.grade);
    qf_answer_free(item.answer);
    return st ? st : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  results->items[results->n_items++] = item;
  return QF_OK;
}
