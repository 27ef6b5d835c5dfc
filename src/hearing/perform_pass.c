// SPDX-License-Identifier: MIT
#include "performer.h"

#include "clock.h"
#include "passage.h"
#include "stretch.h"

#include <stdlib.h>

static void
add_chord(QfPerformer* const self, const QfChordMoment chord)
{
  QfPerformance* const result = &self->result;
  if (result->n_chords == self->chord_capacity) {
    const size_t         capacity = self->chord_capacity ? self->chord_capacity * 2U : 64U;
    QfChordMoment* const chords =
      (QfChordMoment*)realloc(result->chords, capacity * sizeof(QfChordMoment));
    if (!chords) {
      self->list.failed = true;
      return;
    }
    result->chords       = chords;
    self->chord_capacity = capacity;
  }
  result->chords[result->n_chords++] = chord;
}

/// Note the chords of one time through, to step to
static void
add_chords(QfPerformer* const self, const QfStretch* const stretch, const size_t hearing)
{
  const QfLabels* const labels  = self->options.labels;
  const size_t          n_links = labels ? qf_labels_n_links(labels) : self->slices.n_slices;
  for (size_t i = 0; i < n_links; ++i) {
    const QfSlice* const slice = labels ? NULL : &self->slices.slices[i];
    const QfLabel* const label = labels ? qf_labels_get_link(labels, i) : NULL;
    const QfTime         start = label ? label->start : slice->start;
    const QfTime         end   = label ? label->end : slice->end;
    const QfTime         first = qf_time_max(start, stretch->from);
    if ((label || slice->n_notes) && qf_time_compare(first, qf_time_min(end, stretch->to)) < 0) {
      const double at_s =
        qf_moment(self->at_s, qf_time_sub(first, stretch->from), stretch->seconds_per_whole);
      add_chord(self, (QfChordMoment){at_s, first, hearing, i});
    }
  }
}

QfStatus
qf_perform_pass(QfPerformer* const self, const size_t step, const size_t hearing)
{
  const QfPassStep* const pass    = &qf_plan_get_step(self->plan, step)->pass;
  const bool              chooses = pass->forward == QF_FORWARD_VOICE;
  const uint32_t          forward = chooses ? qf_voices_resolve(pass->voices, self->n_voices) : 0U;
  if (chooses && !forward) {
    return qf_performer_fail(self, step, QF_ERR_RANGE, "the voice to bring forward does not exist");
  }

  QfPart parts[QF_MAX_VOICES];
  qf_parts_of(pass, forward, self->options.program, self->n_voices, parts);
  qf_passage_add_setups(&self->list, parts, self->n_voices, qf_performer_now(self));

  const QfStretch stretch = qf_stretch_of(self->score, self->plan, step);
  const QfTime    length  = qf_stretch_length(&stretch);
  const QfTime    gap     = qf_stretch_seconds(&stretch, pass->gap);
  for (int i = 0; i < pass->repeats && !self->list.failed; ++i) {
    if (i > 0 && gap.num > 0) {
      qf_event_list_add_mark(&self->list, qf_performer_now(self), QF_NOT_IN_SCORE);
      qf_performer_go_on(self, gap, false);
    }
    add_chords(self, &stretch, hearing);
    const QfStatus st =
      qf_passage_add(&self->list, &(QfPassage){
                                    .score             = self->score,
                                    .slices            = &self->slices,
                                    .labels            = self->options.labels,
                                    .parts             = parts,
                                    .from              = stretch.from,
                                    .to                = stretch.to,
                                    .start_s           = self->at_s,
                                    .seconds_per_whole = stretch.seconds_per_whole,
                                    .is_in_blocks      = pass->forward == QF_FORWARD_QUALITY,
                                    .is_spread         = pass->is_spread,
                                  });
    if (st) {
      return st;
    }
    qf_performer_go_on(self, length, true);
  }
  return QF_OK;
}
