// SPDX-License-Identifier: MIT
#include "quintfall/realise.h"

#include "optimum.h"

#include <string.h>

// Tried in this order: as common practice has it; with wider ranges and free resolutions; with
// joins to what stands before and after that may break rules.
static const Policy policies[] = {
  {.profile = QF_PROFILE_COMMON, .n_voices = QF_SATB},
  {.profile = QF_PROFILE_FREE, .n_voices = QF_SATB, .is_wide = true},
  {.profile = QF_PROFILE_FREE, .n_voices = QF_SATB, .is_wide = true, .is_lenient = true},
};

static QfStatus
try_policy(Stages* const    stages,
           const Policy     policy,
           QfVoicing* const result,
           Failure* const   failure)
{
  QfStatus st = stages_list(stages, policy);
  st          = st ? st : stages_look_ahead(stages, failure);
  Ways ways   = {0};
  st          = st ? st : optimum_find(stages, 1, &ways);
  for (size_t i = 0; !st && i < stages->task->n_links; ++i) {
    const size_t        stage  = stages->first + i;
    const Voiced* const voiced = &stages->stages[stage].list.voiced[ways.ways[0].voicings[stage]];
    memcpy(result[i].pitch, voiced->pitch, sizeof(result[i].pitch));
  }
  ways_clear(&ways);
  return st;
}

QfStatus
qf_realise(const QfLink* const    links,
           const size_t           n_links,
           const QfRealiseOptions options,
           QfVoicing* const       result,
           QfError* const         error)
{
  if (!n_links) {
    return QF_OK;
  }

  const Task task   = {.links   = links,
                       .n_links = n_links,
                       .kept    = options.kept,
                       .n_kept  = options.n_kept,
                       .before  = options.before ? options.before->pitch : NULL,
                       .after   = options.after ? options.after->pitch : NULL};
  Stages     stages = {.policy = policies[0]};
  QfStatus   st     = stages_prepare(&stages, &task, error);
  if (!st) {
    Failure failure = {0};
    st              = QF_ERR_IMPOSSIBLE;
    for (size_t i = 0; st == QF_ERR_IMPOSSIBLE && i < sizeof(policies) / sizeof(policies[0]); ++i) {
      st = try_policy(&stages, policies[i], result, &failure);
    }
    if (st == QF_ERR_IMPOSSIBLE) {
      stages_report(&stages, &failure, error);
    } else if (st) {
      qf_error_set(error, st, "out of memory");
    }
  }
  stages_clear(&stages);
  return st;
}
