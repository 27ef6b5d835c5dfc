// SPDX-License-Identifier: MIT
#include "quintfall/explore.h"

#include "lead.h"
#include "moves.h"
#include "reason.h"
#include "resolve.h"
#include "stock.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_ITEMS  = 256, ///< Vocabulary and what else the corpus has after one numeral
  LEAST_SEEN = 2,   ///< How often a chord outside the vocabulary must have followed
};

/// The numerals to try, in a fixed order
typedef struct {
  QfContinuation items[MAX_ITEMS];
  size_t         n_items;
} Choice;

static bool
is_listed(const Choice* const choice, const QfNumeral* const numeral)
{
  for (size_t i = 0; i < choice->n_items; ++i) {
    if (qf_numeral_equals(&choice->items[i].numeral, numeral)) {
      return true;
    }
  }
  return false;
}

static void
add_item(Choice* const          choice,
         const QfLink* const    link,
         const QfNumeral* const numeral,
         const QfStock          stock)
{
  QfContinuation item = {.numeral = *numeral, .stock = stock};

  if (choice->n_items == MAX_ITEMS || qf_numeral_equals(numeral, &link->numeral) ||
      is_listed(choice, numeral) || qf_numeral_chord(numeral, link->key, &item.chord, NULL)) {
    return;
  }
  item.function                    = qf_numeral_function(numeral);
  item.resolution                  = resolution_of(&link->numeral, numeral, link->key);
  item.count                       = qf_count_moves(link->key.mode, &link->numeral, numeral);
  choice->items[choice->n_items++] = item;
}

/// Chords of the vocabulary that may follow, or that did in the corpus
static void
add_vocabulary(Choice* const choice, const QfLink* const link)
{
  StockWord    words[STOCK_MAX_WORDS];
  const size_t n_words = stock_words(link->key.mode, words);

  for (size_t i = 0; i < n_words; ++i) {
    const QfNumeral* const numeral = &words[i].numeral;
    if (may_follow(&link->numeral, numeral, link->key) ||
        qf_count_moves(link->key.mode, &link->numeral, numeral)) {
      add_item(choice, link, numeral, words[i].stock);
    }
  }
}

/// What else followed in the corpus, more than once
static void
add_corpus(Choice* const choice, const QfLink* const link, QfContinuations* const totals)
{
  size_t            n     = 0;
  const Move* const moves = moves_from(link->key.mode, &link->numeral, &n);

  for (size_t i = 0; i < n; ++i) {
    QfNumeral numeral = {0};
    totals->n_moves += moves[i].count;
    totals->n_leaving += move_leaves(&moves[i]) ? moves[i].count : 0;
    if (moves[i].count >= LEAST_SEEN && !move_leaves(&moves[i]) &&
        !qf_numeral_parse(moves[i].to, link->key.mode, &numeral, NULL)) {
      add_item(choice, link, &numeral, stock_of(&numeral, link->key));
    }
  }
}

static bool
is_what_follows(const QfExploreFrom* const from, const QfNumeral* const numeral)
{
  return from->next && qf_key_equals(from->next->key, from->link.key) &&
         qf_numeral_equals(&from->next->numeral, numeral);
}

/// Write out each choice and keep those that can be written
static QfStatus
lead_all(const QfExploreFrom* const from,
         const QfChord* const       chord,
         Choice* const              choice,
         QfContinuations* const     result)
{
  QfStatus st = QF_OK;

  for (size_t i = 0; !st && i < choice->n_items; ++i) {
    QfContinuation* const item = &choice->items[i];
    st                         = lead_into(from, &result->voicing, item);
    if (st == QF_ERR_IMPOSSIBLE) {
      st = QF_OK;
      continue;
    }
    item->motion     = qf_interval_between_names(chord->root, item->chord.root);
    item->is_present = is_what_follows(from, &item->numeral);
    item->share      = result->n_moves ? (double)item->count / result->n_moves : 0.0;
    reason_write(&from->link, item, from->naming, item->reason, sizeof(item->reason));
    result->items[result->n_items++] = *item;
  }
  return st;
}

/// A step the profile forbids is rougher than any it allows
static int
compare_smoothness(const QfContinuation* const a, const QfContinuation* const b)
{
  if ((a->cost < 0) != (b->cost < 0)) {
    return a->cost < 0 ? 1 : -1;
  }
  if (a->n_errors != b->n_errors) {
    return a->n_errors - b->n_errors;
  }
  return a->cost != b->cost ? a->cost - b->cost : a->semitones - b->semitones;
}

static int
compare(const void* const left, const void* const right)
{
  const QfContinuation* const a = (const QfContinuation*)left;
  const QfContinuation* const b = (const QfContinuation*)right;

  if (a->count != b->count) {
    return a->count > b->count ? -1 : 1;
  }
  const int smoother = compare_smoothness(a, b);
  if (smoother) {
    return smoother;
  }

  // The same order each time, whatever the sort does with equals.
  char first[QF_NUMERAL_TEXT_SIZE];
  char second[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&a->numeral, QF_MAJOR, first, sizeof(first));
  qf_numeral_write(&b->numeral, QF_MAJOR, second, sizeof(second));
  return strcmp(first, second);
}

QfStatus
qf_explore(const QfExploreFrom* const from, QfContinuations* const result, QfError* const error)
{
  QfContinuations found = {0};
  QfChord         chord = {0};
  QfStatus        st    = qf_numeral_chord(&from->link.numeral, from->link.key, &chord, error);
  if (st) {
    return st;
  }
  if (from->voicing) {
    found.voicing = *from->voicing;
  } else {
    st = lead_start(from, &found.voicing, error);
  }
  if (st) {
    return st;
  }

  Choice* const choice = (Choice*)calloc(1, sizeof(Choice));
  found.items          = (QfContinuation*)calloc(MAX_ITEMS, sizeof(QfContinuation));
  if (choice && found.items) {
    add_vocabulary(choice, &from->link);
    add_corpus(choice, &from->link, &found);
    st = lead_all(from, &chord, choice, &found);
  } else {
    st = QF_ERR_NO_MEM;
  }
  free(choice);

  if (st) {
    qf_continuations_clear(&found);
    return qf_error_set(error, st, "%s", qf_status_text(st));
  }
  qsort(found.items, found.n_items, sizeof(QfContinuation), compare);
  *result = found;
  return QF_OK;
}

void
qf_continuations_clear(QfContinuations* const continuations)
{
  free(continuations->items);
  *continuations = (QfContinuations){0};
}
