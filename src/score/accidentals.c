// SPDX-License-Identifier: MIT
#include "quintfall/spelling.h"

#include "score_impl.h"

#include <stdlib.h>

enum {
  LOWEST_STEP = -16, ///< Below C-1 with the most sharps a name can carry
  N_STEPS     = 112, ///< Up past G9 with the most flats
  N_LETTERS   = 7,
};

/// A note that begins, in the order in which signs are decided
typedef struct {
  const QfNote* note;
  size_t        voice;
  size_t        bar;
  QfKey         key;   ///< The signature in force
  int           plain; ///< The alteration it gives the letter
} Onset;

/// What one line or space of a staff remembers; bars count from 1, 0 is never
typedef struct {
  size_t   force_bar;   ///< Bar in which a note stood here
  QfKey    force_key;   ///< Its signature: another one ends what was in force
  int      force_alter; ///< The alteration it put in force
  size_t   altered_bar; ///< Last bar in which a chromatic note sounded here, unanswered
  int      altered;
  uint32_t reminded; ///< Last chromatic note of the letter already answered here
} StaffLine;

/// Last chromatic note of a letter in any octave and voice
typedef struct {
  size_t   bar; ///< Last bar in which it sounds
  int      alter;
  uint32_t count; ///< How many there have been
} Letter;

typedef struct {
  StaffLine lines[QF_MAX_STAVES][N_STEPS];
  Letter    letters[N_LETTERS];
} Memory;

static bool
is_chromatic(const Onset* const onset)
{
  return onset->note->pitch.alter != onset->plain;
}

/// In order of time; of simultaneous notes the chromatic first, so that the others may answer
static int
compare_onsets(const void* const a, const void* const b)
{
  const Onset* const left  = (const Onset*)a;
  const Onset* const right = (const Onset*)b;
  const int          order = qf_time_compare(left->note->start, right->note->start);
  if (order != 0) {
    return order;
  }
  if (is_chromatic(left) != is_chromatic(right)) {
    return is_chromatic(left) ? -1 : 1;
  }
  return (left->voice > right->voice) - (left->voice < right->voice);
}

/// All notes that begin; NULL if out of memory
static Onset*
collect_onsets(const QfScore* const score, size_t* const n_onsets)
{
  size_t count = 0;
  for (size_t i = 0; i < score->n_voices; ++i) {
    count += score->voices[i].n_notes;
  }

  Onset* const onsets = (Onset*)malloc((count ? count : 1U) * sizeof(Onset));
  *n_onsets           = 0;
  for (size_t i = 0; onsets && i < score->n_voices; ++i) {
    for (size_t j = 0; j < score->voices[i].n_notes; ++j) {
      const QfNote* const note = &score->voices[i].notes[j];
      const QfKey         key  = qf_score_signature_at(score, note->start);
      onsets[(*n_onsets)++]    = (Onset){note, i, qf_score_bar_at(score, note->start) + 1U, key,
                                         qf_key_alter_of(key, note->pitch.letter)};
    }
  }
  if (onsets) {
    qsort(onsets, count, sizeof(Onset), compare_onsets);
  }
  return onsets;
}

/// The last bar in which a note sounds, counted from 1
static size_t
last_bar_of(const QfScore* const score, const QfNote* const note)
{
  const QfTime end = qf_note_end(note);
  const size_t bar = qf_score_bar_at(score, end);
  return qf_time_compare(score->bars[bar].start, end) < 0 ? bar + 1U : bar;
}

static bool
is_recent(const size_t bar, const size_t now)
{
  return bar > 0 && bar + 1U >= now;
}

static QfAccidentalKind
decide(const Onset* const     onset,
       const StaffLine* const line,
       const Letter* const    letter,
       const bool             across_voices)
{
  const int  alter = onset->note->pitch.alter;
  const bool is_in_force =
    line->force_bar == onset->bar && qf_key_equals(line->force_key, onset->key);
  if (alter != (is_in_force ? line->force_alter : onset->plain)) {
    return QF_ACCIDENTAL_NEEDED;
  }
  if (alter != onset->plain) {
    return QF_ACCIDENTAL_NONE;
  }
  if (is_recent(line->altered_bar, onset->bar) && line->altered != alter) {
    return QF_ACCIDENTAL_COURTESY;
  }
  if (across_voices && is_recent(letter->bar, onset->bar) && letter->alter != alter &&
      line->reminded < letter->count) {
    return QF_ACCIDENTAL_COURTESY;
  }
  return QF_ACCIDENTAL_NONE;
}

static void
remember(const QfScore* const score,
         const Onset* const   onset,
         StaffLine* const     line,
         Letter* const        letter)
{
  line->force_bar   = onset->bar;
  line->force_key   = onset->key;
  line->force_alter = onset->note->pitch.alter;
  if (is_chromatic(onset)) {
    const size_t bar  = last_bar_of(score, onset->note);
    line->altered_bar = bar;
    line->altered     = onset->note->pitch.alter;
    letter->bar       = bar;
    letter->alter     = onset->note->pitch.alter;
    ++letter->count;
  } else {
    line->altered_bar = 0;
    line->reminded    = letter->count;
  }
}

static QfStatus
decide_all(const QfScore* const score,
           const Onset* const   onsets,
           const size_t         n_onsets,
           const bool           across_voices,
           QfAccidentals* const result)
{
  Memory* const       memory = (Memory*)calloc(1, sizeof(Memory));
  QfAccidental* const list =
    (QfAccidental*)malloc((n_onsets ? n_onsets : 1U) * sizeof(QfAccidental));
  if (!memory || !list) {
    free(list);
    free(memory);
    return QF_ERR_NO_MEM;
  }

  *result = (QfAccidentals){list, 0};
  for (size_t i = 0; i < n_onsets; ++i) {
    const Onset* const onset  = &onsets[i];
    const QfPitch      pitch  = onset->note->pitch;
    const size_t       staff  = score->voices[onset->voice].info.staff;
    StaffLine* const   line   = &memory->lines[staff][qf_pitch_step(pitch) - LOWEST_STEP];
    Letter* const      letter = &memory->letters[pitch.letter];

    const QfAccidentalKind kind = decide(onset, line, letter, across_voices);
    if (kind != QF_ACCIDENTAL_NONE) {
      list[result->n_accidentals++] = (QfAccidental){onset->note->id, staff, kind, pitch.alter};
    }
    remember(score, onset, line, letter);
  }

  free(memory);
  return QF_OK;
}

QfStatus
qf_accidentals_of(const QfScore* const score, const bool across_voices, QfAccidentals* const result)
{
  size_t       n_onsets = 0;
  Onset* const onsets   = collect_onsets(score, &n_onsets);
  if (!onsets) {
    return QF_ERR_NO_MEM;
  }

  const QfStatus st = decide_all(score, onsets, n_onsets, across_voices, result);
  free(onsets);
  return st;
}

void
qf_accidentals_clear(QfAccidentals* const accidentals)
{
  free(accidentals->accidentals);
  *accidentals = (QfAccidentals){0};
}
