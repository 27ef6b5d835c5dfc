// SPDX-License-Identifier: MIT
#include "clash.h"

#include <stdlib.h>

enum {
  MAX_WINDOWS = 8, ///< Places where it is impossible that are looked into
};

/// Some neighbouring links of a task, with the givens in them
typedef struct {
  Task    task;
  Policy  policy;
  QfKept* kept;    ///< Of `task`; owned
  size_t* indices; ///< Of these in the whole task; owned
  bool*   is_dropped;
  size_t  n_trials;
} Search;

static void
close_window(Search* const search)
{
  free(search->kept);
  free(search->indices);
  free(search->is_dropped);
}

/// Look at links [first, end) alone
static QfStatus
open_window(const Task* const whole,
            const Policy      policy,
            const size_t      first,
            const size_t      end,
            Search* const     result)
{
  Search search       = {.task = *whole, .policy = policy};
  search.kept         = (QfKept*)calloc(whole->n_kept + 1U, sizeof(QfKept));
  search.indices      = (size_t*)calloc(whole->n_kept + 1U, sizeof(size_t));
  search.is_dropped   = (bool*)calloc(whole->n_kept + 1U, sizeof(bool));
  search.task.n_kept  = 0;
  search.task.links   = whole->links + first;
  search.task.n_links = end - first;
  search.task.before  = first == 0 ? whole->before : NULL;
  search.task.after   = end == whole->n_links ? whole->after : NULL;
  if (whole->on_downbeat) {
    search.task.on_downbeat = whole->on_downbeat + first;
  }
  search.task.n_doublings = 0; // Wishes forbid nothing
  if (!search.kept || !search.indices || !search.is_dropped) {
    close_window(&search);
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < whole->n_kept; ++i) {
    const QfKept kept = whole->kept[i];
    if (kept.link >= first && kept.link < end) {
      search.indices[search.task.n_kept] = i;
      search.kept[search.task.n_kept]    = kept;
      search.kept[search.task.n_kept++].link -= first;
    }
  }
  search.task.kept       = search.kept;
  search.task.is_dropped = search.is_dropped;
  *result                = search;
  return QF_OK;
}

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
      clash.kept[clash.n_kept++] = search->indices[i];
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

/// The smallest clash in a window
static QfStatus
find_in_window(Search* const search, QfClash* const result)
{
  QfStatus st    = thin_out(search);
  QfClash  clash = list_clash(search);
  for (size_t n = 1; !st && n < clash.n_kept && search->n_trials < CLASH_MAX_TRIALS; ++n) {
    bool is_found = false;
    st            = try_sets(search, n, &is_found);
    if (!st && is_found) {
      clash = list_clash(search);
    }
  }
  if (!st) {
    *result = clash;
  }
  return st;
}

/// Can links [first, end) be written, taken alone?
static QfStatus
try_window(const Task* const whole, const Policy policy, const size_t first, const size_t end)
{
  Search   search = {0};
  QfStatus st     = open_window(whole, policy, first, end, &search);
  if (!st) {
    st = try_to_write(&search);
    close_window(&search);
  }
  return st;
}

/// Where the look from the end on fails: the last link from which links up to `end` are impossible
static QfStatus
find_last_start(const Task* const whole, const Policy policy, const size_t end, size_t* const start)
{
  Search   search  = {0};
  Failure  failure = {0};
  Stages   stages  = {.policy = policy};
  QfStatus st      = open_window(whole, policy, 0, end, &search);
  if (st) {
    return st;
  }
  st     = stages_prepare(&stages, &search.task, NULL);
  st     = st ? st : stages_list(&stages, policy);
  st     = st ? st : stages_look_ahead(&stages, &failure);
  *start = failure.stage > stages.first ? failure.stage - stages.first : 0;
  stages_clear(&stages);
  close_window(&search);
  return st;
}

/**
   Find the last window before `end` that is impossible, and no window inside it is.

   @return #QF_ERR_IMPOSSIBLE with the window; #QF_OK if there is none.
*/
static QfStatus
find_window(const Task* const whole, const Policy policy, size_t* const first, size_t* const end)
{
  size_t   start = 0;
  QfStatus st    = find_last_start(whole, policy, *end, &start);
  if (st != QF_ERR_IMPOSSIBLE) {
    return st;
  }
  size_t stop = start;
  do {
    st = try_window(whole, policy, start, ++stop);
  } while (!st && stop < *end);
  if (st != QF_ERR_IMPOSSIBLE) {
    return st;
  }
  size_t from = stop;
  while (st == QF_ERR_IMPOSSIBLE && from > start) {
    const QfStatus alone = try_window(whole, policy, --from, stop);
    if (alone) {
      st = alone;
      break;
    }
  }
  *first = from;
  *end   = stop;
  return st ? st : QF_ERR_IMPOSSIBLE;
}

QfStatus
clash_find(const Task* const task, const Policy policy, QfClash* const result)
{
  QfClash best   = {.n_kept = SIZE_MAX};
  size_t  end    = task->n_links;
  bool    is_any = true;
  for (size_t i = 0; i < MAX_WINDOWS && is_any && end > 0 && best.n_kept > 0; ++i) {
    size_t   first  = 0;
    Search   search = {0};
    QfClash  clash  = {0};
    QfStatus st     = find_window(task, policy, &first, &end);
    is_any          = st == QF_ERR_IMPOSSIBLE;
    st              = is_any ? open_window(task, policy, first, end, &search) : st;
    if (is_any && !st) {
      st = find_in_window(&search, &clash);
      close_window(&search);
    }
    if (st) {
      return st;
    }
    best = is_any && clash.n_kept < best.n_kept ? clash : best;
    --end;
  }
  if (best.n_kept == SIZE_MAX) {
    best.n_kept = 0;
  }
  *result = best;
  return QF_OK;
}
