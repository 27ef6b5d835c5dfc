// SPDX-License-Identifier: MIT
#include "texture.h"

static float
between_0_and_1(const float value)
{
  return value < 0.0F ? 0.0F : (value > 1.0F ? 1.0F : value);
}

float
qf_plainness_of(const QfPassage* const passage)
{
  float  n      = 0.0F;
  size_t n_weak = 0;

  for (size_t s = 0; s < passage->slices.n_slices; ++s) {
    const QfSlice* const slice = &passage->slices.slices[s];

    if (slice->n_notes) {
      n += 1.0F;
      n_weak += passage->levels[s] >= 3 && qf_struck_share(slice) < 1.0F;
    }
  }

  const float brevity = between_0_and_1((44.0F - n) / 12.0F);
  const float plain   = between_0_and_1(1.5F - (float)n_weak / (0.3F * (n > 0.0F ? n : 1.0F)));

  return brevity * plain;
}

/// Lowest note of a slice, in fifths
static int
bass_of(const QfSlice* const slice)
{
  return qf_note_name_fifths(qf_pitch_name(slice->notes[0].pitch));
}

static bool
has_note(const QfSlices* const slices, const int fifths)
{
  for (size_t s = 0; s < slices->n_slices; ++s) {
    for (size_t i = 0; i < slices->slices[s].n_notes; ++i) {
      if (qf_note_name_fifths(qf_pitch_name(slices->slices[s].notes[i].pitch)) == fifths) {
        return true;
      }
    }
  }
  return false;
}

/**
   True if a passage ends on a tonic of its signature, without having begun in the relative key.

   The sixth degree of major is no tonic unless its leading tone is heard.
*/
static bool
ends_at_home(const QfPassage* const passage)
{
  const int      major = qf_key_fifths(qf_score_signature_at(passage->score, QF_TIME_ZERO));
  const QfSlice* first = passage->slices.slices;
  const QfSlice* end   = first + passage->slices.n_slices;

  while (first < end && !first->n_notes) {
    ++first;
  }
  while (end > first && !end[-1].n_notes) {
    --end;
  }
  if (first == end) {
    return false;
  }

  const int minor = major + 3;
  const int from  = bass_of(first);
  const int to    = bass_of(end - 1);

  return to == major ? from != minor || !has_note(&passage->slices, minor + 5)
                     : to == minor && from != major;
}

float
qf_texture_of(const QfPassage* const passage, const float plainness)
{
  return (ends_at_home(passage) ? 0.5F : 1.0F) * plainness;
}
