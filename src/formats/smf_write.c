// SPDX-License-Identifier: MIT
#include "smf_out.h"

#include "quintfall/formats.h"

#include <math.h>

enum {
  N_CHANNELS = 15, ///< Sixteen without percussion
  PERCUSSION = 9,
  VELOCITY   = 80,
};

static int64_t
ticks_of(const SmfOut* const out, const QfTime time)
{
  return llround(4.0 * out->division * qf_time_to_double(time));
}

static void
write_key(SmfOut* const out, const QfSignature* const signature)
{
  smf_add_key(out, ticks_of(out, signature->start), signature->key);
}

/// Tempo, metres and keys, in order of time
static void
write_conductor(SmfOut* const out, const QfScore* const score)
{
  smf_begin_track(out, qf_score_get_title(score));
  smf_add_tempo(out, 0, qf_score_get_tempo(score));

  size_t  next_key = 0U;
  QfMetre metre    = {0};
  for (size_t i = 0; i < qf_score_n_bars(score); ++i) {
    const QfBar* const bar      = qf_score_get_bar(score, i);
    const QfMetre      sounding = smf_sounding_metre(score, i);
    for (; next_key < qf_score_n_signatures(score); ++next_key) {
      const QfSignature* const signature = qf_score_get_signature(score, next_key);
      if (qf_time_compare(signature->start, bar->start) >= 0) {
        break;
      }
      write_key(out, signature);
    }
    if (i == 0U || sounding.numerator != metre.numerator ||
        sounding.denominator != metre.denominator) {
      smf_add_metre(out, ticks_of(out, bar->start), sounding);
      metre = sounding;
    }
  }
  for (; next_key < qf_score_n_signatures(score); ++next_key) {
    write_key(out, qf_score_get_signature(score, next_key));
  }
  smf_end_track(out);
}

static void
write_voice(SmfOut* const out, const QfScore* const score, const size_t voice)
{
  const int slot    = (int)(voice % N_CHANNELS);
  const int channel = slot + (slot >= PERCUSSION);

  smf_begin_track(out, qf_score_get_voice(score, voice)->name);
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    const int           key  = qf_pitch_midi(note->pitch);
    const QfTime        end  = qf_time_add(note->start, note->duration);
    smf_add_note(out, ticks_of(out, note->start), channel, key, VELOCITY);
    smf_add_note(out, ticks_of(out, end), channel, key, 0);
  }
  smf_end_track(out);
}

QfStatus
qf_smf_write(const QfScore* const score,
             void** const         data,
             size_t* const        length,
             QfError* const       error)
{
  const size_t n_voices = qf_score_n_voices(score);
  SmfOut       out;
  smf_begin_file(&out, smf_find_division(score), n_voices + 1U);
  write_conductor(&out, score);
  for (size_t i = 0; i < n_voices; ++i) {
    write_voice(&out, score, i);
  }
  return smf_end_file(&out, data, length, error);
}
