// SPDX-License-Identifier: MIT
#include "performer.h"

#include "clock.h"
#include "lead_in.h"
#include "stretch.h"

/// Middle of what is heard in a stretch, as a MIDI key
static double
centre_of(const QfPerformer* const self, const QfStretch* const stretch)
{
  int lowest  = 127;
  int highest = 0;
  for (size_t voice = 0; voice < self->n_voices; ++voice) {
    for (size_t i = 0; i < qf_score_n_notes(self->score, voice); ++i) {
      const QfNote* const note = qf_score_get_note(self->score, voice, i);
      const int           midi = qf_pitch_midi(note->pitch);
      const QfTime        end  = qf_time_add(note->start, note->duration);
      if (qf_time_compare(note->start, stretch->to) < 0 &&
          qf_time_compare(end, stretch->from) > 0) {
        lowest  = midi < lowest ? midi : lowest;
        highest = midi > highest ? midi : highest;
      }
    }
  }
  return lowest <= highest ? (lowest + highest) / 2.0 : 60.0;
}

QfStatus
qf_perform_prelude(QfPerformer* const self, const size_t step)
{
  const QfPreludeStep* const prelude = &qf_plan_get_step(self->plan, step)->prelude;
  const QfStretch            stretch = qf_stretch_of(self->score, self->plan, step);
  const QfKey                key     = self->options.key;
  const int                  program =
    prelude->program == QF_PROGRAM_SAME ? self->options.program : prelude->program;
  const bool has_own_tempo = prelude->beats_per_minute > 0.0;

  QfPattern      pattern;
  QfError        fault = {0};
  const QfStatus st    = qf_pattern_parse(
       qf_prelude_pattern(prelude->kind, key.mode, prelude->pattern), &pattern, &fault);
  if (st) {
    return qf_performer_fail(self, step, st, fault.text);
  }

  const QfTime beat = has_own_tempo
                        ? qf_time_div(qf_time(60, 1), qf_exact(prelude->beats_per_minute))
                        : qf_prelude_beat(qf_stretch_beat(&stretch));

  // A beat of the prelude is a quarter of four-four, whatever the passage is in.
  QfPerformedStep* const record = &self->result.steps[self->result.n_steps];
  record->seconds_per_whole     = 4.0 * qf_time_to_double(beat);
  qf_metre(4, 4, &record->metre);

  qf_event_list_add_mark(&self->list, qf_performer_now(self), QF_NOT_IN_SCORE);
  qf_performer_go_on(self,
                     qf_prelude_add(&self->list, &pattern, key, centre_of(self, &stretch),
                                    self->at_s, beat, program),
                     true);
  return QF_OK;
}

QfStatus
qf_perform_count_in(QfPerformer* const self, const size_t step)
{
  const QfStretch stretch = qf_stretch_of(self->score, self->plan, step);
  qf_event_list_add_mark(&self->list, qf_performer_now(self), QF_NOT_IN_SCORE);
  qf_performer_go_on(self,
                     qf_count_in_add(&self->list, qf_plan_get_step(self->plan, step)->count_in.bars,
                                     stretch.metre, stretch.position, self->at_s,
                                     stretch.seconds_per_whole),
                     true);
  return QF_OK;
}
