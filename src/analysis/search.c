// SPDX-License-Identifier: MIT
#include "search.h"
#include "weights.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_LENGTH  = 12, // Columns of a span; longer chords are continued
  MAX_CHORDS  = 6,  // Chords kept for one span
  MAX_SOURCES = 2 * QF_MAX_ENTRIES,
  N_STATES    = QF_N_KEYS * QF_MAX_ENTRIES,
  NO_NODE     = -1,
};

#define MAX_BEATS 8.0F

/// The best way to end a span at a boundary with a numeral of a key
typedef struct {
  float    cost;
  int32_t  back;  // Node of the span before, or NO_NODE
  int32_t  next;  // Another node of the same boundary, or NO_NODE
  uint32_t first; // Column at which the span begins
  uint32_t since; // Column at which its key was entered
  uint16_t key;
  uint16_t entry;
  uint16_t before; // Key before this one, or QF_N_KEYS
} Node;

/// A place to come from at a boundary
typedef struct {
  float    cost;
  int32_t  node;
  uint16_t entry;
  bool     is_pivot; // The node's chord, read anew in another key
} Source;

typedef struct {
  float    cost;
  int32_t  node;
  uint32_t stamp; // Boundary for which it holds, plus one
} Arrival;

/// Where spans from one boundary into one key can come from
typedef struct {
  Source  sources[MAX_SOURCES];
  size_t  n_sources;
  float   least;  // Cheapest of the sources and the direct way
  float   direct; // Cheapest arrival by a direct change of key
  int32_t direct_node;
} Gate;

typedef struct {
  const QfPassage*      passage;
  const QfSearchGivens* givens;
  Node*                 nodes;
  size_t                n_nodes;
  size_t                capacity;
  int32_t*              heads;                // First node of each boundary
  int32_t*              slots;                // Node of (boundary modulo window, key, entry)
  float                 best[MAX_LENGTH + 1]; // Least cost of a node of (boundary modulo window)
  Gate                  gates[QF_N_KEYS];
  Arrival               arrivals[N_STATES];
  Source                pivots[N_STATES];
  uint16_t              pivot_states[N_STATES]; // States with a pivot, to be cleared
  size_t                n_pivots;
  float                 changes[QF_N_KEYS][QF_N_KEYS];
  float                 leave[QF_N_KEYS]; // Cost of leaving each key at this boundary
  float                 enter[QF_N_KEYS];
  uint32_t              stamp;
  QfTrials              trials;
} Search;

static bool
is_key_open(const QfSearchGivens* const givens, const size_t key)
{
  return givens->may_modulate || givens->home == QF_N_KEYS || givens->home == key;
}

static bool
is_pinned(const Search* const search, const size_t column)
{
  return search->givens->pinned_keys[column] != QF_N_KEYS;
}

static int32_t*
slot_of(const Search* const search, const size_t boundary, const size_t key, const size_t entry)
{
  const size_t row = (boundary % (MAX_LENGTH + 1)) * QF_N_KEYS + key;

  return &search->slots[row * QF_MAX_ENTRIES + entry];
}

// Leaving a boundary

static void
add_source(Search* const search, const size_t key, const Source source)
{
  Gate* const gate = &search->gates[key];

  if (gate->n_sources < MAX_SOURCES) {
    gate->sources[gate->n_sources++] = source;
    gate->least                      = source.cost < gate->least ? source.cost : gate->least;
  }
}

static float
best_cost_at(const Search* const search, const size_t boundary)
{
  float best = QF_WEIGHT_NEVER;

  for (int32_t n = search->heads[boundary]; n != NO_NODE; n = search->nodes[n].next) {
    best = search->nodes[n].cost < best ? search->nodes[n].cost : best;
  }
  return best;
}

static void
close_gates(Search* const search)
{
  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    search->gates[k].n_sources   = 0;
    search->gates[k].least       = QF_WEIGHT_NEVER;
    search->gates[k].direct      = QF_WEIGHT_NEVER;
    search->gates[k].direct_node = NO_NODE;
  }
  for (size_t i = 0; i < search->n_pivots; ++i) {
    search->pivots[search->pivot_states[i]].node = NO_NODE;
  }
  search->n_pivots = 0;
}

/// Gather the nodes of a boundary that are good enough to go on from
static void
open_gates(Search* const search, const size_t boundary, const float limit)
{
  for (int32_t n = search->heads[boundary]; n != NO_NODE; n = search->nodes[n].next) {
    const Node* const node = &search->nodes[n];

    *slot_of(search, boundary, node->key, node->entry) = NO_NODE;
    if (node->cost <= limit) {
      add_source(search, node->key, (Source){node->cost, n, node->entry, false});
    }
  }
}

static void
offer_as(Search* const search, const size_t key, const size_t entry, const Source offer)
{
  const size_t  state = key * QF_MAX_ENTRIES + entry;
  Source* const pivot = &search->pivots[state];

  if (pivot->node == NO_NODE) {
    search->pivot_states[search->n_pivots++] = (uint16_t)state;
  }
  if (pivot->node == NO_NODE || offer.cost < pivot->cost) {
    *pivot = offer;
  }
}

static QfStay
stay_of(const Node* const node)
{
  return (QfStay){node->since, node->key, node->before};
}

/// Offer a node as the way into another key: as a pivot chord, or directly
static void
offer_pivot(Search* const search,
            const size_t  boundary,
            const Node    node,
            const int32_t index,
            const size_t  key)
{
  const QfSearchGivens* const givens     = search->givens;
  const QfVocabulary* const   vocabulary = qf_vocabulary_of(givens, key);
  const QfEntry* const        entry      = &qf_vocabulary_of(givens, node.key)->entries[node.entry];
  QfTally                     stay       = {search->passage->weights, NULL, node.cost};

  qf_tally_stay(&stay, search->passage, stay_of(&node), boundary, key);

  const float cost =
    stay.cost + search->changes[node.key][key] + search->leave[node.key] + search->enter[key];
  QfTally     direct = {search->passage->weights, NULL, cost};
  Gate* const gate   = &search->gates[key];

  qf_tally_direct(&direct, search->passage, givens, node.key, node.entry, key);
  if (direct.cost < gate->direct) {
    gate->direct      = direct.cost;
    gate->direct_node = index;
  }
  if (node.entry == QF_ENTRY_UNKNOWN) {
    return;
  }

  const int       root = qf_tonic_of(node.key) + entry->root - qf_tonic_of(key);
  const uint16_t* p    = qf_vocabulary_find(vocabulary, root, entry->kind);

  for (; *p; ++p) {
    QfTally pivot = {search->passage->weights, NULL, cost};

    qf_tally_pivot(&pivot, givens, node.key, node.entry, key, *p);
    offer_as(search, key, *p, (Source){pivot.cost, index, *p, true});
  }
}

static void
open_pivots(Search* const search, const size_t boundary, const float limit)
{
  for (int32_t n = search->heads[boundary]; n != NO_NODE; n = search->nodes[n].next) {
    const Node node = search->nodes[n];

    for (size_t k = 0; node.cost <= limit && k < QF_N_KEYS; ++k) {
      if (k != node.key && node.cost + search->changes[node.key][k] <= limit) {
        offer_pivot(search, boundary, node, n, k);
      }
    }
  }

  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    Gate* const gate = &search->gates[k];

    gate->direct_node = gate->direct <= limit ? gate->direct_node : NO_NODE;
    gate->least       = gate->direct < gate->least ? gate->direct : gate->least;
  }
  for (size_t i = 0; i < search->n_pivots; ++i) {
    const size_t state = search->pivot_states[i];

    if (search->pivots[state].cost <= limit) {
      add_source(search, state / QF_MAX_ENTRIES, search->pivots[state]);
    }
  }
}

// Arriving in a numeral

static Arrival
arrive(const Search* const search, const size_t boundary, const size_t key, const size_t entry)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(search->givens, key);
  const Gate* const         gate       = &search->gates[key];
  const float onset   = qf_onset_cost(search->passage, search->givens, boundary, key, entry);
  Arrival     best    = {QF_WEIGHT_NEVER, NO_NODE, search->stamp};
  QfTally     new_key = {search->passage->weights, NULL, onset};

  if (boundary == 0) {
    best.cost = qf_first_cost(search->passage, search->givens, key, entry) + onset;
    return best;
  }

  qf_tally_change_to(&new_key, search->passage, search->givens, key, entry);
  if (gate->direct_node != NO_NODE) {
    best.cost = gate->direct + qf_weight_first(&vocabulary->entries[entry]) + new_key.cost;
    best.node = gate->direct_node;
  }

  for (size_t i = 0; i < gate->n_sources; ++i) {
    const Source* const source  = &gate->sources[i];
    const bool          goes_on = source->entry == entry && !source->is_pivot;
    const float         begin   = source->is_pivot ? new_key.cost : onset;
    const float         step    = goes_on ? 0.0F : begin + vocabulary->steps[source->entry][entry];

    if (source->cost + step < best.cost) {
      best.cost = source->cost + step;
      best.node = source->node;
    }
  }
  return best;
}

static Arrival
arrival_at(Search* const search, const size_t boundary, const size_t key, const size_t entry)
{
  Arrival* const arrival = &search->arrivals[key * QF_MAX_ENTRIES + entry];

  if (arrival->stamp != search->stamp) {
    *arrival = arrive(search, boundary, key, entry);
  }
  return *arrival;
}

/// Let a node come from another, or from the beginning
static void
set_way(const Search* const search, Node* const node, const size_t first, const int32_t back)
{
  const Node* const from    = back == NO_NODE ? NULL : &search->nodes[back];
  const bool        is_same = from && from->key == node->key;

  node->back   = back;
  node->first  = (uint32_t)first;
  node->since  = is_same ? from->since : (uint32_t)first;
  node->before = is_same ? from->before : (from ? from->key : (uint16_t)QF_N_KEYS);
}

static QfStatus
add_node(Search* const search, const QfSpan span, const float cost, const int32_t back)
{
  if (search->n_nodes == search->capacity) {
    const size_t capacity = 2 * search->capacity;
    Node* const  nodes    = (Node*)realloc(search->nodes, capacity * sizeof(Node));

    if (!nodes) {
      return QF_ERR_NO_MEM;
    }
    search->nodes    = nodes;
    search->capacity = capacity;
  }

  const int32_t index = (int32_t)search->n_nodes++;

  search->nodes[index] = (Node){.cost  = cost,
                                .next  = search->heads[span.end],
                                .key   = (uint16_t)span.key,
                                .entry = (uint16_t)span.entry};
  set_way(search, &search->nodes[index], span.first, back);

  search->heads[span.end]                          = index;
  *slot_of(search, span.end, span.key, span.entry) = index;
  return QF_OK;
}

/// End a span at its boundary, if this is the best way so far
static QfStatus
reach(Search* const search, const QfSpan span, const float span_cost)
{
  const Arrival arrival = arrival_at(search, span.first, span.key, span.entry);
  const float   cost    = arrival.cost + span_cost;
  const int32_t index   = *slot_of(search, span.end, span.key, span.entry);

  float* const best = &search->best[span.end % (MAX_LENGTH + 1)];

  // What is given up at its boundary anyway need not become a node.
  if (arrival.cost >= QF_WEIGHT_NEVER || span_cost >= QF_WEIGHT_NEVER ||
      (cost > *best + QF_WEIGHT_BEAM && span.end < search->passage->n_columns)) {
    return QF_OK;
  }
  *best = cost < *best ? cost : *best;
  if (index == NO_NODE) {
    return add_node(search, span, cost, arrival.node);
  }

  Node* const node = &search->nodes[index];

  if (cost < node->cost) {
    node->cost = cost;
    set_way(search, node, span.first, arrival.node);
  }
  return QF_OK;
}

// Spans from a boundary

/// True if a key can be reached at this boundary at all
static bool
is_key_live(const Search* const search, const size_t boundary, const size_t key)
{
  const Gate* const gate = &search->gates[key];

  return is_key_open(search->givens, key) &&
         (boundary == 0 || gate->n_sources || gate->direct_node != NO_NODE);
}

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
  const float  limit  = search->best[end % (MAX_LENGTH + 1)] + QF_WEIGHT_BEAM + QF_WEIGHT_MOST_GAIN;
  QfStatus     st     = QF_OK;

  for (size_t k = 0; k < QF_N_KEYS && !st; ++k) {
    const QfSpan span = {first, end, k, QF_ENTRY_UNKNOWN};

    if (!is_key_live(search, first, k)) {
      continue;
    }

    const float place_cost = qf_place_cost(search->passage, search->givens, first, end, k);

    // What has no name is taken slice by slice, a single repeated note as a whole.
    if (is_lone || end == first + 1) {
      st = reach(search, span, unknown + place_cost + bias_of(search, span));
    }
    for (size_t i = 0; i < n_best && !st; ++i) {
      const QfTrial* const trial = &search->trials.trials[best[i]];

      if (first == 0 || search->gates[k].least + place_cost + trial->cost <= limit) {
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

  while (end < passage->n_columns && end - first < MAX_LENGTH && beats < MAX_BEATS &&
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
    st = reach(search, span, qf_span_cost(search->passage, search->givens, span));
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
    st = try_span(search, first, end);
  }
  return st;
}

static bool
has_pins(const Search* const search)
{
  for (size_t c = 0; c < search->passage->n_columns; ++c) {
    if (is_pinned(search, c)) {
      return true;
    }
  }
  return false;
}

static void
weigh_changes(Search* const search, const size_t boundary)
{
  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    QfTally leave = {search->passage->weights, NULL, 0.0F};
    QfTally enter = {search->passage->weights, NULL, 0.0F};

    qf_tally_leave_key(&leave, search->passage, boundary, k);
    qf_tally_enter_key(&enter, search->passage, boundary, k);
    search->leave[k] = leave.cost;
    search->enter[k] = enter.cost;
  }
}

static QfStatus
run(Search* const search)
{
  const bool is_change_open = search->givens->may_modulate || has_pins(search);
  QfStatus   st             = QF_OK;

  for (size_t c = 0; c < search->passage->n_columns && !st; ++c) {
    const float limit = best_cost_at(search, c) + QF_WEIGHT_BEAM;

    search->stamp                                     = (uint32_t)c + 1;
    search->best[(c + MAX_LENGTH) % (MAX_LENGTH + 1)] = QF_WEIGHT_NEVER;
    close_gates(search);
    open_gates(search, c, limit);
    if (is_change_open) {
      weigh_changes(search, c);
      open_pivots(search, c, limit);
    }
    if (c == 0 || search->heads[c] != NO_NODE) {
      st = begin_spans(search, c);
    }
  }
  return st;
}

// The way back

static int32_t
best_last_node(const Search* const search)
{
  const size_t end  = search->passage->n_columns;
  float        best = QF_WEIGHT_NEVER;
  int32_t      last = NO_NODE;

  for (int32_t n = search->heads[end]; n != NO_NODE; n = search->nodes[n].next) {
    const Node* const node = &search->nodes[n];
    const float       cost =
      node->cost + qf_last_cost(search->passage, search->givens, node->key, node->entry);

    if (cost < best) {
      best = cost;
      last = n;
    }
  }
  return last;
}

static QfStatus
trace_back(const Search* const search, QfPath* const path)
{
  const int32_t last = best_last_node(search);
  size_t        n    = 0;
  size_t        end  = search->passage->n_columns;

  for (int32_t i = last; i != NO_NODE; i = search->nodes[i].back) {
    ++n;
  }

  path->spans   = (QfSpan*)calloc(n ? n : 1, sizeof(QfSpan));
  path->n_spans = n;
  path->cost    = last == NO_NODE ? 0.0F : search->nodes[last].cost;
  if (!path->spans) {
    return QF_ERR_NO_MEM;
  }

  for (int32_t i = last; i != NO_NODE; i = search->nodes[i].back) {
    const Node* const node = &search->nodes[i];

    path->spans[--n] = (QfSpan){node->first, end, node->key, node->entry};
    end              = node->first;
  }
  return QF_OK;
}

static QfStatus
search_init(Search* const search)
{
  const size_t n_boundaries = search->passage->n_columns + 1;
  const size_t n_slots      = (size_t)N_STATES * (MAX_LENGTH + 1);

  search->capacity = 1024;
  search->nodes    = (Node*)malloc(search->capacity * sizeof(Node));
  search->heads    = (int32_t*)malloc(n_boundaries * sizeof(int32_t));
  search->slots    = (int32_t*)malloc(n_slots * sizeof(int32_t));
  if (!search->nodes || !search->heads || !search->slots) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i <= MAX_LENGTH; ++i) {
    search->best[i] = QF_WEIGHT_NEVER;
  }
  memset(search->heads, -1, n_boundaries * sizeof(int32_t));
  memset(search->slots, -1, n_slots * sizeof(int32_t));
  for (size_t i = 0; i < N_STATES; ++i) {
    search->pivots[i].node = NO_NODE;
  }
  for (size_t from = 0; from < QF_N_KEYS; ++from) {
    for (size_t to = 0; to < QF_N_KEYS; ++to) {
      QfTally change = {search->passage->weights, NULL, 0.0F};

      qf_tally_change(&change, search->passage, search->givens, from, to);
      search->changes[from][to] = change.cost;
    }
  }
  return QF_OK;
}

static void
search_free(Search* const search)
{
  free(search->slots);
  free(search->heads);
  free(search->nodes);
  free(search);
}

QfStatus
qf_search(const QfPassage* const passage, const QfSearchGivens* const givens, QfPath* const result)
{
  Search* const search = (Search*)calloc(1, sizeof(Search));

  memset(result, 0, sizeof(*result));
  if (!search) {
    return QF_ERR_NO_MEM;
  }

  search->passage = passage;
  search->givens  = givens;

  QfStatus st = search_init(search);

  st = st ? st : run(search);
  st = st ? st : trace_back(search, result);
  search_free(search);
  return st;
}

void
qf_path_clear(QfPath* const path)
{
  free(path->spans);
  memset(path, 0, sizeof(*path));
}
