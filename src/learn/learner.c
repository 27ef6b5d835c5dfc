// SPDX-License-Identifier: MIT
#include "learner.h"

#include "judge.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef enum { SET_CHORALES, SET_TEXTBOOKS, SET_CHAINS, N_SETS } Set;

typedef struct {
  Judge               judge;
  const QfVocabulary* vocabularies;
} Bias;

typedef struct {
  double quarters;
  double right;
  double resolved;
  double root;
  double key;
  double loss;
} Totals;

/// One piece before the learner
typedef struct {
  QfPassage      passage;
  QfVocabulary*  vocabularies;
  size_t*        pins;
  QfSearchGivens givens;
  Bias           bias;
} Desk;

static void
add_loss(void* const data, const Verdict verdict, const float quarters)
{
  float* const sum = (float*)data;

  *sum += quarters * verdict_loss(verdict);
}

static float
bias_cost(const void* const data, const QfSpan span)
{
  const Bias* const bias = (const Bias*)data;
  float             loss = 0.0F;

  judge_span(&bias->judge, &bias->vocabularies[span.key % 2], span, add_loss, &loss);
  return bias->judge.scale * loss;
}

static void
add_verdict(void* const data, const Verdict v, const float quarters)
{
  Totals* const totals = (Totals*)data;

  totals->quarters += (double)quarters;
  totals->right += (double)(quarters * v.right);
  totals->resolved += (double)(quarters * v.resolved);
  totals->root += (double)(quarters * v.root);
  totals->key += (double)(quarters * v.key);
  totals->loss += (double)(quarters * verdict_loss(v));
}

static void
desk_clear(Desk* const desk)
{
  judge_clear(&desk->bias.judge);
  qf_passage_clear(&desk->passage);
  free(desk->pins);
  free(desk->vocabularies);
}

static bool
desk_init(Desk* const        desk,
          const Task* const  task,
          const Piece* const piece,
          const float* const weights)
{
  const QfKey sign = qf_score_signature_at(piece->score, QF_TIME_ZERO);

  memset(desk, 0, sizeof(*desk));
  desk->vocabularies = (QfVocabulary*)calloc(2, sizeof(QfVocabulary));
  if (!desk->vocabularies || qf_passage_init(&desk->passage, piece->score, weights, false)) {
    free(desk->vocabularies);
    return false;
  }
  for (int mode = 0; mode < 2; ++mode) {
    qf_vocabulary_init(&desk->vocabularies[mode], (QfMode)mode);
    qf_vocabulary_weigh(&desk->vocabularies[mode], weights, desk->passage.texture);
  }

  const size_t n = desk->passage.n_columns + 1;

  desk->pins = (size_t*)calloc(n, sizeof(size_t));
  if (!desk->pins || !judge_init(&desk->bias.judge, task, piece, &desk->passage)) {
    desk_clear(desk);
    return false;
  }
  for (size_t c = 0; c < n; ++c) {
    desk->pins[c] = QF_N_KEYS;
  }
  desk->givens = (QfSearchGivens){.vocabularies   = desk->vocabularies,
                                  .home           = QF_N_KEYS,
                                  .signature      = qf_key_index(sign),
                                  .may_modulate   = true,
                                  .pinned_keys    = desk->pins,
                                  .pinned_entries = desk->pins};
  qf_passage_set_home(&desk->passage, QF_N_KEYS);
  qf_passage_weigh_keys(&desk->passage, NULL, (QfSameColumns){0, 0});
  desk->bias.vocabularies = desk->vocabularies;
  return true;
}

/// Search with the loss added so many times, and count the features of what is found
static double
decode(Desk* const desk, const float scale, float* const counts, Totals* const totals)
{
  const QfBias bias  = {bias_cost, &desk->bias};
  QfPath       path  = {0};
  QfTally      tally = {desk->passage.weights, counts, 0.0F};
  Totals       own   = {0};

  desk->bias.judge.scale = scale;
  desk->givens.bias      = scale == 0.0F ? NULL : &bias;
  if (qf_search(&desk->passage, &desk->givens, &path)) {
    return 0.0;
  }
  qf_tally_path(&tally, &desk->passage, &desk->givens, path.spans, path.n_spans);
  for (size_t i = 0; i < path.n_spans; ++i) {
    judge_span(&desk->bias.judge, &desk->vocabularies[path.spans[i].key % 2], path.spans[i],
               add_verdict, &own);
  }
  qf_path_clear(&path);
  totals->quarters += own.quarters;
  totals->right += own.right;
  totals->resolved += own.resolved;
  totals->root += own.root;
  totals->key += own.key;
  totals->loss += own.loss;
  return (double)tally.cost;
}

static void
update(Learner* const       learner,
       const Options* const options,
       const float* const   hope,
       const float* const   fear,
       const float          weight)
{
  learner->n_steps += 1.0;
  for (size_t i = 0; i < QF_N_FEATURES; ++i) {
    const float gradient =
      weight * (hope[i] - fear[i]) + options->decay * weight * learner->weights[i];

    if (gradient == 0.0F) {
      continue;
    }
    learner->squares[i] += gradient * gradient;

    const float step = options->rate * gradient / sqrtf(1.0F + learner->squares[i]);

    learner->weights[i] -= step;
    learner->lagged[i] -= (double)step * learner->n_steps;
  }
}

float
learner_average(const Learner* const learner, const size_t i)
{
  return learner->weights[i] - (float)(learner->lagged[i] / (learner->n_steps + 1.0));
}

/// The set that a piece is of
static Set
set_of(const Piece* const piece)
{
  return !strcmp(piece->kind, "chains")     ? SET_CHAINS
         : strstr(piece->kind, "textbooks") ? SET_TEXTBOOKS
                                            : SET_CHORALES;
}

/// How much a piece counts
static float
weight_of(const Piece* const piece, const Options* const options)
{
  switch (set_of(piece)) {
    case SET_TEXTBOOKS:
      return options->textbooks;
    case SET_CHAINS:
      return options->chains;
    default:
      return 1.0F;
  }
}

static void
learn_piece(Learner* const       learner,
            const Options* const options,
            const Task* const    task,
            const Piece* const   piece,
            Totals* const        totals,
            Totals* const        hopes)
{
  float* const hope = (float*)calloc(2 * (size_t)QF_N_FEATURES, sizeof(float));
  float* const fear = hope ? hope + QF_N_FEATURES : NULL;
  Desk         desk;
  const float  weight = weight_of(piece, options);

  if (hope && desk_init(&desk, task, piece, learner->weights)) {
    decode(&desk, options->hope, hope, hopes);
    decode(&desk, -options->margin, fear, totals);
    update(learner, options, hope, fear, weight);
    desk_clear(&desk);
  }
  free(hope);
}

void
weights_lean(float* const weights, const float cost)
{
  const size_t n = (QF_F_CHANGE_END + 1 - QF_F_CHANGE) / QF_N_TEXTURES;

  for (size_t i = 0; i < n; ++i) {
    weights[QF_F_CHANGE + i] += cost;
  }
}

static void
print_totals(const char* const name, const Totals* const t)
{
  printf("%-22s quarters %7.1f key %.3f root %.3f rom+k %.3f resolv %.3f loss %.3f\n", name,
         t->quarters, t->key / t->quarters, t->root / t->quarters, t->right / t->quarters,
         t->resolved / t->quarters, t->loss / t->quarters);
  fflush(stdout);
}

void
weights_evaluate(const Task* const task, const Options* const options, const float* const weights)
{
  Totals totals[N_SETS] = {{0}};

  for (int i = 0; i < task->n_pieces; ++i) {
    Desk               desk;
    const Piece* const piece = &task->pieces[i];

    if ((options->fold < 0 || piece->fold == options->fold) &&
        desk_init(&desk, task, piece, weights)) {
      decode(&desk, 0.0F, NULL, &totals[set_of(piece)]);
      desk_clear(&desk);
    }
  }
  print_totals("  held out, chorales", &totals[SET_CHORALES]);
  print_totals("  held out, textbooks", &totals[SET_TEXTBOOKS]);
  print_totals("  held out, chains", &totals[SET_CHAINS]);
}

static void
shuffle(int* const order, const int n, uint32_t* const seed)
{
  for (int i = n - 1; i > 0; --i) {
    *seed = *seed * 1664525U + 1013904223U;

    const int j    = (int)((*seed >> 8U) % (uint32_t)(i + 1));
    const int kept = order[i];

    order[i] = order[j];
    order[j] = kept;
  }
}

void
learner_learn(Learner* const learner, const Options* const options, const Task* const task)
{
  int      order[MAX_PIECES];
  uint32_t seed = 20261125;

  for (int i = 0; i < task->n_pieces; ++i) {
    order[i] = i;
  }
  for (int e = 0; e < options->epochs; ++e) {
    Totals fears = {0};
    Totals hopes = {0};

    shuffle(order, task->n_pieces, &seed);
    for (int i = 0; i < task->n_pieces; ++i) {
      const Piece* const piece = &task->pieces[order[i]];

      if (piece->fold != options->fold) {
        learn_piece(learner, options, task, piece, &fears, &hopes);
      }
    }
    printf("epoch %d\n", e + 1);
    print_totals("  hoped for", &hopes);
    print_totals("  feared", &fears);
    if (options->fold >= 0) {
      float* const mean = (float*)calloc(QF_N_FEATURES, sizeof(float));

      for (size_t i = 0; mean && i < QF_N_FEATURES; ++i) {
        mean[i] = learner_average(learner, i);
      }
      if (mean) {
        weights_evaluate(task, options, mean);
      }
      free(mean);
    }
  }
}
