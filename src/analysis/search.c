// SPDX-License-Identifier: MIT
#include "search.h"
#include "gates.h"
#include "key_costs.h"
#include "resume.h"
#include "weights.h"

#include <stdlib.h>
#include <string.h>

enum {
  WINDOW     = QF_MAX_COLUMNS + 1, // Boundaries that are reached before they are settled
  MAX_CHORDS = 6,                  // Chords kept for one span
};

#define MAX_BEATS 8.0F

_Static_assert(QF_N_STATES < UINT16_MAX, "a node for every state, and none");

/// The nodes of a boundary that is not settled yet
typedef struct {
  QfNode* nodes; // Owned
  size_t  n_nodes;
  size_t  capacity;
  double  best; // Least cost
} Pending;

typedef struct {
  const QfPassage*      passage;
  const QfSearchGivens* givens;
  size_t                settled; // Boundaries up to this one are known from an earlier search
  QfTrellis             trellis;
  Pending               pending[WINDOW]; // By boundary modulo window
  uint16_t*             slots;           // Node of (boundary modulo window, key, entry) plus one
  QfTrials              trials;
  QfGates               gates;
} Search;

static bool
is_pinned(const Search* const search, const size_t column)
{
  return search->givens->pinned_keys[column] != QF_N_KEYS;
}

static uint16_t*
slot_of(const Search* const search, const size_t boundary, const size_t key, const size_t entry)
{
  const size_t row = (boundary % WINDOW) * QF_N_KEYS + key;

  return &search->slots[row * QF_MAX_ENTRIES + entry];
}

// Arriving at a boundary

static QfStay
stay_of(const QfNode* const node)
{
  return (QfStay){node->stay, node->has_ended, node->key, node->before};
}

/// Set what a node's way has been like, once it is the best
static void
set_stay(const Search* const search, QfNode* const node, const size_t end)
{
  const size_t        first = end - node->length;
  const QfNode* const from =
    node->back == QF_NO_NODE ? NULL : &search->trellis.layers[first].nodes[node->back];
  const QfStay before = from ? stay_of(from) : (QfStay){0.0F, false, QF_N_KEYS, QF_N_KEYS};
  const QfStay stay   = qf_stay_on(search->passage, before, first, end, node->key);

  node->stay      = stay.beats;
  node->has_ended = stay.has_ended;
  node->before    = (uint16_t)stay.before;
}

static QfStatus
add_node(Search* const search, const QfSpan span, const QfNode node)
{
  Pending* const pending = &search->pending[span.end % WINDOW];

  if (pending->n_nodes == pending->capacity) {
    const size_t  capacity = pending->capacity ? 2 * pending->capacity : 64;
    QfNode* const nodes    = (QfNode*)realloc(pending->nodes, capacity * sizeof(QfNode));

    if (!nodes) {
      return QF_ERR_NO_MEM;
    }
    pending->nodes    = nodes;
    pending->capacity = capacity;
  }

  *slot_of(search, span.end, span.key, span.entry) = (uint16_t)(pending->n_nodes + 1);

  pending->nodes[pending->n_nodes++] = node;
  return QF_OK;
}

/// End a span at its boundary, if this is the best way so far
static QfStatus
reach(Search* const search, const QfSpan span, const float span_cost)
{
  Pending* const         pending = &search->pending[span.end % WINDOW];
  const bool             is_last = span.end == search->passage->n_columns;
  const QfArrival* const arrival = qf_gates_arrive(&search->gates, span.key, span.entry);
  const double           cost    = arrival->cost + qf_weight_grain(span_cost);

  // What is given up at its boundary anyway need not become a node.
  if (arrival->cost >= (double)QF_WEIGHT_NEVER || span_cost >= QF_WEIGHT_NEVER / 2 ||
      (!is_last && cost > pending->best + (double)QF_WEIGHT_BEAM)) {
    return QF_OK;
  }
  pending->best = cost < pending->best ? cost : pending->best;

  const QfNode   node = {.cost   = cost,
                         .key    = (uint16_t)span.key,
                         .entry  = (uint16_t)span.entry,
                         .length = (uint8_t)(span.end - span.first),
                         .back   = arrival->node};
  const uint16_t slot = *slot_of(search, span.end, span.key, span.entry);

  if (!slot) {
    return add_node(search, span, node);
  }
  if (cost < pending->nodes[slot - 1].cost) {
    pending->nodes[slot - 1] = node;
  }
  return QF_OK;
}

/// Keep the nodes of a boundary that are good enough to go on from; all at the end
static QfStatus
settle(Search* const search, const size_t boundary)
{
  const bool     is_last = boundary == search->passage->n_columns;
  Pending* const pending = &search->pending[boundary % WINDOW];
  QfLayer* const layer   = &search->trellis.layers[boundary];
  const double   limit   = pending->best + (double)QF_WEIGHT_BEAM;
  size_t         n       = 0;

  for (size_t i = 0; i < pending->n_nodes; ++i) {
    n += is_last || pending->nodes[i].cost <= limit;
  }

  layer->least = pending->best;
  layer->nodes = (QfNode*)malloc((n ? n : 1) * sizeof(QfNode));
  if (!layer->nodes) {
    return QF_ERR_NO_MEM;
  }

  // The latest first, so that of equal ways the shortest last span is taken.
  for (size_t i = pending->n_nodes; i > 0; --i) {
    const QfNode* const node = &pending->nodes[i - 1];

    *slot_of(search, boundary, node->key, node->entry) = 0;
    if (is_last || node->cost <= limit) {
      QfNode* const kept = &layer->nodes[layer->n_nodes++];

      *kept = *node;
      kept->cost -= layer->least;
      set_stay(search, kept, boundary);
    }
  }
  pending->n_nodes = 0;
  pending->best    = (double)QF_WEIGHT_NEVER;
  return QF_OK;
}

// Spans from a boundary

static float
bias_of(const Search* const search, const QfSpan span)
{
  const QfBias* const bias = search->givens->bias;

  return bias ? bias->cost(bias->data, span) : 0.0F;
}

/// Try a chord in the key of a place whose own cost is given
static QfStatus
try_chord(Search* const        search,
          const QfTrial* const trial,
          const QfSpan         place,
          const float          place_cost)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(search->givens, place.key);
  const int                 root       = trial->root - qf_tonic_of(place.key);
  QfSpan                    span       = place;
  QfStatus                  st         = QF_OK;

  for (const uint16_t* e = qf_vocabulary_find(vocabulary, root, trial->kind); *e && !st; ++e) {
    QfTally tally = {search->passage->weights, NULL, place_cost + trial->cost};

    span.entry = *e;
    qf_tally_entry(&tally, search->passage, search->givens, span, trial->fit);
    st = reach(search, span, tally.cost + bias_of(search, span));
  }
  return st;
}

static QfStatus
try_span(Search* const search, const size_t first, const size_t end)
{
  const float  unknown = qf_unknown_cost(search->passage, first, end);
  const bool   is_lone = unknown < QF_WEIGHT_UNKNOWN;
  size_t       best[MAX_CHORDS];
  const size_t n_best = qf_trials_best(&search->trials, best, MAX_CHORDS);
  const double limit =
    search->pending[end % WINDOW].best + (double)(QF_WEIGHT_BEAM + QF_WEIGHT_MOST_GAIN);
  QfStatus st = QF_OK;

  for (size_t k = 0; k < QF_N_KEYS && !st; ++k) {
    const QfSpan span = {first, end, k, QF_ENTRY_UNKNOWN};

    if (!qf_gates_has_key(&search->gates, k)) {
      continue;
    }

    const float place_cost = qf_place_cost(search->passage, search->givens, first, end, k);

    // What has no name is taken slice by slice, a single repeated note as a whole.
    if (is_lone || end == first + 1) {
      st = reach(search, span, unknown + place_cost + bias_of(search, span));
    }
    // Whole grains less whole grains: the same wherever the passage begins.
    const double most = limit - search->gates.gates[k].least;

    for (size_t i = 0; i < n_best && !st; ++i) {
      const QfTrial* const trial = &search->trials.trials[best[i]];

      if (first == 0 || (double)(place_cost + trial->cost) <= most) {
        st = try_chord(search, trial, span, place_cost);
      }
    }
  }
  return st;
}

/// Column after the last that a span from `first` may hold
static size_t
span_limit(const Search* const search, const size_t first)
{
  const QfPassage* const passage = search->passage;
  float                  beats   = passage->columns[first].beats;
  size_t                 end     = first + 1;

  while (end < passage->n_columns && end - first < QF_MAX_COLUMNS && beats < MAX_BEATS &&
         !is_pinned(search, end) && !passage->columns[end].is_after_rest) {
    beats += passage->columns[end++].beats;
  }
  return end;
}

static QfStatus
begin_pinned(Search* const search, const size_t first, const size_t limit)
{
  QfSpan   span = {.first = first,
                   .key   = search->givens->pinned_keys[first],
                   .entry = search->givens->pinned_entries[first]};
  QfStatus st   = QF_OK;

  for (span.end = first + 1; span.end <= limit && !st; ++span.end) {
    if (span.end > search->settled) {
      st = reach(search, span, qf_span_cost(search->passage, search->givens, span));
    }
  }
  return st;
}

static QfStatus
begin_spans(Search* const search, const size_t first)
{
  const size_t limit = span_limit(search, first);
  QfStatus     st    = QF_OK;

  if (is_pinned(search, first)) {
    return begin_pinned(search, first, limit);
  }

  qf_trials_start(&search->trials, search->passage, search->givens->vocabularies, first, limit);
  for (size_t end = first + 1; end <= limit && !st; ++end) {
    qf_trials_extend(&search->trials, search->passage, end - 1, end == first + 1);
    if (end > search->settled) {
      st = try_span(search, first, end);
    }
  }
  return st;
}

bool
qf_search_changes_keys(const QfPassage* const passage, const QfSearchGivens* const givens)
{
  bool may_change = givens->may_modulate;

  for (size_t c = 0; !may_change && c < passage->n_columns; ++c) {
    may_change = givens->pinned_keys[c] != QF_N_KEYS;
  }
  return may_change;
}

static size_t
less_or_none(const size_t value, const size_t less)
{
  return value > less ? value - less : 0;
}

static QfStatus
run(Search* const search, QfResume* const earlier)
{
  const size_t n  = search->passage->n_columns;
  QfStatus     st = QF_OK;

  for (size_t c = less_or_none(search->settled, QF_MAX_COLUMNS - 1); c <= n && !st; ++c) {
    if (c > search->settled) {
      st = settle(search, c);
      if (!st && qf_resume_goes_on(earlier, &search->trellis, c)) {
        qf_resume_end(earlier, &search->trellis, c);
        break;
      }
    }
    if (!st && c < n && (c == 0 || search->trellis.layers[c].n_nodes)) {
      qf_gates_open(&search->gates, c, &search->trellis.layers[c]);
      st = begin_spans(search, c);
    }
  }
  return st;
}

static QfStatus
search_init(Search* const search)
{
  const size_t n_slots = (size_t)QF_N_STATES * WINDOW;
  QfStatus     st      = qf_trellis_init(&search->trellis, search->passage->n_columns + 1);

  search->slots = (uint16_t*)calloc(n_slots, sizeof(uint16_t));
  if (st || !search->slots) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < WINDOW; ++i) {
    search->pending[i].best = (double)QF_WEIGHT_NEVER;
  }
  qf_gates_init(&search->gates, search->passage, search->givens,
                qf_search_changes_keys(search->passage, search->givens));
  return QF_OK;
}

static void
search_free(Search* const search)
{
  for (size_t i = 0; i < WINDOW; ++i) {
    free(search->pending[i].nodes);
  }
  qf_trellis_clear(&search->trellis);
  free(search->slots);
  free(search);
}

QfStatus
qf_search_again(const QfPassage* const      passage,
                const QfSearchGivens* const givens,
                const QfSameColumns         same,
                QfTrellis* const            trellis,
                QfPath* const               result)
{
  Search* const search  = (Search*)calloc(1, sizeof(Search));
  QfResume      earlier = {trellis, same, 0, 0.0};

  memset(result, 0, sizeof(*result));
  if (!search) {
    return QF_ERR_NO_MEM;
  }

  search->passage = passage;
  search->givens  = givens;

  QfStatus st = search_init(search);

  if (!st) {
    search->settled = qf_resume_beginning(&earlier, &search->trellis);
    st              = run(search, &earlier);
  }
  st = st ? st : qf_path_trace(&search->trellis, passage, givens, result);

  qf_trellis_clear(trellis);
  if (!st) {
    *trellis        = search->trellis;
    search->trellis = (QfTrellis){NULL, 0};
  }
  search_free(search);
  return st;
}

QfStatus
qf_search(const QfPassage* const passage, const QfSearchGivens* const givens, QfPath* const result)
{
  QfTrellis      trellis = {NULL, 0};
  const QfStatus st = qf_search_again(passage, givens, (QfSameColumns){0, 0}, &trellis, result);

  qf_trellis_clear(&trellis);
  return st;
}
