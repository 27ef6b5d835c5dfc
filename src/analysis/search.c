// SPDX-License-Identifier: MIT
#include "search.h"
#include "weights.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_LENGTH = 12,  // Columns of a span; longer chords are continued
  MAX_CHORDS = 640, // Roots and qualities tried from one column
  MAX_TRIED  = 10,  // Chords kept for one span
  NO_NODE    = -1,
};

#define MAX_BEATS 8.0F

/// The best way to end a span at a boundary with a numeral of a key
typedef struct {
  float    cost;
  int32_t  back;  // Node of the span before, or NO_NODE
  int32_t  next;  // Another node of the same boundary, or NO_NODE
  uint32_t first; // Column at which the span begins
  uint16_t key;
  uint16_t entry;
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
  uint32_t stamp;
} Arrival;

/// A chord as it fits a growing span
typedef struct {
  uint64_t mask;
  float    foreign;
  unsigned present;
  int8_t   root;
  int8_t   bass;
  uint8_t  kind;
  uint8_t  size;
  uint64_t members[QF_CHORD_MAX_NOTES];
} Trial;

typedef struct {
  const QfPassage*      passage;
  const QfSearchGivens* givens;
  Node*                 nodes;
  size_t                n_nodes;
  size_t                capacity;
  int32_t*              heads; // First node of each boundary
  int32_t*              slots; // Node of (boundary modulo window, key, entry)
  Source*               sources[QF_N_KEYS];
  size_t                n_sources[QF_N_KEYS];
  float                 direct[QF_N_KEYS]; // Cheapest arrival in a key by a direct change
  int32_t               direct_node[QF_N_KEYS];
  Arrival*              arrivals; // By key and entry, for the boundary of `stamp`
  Source*               pivots;   // By key and entry
  float                 changes[QF_N_KEYS][QF_N_KEYS];
  uint32_t              stamp;
  Trial                 trials[MAX_CHORDS];
  size_t                n_trials;
} Search;

static const QfVocabulary*
vocabulary_of(const QfSearchGivens* const givens, const size_t key)
{
  return &givens->vocabularies[key % 2];
}

static int
tonic_of(const size_t key)
{
  return (int)(key / 2) - 7 + (key % 2 ? 3 : 0);
}

static bool
is_key_open(const QfSearchGivens* const givens, const size_t key)
{
  return givens->may_modulate || givens->home == QF_N_KEYS || givens->home == key;
}

static int32_t*
slot_of(const Search* const search, const size_t boundary, const size_t key, const size_t entry)
{
  const size_t row = (boundary % (MAX_LENGTH + 1)) * QF_N_KEYS + key;

  return &search->slots[row * QF_MAX_ENTRIES + entry];
}

// Chords and how they fit

static void
trial_start(Trial* const trial, const int root, const QfChordKind kind, const int bass)
{
  *trial      = (Trial){.root = (int8_t)root, .kind = (uint8_t)kind, .bass = -1};
  trial->size = (uint8_t)qf_chord_kind_size(kind);

  for (int m = 0; m < trial->size; ++m) {
    const int fifths = root + qf_member_fifths(kind, m);

    trial->members[m] = qf_note_bit(fifths);
    trial->mask |= trial->members[m];
    if (fifths == bass) {
      trial->bass = (int8_t)m;
    }
  }
}

static void
trial_extend(Trial* const trial, const QfColumn* const column, const bool is_first)
{
  if (column->mask & ~trial->mask) {
    for (size_t i = 0; i < column->n_notes; ++i) {
      if (!(column->notes[i].bit & trial->mask)) {
        trial->foreign += is_first ? column->notes[i].cost_first : column->notes[i].cost_inside;
      }
    }
  }

  for (unsigned m = 0; m < trial->size; ++m) {
    if (column->mask & trial->members[m]) {
      trial->present |= 1U << m;
    } else {
      trial->foreign += qf_weight_absent((int)m, is_first, column->block);
    }
  }
}

QfFit
qf_fit_of(const QfPassage* const passage,
          const size_t           first,
          const size_t           end,
          const int              root,
          const QfChordKind      kind)
{
  Trial trial;

  trial_start(&trial, root, kind, passage->columns[first].bass);
  for (size_t c = first; c < end; ++c) {
    trial_extend(&trial, &passage->columns[c], c == first);
  }

  return (QfFit){trial.foreign, trial.present, trial.bass};
}

/// Cost of a chord's fit; a pinned chord is never ruled out
static float
fit_cost(const QfEntry* const entry, const QfFit fit, const bool is_pinned)
{
  const float cost =
    fit.foreign + qf_weight_missing(entry->kind, fit.present) + qf_weight_bass(entry, fit.bass);

  return is_pinned && cost > 20.0F ? 20.0F : cost;
}

static float
unknown_cost(const QfPassage* const passage, const size_t first, const size_t end)
{
  float    beats = 0.0F;
  uint64_t mask  = 0;

  for (size_t c = first; c < end; ++c) {
    beats += passage->columns[c].beats;
    mask |= passage->columns[c].mask;
  }
  if (__builtin_popcountll(mask) == 1) {
    return QF_WEIGHT_LONE + QF_WEIGHT_LONE_BEAT * beats;
  }
  return QF_WEIGHT_UNKNOWN + QF_WEIGHT_UNKNOWN_BEAT * beats +
         QF_WEIGHT_UNKNOWN_COLUMN * (float)(end - first - 1);
}

/// Cost of a span that lies in the key, not in the chord
static float
place_cost(const QfPassage* const      passage,
           const QfSearchGivens* const givens,
           const size_t                first,
           const size_t                end,
           const size_t                key)
{
  float cost = 0.0F;

  for (size_t c = first; c < end; ++c) {
    cost += passage->columns[c].outside[key];
    if (givens->home != QF_N_KEYS && givens->home != key) {
      cost += QF_WEIGHT_AWAY_BEAT * passage->columns[c].beats;
    }
  }
  return cost;
}

float
qf_span_cost(const QfPassage* const passage, const QfSearchGivens* const givens, const QfSpan span)
{
  const QfEntry* const entry = &vocabulary_of(givens, span.key)->entries[span.entry];
  const float          place = place_cost(passage, givens, span.first, span.end, span.key);

  if (span.entry == QF_ENTRY_UNKNOWN) {
    return place + unknown_cost(passage, span.first, span.end);
  }

  const int   root = tonic_of(span.key) + entry->root;
  const QfFit fit  = qf_fit_of(passage, span.first, span.end, root, entry->kind);

  return place + fit_cost(entry, fit, givens->pinned_keys[span.first] != QF_N_KEYS);
}

// Going from span to span

static float
change_cost(const QfSearchGivens* const givens, const size_t from, const size_t to)
{
  return qf_weight_key_change(from, to, givens->home);
}

static float
first_cost(const QfSearchGivens* const givens, const size_t key, const size_t entry)
{
  const float word = qf_weight_first(&vocabulary_of(givens, key)->entries[entry]);

  if (givens->home == QF_N_KEYS) {
    return word + qf_weight_signature(key, givens->signature);
  }
  return word + (givens->home == key ? 0.0F : change_cost(givens, givens->home, key));
}

/// Cost of a numeral's entry at a column, whatever comes before
static float
onset_cost(const QfPassage* const      passage,
           const QfSearchGivens* const givens,
           const size_t                column,
           const size_t                key,
           const size_t                entry)
{
  return passage->columns[column].onset + vocabulary_of(givens, key)->entries[entry].prior;
}

/// Cheapest way to hear the chord before a change of key in the new key
static float
pivot_cost(const QfSearchGivens* const givens, const QfSpan from, const QfSpan to)
{
  const QfVocabulary* const vocabulary = vocabulary_of(givens, to.key);
  const QfEntry* const      before     = &vocabulary_of(givens, from.key)->entries[from.entry];
  const int                 root       = tonic_of(from.key) + before->root - tonic_of(to.key);
  float best = QF_WEIGHT_DIRECT_CHANGE + qf_weight_first(&vocabulary->entries[to.entry]);

  for (const uint16_t* p = qf_vocabulary_find(vocabulary, root, before->kind); *p; ++p) {
    const float cost =
      QF_WEIGHT_PIVOT * vocabulary->entries[*p].prior + vocabulary->steps[*p][to.entry];

    best = cost < best ? cost : best;
  }
  return best;
}

float
qf_link_cost(const QfPassage* const      passage,
             const QfSearchGivens* const givens,
             const QfSpan* const         from,
             const QfSpan                to)
{
  const float onset = onset_cost(passage, givens, to.first, to.key, to.entry);

  if (!from) {
    return onset + first_cost(givens, to.key, to.entry);
  }
  if (from->key == to.key) {
    return from->entry == to.entry
             ? 0.0F
             : onset + vocabulary_of(givens, to.key)->steps[from->entry][to.entry];
  }
  return onset + change_cost(givens, from->key, to.key) + pivot_cost(givens, *from, to);
}

// The dynamic programme

static bool
add_source(Search* const search, const size_t key, const Source source)
{
  if (search->n_sources[key] >= 2U * QF_MAX_ENTRIES) {
    return false;
  }
  search->sources[key][search->n_sources[key]++] = source;
  return true;
}

/// Offer a node as a pivot chord to another key
static void
offer_pivot(Search* const search, const Node* const node, const int32_t index, const size_t key)
{
  const QfVocabulary* const vocabulary = vocabulary_of(search->givens, key);
  const QfEntry* const      entry = &vocabulary_of(search->givens, node->key)->entries[node->entry];
  const float               cost  = node->cost + search->changes[node->key][key];

  if (cost + QF_WEIGHT_DIRECT_CHANGE < search->direct[key]) {
    search->direct[key]      = cost + QF_WEIGHT_DIRECT_CHANGE;
    search->direct_node[key] = index;
  }
  if (node->entry == QF_ENTRY_UNKNOWN) {
    return;
  }

  const int root = tonic_of(node->key) + entry->root - tonic_of(key);

  for (const uint16_t* p = qf_vocabulary_find(vocabulary, root, entry->kind); *p; ++p) {
    Source* const pivot = &search->pivots[key * QF_MAX_ENTRIES + *p];
    const float   total = cost + QF_WEIGHT_PIVOT * vocabulary->entries[*p].prior;

    if (pivot->node == NO_NODE || total < pivot->cost) {
      *pivot = (Source){total, index, *p, true};
    }
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
clear_sources(Search* const search)
{
  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    search->n_sources[k]   = 0;
    search->direct[k]      = QF_WEIGHT_NEVER;
    search->direct_node[k] = NO_NODE;
  }
  for (size_t i = 0; i < (size_t)QF_N_KEYS * QF_MAX_ENTRIES; ++i) {
    search->pivots[i].node = NO_NODE;
  }
}

/// Gather where spans that begin at a boundary can come from
static void
gather_sources(Search* const search, const size_t boundary)
{
  const float limit = best_cost_at(search, boundary) + QF_WEIGHT_BEAM;

  clear_sources(search);
  for (int32_t n = search->heads[boundary]; n != NO_NODE; n = search->nodes[n].next) {
    const Node* const node = &search->nodes[n];

    *slot_of(search, boundary, node->key, node->entry) = NO_NODE;
    if (node->cost <= limit) {
      add_source(search, node->key, (Source){node->cost, n, node->entry, false});
    }
  }
}

static void
gather_pivots(Search* const search, const size_t boundary)
{
  // A change costs at least this much, so a node must be so near the best to be worth one.
  const float limit = best_cost_at(search, boundary) + 0.75F * QF_WEIGHT_BEAM;

  for (int32_t n = search->heads[boundary]; n != NO_NODE; n = search->nodes[n].next) {
    const Node node = search->nodes[n];

    for (size_t k = 0; node.cost <= limit && k < QF_N_KEYS; ++k) {
      if (k != node.key) {
        offer_pivot(search, &node, n, k);
      }
    }
  }

  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    for (size_t e = 1; e < vocabulary_of(search->givens, k)->n_entries; ++e) {
      const Source pivot = search->pivots[k * QF_MAX_ENTRIES + e];

      if (pivot.node != NO_NODE && pivot.cost <= limit + QF_WEIGHT_BEAM) {
        add_source(search, k, pivot);
      }
    }
  }
}

static Arrival
arrive(const Search* const search, const size_t boundary, const size_t key, const size_t entry)
{
  const QfSearchGivens* const givens     = search->givens;
  const QfVocabulary* const   vocabulary = vocabulary_of(givens, key);
  const float                 onset = onset_cost(search->passage, givens, boundary, key, entry);
  Arrival                     best  = {QF_WEIGHT_NEVER, NO_NODE, search->stamp};
  const float fresh = search->direct[key] + qf_weight_first(&vocabulary->entries[entry]) + onset;

  if (boundary == 0) {
    best.cost = first_cost(givens, key, entry) + onset;
    return best;
  }
  if (search->direct_node[key] != NO_NODE) {
    best.cost = fresh;
    best.node = search->direct_node[key];
  }

  for (size_t i = 0; i < search->n_sources[key]; ++i) {
    const Source* const source  = &search->sources[key][i];
    const bool          goes_on = source->entry == entry && !source->is_pivot;
    const float         step    = goes_on ? 0.0F : onset + vocabulary->steps[source->entry][entry];

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

static QfStatus
reach(Search* const search, const QfSpan span, const float cost, const int32_t back)
{
  int32_t* const slot = slot_of(search, span.end, span.key, span.entry);

  if (*slot != NO_NODE) {
    Node* const node = &search->nodes[*slot];

    if (cost < node->cost) {
      node->cost  = cost;
      node->back  = back;
      node->first = (uint32_t)span.first;
    }
    return QF_OK;
  }

  if (search->n_nodes == search->capacity) {
    const size_t capacity = 2 * search->capacity;
    Node* const  nodes    = (Node*)realloc(search->nodes, capacity * sizeof(Node));

    if (!nodes) {
      return QF_ERR_NO_MEM;
    }
    search->nodes    = nodes;
    search->capacity = capacity;
  }

  *slot                            = (int32_t)search->n_nodes;
  search->nodes[search->n_nodes++] = (Node){cost,
                                            back,
                                            search->heads[span.end],
                                            (uint32_t)span.first,
                                            (uint16_t)span.key,
                                            (uint16_t)span.entry};
  search->heads[span.end]          = *slot;
  return QF_OK;
}

static QfStatus
reach_if_open(Search* const search, const QfSpan span, const float cost)
{
  const Arrival arrival = arrival_at(search, span.first, span.key, span.entry);

  if (arrival.cost >= QF_WEIGHT_NEVER || cost >= QF_WEIGHT_NEVER) {
    return QF_OK;
  }
  return reach(search, span, arrival.cost + cost, arrival.node);
}

/// True if a key can be reached at this boundary at all
static bool
is_key_live(const Search* const search, const size_t boundary, const size_t key)
{
  return is_key_open(search->givens, key) &&
         (boundary == 0 || search->n_sources[key] || search->direct_node[key] != NO_NODE);
}

static QfStatus
try_chord(Search* const search, const Trial* const trial, const size_t first, const size_t end)
{
  const QfFit fit = {trial->foreign, trial->present, trial->bass};
  QfStatus    st  = QF_OK;

  for (size_t k = 0; k < QF_N_KEYS && !st; ++k) {
    const QfVocabulary* const vocabulary = vocabulary_of(search->givens, k);

    if (!is_key_live(search, first, k)) {
      continue;
    }

    const uint16_t* e =
      qf_vocabulary_find(vocabulary, trial->root - tonic_of(k), (QfChordKind)trial->kind);

    for (; *e && !st; ++e) {
      const float place = place_cost(search->passage, search->givens, first, end, k);
      const float cost  = place + fit_cost(&vocabulary->entries[*e], fit, false);

      st = reach_if_open(search, (QfSpan){first, end, k, *e}, cost);
    }
  }
  return st;
}

static QfStatus
try_unknown(Search* const search, const size_t first, const size_t end)
{
  QfStatus st = QF_OK;

  for (size_t k = 0; k < QF_N_KEYS && !st; ++k) {
    if (is_key_live(search, first, k)) {
      const QfSpan span = {first, end, k, QF_ENTRY_UNKNOWN};

      st = reach_if_open(search, span, qf_span_cost(search->passage, search->givens, span));
    }
  }
  return st;
}

/// Begin a trial for each quality on each note that sounds soon
static void
start_trials(Search* const search, const size_t first, const size_t limit)
{
  uint64_t roots = 0;

  search->n_trials = 0;
  for (size_t c = first; c < limit; ++c) {
    roots |= search->passage->columns[c].mask;
  }

  for (int bit = 0; bit < 64; ++bit) {
    if (!(roots & (UINT64_C(1) << (unsigned)bit))) {
      continue;
    }
    for (int kind = 0; kind < QF_CHORD_N_KINDS && search->n_trials < MAX_CHORDS; ++kind) {
      if (search->givens->vocabularies[0].has_kind[kind] ||
          search->givens->vocabularies[1].has_kind[kind]) {
        trial_start(&search->trials[search->n_trials++], bit + QF_FIFTHS_OF_LOWEST,
                    (QfChordKind)kind, search->passage->columns[first].bass);
      }
    }
  }
}

/// Cost that a chord has in every key
static float
bare_cost(const Trial* const trial)
{
  return trial->foreign + qf_weight_missing((QfChordKind)trial->kind, trial->present);
}

static QfStatus
try_best_chords(Search* const search, const size_t first, const size_t end)
{
  float    costs[MAX_CHORDS];
  float    best = QF_WEIGHT_NEVER;
  QfStatus st   = QF_OK;

  for (size_t i = 0; i < search->n_trials; ++i) {
    costs[i] = bare_cost(&search->trials[i]);
    best     = costs[i] < best ? costs[i] : best;
  }

  const float limit = best + QF_WEIGHT_SPAN_BEAM;

  // The few best, each in turn, so that a crowd of poor ones costs no time.
  for (size_t n = 0; n < MAX_TRIED && !st; ++n) {
    size_t least = SIZE_MAX;

    for (size_t i = 0; i < search->n_trials; ++i) {
      if (costs[i] <= limit && costs[i] < QF_WEIGHT_NEVER &&
          (least == SIZE_MAX || costs[i] < costs[least])) {
        least = i;
      }
    }
    if (least == SIZE_MAX) {
      break;
    }

    costs[least] = QF_WEIGHT_NEVER;
    st           = try_chord(search, &search->trials[least], first, end);
  }
  return st;
}

/// Drop chords that can no longer be the best of any longer span
static void
drop_poor_trials(Search* const search)
{
  float  best = QF_WEIGHT_NEVER;
  size_t n    = 0;

  for (size_t i = 0; i < search->n_trials; ++i) {
    best = search->trials[i].foreign < best ? search->trials[i].foreign : best;
  }
  for (size_t i = 0; i < search->n_trials; ++i) {
    if (search->trials[i].foreign <= best + 1.5F * QF_WEIGHT_SPAN_BEAM) {
      search->trials[n++] = search->trials[i];
    }
  }
  search->n_trials = n;
}

/// Column after the last that a span from `first` may hold
static size_t
span_limit(const Search* const search, const size_t first)
{
  const QfPassage* const passage = search->passage;
  float                  beats   = passage->columns[first].beats;
  size_t                 end     = first + 1;

  while (end < passage->n_columns && end - first < MAX_LENGTH && beats < MAX_BEATS &&
         search->givens->pinned_keys[end] == QF_N_KEYS && !passage->columns[end].is_after_rest) {
    beats += passage->columns[end++].beats;
  }
  return end;
}

static QfStatus
begin_pinned(Search* const search, const size_t first, const size_t limit)
{
  QfSpan   span = {first, first, search->givens->pinned_keys[first],
                   search->givens->pinned_entries[first]};
  QfStatus st   = QF_OK;

  for (span.end = first + 1; span.end <= limit && !st; ++span.end) {
    st = reach_if_open(search, span, qf_span_cost(search->passage, search->givens, span));
  }
  return st;
}

static QfStatus
begin_spans(Search* const search, const size_t first)
{
  const size_t limit = span_limit(search, first);
  QfStatus     st    = QF_OK;

  if (search->givens->pinned_keys[first] != QF_N_KEYS) {
    return begin_pinned(search, first, limit);
  }

  start_trials(search, first, limit);
  for (size_t end = first + 1; end <= limit && !st; ++end) {
    for (size_t i = 0; i < search->n_trials; ++i) {
      trial_extend(&search->trials[i], &search->passage->columns[end - 1], end == first + 1);
    }

    drop_poor_trials(search);
    st = try_best_chords(search, first, end);
    st = st ? st : try_unknown(search, first, end);
  }
  return st;
}

static bool
has_pins(const Search* const search)
{
  for (size_t c = 0; c < search->passage->n_columns; ++c) {
    if (search->givens->pinned_keys[c] != QF_N_KEYS) {
      return true;
    }
  }
  return false;
}

static QfStatus
run(Search* const search)
{
  const bool is_change_open = search->givens->may_modulate || has_pins(search);
  QfStatus   st             = QF_OK;

  for (size_t c = 0; c < search->passage->n_columns && !st; ++c) {
    search->stamp = (uint32_t)c + 1;
    if (c) {
      gather_sources(search, c);
    }
    if (c && is_change_open) {
      gather_pivots(search, c);
    }
    if (c == 0 || search->heads[c] != NO_NODE) {
      st = begin_spans(search, c);
    }
  }
  return st;
}

static int32_t
best_last_node(const Search* const search)
{
  float   best = QF_WEIGHT_NEVER;
  int32_t last = NO_NODE;

  for (int32_t n = search->heads[search->passage->n_columns]; n != NO_NODE;
       n         = search->nodes[n].next) {
    const Node* const    node  = &search->nodes[n];
    const QfEntry* const entry = &vocabulary_of(search->givens, node->key)->entries[node->entry];
    const float          away =
      search->givens->home == QF_N_KEYS || search->givens->home == node->key ? 0.0F : 1.0F;
    const float cost = node->cost + qf_weight_last(entry) + away;

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

static void
search_clear(Search* const search)
{
  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    free(search->sources[k]);
  }
  free(search->pivots);
  free(search->arrivals);
  free(search->slots);
  free(search->heads);
  free(search->nodes);
}

static QfStatus
search_init(Search* const search)
{
  const size_t n_boundaries = search->passage->n_columns + 1;
  const size_t n_states     = (size_t)QF_N_KEYS * QF_MAX_ENTRIES;
  const size_t n_slots      = n_states * (MAX_LENGTH + 1);
  bool         has_sources  = true;

  search->capacity = 1024;
  search->nodes    = (Node*)malloc(search->capacity * sizeof(Node));
  search->heads    = (int32_t*)malloc(n_boundaries * sizeof(int32_t));
  search->slots    = (int32_t*)malloc(n_slots * sizeof(int32_t));
  search->arrivals = (Arrival*)calloc(n_states, sizeof(Arrival));
  search->pivots   = (Source*)calloc(n_states, sizeof(Source));

  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    search->sources[k] = (Source*)malloc(2U * QF_MAX_ENTRIES * sizeof(Source));
    has_sources        = has_sources && search->sources[k];
    for (size_t to = 0; to < QF_N_KEYS; ++to) {
      search->changes[k][to] = change_cost(search->givens, k, to);
    }
  }
  if (!search->nodes || !search->heads || !search->slots || !search->arrivals || !search->pivots ||
      !has_sources) {
    return QF_ERR_NO_MEM;
  }

  memset(search->heads, -1, n_boundaries * sizeof(int32_t));
  memset(search->slots, -1, n_slots * sizeof(int32_t));
  clear_sources(search);
  return QF_OK;
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

  search_clear(search);
  free(search);
  return st;
}

void
qf_path_clear(QfPath* const path)
{
  free(path->spans);
  memset(path, 0, sizeof(*path));
}
