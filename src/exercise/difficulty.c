// SPDX-License-Identifier: MIT
#include "quintfall/exercise.h"

#include <stdlib.h>

/// A part of the figure
typedef struct {
  const char* id;
  const char* name;
  double      points; ///< For each unit counted
} Part;

// The weights are ours, a teacher's rule of thumb; what is counted is told beside the points.
static const Part parts[QF_DIFFICULTY_N_PARTS] = {
  [QF_DIFFICULTY_LENGTH]     = {"length", "chords", 1.0},
  [QF_DIFFICULTY_VARIETY]    = {"variety", "different functions", 1.0},
  [QF_DIFFICULTY_CHROMATIC]  = {"chromatic", "chromatic notes", 1.0},
  [QF_DIFFICULTY_APPLIED]    = {"applied", "applied chords", 2.0},
  [QF_DIFFICULTY_SEVENTHS]   = {"sevenths", "chords of four notes", 0.5},
  [QF_DIFFICULTY_INVERSIONS] = {"inversions", "inverted chords", 1.0},
  [QF_DIFFICULTY_LEAPS]      = {"leaps", "leaps of soprano and bass", 0.25},
  [QF_DIFFICULTY_FOREIGN]    = {"foreign", "notes outside the chords", 1.0},
  [QF_DIFFICULTY_SIGNATURE]  = {"signature", "signs of the key signature, two more for minor", 0.5},
  [QF_DIFFICULTY_MODULATION] = {"modulation", "changes of key", 8.0},
  [QF_DIFFICULTY_PACE]       = {"pace", "chords a minute", 0.2},
  [QF_DIFFICULTY_GIVENS]     = {"givens", "parts of a hundred of the notes not printed", 0.1},
};

enum {
  SIGNS_FOR_MINOR = 2,
};

const char*
qf_difficulty_part_name(const QfDifficultyPart part)
{
  return parts[part].name;
}

const char*
qf_difficulty_part_id(const QfDifficultyPart part)
{
  return parts[part].id;
}

/// True for a note of the key, or a raised sixth or seventh degree of a minor key
static bool
is_of_key(const QfKey key, const QfNoteName note)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(key, note, &degree, &alter);
  return !alter || (key.mode == QF_MINOR && alter == 1 && degree >= 6);
}

static bool
is_new_function(const QfLabels* const labels, const size_t index)
{
  const QfLabel* const label = qf_labels_get_link(labels, index);
  for (size_t i = 0; i < index; ++i) {
    const QfLabel* const other = qf_labels_get_link(labels, i);
    if (other->is_known && qf_key_equals(other->key, label->key) &&
        qf_numeral_equals(&other->numeral, &label->numeral)) {
      return false;
    }
  }
  return true;
}

static void
count_links(const QfLabels* const labels, double* const counts)
{
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const label = qf_labels_get_link(labels, i);
    counts[QF_DIFFICULTY_LENGTH] += 1.0;
    counts[QF_DIFFICULTY_FOREIGN] += (double)label->n_foreign;
    if (!label->is_known) {
      continue;
    }
    counts[QF_DIFFICULTY_VARIETY] += is_new_function(labels, i);
    counts[QF_DIFFICULTY_APPLIED] += label->numeral.n_targets;
    counts[QF_DIFFICULTY_SEVENTHS] += qf_chord_kind_has_seventh(label->chord.kind);
    counts[QF_DIFFICULTY_INVERSIONS] += label->numeral.inversion != 0;
    counts[QF_DIFFICULTY_MODULATION] +=
      i && !qf_key_equals(label->key, qf_labels_get_link(labels, i - 1U)->key);
  }
}

static void
count_notes(QfLesson* const lesson, const QfLabels* const labels, double* const counts)
{
  const QfScore* const score    = qf_lesson_get_score(lesson);
  const size_t         n_voices = qf_score_n_voices(score);
  double               n_notes  = 0.0;
  double               n_given  = 0.0;
  for (size_t v = 0; v < n_voices; ++v) {
    const bool is_outer = v == 0 || v + 1U == n_voices;
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfNote* const note = qf_score_get_note(score, v, i);
      const size_t        link = qf_labels_link_at(labels, note->start);
      const QfKey         key =
        link == SIZE_MAX ? qf_labels_get_key(labels) : qf_labels_get_link(labels, link)->key;
      n_notes += 1.0;
      n_given += qf_lesson_is_given(lesson, note->id);
      counts[QF_DIFFICULTY_CHROMATIC] += !is_of_key(key, qf_pitch_name(note->pitch));
      if (i && is_outer) {
        const QfNote* const before = qf_score_get_note(score, v, i - 1U);
        counts[QF_DIFFICULTY_LEAPS] +=
          abs(qf_pitch_step(note->pitch) - qf_pitch_step(before->pitch)) > 1;
      }
    }
  }
  counts[QF_DIFFICULTY_GIVENS] = n_notes > 0.0 ? 100.0 * (1.0 - n_given / n_notes) : 0.0;
}

static double
chords_a_minute(const QfScore* const score, const double n_chords)
{
  const double quarters = 4.0 * qf_time_to_double(qf_score_get_end(score));
  return quarters > 0.0 ? n_chords * qf_score_get_tempo(score) / quarters : 0.0;
}

QfStatus
qf_difficulty_of(QfLesson* const lesson, QfDifficulty* const result, QfError* const error)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  if (!labels) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const QfKey  key        = qf_labels_get_key(labels);
  QfDifficulty difficulty = {0};
  double*      counts     = difficulty.counts;
  count_links(labels, counts);
  count_notes(lesson, labels, counts);
  counts[QF_DIFFICULTY_SIGNATURE] =
    abs(qf_key_fifths(key)) + (key.mode == QF_MINOR ? SIGNS_FOR_MINOR : 0);
  counts[QF_DIFFICULTY_PACE] =
    chords_a_minute(qf_lesson_get_score(lesson), counts[QF_DIFFICULTY_LENGTH]);

  for (size_t i = 0; i < QF_DIFFICULTY_N_PARTS; ++i) {
    difficulty.points[i] = parts[i].points * counts[i];
    difficulty.total += difficulty.points[i];
  }
  *result = difficulty;
  return QF_OK;
}
