// SPDX-License-Identifier: MIT
#include "performer.h"

#include "stretch.h"

#include <stdlib.h>
#include <string.h>

// Time for the last notes to die away.
static const QfTime release_s = {3, 2};

static QfStatus
perform_kind(QfPerformer* const self, const size_t step, const size_t hearing)
{
  switch (qf_plan_get_step(self->plan, step)->kind) {
    case QF_STEP_PRELUDE:
      return qf_perform_prelude(self, step);
    case QF_STEP_COUNT_IN:
      return qf_perform_count_in(self, step);
    case QF_STEP_PASS:
      return qf_perform_pass(self, step, hearing);
    case QF_STEP_SILENCE:
      return qf_perform_silence(self, step);
    case QF_STEP_SUNG_GAP:
      return qf_perform_sung_gap(self, step);
    case QF_STEP_TITLE:
      return qf_perform_title(self, step);
    case QF_STEP_OTHER:
      qf_performer_remark(self, "what was asked for", step,
                          "this version does not know its kind of step");
      break;
    case QF_STEP_N_KINDS:
      break;
  }
  return QF_OK;
}

static QfStatus
perform_step(QfPerformer* const self, const size_t step, const size_t hearing)
{
  const QfPlanStep* const plan_step = qf_plan_get_step(self->plan, step);
  const QfStretch         stretch   = qf_stretch_of(self->score, self->plan, step);
  QfPerformedStep* const  record    = &self->result.steps[self->result.n_steps];

  *record = (QfPerformedStep){
    .step              = step,
    .hearing           = hearing,
    .kind              = plan_step->kind,
    .start_s           = qf_performer_now(self),
    .seconds_per_whole = qf_time_to_double(stretch.seconds_per_whole),
    .metre             = stretch.metre,
    .from              = stretch.from,
    .to                = stretch.to,
    .voice             = plan_step->kind == QF_STEP_SUNG_GAP
                           ? qf_performer_sung_voice(self, &plan_step->sung_gap)
                           : QF_NO_VOICE,
  };
  self->list.step   = (uint8_t)step;
  const QfStatus st = perform_kind(self, step, hearing);
  record->end_s     = qf_performer_now(self);
  ++self->result.n_steps;
  return st;
}

//
// The whole
//

/// Take a step into the chapter of its hearing
static void
add_to_chapter(QfPerformer* const           self,
               QfChapter* const             chapter,
               const QfPerformedStep* const record)
{
  const QfPlanStep* const step = qf_plan_get_step(self->plan, record->step);
  if (record->kind == QF_STEP_TITLE && step->title.text[0]) {
    memcpy(chapter->title, step->title.text, sizeof(step->title.text));
  }
  if (record->kind == QF_STEP_PASS) {
    chapter->pass_s = record->start_s;
    chapter->step   = record->step;
    if (!chapter->title[0]) {
      qf_plan_step_describe(step, chapter->title, sizeof(chapter->title));
    }
  }
}

static QfStatus
find_chapters(QfPerformer* const self, const double length_s)
{
  QfPerformance* const result = &self->result;
  const size_t         n_max  = result->n_steps ? result->n_steps : 1U;
  result->chapters            = (QfChapter*)calloc(n_max, sizeof(QfChapter));
  if (!result->chapters) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < result->n_steps; ++i) {
    const QfPerformedStep* const record = &result->steps[i];
    if (!i || record->hearing != result->steps[i - 1U].hearing) {
      result->chapters[result->n_chapters++] = (QfChapter){.start_s = record->start_s};
    }
    QfChapter* const chapter = &result->chapters[result->n_chapters - 1U];
    add_to_chapter(self, chapter, record);
    chapter->end_s = i + 1U == result->n_steps ? length_s : record->end_s;
  }
  return QF_OK;
}

static QfStatus
perform_steps(QfPerformer* const self)
{
  const QfPerformOptions* const options = &self->options;
  const size_t                  n_steps = qf_plan_n_steps(self->plan);
  const size_t                  n_known = qf_plan_n_hearings(self->plan);
  if (options->hearing != QF_ALL_HEARINGS && options->hearing >= (n_known ? n_known : 1U)) {
    return qf_error_set(self->error, QF_ERR_RANGE, "hearing %zu does not exist; the plan has %zu",
                        options->hearing + 1U, n_known);
  }

  self->result.steps = (QfPerformedStep*)calloc(n_steps + 1U, sizeof(QfPerformedStep));
  QfStatus st        = self->result.steps ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < n_steps; ++i) {
    const size_t hearing = qf_plan_hearing_of(self->plan, i);
    if (options->hearing == QF_ALL_HEARINGS || options->hearing == hearing) {
      st = perform_step(self, i, hearing);
    }
  }
  return st;
}

/// End the events: what sounds last dies away
static QfStatus
finish(QfPerformer* const self)
{
  QfEvents* const events   = &self->result.events;
  char** const    clips    = events->clips;
  const size_t    n_clips  = events->n_clips;
  const QfTime    end      = qf_time_max(self->at_s, qf_time_add(self->heard_s, release_s));
  const double    length_s = qf_time_to_double(end);
  const QfStatus  st = qf_event_list_finish(&self->list, length_s, self->options.level_db, events);
  events->clips      = clips;
  events->n_clips    = n_clips;
  if (self->remarks.length) {
    self->result.remarks = qf_text_take(&self->remarks);
  }
  return st ? st : find_chapters(self, length_s);
}

QfStatus
qf_perform(const QfScore* const   score,
           const QfPlan* const    plan,
           const QfPerformOptions options,
           QfPerformance* const   result,
           QfError* const         error)
{
  QfPerformer self = {.score    = score,
                      .plan     = plan,
                      .options  = options,
                      .n_voices = qf_score_n_voices(score),
                      .at_s     = QF_TIME_ZERO,
                      .heard_s  = QF_TIME_ZERO,
                      .error    = error};

  QfStatus st = qf_slices_of(score, &self.slices);
  st          = st ? st : perform_steps(&self);
  st          = st ? st : finish(&self);
  qf_slices_clear(&self.slices);
  qf_text_free(&self.remarks);
  if (st) {
    free(self.list.events);
    qf_performance_clear(&self.result);
    return error && !error->text[0] ? qf_error_set(error, st, "%s", qf_status_text(st)) : st;
  }
  *result = self.result;
  return QF_OK;
}
