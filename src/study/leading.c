// SPDX-License-Identifier: MIT
#include "maker.h"

#include <stdlib.h>
#include <string.h>

QfStatus
qf_questions_make(QfLesson* const    lesson,
                  QfQuestion** const result,
                  size_t* const      n_result,
                  QfError* const     error)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  if (!labels) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  Maker maker = {.lesson = lesson,
                 .score  = qf_lesson_get_score(lesson),
                 .labels = labels,
                 .home   = qf_labels_get_key(labels)};
  if (qf_score_n_voices(maker.score)) {
    make_frame_questions(&maker);
    make_outer_questions(&maker);
    make_foreign_questions(&maker);
    make_quality_questions(&maker);
    make_function_questions(&maker);
    make_inner_questions(&maker);
  }
  if (maker.status) {
    free(maker.questions);
    return qf_error_set(error, maker.status, "out of memory");
  }
  *result   = maker.questions;
  *n_result = maker.n_questions;
  return QF_OK;
}

/// Questions in an order, with room for as many as there can be
typedef struct {
  QfQuestion* items; ///< Owned
  size_t      n_items;
} List;

static size_t
find(const QfQuestion* const questions, const size_t n_questions, const char* const id)
{
  for (size_t i = 0; i < n_questions; ++i) {
    if (!strcmp(questions[i].id, id)) {
      return i;
    }
  }
  return SIZE_MAX;
}

/// Keep the order and whatever the teacher did to the questions there are
static void
keep_old(const QfLesson* const   lesson,
         const QfQuestion* const made,
         const size_t            n_made,
         List* const             list)
{
  for (size_t i = 0; i < qf_lesson_n_questions(lesson); ++i) {
    const QfQuestion* const old   = qf_lesson_get_question(lesson, i);
    const size_t            again = old->is_own ? SIZE_MAX : find(made, n_made, old->id);
    if (!old->is_own && again == SIZE_MAX) {
      continue; // What it asked about is gone
    }
    QfQuestion* const kept = &list->items[list->n_items++];
    *kept                  = old->is_own || old->is_edited ? *old : made[again];
    kept->is_dropped       = old->is_dropped;
  }
}

/// Put new questions behind those they follow as they are made
static void
insert_new(const QfQuestion* const made, const size_t n_made, List* const list)
{
  for (size_t i = 0; i < n_made; ++i) {
    if (find(list->items, list->n_items, made[i].id) != SIZE_MAX) {
      continue;
    }
    const size_t before = i ? find(list->items, list->n_items, made[i - 1U].id) : SIZE_MAX;
    const size_t place  = before == SIZE_MAX ? 0 : before + 1U;
    memmove(&list->items[place + 1U], &list->items[place],
            (list->n_items - place) * sizeof(QfQuestion));
    list->items[place] = made[i];
    ++list->n_items;
  }
}

QfStatus
qf_questions_renew(QfLesson* const lesson, QfError* const error)
{
  QfQuestion* made   = NULL;
  size_t      n_made = 0;
  QfStatus    st     = qf_questions_make(lesson, &made, &n_made, error);
  if (st) {
    return st;
  }

  const size_t room = qf_lesson_n_questions(lesson) + n_made + 1U;
  List         list = {(QfQuestion*)calloc(room, sizeof(QfQuestion)), 0};
  if (list.items) {
    keep_old(lesson, made, n_made, &list);
    insert_new(made, n_made, &list);
    list.n_items = list.n_items < QF_MAX_QUESTIONS ? list.n_items : QF_MAX_QUESTIONS;
    st           = qf_lesson_set_questions(lesson, list.items, list.n_items, error);
  } else {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  free(list.items);
  free(made);
  return st;
}
