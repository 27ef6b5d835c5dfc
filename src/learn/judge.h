// SPDX-License-Identifier: MIT
// How far what a search found is from what humans read.
#ifndef QUINTFALL_SRC_LEARN_JUDGE_H
#define QUINTFALL_SRC_LEARN_JUDGE_H

#include "task.h"

/// What the bias of a search must know
typedef struct {
  const Task*      task;
  const Piece*     piece;
  const QfPassage* passage;
  int*             golds;    ///< For each column: the human's stretch, or -1
  float*           quarters; ///< Length of each column
  float            scale;    ///< Times the loss
} Judge;

typedef struct {
  float right; ///< Numeral and key
  float resolved;
  float root;
  float key;
  float missed; ///< An applied chord of the human's that is not read as such, by its share of time
  float false_alarm; ///< An applied chord that is none to the human
} Verdict;

/// False if out of memory; to be cleared in any case
bool
judge_init(Judge* judge, const Task* task, const Piece* piece, const QfPassage* passage);

void
judge_clear(Judge* judge);

/// What a wrong reading counts: a missed applied chord whole, however short, the rest by quarters
float
verdict_loss(Verdict verdict);

typedef void (*Visit)(void* data, Verdict verdict, float quarters);

/// Judge each column of a span that a human read
void
judge_span(const Judge*        judge,
           const QfVocabulary* vocabulary,
           QfSpan              span,
           Visit               visit,
           void*               data);

#endif // QUINTFALL_SRC_LEARN_JUDGE_H
