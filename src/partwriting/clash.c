// SPDX-License-Identifier: MIT
#include "clash.h"

#include <stdlib.h>

typedef struct {
  Task   task;
  Policy policy;
  bool*  is_dropped;
  size_t n_trials;
} Search;

/// Can the chain be written with the givens that are not dropped?
static QfStatus
try_to_write(Search* const search)
{
  Stages  stages  = {.policy = search->policy};
  Failure failure = {0};
  ++search->n_trials;
  QfStatus st = stages_prepare(&stages, &search->task, NULL);
  st          = st ? st : stages_list(&stages, search->policy);
  st          = st ? st : stages_look_ahead(&stages, &failure);
  stages_clear(&stages);
  return st;
}

/// Drop what can go; the rest clashes, and without any one of it no longer
static QfStatus
thin_out(Search* const search)
{
  for (size_t i = 0; i < search->task.n_kept; ++i) {
    search->is_dropped[i] = true;
    const QfStatus st     = try_to_write(search);
    if (st && st != QF_ERR_IMPOSSIBLE) {
      return st;
    }
    search->is_dropped[i] = st == QF_ERR_IMPOSSIBLE;
  }
  return QF_OK;
}

static QfClash
list_clash(const Search* const search)
{
  QfClash clash = {0};
  for (size_t i = 0; i < search->task.n_kept && clash.n_kept < QF_CLASH_MAX_NOTES; ++i) {
    if (!search->is_dropped[i]) {
      clash.kept[clash.n_kept++] = i;
    }
  }
  return clash;
}

/// The next set of `n` out of `of`, in order; false after the last
static bool
next_set(size_t* const set, const size_t n, const size_t of)
{
  for (size_t i = n; i > 0; --i) {
    if (set[i - 1U] + (n - i) + 1U < of) {
      ++set[i - 1U];
      for (size_t k = i; k < n; ++k) {
        set[k] = set[k - 1U] + 1U;
      }
      return true;
    }
  }
  return false;
}

/// Look for a clash of exactly `n` givens
static QfStatus
try_sets(Search* const search, const size_t n, bool* const is_found)
{
  size_t set[QF_CLASH_MAX_NOTES];
  for (size_t i = 0; i < n; ++i) {
    set[i] = i;
  }
  do {
    for (size_t i = 0; i < search->task.n_kept; ++i) {
      search->is_dropped[i] = true;
    }
    for (size_t i = 0; i < n; ++i) {
      search->is_dropped[set[i]] = false;
    }
    const QfStatus st = try_to_write(search);
    *is_found         = st == QF_ERR_IMPOSSIBLE;
    if (st && !*is_found) {
      return st;
    }
  } while (!*is_found && search->n_trials < CLASH_MAX_TRIALS &&
           next_set(set, n, search->task.n_kept));
  return QF_OK;
}

QfStatus
clash_find(const Task* const task, const Policy policy, QfClash* const result)
{
  Search search     = {.task = *task, .policy = policy};
  search.is_dropped = (bool*)calloc(task->n_kept + 1U, sizeof(bool));
  if (!search.is_dropped) {
    return QF_ERR_NO_MEM;
  }
  search.task.is_dropped = search.is_dropped;

  QfStatus st    = thin_out(&search);
  QfClash  clash = list_clash(&search);
  for (size_t n = 1; !st && n < clash.n_kept && search.n_trials < CLASH_MAX_TRIALS; ++n) {
    bool is_found = false;
    st            = try_sets(&search, n, &is_found);
    if (!st && is_found) {
      clash = list_clash(&search);
    }
  }
  free(search.is_dropped);
  if (!st) {
    *result = clash;
  }
  return st;
}
