// SPDX-License-Identifier: MIT
#include "gates.h"
#include "key_costs.h"
#include "weights.h"

static void
add_source(QfGate* const gate, const QfSource source)
{
  if (gate->n_sources < QF_MAX_SOURCES) {
    gate->sources[gate->n_sources++] = source;
    gate->least                      = source.cost < gate->least ? source.cost : gate->least;
  }
}

static void
close_gates(QfGates* const self)
{
  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    self->gates[k].n_sources   = 0;
    self->gates[k].least       = (double)QF_WEIGHT_NEVER;
    self->gates[k].direct      = (double)QF_WEIGHT_NEVER;
    self->gates[k].direct_node = QF_NO_NODE;
  }
  for (size_t i = 0; i < self->n_pivots; ++i) {
    self->pivots[self->pivot_states[i]].is_pivot = false;
  }
  self->n_pivots = 0;
}

static double
cost_of(const QfGates* const self, const QfNode* const node)
{
  return self->layer->least + node->cost;
}

static void
open_plainly(QfGates* const self)
{
  for (size_t n = 0; n < self->layer->n_nodes; ++n) {
    const QfNode* const node = &self->layer->nodes[n];

    add_source(&self->gates[node->key],
               (QfSource){cost_of(self, node), (int32_t)n, node->entry, false});
  }
}

// Into another key

static void
weigh_changes(QfGates* const self)
{
  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    QfTally leave = {self->passage->weights, NULL, 0.0F};
    QfTally enter = {self->passage->weights, NULL, 0.0F};

    qf_tally_leave_key(&leave, self->passage, self->boundary, k);
    qf_tally_enter_key(&enter, self->passage, self->boundary, k);
    self->leave[k] = leave.cost;
    self->enter[k] = enter.cost;
    for (size_t to = 0; self->gates[k].n_sources && to < QF_N_KEYS; ++to) {
      QfTally over = {self->passage->weights, NULL, self->changes[k][to]};

      qf_tally_change_at(&over, self->passage, self->boundary, k, to);
      self->over[k][to] = over.cost;
    }
  }
}

static void
offer_as(QfGates* const self, const size_t key, const size_t entry, const QfSource offer)
{
  const size_t    state = key * QF_MAX_ENTRIES + entry;
  QfSource* const pivot = &self->pivots[state];

  if (!pivot->is_pivot) {
    self->pivot_states[self->n_pivots++] = (uint16_t)state;
  }
  if (!pivot->is_pivot || offer.cost < pivot->cost) {
    *pivot = offer;
  }
}

/// Cost of leaving a node's key: for the key before it if `is_back`, or for any other
static float
stay_cost(const QfGates* const self, const QfNode* const node, const bool is_back)
{
  const QfStay stay  = {node->stay, node->has_ended, node->key, node->before};
  QfTally      tally = {self->passage->weights, NULL, 0.0F};

  qf_tally_stay(&tally, self->passage, stay, is_back ? node->before : node->key);
  return tally.cost;
}

/// Offer a node as the way into another key: as a pivot chord, or directly
static void
offer_pivot(QfGates* const      self,
            const QfNode* const node,
            const float         stay,
            const int32_t       index,
            const size_t        key)
{
  const QfSearchGivens* const givens     = self->givens;
  const QfVocabulary* const   vocabulary = qf_vocabulary_of(givens, key);
  const QfEntry* const        entry = &qf_vocabulary_of(givens, node->key)->entries[node->entry];
  const float   way = stay + self->over[node->key][key] + self->leave[node->key] + self->enter[key];
  const double  cost   = cost_of(self, node) + qf_weight_grain(way);
  QfTally       direct = {self->passage->weights, NULL, 0.0F};
  QfGate* const gate   = &self->gates[key];

  qf_tally_direct(&direct, self->passage, givens, node->key, node->entry, key);

  const double direct_cost = cost + qf_weight_grain(direct.cost);

  if (direct_cost < gate->direct) {
    gate->direct      = direct_cost;
    gate->direct_node = index;
  }
  if (node->entry == QF_ENTRY_UNKNOWN) {
    return;
  }

  const int       root = qf_tonic_of(node->key) + entry->root - qf_tonic_of(key);
  const uint16_t* p    = qf_vocabulary_find(vocabulary, root, entry->kind);

  for (; *p; ++p) {
    QfTally pivot = {self->passage->weights, NULL, 0.0F};

    qf_tally_pivot(&pivot, givens, node->key, node->entry, key, *p);
    offer_as(self, key, *p, (QfSource){cost + qf_weight_grain(pivot.cost), index, *p, true});
  }
}

/// True for the key that is pinned here: it must be reached, however far it is
static bool
is_pinned(const QfGates* const self, const size_t key)
{
  return self->givens->pinned_keys[self->boundary] == key;
}

static void
offer_pivots(QfGates* const self)
{
  for (size_t n = 0; n < self->layer->n_nodes; ++n) {
    const QfNode* const node = &self->layer->nodes[n];
    const float         back = stay_cost(self, node, true);
    const float         away = stay_cost(self, node, false);

    for (size_t k = 0; k < QF_N_KEYS; ++k) {
      const double change = qf_weight_grain(self->changes[node->key][k]);

      if (k != node->key && (node->cost + change <= (double)QF_WEIGHT_BEAM || is_pinned(self, k))) {
        offer_pivot(self, node, k == node->before ? back : away, (int32_t)n, k);
      }
    }
  }
}

static void
open_pivots(QfGates* const self)
{
  const double limit = self->layer->least + (double)QF_WEIGHT_BEAM;

  offer_pivots(self);
  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    QfGate* const gate = &self->gates[k];

    if (gate->direct > limit && !is_pinned(self, k)) {
      gate->direct_node = QF_NO_NODE;
    }
    gate->least = gate->direct < gate->least ? gate->direct : gate->least;
  }
  for (size_t i = 0; i < self->n_pivots; ++i) {
    const size_t state = self->pivot_states[i];

    if (self->pivots[state].cost <= limit) {
      add_source(&self->gates[state / QF_MAX_ENTRIES], self->pivots[state]);
    }
  }
}

void
qf_gates_init(QfGates* const              self,
              const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const bool                  is_change_open)
{
  self->passage        = passage;
  self->givens         = givens;
  self->is_change_open = is_change_open;
  for (size_t from = 0; is_change_open && from < QF_N_KEYS; ++from) {
    for (size_t to = 0; to < QF_N_KEYS; ++to) {
      QfTally change = {passage->weights, NULL, 0.0F};

      qf_tally_change(&change, passage, givens, from, to);
      self->changes[from][to] = change.cost;
    }
  }
}

void
qf_gates_open(QfGates* const self, const size_t boundary, const QfLayer* const layer)
{
  self->boundary = boundary;
  self->layer    = layer;
  close_gates(self);
  open_plainly(self);
  if (self->is_change_open) {
    weigh_changes(self);
    open_pivots(self);
  }
}

// Arriving in a numeral

static bool
is_key_open(const QfSearchGivens* const givens, const size_t key)
{
  return givens->may_modulate || givens->home == QF_N_KEYS || givens->home == key;
}

bool
qf_gates_has_key(const QfGates* const self, const size_t key)
{
  const QfGate* const gate = &self->gates[key];

  return is_key_open(self->givens, key) &&
         (self->boundary == 0 || gate->n_sources || gate->direct_node != QF_NO_NODE);
}

static QfArrival
arrive(const QfGates* const self, const size_t key, const size_t entry)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(self->givens, key);
  const QfGate* const       gate       = &self->gates[key];
  const float onset   = qf_onset_cost(self->passage, self->givens, self->boundary, key, entry);
  QfArrival   best    = {(double)QF_WEIGHT_NEVER, QF_NO_NODE, (uint32_t)self->boundary + 1};
  QfTally     new_key = {self->passage->weights, NULL, onset};

  if (self->boundary == 0) {
    best.cost = qf_weight_grain(qf_first_cost(self->passage, self->givens, key, entry) + onset);
    return best;
  }

  qf_tally_change_to(&new_key, self->passage, self->givens, key, entry);
  if (gate->direct_node != QF_NO_NODE) {
    best.cost =
      gate->direct + qf_weight_grain(qf_weight_first(&vocabulary->entries[entry]) + new_key.cost);
    best.node = gate->direct_node;
  }

  const double onset_cost = qf_weight_grain(onset);
  const double pivot_cost = qf_weight_grain(new_key.cost);

  for (size_t i = 0; i < gate->n_sources; ++i) {
    const QfSource* const source  = &gate->sources[i];
    const bool            goes_on = source->entry == entry && !source->is_pivot;
    const double          begin   = source->is_pivot ? pivot_cost : onset_cost;
    const double step = goes_on ? 0.0 : begin + (double)vocabulary->steps[source->entry][entry];

    if (source->cost + step < best.cost) {
      best.cost = source->cost + step;
      best.node = source->node;
    }
  }
  return best;
}

const QfArrival*
qf_gates_arrive(QfGates* const self, const size_t key, const size_t entry)
{
  QfArrival* const arrival = &self->arrivals[key * QF_MAX_ENTRIES + entry];

  if (arrival->stamp != self->boundary + 1) {
    *arrival = arrive(self, key, entry);
  }
  return arrival;
}
