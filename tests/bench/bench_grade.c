// SPDX-License-Identifier: MIT
#include "quintfall/grade.h"

#include <json-c/json.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

// Grading 300 answers of a lesson of 16 bars, against reading and parsing their JSON twice: by bare
// json-c, and by our own reader. Answers are as a class gives them: some notes and chords wrong,
// some left out. The quickest of several rounds counts.

enum {
  N_BARS    = 16,
  N_ANSWERS = 300,
  N_ROUNDS  = 5,
  N_CHORDS  = 4 * N_BARS,
};

static const char chain[] =
  "C: I V7/ii ii V65/V | V V42 I6 IV | ii65 Cad64(1) V7(1) vi(1) | V7/IV IV viio7/V V | "
  "I vi ii V | I V6 I IV | V65/vi vi V7/V V | I IV V7 I | "
  "I V7/ii ii V65/V | V V42 I6 IV | ii65 Cad64(1) V7(1) vi(1) | V7/IV IV viio7/V V | "
  "I vi ii V | I V6 I IV | V65/vi vi V7/V V | I IV V7 I";

static double
now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static QfLesson*
make_lesson(void)
{
  const QfKey key   = {{0, 0}, QF_MAJOR};
  QfMetre     metre = {0};
  QfLinks     links = {0};
  QfError     error = {0};
  if (qf_metre(4, 4, &metre) || qf_links_parse(chain, NULL, metre, &links, &error)) {
    fprintf(stderr, "%s\n", error.text);
    return NULL;
  }
  QfLesson* lesson = qf_lesson_new(key, metre, QF_TIME_ZERO, N_BARS);
  if (lesson && qf_lesson_place_chords(lesson, links.links, links.n_links, &error)) {
    fprintf(stderr, "%s\n", error.text);
    qf_lesson_free(lesson);
    lesson = NULL;
  }
  qf_links_clear(&links);
  return lesson;
}

/// One answer of the class as JSON
static char*
make_answer(QfLesson* const lesson, const QfAnswer* const task, unsigned seed)
{
  char*     json   = NULL;
  QfAnswer* answer = NULL;
  if (qf_answer_to_json(task, &json, NULL) ||
      qf_answer_from_json(json, strlen(json), &answer, NULL) ||
      qf_answer_begin_attempt(answer, "2026-03-09T12:00:00Z", false, NULL)) {
    return NULL;
  }
  free(json);

  const QfScore* const  score  = qf_lesson_get_score(lesson);
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  QfStatus              st     = QF_OK;
  for (size_t v = 0; v < 4; ++v) {
    for (size_t i = 0; !st && i < qf_score_n_notes(score, v); ++i) {
      const QfNote note = *qf_score_get_note(score, v, i);
      seed              = seed * 1664525U + 1013904223U;
      QfPitch pitch     = note.pitch;
      if (seed >> 24U < 40U) {
        pitch = qf_pitch_from_step(qf_pitch_step(pitch) + 1, 0);
      }
      if (seed >> 24U < 240U) {
        st = qf_answer_put_note(answer, v, note.start, note.duration, pitch, NULL, NULL);
      }
    }
  }
  for (size_t i = 0; !st && i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);
    char                 text[QF_NUMERAL_TEXT_SIZE];
    seed = seed * 1664525U + 1013904223U;
    qf_numeral_write(&link->numeral, link->key.mode, text, sizeof(text));
    st = qf_answer_set_numeral(answer, link->start, seed >> 24U < 40U ? "IV" : text, NULL, NULL);
    st = st ? st : qf_answer_set_quality(answer, link->start, &link->chord.kind, NULL);
  }
  json = NULL;
  qf_answer_to_json(answer, &json, NULL);
  qf_answer_free(answer);
  return st ? NULL : json;
}

typedef struct {
  double parse_ms; ///< By bare json-c
  double read_ms;  ///< By our reader
  double grade_ms;
  size_t n_bytes;
} Times;

static void
keep_least(double* const best, const double took_s)
{
  const double took_ms = 1e3 * took_s;
  *best                = *best <= 0.0 || took_ms < *best ? took_ms : *best;
}

static void
measure(QfLesson* const lesson, char* const* const answers, Times* const times)
{
  double parse_s = 0.0;
  double read_s  = 0.0;
  double grade_s = 0.0;
  times->n_bytes = 0;
  for (int i = 0; i < N_ANSWERS; ++i) {
    const double t0 = now_s();
    json_object_put(json_tokener_parse(answers[i]));
    const double t1     = now_s();
    QfAnswer*    answer = NULL;
    qf_answer_from_json(answers[i], strlen(answers[i]), &answer, NULL);
    const double         t2      = now_s();
    QfGrade*             grade   = NULL;
    const QfGradeOptions options = {NULL, QF_LAST_ATTEMPT, QF_NAMING_ENGLISH};
    qf_grade_new(lesson, answer, options, &grade, NULL);
    const double t3 = now_s();
    parse_s += t1 - t0;
    read_s += t2 - t1;
    grade_s += t3 - t2;
    times->n_bytes += strlen(answers[i]);
    qf_grade_free(grade);
    qf_answer_free(answer);
  }
  keep_least(&times->parse_ms, parse_s);
  keep_least(&times->read_ms, read_s);
  keep_least(&times->grade_ms, grade_s);
}

int
main(void)
{
  QfLesson* const lesson             = make_lesson();
  QfAnswer*       task               = NULL;
  char*           answers[N_ANSWERS] = {NULL};
  if (!lesson || qf_answer_new(lesson, &task, NULL)) {
    return 1;
  }
  for (int i = 0; i < N_ANSWERS; ++i) {
    answers[i] = make_answer(lesson, task, (unsigned)i);
    if (!answers[i]) {
      return 1;
    }
  }

  Times times = {0};
  for (int i = 0; i < N_ROUNDS; ++i) {
    measure(lesson, answers, &times);
  }
  printf("%d answers of %d bars, %.1f KiB each\n", N_ANSWERS, N_BARS,
         (double)times.n_bytes / 1024.0 / N_ANSWERS);
  printf("parse by bare json-c twice: %.1f ms\n", 2.0 * times.parse_ms);
  printf("read as answers twice:      %.1f ms\n", 2.0 * times.read_ms);
  printf("grade:                      %.1f ms\n", times.grade_ms);
  printf("grade / (2 x json-c) = %.2f, grade / (2 x read) = %.2f\n",
         times.grade_ms / (2.0 * times.parse_ms), times.grade_ms / (2.0 * times.read_ms));
  for (int i = 0; i < N_ANSWERS; ++i) {
    free(answers[i]);
  }
  qf_answer_free(task);
  qf_lesson_free(lesson);
  return 0;
}
