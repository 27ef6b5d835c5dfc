// SPDX-License-Identifier: MIT
// Writes a task and an answer that uses every member of the format, for the schema to judge.
#include "quintfall/answer.h"

#include <stdio.h>

#define NOON "2026-03-09T12:00:00Z"

static QfStatus
fill(QfAnswer* const answer)
{
  const QfKey       key   = {{4, 0}, QF_MAJOR};
  const QfChordKind kind  = QF_CHORD_HALF_DIM7;
  const QfPitch     pitch = {5, -1, 3};
  uint32_t          note  = QF_NO_NOTE;
  QfStatus          st    = qf_answer_set_student(answer, "A. Learner", "12", NULL);
  st                      = st ? st : qf_answer_begin_attempt(answer, NOON, false, NULL);
  st = st ? st : qf_answer_put_note(answer, 3, qf_time(1, 4), qf_time(3, 8), pitch, &note, NULL);
  st = st ? st : qf_answer_set_note_doubt(answer, note, true, NULL);
  st = st ? st : qf_answer_put_degree(answer, 0, qf_time(1, 4), qf_time(1, 4), 5, 1, NULL, NULL);
  st = st ? st : qf_answer_set_quality(answer, qf_time(1, 4), &kind, NULL);
  st = st ? st : qf_answer_set_numeral(answer, qf_time(1, 4), "ii/o65", &key, NULL);
  st = st ? st : qf_answer_set_chord_doubt(answer, qf_time(1, 4), true, NULL);
  for (int c = 0; !st && c < QF_CONTOUR_N_KINDS; ++c) {
    const QfScratch scratch = {1, qf_time(c, 8), (QfContour)c, 3, -1};
    st                      = qf_answer_put_scratch(answer, scratch, NULL);
  }
  st =
    st ? st
       : qf_answer_add_heard(answer, NOON, qf_hearing_default(), QF_TIME_ZERO, qf_time(1, 1), NULL);
  st = st ? st : qf_answer_add_reply(answer, NOON, "quality@1/4", "minor", false, 2, NULL);
  return st ? st : qf_answer_begin_attempt(answer, NOON, true, NULL);
}

int
main(const int argc, char** const argv)
{
  QfLesson* lesson = NULL;
  QfAnswer* answer = NULL;
  QfError   error  = {0};
  if (argc != 4) {
    return 2;
  }
  QfStatus st = qf_lesson_load(argv[1], &lesson, &error);
  for (size_t v = 0; !st && v < qf_score_n_voices(qf_lesson_get_score(lesson)); ++v) {
    st = qf_lesson_set_voice_given(lesson, v, v == 2, &error);
  }
  st = st ? st : qf_answer_new(lesson, &answer, &error);
  st = st ? st : qf_answer_save(answer, argv[2], &error);
  st = st ? st : fill(answer);
  st = st ? st : qf_answer_save(answer, argv[3], &error);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
  if (st) {
    fprintf(stderr, "%s %s\n", qf_status_text(st), error.text);
  }
  return st ? 1 : 0;
}
