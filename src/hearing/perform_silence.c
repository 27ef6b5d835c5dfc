// SPDX-License-Identifier: MIT
#include "performer.h"

#include "passage.h"
#include "stretch.h"

QfStatus
qf_perform_silence(QfPerformer* const self, const size_t step)
{
  const QfStretch stretch = qf_stretch_of(self->score, self->plan, step);
  qf_event_list_add_mark(&self->list, qf_performer_now(self), QF_NOT_IN_SCORE);
  qf_performer_go_on(
    self, qf_stretch_seconds(&stretch, qf_plan_get_step(self->plan, step)->silence.length), false);
  return QF_OK;
}

uint8_t
qf_performer_sung_voice(const QfPerformer* const self, const QfSungGapStep* const gap)
{
  const uint32_t bits = qf_voices_resolve(QF_VOICE_BIT(gap->voice), self->n_voices);
  return bits ? (uint8_t)__builtin_ctz(bits) : QF_NO_VOICE;
}

/// First note of a voice that sounds in a stretch, also held into it, or NULL
static const QfNote*
first_note(const QfPerformer* const self, const uint8_t voice, const QfStretch* const stretch)
{
  for (size_t i = 0; i < qf_score_n_notes(self->score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(self->score, voice, i);
    const QfTime        end  = qf_time_add(note->start, note->duration);
    if (qf_time_compare(end, stretch->from) > 0 && qf_time_compare(note->start, stretch->to) < 0) {
      return note;
    }
  }
  return NULL;
}

QfStatus
qf_perform_sung_gap(QfPerformer* const self, const size_t step)
{
  const QfSungGapStep* const gap     = &qf_plan_get_step(self->plan, step)->sung_gap;
  const QfStretch            stretch = qf_stretch_of(self->score, self->plan, step);
  const uint8_t              voice   = qf_performer_sung_voice(self, gap);
  if (voice == QF_NO_VOICE) {
    return qf_performer_fail(self, step, QF_ERR_RANGE, "the voice to be sung does not exist");
  }

  const QfTime whole = qf_stretch_length(&stretch);
  const QfTime length =
    gap->length.amount > 0.0 ? qf_stretch_seconds(&stretch, gap->length) : whole;

  const QfNote* const note = first_note(self, voice, &stretch);
  qf_event_list_add_mark(&self->list, qf_performer_now(self), QF_NOT_IN_SCORE);
  if (note) {
    QfPart           parts[QF_MAX_VOICES];
    const QfPlanStep plain = qf_plan_step_default(QF_STEP_PASS);
    const QfTime     sound = qf_time_min(qf_stretch_beat(&stretch), length);
    qf_parts_of(&plain.pass, 0U, self->options.program, self->n_voices, parts);
    qf_passage_add_setups(&self->list, &parts[voice], 1U, qf_performer_now(self));
    qf_event_list_add_note(
      &self->list, (QfSoundedNote){.start_s    = qf_performer_now(self),
                                   .end_s      = qf_time_to_double(qf_time_add(self->at_s, sound)),
                                   .channel    = parts[voice].channel,
                                   .key        = (uint8_t)qf_pitch_midi(note->pitch),
                                   .velocity   = parts[voice].velocity,
                                   .voice      = voice,
                                   .score_time = QF_NOT_IN_SCORE});
    self->heard_s = qf_time_add(self->at_s, sound);
  }
  qf_performer_go_on(self, length, false);
  return QF_OK;
}
