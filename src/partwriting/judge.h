// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_JUDGE_H
#define QUINTFALL_PARTWRITING_JUDGE_H

#include "frames.h"
#include "rules.h"

/// A remark on frames
typedef struct {
  Remark     remark;
  QfSeverity severity;
  size_t     from; ///< Index of a frame
  size_t     to;
} Judgement;

typedef struct {
  Judgement* judgements; ///< Owned
  size_t     n_judgements;
  size_t     capacity;
  bool       failed; ///< True once memory ran out
} Judgements;

/// Judge frames [first, last); chords count that begin there
void
judge_frames(const Frames* frames,
             QfProfile     profile,
             size_t        first,
             size_t        last,
             Judgements*   result);

void
judgements_clear(Judgements* judgements);

/// The known chords of labels as links (transfer full)
QfStatus
links_of_labels(const QfLabels* labels, QfLink** result, size_t* n_links);

#endif // QUINTFALL_PARTWRITING_JUDGE_H
