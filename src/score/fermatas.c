// SPDX-License-Identifier: MIT
#include "score_impl.h"

#include <assert.h>
#include <string.h>

/// Index of the first fermata at or after `time`
static size_t
fermata_from(const QfScore* const score, const QfTime time)
{
  size_t low  = 0;
  size_t high = score->n_fermatas;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(score->fermatas[middle], time) < 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

static bool
is_at(const QfScore* const score, const size_t index, const QfTime time)
{
  return index < score->n_fermatas && !qf_time_compare(score->fermatas[index], time);
}

static bool
some_note_starts_at(const QfScore* const score, const QfTime time)
{
  for (size_t i = 0; i < score->n_voices; ++i) {
    const QfNote* const note = qf_score_note_at(score, i, time);
    if (note && !qf_time_compare(note->start, time)) {
      return true;
    }
  }
  return false;
}

static void
remove_fermata(QfScore* const score, const size_t index)
{
  QfTime* const place = &score->fermatas[index];
  memmove(place, place + 1, (score->n_fermatas - index - 1U) * sizeof(QfTime));
  --score->n_fermatas;
}

static QfStatus
insert_fermata(QfScore* const score, const size_t index, const QfTime time)
{
  QfTime* const grown = (QfTime*)qf_array_grow(score->fermatas, &score->fermatas_capacity,
                                               score->n_fermatas + 1U, sizeof(QfTime));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  score->fermatas = grown;
  memmove(&grown[index + 1U], &grown[index], (score->n_fermatas - index) * sizeof(QfTime));
  grown[index] = time;
  ++score->n_fermatas;
  return QF_OK;
}

QfStatus
qf_score_set_fermata(QfScore* const score, const QfTime time, const bool is_set)
{
  const size_t index = fermata_from(score, time);
  if (is_at(score, index, time)) {
    if (!is_set) {
      remove_fermata(score, index);
    }
    return QF_OK;
  }
  if (!is_set) {
    return QF_OK;
  }
  return some_note_starts_at(score, time) ? insert_fermata(score, index, time) : QF_ERR_RANGE;
}

bool
qf_score_has_fermata(const QfScore* const score, const QfTime time)
{
  return is_at(score, fermata_from(score, time), time);
}

size_t
qf_score_n_fermatas(const QfScore* const score)
{
  return score->n_fermatas;
}

QfTime
qf_score_get_fermata(const QfScore* const score, const size_t index)
{
  assert(index < score->n_fermatas);
  return score->fermatas[index];
}

void
qf_score_prune_fermatas(QfScore* const score, const QfTime start, const QfTime end)
{
  size_t i = fermata_from(score, start);
  while (i < score->n_fermatas && qf_time_compare(score->fermatas[i], end) < 0) {
    if (some_note_starts_at(score, score->fermatas[i])) {
      ++i;
    } else {
      remove_fermata(score, i);
    }
  }
}
