// SPDX-License-Identifier: MIT
#include "quintfall/slice.h"

#include "score_impl.h"

#include <stdlib.h>

/// Whether a sounding note stands below another; of equal ones the lower voice is below
static bool
is_below(const QfSounding* const a, const QfSounding* const b)
{
  const int order = qf_pitch_compare(a->pitch, b->pitch);
  return order < 0 || (order == 0 && a->voice > b->voice);
}

static void
add_sounding(QfSlice* const slice, const QfNote* const note, const size_t voice)
{
  const QfSounding sounding = {.id        = note->id,
                               .voice     = (uint8_t)voice,
                               .is_struck = !qf_time_compare(note->start, slice->start),
                               .pitch     = note->pitch,
                               .start     = note->start,
                               .duration  = note->duration};

  size_t at = slice->n_notes++;
  for (; at > 0 && is_below(&sounding, &slice->notes[at - 1U]); --at) {
    slice->notes[at] = slice->notes[at - 1U];
  }
  slice->notes[at] = sounding;
}

/**
   Fill the slice that begins at its `start` and move the voices' cursors on.

   @param next First note of each voice that ends after the slice's start.
*/
static void
fill_slice(const QfScore* const score, size_t next[QF_MAX_VOICES], QfSlice* const slice)
{
  slice->end = qf_score_get_end(score);
  for (size_t i = 0; i < score->n_voices; ++i) {
    const VoiceNotes* const voice = &score->voices[i];
    if (next[i] == voice->n_notes) {
      continue;
    }

    const QfNote* const note   = &voice->notes[next[i]];
    const bool          sounds = qf_time_compare(note->start, slice->start) <= 0;
    if (sounds) {
      add_sounding(slice, note, i);
    }
    slice->end = qf_time_min(slice->end, sounds ? qf_note_end(note) : note->start);
  }

  for (size_t i = 0; i < score->n_voices; ++i) {
    const VoiceNotes* const voice = &score->voices[i];
    if (next[i] < voice->n_notes &&
        qf_time_compare(qf_note_end(&voice->notes[next[i]]), slice->end) <= 0) {
      ++next[i];
    }
  }
}

QfStatus
qf_slices_of(const QfScore* const score, QfSlices* const result)
{
  const QfTime end                 = qf_score_get_end(score);
  size_t       next[QF_MAX_VOICES] = {0};
  QfSlices     slices              = {0};
  size_t       capacity            = 0;

  for (QfTime time = QF_TIME_ZERO; qf_time_compare(time, end) < 0;) {
    QfSlice* const grown =
      (QfSlice*)qf_array_grow(slices.slices, &capacity, slices.n_slices + 1U, sizeof(QfSlice));
    if (!grown) {
      qf_slices_clear(&slices);
      return QF_ERR_NO_MEM;
    }

    QfSlice* const slice = &grown[slices.n_slices++];
    slices.slices        = grown;
    *slice               = (QfSlice){.start = time};
    fill_slice(score, next, slice);
    time = slice->end;
  }

  *result = slices;
  return QF_OK;
}

void
qf_slices_clear(QfSlices* const slices)
{
  free(slices->slices);
  *slices = (QfSlices){0};
}
