// SPDX-License-Identifier: MIT
// What a whole class got right and wrong.
#include "results_impl.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char layer_group[] = "layer/";

static bool
is_layer(const QfTally* const tally)
{
  return !strncmp(tally->concept, layer_group, sizeof(layer_group) - 1U);
}

/// Layers first; then by the share of what is right, and by how much was missed
static int
compare_tallies(const void* const left, const void* const right)
{
  const QfTally* const a        = (const QfTally*)left;
  const QfTally* const b        = (const QfTally*)right;
  const int            missed_a = a->asked - a->right;
  const int            missed_b = b->asked - b->right;
  const long           share_a  = (long)a->right * b->asked;
  const long           share_b  = (long)b->right * a->asked;
  if (is_layer(a) != is_layer(b)) {
    return is_layer(a) ? -1 : 1;
  }
  if (share_a != share_b) {
    return share_a < share_b ? -1 : 1;
  }
  if (missed_a != missed_b) {
    return missed_a > missed_b ? -1 : 1;
  }
  return strcmp(a->concept, b->concept);
}

static QfTally*
find_tally(QfTally* const tallies, const size_t n, const char* const concept)
{
  for (size_t i = 0; i < n; ++i) {
    if (!strcmp(tallies[i].concept, concept)) {
      return &tallies[i];
    }
  }
  return NULL;
}

QfStatus
qf_results_tallies(const QfResults* const results,
                   QfTally** const        tallies,
                   size_t* const          n_tallies,
                   QfError* const         error)
{
  size_t most = 0;
  for (size_t i = 0; i < results->n_items; ++i) {
    most += qf_grade_n_tallies(results->items[i].grade);
  }
  QfTally* const sums = (QfTally*)calloc(most ? most : 1U, sizeof(QfTally));
  if (!sums) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  size_t n = 0;
  for (size_t i = 0; i < results->n_items; ++i) {
    for (size_t t = 0; t < qf_grade_n_tallies(results->items[i].grade); ++t) {
      const QfTally* const tally = qf_grade_get_tally(results->items[i].grade, t);
      QfTally* const       sum   = find_tally(sums, n, tally->concept);
      if (sum) {
        sum->right += tally->right;
        sum->asked += tally->asked;
      } else {
        sums[n++] = *tally;
      }
    }
  }
  qsort(sums, n, sizeof(QfTally), compare_tallies);
  *tallies   = sums;
  *n_tallies = n;
  return QF_OK;
}

const QfTally*
qf_result_weakest(const QfResult* const item)
{
  const QfTally* weakest = NULL;
  for (size_t i = 0; i < qf_grade_n_tallies(item->grade); ++i) {
    const QfTally* const tally = qf_grade_get_tally(item->grade, i);
    const bool           is_better =
      !weakest || (is_layer(weakest) && !is_layer(tally)) ||
      (is_layer(weakest) == is_layer(tally) && compare_tallies(tally, weakest) < 0);
    if (tally->right < tally->asked && is_better) {
      weakest = tally;
    }
  }
  return weakest;
}

void
qf_tally_describe(const QfTally* const tally, char* const buffer, const size_t size)
{
  char words[QF_CONCEPT_NAME_SIZE];
  qf_concept_describe(tally->concept, words, sizeof(words));
  snprintf(buffer, size, "%s: %d of %d", words, tally->right, tally->asked);
}

/// What tells a student from others: the id, or the name
static const char*
student_of(const QfResult* const item)
{
  const char* const id = qf_answer_get_student_id(item->answer);
  return id[0] ? id : qf_answer_get_student(item->answer);
}

size_t
qf_results_n_students(const QfResults* const results)
{
  size_t n = 0;
  for (size_t i = 0; i < results->n_items; ++i) {
    const char* const student = student_of(&results->items[i]);
    bool              is_new  = true;
    for (size_t j = 0; student[0] && is_new && j < i; ++j) {
      is_new = strcmp(student, student_of(&results->items[j])) != 0;
    }
    n += is_new;
  }
  return n;
}

char*
qf_results_summary(const QfResults* const results)
{
  const size_t n          = results->n_items;
  const size_t n_students = qf_results_n_students(results);
  double       sum        = 0.0;
  size_t       n_passed   = 0;
  QfText       text       = {0};
  for (size_t i = 0; i < n; ++i) {
    sum += qf_grade_get_percent(results->items[i].grade);
    n_passed += qf_result_has_passed(results, &results->items[i]);
  }
  qf_text_addf(&text, "%zu answer%s", n, n == 1U ? "" : "s");
  if (n_students != n) {
    qf_text_addf(&text, " of %zu student%s", n_students, n_students == 1U ? "" : "s");
  }
  if (n) {
    qf_text_addf(&text, ", %zu passed, mean %.0f %%", n_passed, sum / (double)n);
  }
  return qf_text_take(&text);
}

char*
qf_results_class_text(const QfResults* const results)
{
  QfTally* tallies = NULL;
  size_t   n       = 0;
  QfText   text    = {0};
  if (qf_results_tallies(results, &tallies, &n, NULL)) {
    return NULL;
  }
  char* const summary = qf_results_summary(results);
  qf_text_addf(&text, "%s\n", summary ? summary : "");
  free(summary);
  for (size_t i = 0; i < n; ++i) {
    char words[QF_CONCEPT_NAME_SIZE];
    qf_concept_describe(tallies[i].concept, words, sizeof(words));
    if (i == 0 || is_layer(&tallies[i]) != is_layer(&tallies[i - 1U])) {
      qf_text_addf(&text, "%s\n",
                   is_layer(&tallies[i]) ? "Layers, the weakest first:"
                                         : "What is in them, the weakest first:");
    }
    qf_text_addf(&text, "  %3.0f %% right  %d of %d  %s\n",
                 100.0 * tallies[i].right / tallies[i].asked, tallies[i].right, tallies[i].asked,
                 words);
  }
  free(tallies);
  return qf_text_take(&text);
}
