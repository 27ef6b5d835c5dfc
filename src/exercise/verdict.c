// SPDX-License-Identifier: MIT
#include "verdict.h"

#include <string.h>

/// Whether a label reads as the link does, in its own key or, for a chord of both keys, the other
static bool
reads_as(const QfLabel* const label, const QfLink* const link)
{
  if (qf_key_equals(label->key, link->key)) {
    return qf_numeral_equals(&label->numeral, &link->numeral);
  }
  // Which of the two keys a pivot is written in says nothing of what it sounds like.
  QfChord asked;
  return !qf_numeral_chord(&link->numeral, link->key, &asked, NULL) &&
         asked.kind == label->chord.kind && qf_note_name_equals(asked.root, label->chord.root) &&
         asked.inversion == label->chord.inversion;
}

static bool
complain(const QfScore* const score,
         const QfLink* const  link,
         const QfLabel* const label,
         QfError* const       error)
{
  char asked[QF_NUMERAL_TEXT_SIZE];
  char read[QF_NUMERAL_TEXT_SIZE] = "nothing";
  char key[16];
  char other[16] = "";
  char place[48];
  qf_numeral_write(&link->numeral, link->key.mode, asked, sizeof(asked));
  qf_key_write(link->key, key, sizeof(key));
  qf_score_write_place(score, link->start, place, sizeof(place));
  if (label && label->is_known) {
    qf_numeral_write(&label->numeral, label->key.mode, read, sizeof(read));
    qf_key_write(label->key, other, sizeof(other));
  }
  qf_error_set(error, QF_ERR_IMPOSSIBLE, "%s: asked for %s in %s, but it reads as %s%s%s", place,
               asked, key, read, *other ? " in " : "", other);
  return false;
}

bool
labels_are_links(const QfScore* const  score,
                 const QfLabels* const labels,
                 const QfLink* const   links,
                 const size_t          n_links,
                 QfError* const        error)
{
  bool was_other = false;
  for (size_t i = 0; i < n_links; ++i) {
    const QfLabel* const label =
      i < qf_labels_n_links(labels) ? qf_labels_get_link(labels, i) : NULL;
    if (!label || !label->is_known || qf_time_compare(label->start, links[i].start) ||
        !reads_as(label, &links[i])) {
      return complain(score, &links[i], label, error);
    }
    // Only the one chord at a change may be read in either key.
    const bool is_other = !qf_key_equals(label->key, links[i].key);
    const bool is_at_change =
      (i + 1U < n_links && !qf_key_equals(links[i].key, links[i + 1U].key)) ||
      (i && !qf_key_equals(links[i].key, links[i - 1U].key));
    if (is_other && (!is_at_change || was_other)) {
      return complain(score, &links[i], label, error);
    }
    was_other = is_other;
  }
  return qf_labels_n_links(labels) == n_links ||
         complain(score, &links[n_links - 1U], qf_labels_get_link(labels, n_links), error);
}

Verdict
judge_lesson(QfLesson* const lesson, const QfLink* const links, const size_t n_links)
{
  const QfScore* const  score  = qf_lesson_get_score(lesson);
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  if (!labels) {
    return VERDICT_NO_MEM;
  }
  if (!labels_are_links(score, labels, links, n_links, NULL)) {
    return VERDICT_LABELS;
  }

  QfFindings findings = {0};
  if (qf_check(score, labels, QF_PROFILE_COMMON, &findings, NULL)) {
    return VERDICT_NO_MEM;
  }
  const size_t n_errors = qf_findings_count(&findings, QF_SEVERITY_ERROR);
  qf_findings_clear(&findings);
  return n_errors ? VERDICT_ERRORS : VERDICT_GOOD;
}

QfLesson*
lesson_of_score(const QfScore* const score, const QfKey key, const bool modulates)
{
  QfScore* const  copy   = qf_score_dup(score);
  QfLesson* const lesson = copy ? qf_lesson_new_from_score(copy) : NULL;
  if (!lesson) {
    return NULL;
  }
  if (qf_lesson_set_key(lesson, &key, NULL) ||
      qf_lesson_set_may_modulate(lesson, modulates, NULL)) {
    qf_lesson_free(lesson);
    return NULL;
  }
  return lesson;
}
