// SPDX-License-Identifier: MIT
// Writes the dictation that compare.mjs describes as a MIDI file to standard output.
#include "quintfall/formats.h"

#include <stdio.h>
#include <stdlib.h>

typedef struct {
  size_t      voice;
  int         start; ///< In quarters
  int         duration;
  const char* pitch;
} Line;

static const Line lines[] = {
  {0, 0, 1, "Bb4"}, {0, 1, 2, "Eb5"}, {0, 3, 1, "D5"}, {1, 1, 3, "G4"},  {2, 1, 2, "Bb3"},
  {2, 3, 1, "A3"},  {3, 0, 1, "Eb3"}, {3, 1, 2, "G3"}, {3, 3, 1, "Bb2"},
};

static QfStatus
fill_score(QfScore* const score)
{
  QfStatus st = qf_score_set_tempo(score, 90.0);
  st          = st ? st : qf_score_set_title(score, "Two hearings");
  for (size_t i = 0; !st && i < sizeof(lines) / sizeof(lines[0]); ++i) {
    QfPitch pitch = {0};
    st            = qf_pitch_parse(lines[i].pitch, &pitch, NULL);
    st            = st ? st
                       : qf_score_put_note(score, lines[i].voice, qf_time(lines[i].start, 4),
                                           qf_time(lines[i].duration, 4), pitch, QF_NO_NOTE, NULL);
  }
  return st;
}

static QfStatus
fill_plan(QfPlan* const plan)
{
  QfPlanStep bass         = qf_plan_step_default(QF_STEP_PASS);
  QfPlanStep whole        = bass;
  QfPlanStep silence      = qf_plan_step_default(QF_STEP_SILENCE);
  QfPlanStep title        = qf_plan_step_default(QF_STEP_TITLE);
  bass.pass.forward       = QF_FORWARD_VOICE;
  bass.pass.softening_db  = 12.0;
  bass.pass.lead_ms       = 0.0;
  whole.pass.tempo_factor = 0.5;
  silence.silence.length  = (QfLength){3.0, QF_UNIT_SECONDS};
  snprintf(title.title.text, sizeof(title.title.text), "Slow and whole");

  const QfPlanStep steps[] = {qf_plan_step_default(QF_STEP_PRELUDE),
                              qf_plan_step_default(QF_STEP_COUNT_IN),
                              bass,
                              silence,
                              title,
                              qf_plan_step_default(QF_STEP_COUNT_IN),
                              whole};
  QfStatus         st      = QF_OK;
  for (size_t i = 0; !st && i < sizeof(steps) / sizeof(steps[0]); ++i) {
    st = qf_plan_insert_step(plan, SIZE_MAX, steps[i]);
  }
  return st;
}

int
main(void)
{
  const QfKey    key         = {{2, -1}, QF_MAJOR};
  QfMetre        metre       = {0};
  QfStatus       st          = qf_metre(3, 4, &metre);
  QfScore* const score       = qf_score_new_satb(key, metre, qf_time(1, 4), 1);
  QfPlan* const  plan        = qf_plan_new("Two hearings");
  QfPerformance  performance = {0};
  QfError        error       = {0};
  void*          data        = NULL;
  size_t         length      = 0;

  st = !st && score && plan ? fill_score(score) : QF_ERR_NO_MEM;
  st = st ? st : fill_plan(plan);
  st = st ? st
          : qf_perform(score, plan,
                       (QfPerformOptions){.key = key, .program = 19, .hearing = QF_ALL_HEARINGS},
                       &performance, &error);
  st = st ? st
          : qf_smf_write_performance(score, &performance,
                                     (QfSmfOptions){.key = key, .has_lyrics = true}, &data, &length,
                                     &error);
  if (!st && fwrite(data, 1, length, stdout) != length) {
    st = QF_ERR_IO;
  }
  if (st) {
    fprintf(stderr, "%s\n", error.text[0] ? error.text : qf_status_text(st));
  }
  free(data);
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
  return st ? 1 : 0;
}
