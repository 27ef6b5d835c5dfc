// SPDX-License-Identifier: MIT
#include "answer_impl.h"
#include "grade_impl.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MANY_EXTRAS = 20,
};

QfStatus
add_verdict(QfGrade* const grade, const QfVerdict verdict)
{
  if (grade->n_verdicts == grade->capacity) {
    const size_t     capacity = grade->capacity ? 2U * grade->capacity : 64U;
    QfVerdict* const grown    = (QfVerdict*)realloc(grade->verdicts, capacity * sizeof(QfVerdict));
    if (!grown) {
      return QF_ERR_NO_MEM;
    }
    grade->verdicts = grown;
    grade->capacity = capacity;
  }
  QfVerdict* const added = &grade->verdicts[grade->n_verdicts++];
  *added                 = verdict;
  added->reason          = verdict.reason ? verdict.reason : "";
  return QF_OK;
}

void
add_remark(QfGrade* const grade, const char* const format, ...)
{
  if (grade->n_remarks < MAX_REMARKS) {
    va_list args;
    va_start(args, format);
    vsnprintf(grade->remarks[grade->n_remarks++], REMARK_SIZE, format, args);
    va_end(args);
  }
}

void
qf_grade_free(QfGrade* const grade)
{
  if (grade) {
    for (size_t i = 0; i < grade->n_reasons; ++i) {
      free(grade->reasons[i]);
    }
    free(grade->reasons);
    free(grade->verdicts);
    free(grade->tallies);
    free(grade->differences);
    free(grade);
  }
}

static void
remark_match(const Marking* const marking, const QfAnswer* const answer)
{
  QfGrade* const    grade = marking->grade;
  const char* const title = qf_score_get_title(marking->score);
  char              digest[QF_ANSWER_DIGEST_SIZE];
  qf_lesson_digest(marking->lesson, digest);
  if (!strcmp(digest, qf_answer_get_digest(answer))) {
    grade->match = QF_MATCH_SAME;
  } else if (!strcmp(title, qf_answer_get_title(answer))) {
    grade->match = QF_MATCH_VERSION;
    add_remark(grade, "The answer was made for another version of this lesson; it is graded by "
                      "this one as far as it can be.");
  } else {
    grade->match = QF_MATCH_OTHER;
    add_remark(grade,
               "The answer was made for another lesson, \"%.60s\"; it is graded by \"%.60s\" as "
               "far as it can be.",
               qf_answer_get_title(answer), title);
  }
}

/// Say where the answer's page is not like the lesson's
static void
remark_frame(const Marking* const marking, const QfAnswer* const answer)
{
  const QfScore* const frame    = qf_answer_get_frame(answer);
  const size_t         n_voices = qf_score_n_voices(frame);
  if (n_voices != qf_score_n_voices(marking->score)) {
    add_remark(marking->grade, "The answer has %zu voices, the lesson has %zu.", n_voices,
               qf_score_n_voices(marking->score));
  }
  if (qf_score_n_bars(frame) != qf_score_n_bars(marking->score)) {
    add_remark(marking->grade, "The answer has %zu bars, the lesson has %zu.",
               qf_score_n_bars(frame), qf_score_n_bars(marking->score));
  }
  const size_t n_bars = qf_score_n_bars(frame) && qf_score_n_bars(marking->score);
  if (n_bars && !qf_metre_equals(qf_score_get_bar(frame, 0)->metre,
                                 qf_score_get_bar(marking->score, 0)->metre)) {
    char theirs[48];
    char ours[48];
    qf_metre_write(qf_score_get_bar(frame, 0)->metre, theirs, sizeof(theirs));
    qf_metre_write(qf_score_get_bar(marking->score, 0)->metre, ours, sizeof(ours));
    add_remark(marking->grade, "The answer is written in %s, the lesson in %s.", theirs, ours);
  }
}

static void
remark_content(const Marking* const marking)
{
  const QfTry* const try = marking->try;
  if (!try) {
    add_remark(marking->grade, "No attempt was begun.");
    return;
  }

  size_t n_extra = 0;
  for (size_t i = 0; i < marking->grade->n_verdicts; ++i) {
    n_extra += marking->grade->verdicts[i].kind == QF_VERDICT_EXTRA;
  }
  if (n_extra >= MANY_EXTRAS) {
    add_remark(marking->grade, "%zu notes and chords are written that were not asked for.",
               n_extra);
  }

  size_t n_notes = 0;
  for (size_t v = 0; v < qf_score_n_voices(try->score); ++v) {
    n_notes += qf_score_n_notes(try->score, v) - qf_score_n_notes(try->frame, v);
  }
  if (!n_notes && !qf_try_n_chords(try)) {
    add_remark(marking->grade, "Nothing is written.");
  }
}

/// Layers that are asked for, worth anything, and have something to find
static unsigned
graded_layers(const Marking* const marking)
{
  const QfStudy study  = qf_lesson_get_study(marking->lesson);
  unsigned      result = 0;
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    if ((study.layers & BIT(l)) && marking->grade->rubric.layers[l].worth > 0.0) {
      result |= BIT(l);
    }
  }
  return result;
}

static QfStatus
mark_layers(const Marking* const marking)
{
  QfStatus st = QF_OK;
  for (int l = 0; !st && l < QF_LAYER_N_KINDS; ++l) {
    const QfLayer layer = (QfLayer)l;
    if (!(marking->grade->layers & BIT(l))) {
      continue;
    }
    st = layer == QF_LAYER_QUALITY   ? mark_quality_layer(marking)
         : layer == QF_LAYER_NUMERAL ? mark_numeral_layer(marking)
                                     : mark_note_layer(marking, layer);
  }
  return st;
}

static void
add_up(QfGrade* const grade)
{
  const QfRubric* const rubric = &grade->rubric;
  for (size_t i = 0; i < grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &grade->verdicts[i];
    grade->layer_points[verdict->layer] += verdict->points;
    grade->layer_possible[verdict->layer] += verdict->possible;
  }

  double points = 0.0;
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    grade->layer_points[l] = fmax(grade->layer_points[l], 0.0); // Extras cost no other layer
    points += grade->layer_points[l];
    grade->possible += grade->layer_possible[l];
  }
  if (rubric->out_of > 0.0 && grade->possible > 0.0) {
    points *= rubric->out_of / grade->possible;
    grade->possible = rubric->out_of;
  }
  grade->points  = qf_rubric_round(rubric, points, grade->possible);
  grade->percent = grade->possible > 0.0 ? 100.0 * grade->points / grade->possible : 0.0;
}

static QfStatus
mark(const Marking* const marking, const QfAnswer* const answer)
{
  remark_match(marking, answer);
  remark_frame(marking, answer);
  marking->grade->layers = graded_layers(marking);

  QfStatus st = mark_layers(marking);
  st          = st ? st : make_tallies(marking);
  st          = st ? st : make_differences(marking);
  add_up(marking->grade);
  remark_content(marking);
  if (!(marking->grade->possible > 0.0)) {
    add_remark(marking->grade, "The task asks for nothing that could be graded.");
  }
  return st;
}

QfStatus
qf_grade_new(QfLesson* const       lesson,
             const QfAnswer* const answer,
             const QfGradeOptions  options,
             QfGrade** const       result,
             QfError* const        error)
{
  const size_t n_attempts = qf_answer_n_attempts(answer);
  if (options.attempt != QF_LAST_ATTEMPT && options.attempt >= n_attempts) {
    return qf_error_set(error, QF_ERR_RANGE, "the answer has %zu attempts", n_attempts);
  }

  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  QfGrade* const        grade  = labels ? (QfGrade*)calloc(1, sizeof(QfGrade)) : NULL;
  if (!grade) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  grade->rubric = options.rubric ? *options.rubric : *qf_lesson_get_rubric(lesson);

  const size_t       index = options.attempt == QF_LAST_ATTEMPT ? n_attempts - 1U : options.attempt;
  const QfTry* const try   = n_attempts ? qf_answer_get_attempt(answer, index) : NULL;
  const Marking      marking = {.grade  = grade,
                                .lesson = lesson,
                                .score  = qf_lesson_get_score(lesson),
                                .labels = labels,
                                .home   = qf_labels_get_key(labels),
                                .try    = try,
                                .given  = try ? qf_try_get_score(try) : NULL,
                                .naming = options.naming};
  const QfStatus     st      = mark(&marking, answer);
  if (st) {
    qf_grade_free(grade);
    return qf_error_set(error, st, "%s", qf_status_text(st));
  }
  *result = grade;
  return QF_OK;
}

QfMatch
qf_grade_get_match(const QfGrade* const grade)
{
  return grade->match;
}

size_t
qf_grade_n_verdicts(const QfGrade* const grade)
{
  return grade->n_verdicts;
}

const QfVerdict*
qf_grade_get_verdict(const QfGrade* const grade, const size_t index)
{
  return &grade->verdicts[index];
}

const QfVerdict*
qf_grade_verdict_of_note(const QfGrade* const grade, const uint32_t answer_note)
{
  for (size_t i = 0; answer_note != QF_NO_NOTE && i < grade->n_verdicts; ++i) {
    if (grade->verdicts[i].answer_note == answer_note) {
      return &grade->verdicts[i];
    }
  }
  return NULL;
}

const QfVerdict*
qf_grade_verdict_of_chord(const QfGrade* const grade,
                          const QfLayer        layer,
                          const QfTime         answer_start)
{
  for (size_t i = 0; i < grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &grade->verdicts[i];
    if (verdict->layer == layer && verdict->kind != QF_VERDICT_MISSING &&
        !qf_time_compare(verdict->answer_start, answer_start)) {
      return verdict;
    }
  }
  return NULL;
}

bool
qf_grade_has_layer(const QfGrade* const grade, const QfLayer layer)
{
  return grade->layers & BIT(layer);
}

double
qf_grade_get_layer_points(const QfGrade* const grade, const QfLayer layer)
{
  return grade->layer_points[layer];
}

double
qf_grade_get_layer_possible(const QfGrade* const grade, const QfLayer layer)
{
  return grade->layer_possible[layer];
}

double
qf_grade_get_points(const QfGrade* const grade)
{
  return grade->points;
}

double
qf_grade_get_possible(const QfGrade* const grade)
{
  return grade->possible;
}

double
qf_grade_get_percent(const QfGrade* const grade)
{
  return grade->percent;
}

const char*
qf_grade_get_text(const QfGrade* const grade)
{
  return qf_rubric_grade_of(&grade->rubric, grade->percent);
}

bool
qf_grade_has_passed(const QfGrade* const grade)
{
  return grade->percent >= grade->rubric.pass_percent;
}

size_t
qf_grade_n_remarks(const QfGrade* const grade)
{
  return grade->n_remarks;
}

const char*
qf_grade_get_remark(const QfGrade* const grade, const size_t index)
{
  return grade->remarks[index];
}

size_t
qf_grade_n_tallies(const QfGrade* const grade)
{
  return grade->n_tallies;
}

const QfTally*
qf_grade_get_tally(const QfGrade* const grade, const size_t index)
{
  return &grade->tallies[index];
}

size_t
qf_grade_n_differences(const QfGrade* const grade)
{
  return grade->n_differences;
}

const QfDifference*
qf_grade_get_difference(const QfGrade* const grade, const size_t index)
{
  return &grade->differences[index];
}
