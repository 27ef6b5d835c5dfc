// SPDX-License-Identifier: MIT
#include "nonchord.h"

#include <stdlib.h>

// Rows: how the note is entered; columns: how it is left. Rule: common practice.
static const uint8_t struck_kinds[QF_N_MOVES][QF_N_MOVES] = {
  [QF_MOVE_NONE] = {QF_FOREIGN_FREE, QF_FOREIGN_FREE, QF_FOREIGN_APPOGGIATURA,
                    QF_FOREIGN_APPOGGIATURA, QF_FOREIGN_FREE},
  [QF_MOVE_SAME] = {QF_FOREIGN_FREE, QF_FOREIGN_PEDAL, QF_FOREIGN_RETARDATION,
                    QF_FOREIGN_SUSPENSION, QF_FOREIGN_FREE},
  [QF_MOVE_UP]   = {QF_FOREIGN_ESCAPE, QF_FOREIGN_ANTICIPATION, QF_FOREIGN_PASSING,
                    QF_FOREIGN_NEIGHBOUR, QF_FOREIGN_ESCAPE},
  [QF_MOVE_DOWN] = {QF_FOREIGN_ESCAPE, QF_FOREIGN_ANTICIPATION, QF_FOREIGN_NEIGHBOUR,
                    QF_FOREIGN_PASSING, QF_FOREIGN_ESCAPE},
  [QF_MOVE_LEAP] = {QF_FOREIGN_FREE, QF_FOREIGN_FREE, QF_FOREIGN_APPOGGIATURA,
                    QF_FOREIGN_APPOGGIATURA, QF_FOREIGN_FREE},
};

static const uint8_t held_kinds[QF_N_MOVES] = {
  [QF_MOVE_NONE] = QF_FOREIGN_PEDAL,     [QF_MOVE_SAME] = QF_FOREIGN_PEDAL,
  [QF_MOVE_UP] = QF_FOREIGN_RETARDATION, [QF_MOVE_DOWN] = QF_FOREIGN_SUSPENSION,
  [QF_MOVE_LEAP] = QF_FOREIGN_FREE,
};

QfMove
qf_move_between(const QfNote* const a, const QfNote* const b)
{
  if (!a || !b || qf_time_compare(qf_time_add(a->start, a->duration), b->start) != 0) {
    return QF_MOVE_NONE;
  }

  const QfInterval interval = qf_interval_between(a->pitch, b->pitch);

  if (interval.steps == 0 && interval.semitones == 0) {
    return QF_MOVE_SAME;
  }
  if (abs(interval.steps) > 1 || abs(interval.semitones) > 3) {
    return QF_MOVE_LEAP;
  }
  return interval.semitones > 0 ? QF_MOVE_UP : QF_MOVE_DOWN;
}

int
qf_score_level_at(const QfScore* const score, const QfTime time)
{
  if (!qf_score_n_bars(score)) {
    return 0;
  }

  const QfBar* const bar = qf_score_get_bar(score, qf_score_bar_at(score, time));

  return qf_metre_level(bar->metre, qf_time_add(bar->offset, qf_time_sub(time, bar->start)));
}

/// Level of each note's start: the notes of a voice in order, one voice after another
typedef struct {
  uint8_t* levels; // Owned
  size_t   firsts[QF_MAX_VOICES];
} NoteLevels;

static QfStatus
note_levels_init(NoteLevels* const     self,
                 const QfScore* const  score,
                 const QfSlices* const slices,
                 const uint8_t* const  levels)
{
  size_t next[QF_MAX_VOICES];
  size_t n = 0;

  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    self->firsts[v] = n;
    next[v]         = n;
    n += qf_score_n_notes(score, v);
  }

  self->levels = (uint8_t*)calloc(n + 1, sizeof(uint8_t));
  if (!self->levels) {
    return QF_ERR_NO_MEM;
  }
  for (size_t s = 0; s < slices->n_slices; ++s) {
    for (size_t i = 0; i < slices->slices[s].n_notes; ++i) {
      const QfSounding* const note = &slices->slices[s].notes[i];

      if (note->is_struck) {
        self->levels[next[note->voice]++] = levels[s];
      }
    }
  }
  return QF_OK;
}

static QfNoteContext
context_of(const QfScore* const score,
           const uint8_t* const levels,
           const size_t         voice,
           const size_t         index)
{
  const size_t        n    = qf_score_n_notes(score, voice);
  const QfNote* const note = qf_score_get_note(score, voice, index);
  const QfNote* const prev = index ? qf_score_get_note(score, voice, index - 1) : NULL;
  const QfNote* const next = index + 1 < n ? qf_score_get_note(score, voice, index + 1) : NULL;
  const QfMove        in   = qf_move_between(prev, note);
  const QfMove        out  = qf_move_between(note, next);
  const uint8_t       here = levels[index];

  QfNoteContext context = {
    .if_struck = (QfForeignKind)struck_kinds[in][out],
    .if_held   = (QfForeignKind)held_kinds[out],
    .is_weak   = here >= 3 || (next && here > levels[index + 1]),
    .step      = (int8_t)(out == QF_MOVE_UP ? 1 : (out == QF_MOVE_DOWN ? -1 : 0)),
    .next      = next ? next->id : QF_NO_NOTE,
  };

  return context;
}

QfStatus
qf_note_contexts_of(const QfScore* const  score,
                    const QfSlices* const slices,
                    const uint8_t* const  levels,
                    QfNoteContext** const result)
{
  const size_t         n           = slices->n_slices * QF_MAX_VOICES;
  QfNoteContext* const contexts    = (QfNoteContext*)calloc(n ? n : 1, sizeof(QfNoteContext));
  NoteLevels           note_levels = {0};

  if (!contexts || note_levels_init(&note_levels, score, slices, levels)) {
    free(contexts);
    return QF_ERR_NO_MEM;
  }

  size_t        cursors[QF_MAX_VOICES] = {0};
  bool          is_set[QF_MAX_VOICES]  = {false};
  QfNoteContext latest[QF_MAX_VOICES];

  for (size_t s = 0; s < slices->n_slices; ++s) {
    const QfSlice* const slice = &slices->slices[s];

    for (size_t i = 0; i < slice->n_notes; ++i) {
      const size_t voice  = slice->notes[i].voice;
      size_t       cursor = cursors[voice];

      while (qf_score_get_note(score, voice, cursor)->id != slice->notes[i].id) {
        ++cursor;
      }
      if (!is_set[voice] || cursor != cursors[voice]) {
        latest[voice] =
          context_of(score, &note_levels.levels[note_levels.firsts[voice]], voice, cursor);
        cursors[voice] = cursor;
        is_set[voice]  = true;
      }

      contexts[s * QF_MAX_VOICES + i] = latest[voice];
    }
  }

  free(note_levels.levels);
  *result = contexts;
  return QF_OK;
}

QfForeignKind
qf_foreign_kind_struck(const QfMove in, const QfMove out)
{
  return (QfForeignKind)struck_kinds[in][out];
}
