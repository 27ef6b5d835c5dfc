// SPDX-License-Identifier: MIT
#include "quintfall/compare.h"

#include "grade_impl.h"
#include "time_lines.h"

#include <stdio.h>
#include <stdlib.h>

typedef struct {
  QfComparedNote* notes; ///< In order of identity; owned
  size_t          n_notes;
} ComparedNotes;

struct QfComparisonImpl {
  const QfScore*   score;   ///< Lent
  const QfLabels*  labels;  ///< Lent
  const QfTry*     attempt; ///< Lent, or NULL
  const QfScore*   written; ///< Of the attempt, or NULL
  const QfGrade*   grade;   ///< Lent
  QfKey            home;
  TimeLines        lines;
  ComparedNotes    pages[2]; ///< The passage's, the answer's
  QfComparedChord* chords;   ///< Owned
  size_t           n_chords;
};

void
qf_comparison_free(QfComparison* const comparison)
{
  if (comparison) {
    time_lines_clear(&comparison->lines);
    free(comparison->pages[0].notes);
    free(comparison->pages[1].notes);
    free(comparison->chords);
    free(comparison);
  }
}

size_t
qf_comparison_voice_of(const QfComparison* const comparison, const size_t written_voice)
{
  const size_t n_asked   = qf_score_n_voices(comparison->score);
  const size_t n_written = comparison->written ? qf_score_n_voices(comparison->written) : 0;
  if (written_voice >= n_written || !n_asked) {
    return SIZE_MAX;
  }
  if (written_voice == 0) {
    return 0;
  }
  // As the grader takes them: the last is the bass, the others are counted from the top.
  if (written_voice + 1U == n_written) {
    return n_asked > 1U ? n_asked - 1U : SIZE_MAX;
  }
  return written_voice + 1U < n_asked ? written_voice : SIZE_MAX;
}

// ---- notes

static bool
are_alike(const QfNote* const a, const QfNote* const b)
{
  return qf_pitch_equals(a->pitch, b->pitch) && !qf_time_compare(a->duration, b->duration);
}

/// Verdict on a note of a page, or SIZE_MAX
static size_t
verdict_of(const QfGrade* const grade, const bool is_theirs, const uint32_t note)
{
  for (size_t i = 0; i < grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &grade->verdicts[i];
    if ((is_theirs ? verdict->answer_note : verdict->note) == note) {
      return i;
    }
  }
  return SIZE_MAX;
}

/// Kind of a note that the grader paired with another
static QfComparedKind
kind_of_pair(const QfVerdict* const verdict, const bool is_alike)
{
  if (verdict->kind != QF_VERDICT_RIGHT || verdict->following) {
    return QF_COMPARED_DIFFERS;
  }
  return is_alike ? QF_COMPARED_SAME : QF_COMPARED_EQUAL;
}

/// A note that is not graded: given, or of a voice that was not asked for
static void
compare_ungraded(const QfScore* const  other_page,
                 const size_t          other_voice,
                 const QfNote* const   note,
                 QfComparedNote* const result)
{
  const QfNote* const other = other_page && other_voice < qf_score_n_voices(other_page)
                                ? qf_score_note_at(other_page, other_voice, note->start)
                                : NULL;
  if (other) {
    result->other    = other->id;
    result->is_alike = !qf_time_compare(other->start, note->start) && are_alike(note, other);
    result->kind     = result->is_alike ? QF_COMPARED_SAME : QF_COMPARED_UNASKED;
  }
}

static void
compare_graded(const QfComparison* const c,
               const bool                is_theirs,
               const QfNote* const       note,
               QfComparedNote* const     result)
{
  const QfVerdict* const verdict = &c->grade->verdicts[result->verdict];
  if (!is_paired(verdict)) {
    result->kind = is_theirs ? QF_COMPARED_EXTRA : QF_COMPARED_MISSING;
    return;
  }
  result->other = is_theirs ? verdict->note : verdict->answer_note;
  const QfNote* const other =
    qf_score_find_note(is_theirs ? c->score : c->written, result->other, NULL);
  result->is_alike = other && are_alike(note, other);
  result->kind     = kind_of_pair(verdict, result->is_alike);
}

static int
compare_identities(const void* const a, const void* const b)
{
  const uint32_t x = ((const QfComparedNote*)a)->note;
  const uint32_t y = ((const QfComparedNote*)b)->note;
  return (x > y) - (x < y);
}

/// Voice of the answer that was meant for one of the passage, or SIZE_MAX
static size_t
written_voice_of(const QfComparison* const c, const size_t voice)
{
  const size_t n_written = c->written ? qf_score_n_voices(c->written) : 0;
  for (size_t v = 0; v < n_written; ++v) {
    if (qf_comparison_voice_of(c, v) == voice) {
      return v;
    }
  }
  return SIZE_MAX;
}

static QfStatus
compare_page(QfComparison* const c, const bool is_theirs)
{
  const QfScore* const page = is_theirs ? c->written : c->score;
  ComparedNotes* const list = &c->pages[is_theirs];
  size_t               n    = 0;
  for (size_t v = 0; page && v < qf_score_n_voices(page); ++v) {
    n += qf_score_n_notes(page, v);
  }
  list->notes = (QfComparedNote*)calloc(n + 1U, sizeof(QfComparedNote));
  if (!list->notes) {
    return QF_ERR_NO_MEM;
  }

  for (size_t v = 0; page && v < qf_score_n_voices(page); ++v) {
    const size_t voice = is_theirs ? qf_comparison_voice_of(c, v) : v;
    const size_t there = is_theirs ? voice : written_voice_of(c, v);
    for (size_t i = 0; i < qf_score_n_notes(page, v); ++i) {
      const QfNote* const note = qf_score_get_note(page, v, i);
      QfComparedNote      item = {.note = note->id, .kind = QF_COMPARED_UNASKED, .voice = voice};
      item.verdict             = verdict_of(c->grade, is_theirs, note->id);
      if (item.verdict == SIZE_MAX) {
        compare_ungraded(is_theirs ? c->score : c->written, there, note, &item);
      } else {
        compare_graded(c, is_theirs, note, &item);
      }
      list->notes[list->n_notes++] = item;
    }
  }
  qsort(list->notes, list->n_notes, sizeof(QfComparedNote), compare_identities);
  return QF_OK;
}

const QfComparedNote*
qf_comparison_find_note(const QfComparison* const c, const bool is_theirs, const uint32_t note)
{
  const ComparedNotes* const list = &c->pages[is_theirs];
  const QfComparedNote       key  = {.note = note};
  return (const QfComparedNote*)bsearch(&key, list->notes, list->n_notes, sizeof(QfComparedNote),
                                        compare_identities);
}

// ---- qualities and numerals

static QfComparedKind
kind_of_chord(const QfComparison* const c, const size_t index, const bool is_theirs)
{
  if (index == SIZE_MAX) {
    return QF_COMPARED_UNASKED;
  }
  const QfVerdict* const verdict = &c->grade->verdicts[index];
  if (!is_paired(verdict)) {
    return is_theirs ? QF_COMPARED_EXTRA : QF_COMPARED_MISSING;
  }
  return kind_of_pair(verdict, !verdict->equal);
}

static void
add_asked(QfComparison* const c, const QfLayer layer, const size_t link_index)
{
  const QfLabel* const link  = qf_labels_get_link(c->labels, link_index);
  size_t               index = SIZE_MAX;
  for (size_t i = 0; index == SIZE_MAX && i < c->grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &c->grade->verdicts[i];
    index = verdict->layer == layer && verdict->link == link_index ? i : SIZE_MAX;
  }
  QfComparedChord* const chord = &c->chords[c->n_chords++];
  *chord                       = (QfComparedChord){.layer       = layer,
                                                   .kind        = kind_of_chord(c, index, false),
                                                   .place       = link->start,
                                                   .verdict     = index,
                                                   .has_numeral = layer == QF_LAYER_NUMERAL,
                                                   .numeral     = link->numeral,
                                                   .key         = link->key};
  if (layer == QF_LAYER_NUMERAL) {
    qf_numeral_write(&link->numeral, link->key.mode, chord->text, sizeof(chord->text));
  } else {
    snprintf(chord->text, sizeof(chord->text), "%s", qf_chord_kind_id(link->chord.kind));
  }
}

static void
add_written(QfComparison* const c, const QfLayer layer, const QfAnswerChord* const from)
{
  const QfVerdict* const verdict = qf_grade_verdict_of_chord(c->grade, layer, from->start);
  const size_t           index   = verdict ? (size_t)(verdict - c->grade->verdicts) : SIZE_MAX;
  const bool             is_kind = layer == QF_LAYER_QUALITY;
  const TimeLine* const  line    = &c->lines.lines[is_kind ? LINE_OF_QUALITIES : LINE_OF_NUMERALS];
  QfComparedChord* const chord   = &c->chords[c->n_chords++];
  chord->layer                   = layer;
  chord->kind                    = kind_of_chord(c, index, true);
  chord->is_theirs               = true;
  chord->place                   = time_line_asked(line, from->start);
  chord->verdict                 = index;
  chord->key                     = from->has_key ? from->key : c->home;
  if (layer == QF_LAYER_QUALITY) {
    snprintf(chord->text, sizeof(chord->text), "%s", qf_chord_kind_id(from->kind));
    return;
  }
  const TypedNumeral typed = read_typed(from->numeral, from->has_key, chord->key);
  chord->has_numeral       = typed.is_read[chord->key.mode];
  chord->numeral           = typed.numerals[chord->key.mode];
  snprintf(chord->text, sizeof(chord->text), "%s", from->numeral);
}

static int
compare_chord_places(const void* const a, const void* const b)
{
  const QfComparedChord* const x     = (const QfComparedChord*)a;
  const QfComparedChord* const y     = (const QfComparedChord*)b;
  const int                    order = qf_time_compare(x->place, y->place);
  return order ? order : (int)y->is_theirs - (int)x->is_theirs;
}

static QfStatus
compare_chords(QfComparison* const c)
{
  const size_t n_links   = qf_labels_n_links(c->labels);
  const size_t n_written = c->attempt ? qf_try_n_chords(c->attempt) : 0;
  c->chords = (QfComparedChord*)calloc(2U * (n_links + n_written) + 1U, sizeof(QfComparedChord));
  if (!c->chords) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n_links; ++i) {
    if (qf_labels_get_link(c->labels, i)->is_known) {
      add_asked(c, QF_LAYER_QUALITY, i);
      add_asked(c, QF_LAYER_NUMERAL, i);
    }
  }
  for (size_t i = 0; i < n_written; ++i) {
    const QfAnswerChord* const chord = qf_try_get_chord(c->attempt, i);
    if (chord->has_kind) {
      add_written(c, QF_LAYER_QUALITY, chord);
    }
    if (chord->numeral[0]) {
      add_written(c, QF_LAYER_NUMERAL, chord);
    }
  }
  qsort(c->chords, c->n_chords, sizeof(QfComparedChord), compare_chord_places);
  return QF_OK;
}

// ---- the whole

QfStatus
qf_comparison_new(QfLesson* const      lesson,
                  const QfTry* const   attempt,
                  const QfGrade* const grade,
                  QfComparison** const result,
                  QfError* const       error)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  QfComparison* const   c      = labels ? (QfComparison*)calloc(1, sizeof(QfComparison)) : NULL;
  if (!c) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  c->score    = qf_lesson_get_score(lesson);
  c->labels   = labels;
  c->attempt  = attempt;
  c->written  = attempt ? qf_try_get_score(attempt) : NULL;
  c->grade    = grade;
  c->home     = qf_labels_get_key(labels);
  QfStatus st = time_lines_of(grade->verdicts, grade->n_verdicts, &c->lines);
  st          = st ? st : compare_page(c, false);
  st          = st ? st : compare_page(c, true);
  st          = st ? st : compare_chords(c);
  if (st) {
    qf_comparison_free(c);
    return qf_error_set(error, st, "%s", qf_status_text(st));
  }
  *result = c;
  return QF_OK;
}

const QfScore*
qf_comparison_get_score(const QfComparison* const c)
{
  return c->score;
}

const QfScore*
qf_comparison_get_written(const QfComparison* const c)
{
  return c->written;
}

const QfGrade*
qf_comparison_get_grade(const QfComparison* const c)
{
  return c->grade;
}

size_t
qf_comparison_n_chords(const QfComparison* const c)
{
  return c->n_chords;
}

const QfComparedChord*
qf_comparison_get_chord(const QfComparison* const c, const size_t index)
{
  return &c->chords[index];
}

QfTime
qf_comparison_place_of(const QfComparison* const c, const size_t voice, const QfTime written)
{
  return time_line_asked(&c->lines.lines[voice], written);
}

QfTime
qf_comparison_written_of(const QfComparison* const c, const size_t voice, const QfTime place)
{
  return time_line_written(&c->lines.lines[voice], place);
}
