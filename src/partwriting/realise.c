// SPDX-License-Identifier: MIT
#include "quintfall/realise.h"

#include "quintfall/writing.h"

#include <string.h>

/// How strictly to write
typedef struct {
  QfProfile profile;
  bool      may_join_badly;
} Attempt;

// Tried in this order: as common practice has it; with wider ranges and free resolutions; with
// joins to what stands before and after that may break rules.
static const Attempt attempts[] = {
  {QF_PROFILE_COMMON, false},
  {QF_PROFILE_FREE, false},
  {QF_PROFILE_FREE, true},
};

QfStatus
qf_realise(const QfLink* const    links,
           const size_t           n_links,
           const QfRealiseOptions options,
           QfVoicing* const       result,
           QfError* const         error)
{
  const size_t n_attempts = sizeof(attempts) / sizeof(attempts[0]);
  QfStatus     st         = n_links ? QF_ERR_IMPOSSIBLE : QF_OK;
  for (size_t i = 0; st == QF_ERR_IMPOSSIBLE && i < n_attempts; ++i) {
    QfWriteOptions write = {.profile        = attempts[i].profile,
                            .kept           = options.kept,
                            .n_kept         = options.n_kept,
                            .may_join_badly = attempts[i].may_join_badly};
    write.before         = options.before ? options.before->pitch : NULL;
    write.after          = options.after ? options.after->pitch : NULL;
    QfWritings writings  = {0};
    st = qf_write(links, n_links, write, &writings, NULL, i + 1U == n_attempts ? error : NULL);
    for (size_t k = 0; !st && k < n_links; ++k) {
      memcpy(result[k].pitch, &writings.writings[0].pitches[k * QF_SATB], sizeof(result[k].pitch));
    }
    qf_writings_clear(&writings);
  }
  return st;
}
