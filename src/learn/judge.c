// SPDX-License-Identifier: MIT
#include "judge.h"

#include <math.h>
#include <stdlib.h>

/// Quarter of the human's time line at which a time lies
static double
quarter_of(const Piece* const piece, const QfTime time)
{
  const QfBar* const bar    = qf_score_get_bar(piece->score, qf_score_bar_at(piece->score, time));
  const QfTime       within = qf_time_add(bar->offset, qf_time_sub(time, bar->start));

  for (int i = 0; i < piece->n_measures; ++i) {
    if (piece->numbers[i] == bar->number) {
      return piece->starts[i] + 4.0 * qf_time_to_double(within);
    }
  }
  return -1e9;
}

static int
gold_at(const Piece* const piece, const double quarter)
{
  for (int i = 0; i < piece->n_golds; ++i) {
    if (piece->golds[i].start <= quarter + 1e-6 && quarter + 1e-6 < piece->golds[i].end) {
      return i;
    }
  }
  return -1;
}

bool
judge_init(Judge* const           judge,
           const Task* const      task,
           const Piece* const     piece,
           const QfPassage* const passage)
{
  judge->task     = task;
  judge->piece    = piece;
  judge->passage  = passage;
  judge->golds    = (int*)calloc(passage->n_columns + 1, sizeof(int));
  judge->quarters = (float*)calloc(passage->n_columns + 1, sizeof(float));
  if (!judge->golds || !judge->quarters) {
    return false;
  }
  for (size_t c = 0; c < passage->n_columns; ++c) {
    const QfSlice* const slice = &passage->slices.slices[passage->columns[c].slice];

    judge->golds[c]    = gold_at(piece, quarter_of(piece, slice->start));
    judge->quarters[c] = (float)(4.0 * qf_time_to_double(qf_time_sub(slice->end, slice->start)));
  }
  return true;
}

void
judge_clear(Judge* const judge)
{
  free(judge->golds);
  free(judge->quarters);
}

static Verdict
compare(const Reading* const  reading,
        const float           length,
        const size_t          key,
        const Identity* const word)
{
  const int  tonic  = ((7 * qf_tonic_of(key)) % 12 + 12) % 12;
  const bool is_key = reading->key == tonic && reading->mode == (int)(key % 2);
  const bool is_chord =
    word && reading->chord.quality == word->quality && reading->chord.inversion == word->inversion;
  const bool is_root = word && reading->chord.root == (word->root + tonic) % 12;
  const int  applied = !word || word->applied < 0 ? -1 : (word->applied + tonic) % 12;

  return (Verdict){
    .right    = is_key && is_chord && reading->chord.degree == word->degree,
    .resolved = is_root && is_chord && reading->chord.step == word->step &&
                reading->chord.points_at == (word->points_at + tonic) % 12,
    .root = is_root,
    .key  = is_key,
    .missed =
      reading->chord.applied >= 0 && reading->chord.applied != applied ? 1.0F / length : 0.0F,
    .false_alarm = applied >= 0 && reading->chord.applied != applied,
  };
}

float
verdict_loss(const Verdict v)
{
  static const float missed      = 3.0F;
  static const float false_alarm = 1.0F;

  return 1.0F * (1.0F - v.right) + 0.4F * (1.0F - v.resolved) + 0.3F * (1.0F - v.root) +
         0.3F * (1.0F - v.key) + missed * v.missed + false_alarm * v.false_alarm;
}

static Verdict
judge_column(const Judge* const    judge,
             const size_t          column,
             const size_t          key,
             const Identity* const word)
{
  const Gold* const gold   = &judge->piece->golds[judge->golds[column]];
  const float       length = (float)fmax(0.5, gold->end - gold->start);
  Verdict           best   = compare(&gold->readings[0], length, key, word);

  for (int i = 1; i < gold->n_readings; ++i) {
    const Verdict other = compare(&gold->readings[i], length, key, word);

    best = verdict_loss(other) < verdict_loss(best) ? other : best;
  }
  return best;
}

/// Member in the bass when a span begins: the first bass that belongs to the chord
static int
first_member(const Judge* const judge, const QfSpan span, const int root, const QfChordKind kind)
{
  for (size_t c = span.first; c < span.end; ++c) {
    const int up = judge->passage->columns[c].bass - root + 32;

    if (up >= 0 && up < 64 && judge->task->members[kind][up] >= 0) {
      return judge->task->members[kind][up];
    }
  }
  return 0;
}

void
judge_span(const Judge* const        judge,
           const QfVocabulary* const vocabulary,
           const QfSpan              span,
           const Visit               visit,
           void* const               data)
{
  const QfEntry* const entry    = &vocabulary->entries[span.entry];
  const bool           is_known = span.entry != QF_ENTRY_UNKNOWN;
  const int            root     = qf_tonic_of(span.key) + entry->root;
  int                  member   = is_known ? first_member(judge, span, root, entry->kind) : 0;

  for (size_t c = span.first; c < span.end; ++c) {
    const int up = judge->passage->columns[c].bass - root + 32;

    if (is_known && up >= 0 && up < 64 && judge->task->members[entry->kind][up] >= 0) {
      member = judge->task->members[entry->kind][up];
    }

    const Identity* const word =
      is_known ? &judge->task->words[span.key % 2][span.entry][member] : NULL;

    if (judge->golds[c] >= 0) {
      visit(data, judge_column(judge, c, span.key, word), judge->quarters[c]);
    }
  }
}
