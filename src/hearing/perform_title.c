// SPDX-License-Identifier: MIT
#include "performer.h"

#include "clock.h"

#include "quintfall/text.h"

#include <stdlib.h>

// A breath after a spoken title.
static const QfTime breath_s = {1, 2};

/// Path of a spoken title (transfer full), or NULL if out of memory
static char*
clip_path(const QfPerformer* const self, const char* const audio)
{
  QfText path = {0};
  if (audio[0] != '/' && self->options.folder && self->options.folder[0]) {
    qf_text_addf(&path, "%s/", self->options.folder);
  }
  qf_text_add(&path, audio);
  return qf_text_take(&path);
}

/// Keep a path for the events (takes it); gives its index, or SIZE_MAX
static size_t
keep_clip(QfPerformer* const self, char* const path)
{
  QfEvents* const events = &self->result.events;
  char** const    clips  = (char**)realloc(events->clips, (events->n_clips + 1U) * sizeof(char*));
  if (!clips) {
    free(path);
    self->list.failed = true;
    return SIZE_MAX;
  }
  events->clips          = clips;
  clips[events->n_clips] = path;
  return events->n_clips++;
}

QfStatus
qf_perform_title(QfPerformer* const self, const size_t step)
{
  const QfTitleStep* const title = &qf_plan_get_step(self->plan, step)->title;
  if (!title->audio[0] || !self->options.clip_length) {
    return QF_OK;
  }

  char* const path = clip_path(self, title->audio);
  if (!path) {
    return QF_ERR_NO_MEM;
  }
  double  length_s = 0.0;
  QfError error    = {0};
  if (self->options.clip_length(path, &length_s, &error)) {
    qf_performer_remark(self, "the spoken title", step,
                        error.text[0] ? error.text : "it cannot be played");
    free(path);
    return QF_OK;
  }

  const size_t clip = keep_clip(self, path);
  if (clip != SIZE_MAX) {
    qf_event_list_add_mark(&self->list, qf_performer_now(self), QF_NOT_IN_SCORE);
    qf_event_list_add_clip(&self->list, qf_performer_now(self), clip);
    qf_performer_go_on(self, qf_exact(length_s), true);
    qf_performer_go_on(self, breath_s, false);
  }
  return QF_OK;
}
