// SPDX-License-Identifier: MIT
#include "quintfall/realise.h"

QfStatus
qf_realise_into(QfScore* const         score,
                const QfLink* const    links,
                const size_t           n_links,
                const QfVoicing* const voicings)
{
  for (size_t i = 0; i < n_links; ++i) {
    for (size_t v = 0; v < QF_SATB; ++v) {
      const QfStatus st = qf_score_put_note(score, v, links[i].start, links[i].duration,
                                            voicings[i].pitch[v], QF_NO_NOTE, NULL);
      if (st) {
        return st;
      }
    }
  }
  return QF_OK;
}
