// SPDX-License-Identifier: MIT
#include "quintfall/realise.h"

#include "connection.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  TEXT_SIZE = 160,
};

/// One chord in the search
typedef struct {
  Sonority   sonority;
  VoicedList list;
  int*       costs; ///< Of the best way up to each voicing
  size_t*    froms; ///< Voicing of the chord before on that way
} Stage;

typedef struct {
  const QfLink*    links;
  size_t           n_links;
  QfRealiseOptions options;
  Stage*           stages;
  Sonority         before;
  Sonority         after;
} Problem;

/// Where and why a search found no way
typedef struct {
  size_t link;
  bool   has_voicing; ///< False if the chord alone can't be written
  bool   is_after;    ///< The join to the voicing after the last link
  Fault  fault;
} Failure;

static void
problem_clear(Problem* const problem)
{
  for (size_t i = 0; problem->stages && i < problem->n_links; ++i) {
    voiced_list_clear(&problem->stages[i].list);
    free(problem->stages[i].costs);
    free(problem->stages[i].froms);
  }
  free(problem->stages);
}

static void
find_kept(const Problem* const problem, const size_t link, const QfPitch* kept[QF_SATB])
{
  memset(kept, 0, QF_SATB * sizeof(*kept));
  for (size_t i = 0; i < problem->options.n_kept; ++i) {
    const QfKept* const note = &problem->options.kept[i];
    if (note->link == link && note->voice < QF_SATB) {
      kept[note->voice] = &note->pitch;
    }
  }
}

static QfStatus
list_stage(const Problem* const problem, const size_t link, const Strictness strictness)
{
  Stage* const   stage = &problem->stages[link];
  const QfPitch* kept[QF_SATB];
  find_kept(problem, link, kept);

  const QfStatus st = voiced_list(&stage->sonority, strictness, kept, &stage->list);
  if (st) {
    return st;
  }

  free(stage->costs);
  free(stage->froms);
  stage->costs = (int*)calloc(stage->list.n_voiced + 1U, sizeof(int));
  stage->froms = (size_t*)calloc(stage->list.n_voiced + 1U, sizeof(size_t));
  return stage->costs && stage->froms ? QF_OK : QF_ERR_NO_MEM;
}

static Fault
commonest_fault(const size_t counts[FAULT_N_KINDS])
{
  Fault best = FAULT_NONE;
  for (unsigned i = 1; i < FAULT_N_KINDS; ++i) {
    best = counts[i] > counts[best] ? (Fault)i : best;
  }
  return best;
}

/// Cost of the join with the voicing before the first link
static bool
start_stage(const Problem* const problem, const Strictness strictness, Failure* const failure)
{
  Stage* const stage = &problem->stages[0];
  if (!problem->options.before) {
    for (size_t i = 0; i < stage->list.n_voiced; ++i) {
      stage->costs[i] = stage->list.voiced[i].cost;
    }
    return stage->list.n_voiced > 0;
  }

  const Voiced before  = voiced_of(problem->options.before, &problem->before);
  Passage      passage = passage_between(&problem->before, &stage->sonority);
  passage.is_edge      = true;

  size_t counts[FAULT_N_KINDS] = {0};
  bool   is_reached            = false;
  for (size_t i = 0; i < stage->list.n_voiced; ++i) {
    Fault     fault = FAULT_NONE;
    const int cost = connection_cost(&passage, &before, &stage->list.voiced[i], strictness, &fault);
    stage->costs[i] = cost < COST_NEVER ? cost + stage->list.voiced[i].cost : INT_MAX;
    is_reached |= cost < COST_NEVER;
    ++counts[fault];
  }
  counts[FAULT_NONE] = 0;
  failure->fault     = commonest_fault(counts);
  return is_reached;
}

static bool
step_stage(const Problem* const problem,
           const size_t         link,
           const Strictness     strictness,
           Failure* const       failure)
{
  const Stage* const from    = &problem->stages[link - 1U];
  Stage* const       to      = &problem->stages[link];
  const Passage      passage = passage_between(&from->sonority, &to->sonority);

  size_t counts[FAULT_N_KINDS] = {0};
  bool   is_reached            = false;
  for (size_t t = 0; t < to->list.n_voiced; ++t) {
    to->costs[t] = INT_MAX;
    for (size_t f = 0; f < from->list.n_voiced; ++f) {
      if (from->costs[f] == INT_MAX || from->costs[f] >= to->costs[t]) {
        continue;
      }

      Fault     fault = FAULT_NONE;
      const int cost =
        connection_cost(&passage, &from->list.voiced[f], &to->list.voiced[t], strictness, &fault);
      ++counts[fault];
      if (cost < COST_NEVER && from->costs[f] + cost < to->costs[t]) {
        to->costs[t] = from->costs[f] + cost;
        to->froms[t] = f;
      }
    }
    if (to->costs[t] != INT_MAX) {
      to->costs[t] += to->list.voiced[t].cost;
      is_reached = true;
    }
  }
  counts[FAULT_NONE] = 0;
  failure->fault     = commonest_fault(counts);
  return is_reached;
}

/// Add the join with the voicing after the last link
static bool
end_stage(const Problem* const problem, const Strictness strictness, Failure* const failure)
{
  if (!problem->options.after) {
    return true;
  }

  Stage* const stage   = &problem->stages[problem->n_links - 1U];
  const Voiced after   = voiced_of(problem->options.after, &problem->after);
  Passage      passage = passage_between(&stage->sonority, &problem->after);
  passage.is_edge      = true;

  size_t counts[FAULT_N_KINDS] = {0};
  bool   is_reached            = false;
  for (size_t i = 0; i < stage->list.n_voiced; ++i) {
    if (stage->costs[i] == INT_MAX) {
      continue;
    }
    Fault     fault = FAULT_NONE;
    const int cost  = connection_cost(&passage, &stage->list.voiced[i], &after, strictness, &fault);
    stage->costs[i] = cost < COST_NEVER ? stage->costs[i] + cost : INT_MAX;
    is_reached |= cost < COST_NEVER;
    ++counts[fault];
  }
  counts[FAULT_NONE] = 0;
  failure->fault     = commonest_fault(counts);
  return is_reached;
}

static void
trace_back(const Problem* const problem, QfVoicing* const result)
{
  const Stage* const last = &problem->stages[problem->n_links - 1U];
  size_t             best = 0;
  for (size_t i = 1; i < last->list.n_voiced; ++i) {
    best = last->costs[i] < last->costs[best] ? i : best;
  }
  for (size_t link = problem->n_links; link > 0; --link) {
    const Stage* const stage = &problem->stages[link - 1U];
    result[link - 1U]        = stage->list.voiced[best].voicing;
    best                     = stage->froms[best];
  }
}

/// One search; #QF_ERR_IMPOSSIBLE fills `failure`
static QfStatus
try_strictness(const Problem* const problem,
               const Strictness     strictness,
               QfVoicing* const     result,
               Failure* const       failure)
{
  *failure = (Failure){0};
  for (size_t i = 0; i < problem->n_links; ++i) {
    const QfStatus st = list_stage(problem, i, strictness);
    if (st) {
      return st;
    }
    failure->link        = i;
    failure->has_voicing = problem->stages[i].list.n_voiced > 0;
    if (!failure->has_voicing || !(i ? step_stage(problem, i, strictness, failure)
                                     : start_stage(problem, strictness, failure))) {
      return QF_ERR_IMPOSSIBLE;
    }
  }

  if (!end_stage(problem, strictness, failure)) {
    failure->is_after = true;
    return QF_ERR_IMPOSSIBLE;
  }
  trace_back(problem, result);
  return QF_OK;
}

static void
describe_chord(const Problem* const problem, const size_t link, char buffer[TEXT_SIZE])
{
  static const char* const names[QF_SATB] = {"soprano", "alto", "tenor", "bass"};

  char numeral[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&problem->links[link].numeral, problem->links[link].key.mode, numeral,
                   sizeof(numeral));

  const QfPitch* kept[QF_SATB];
  find_kept(problem, link, kept);
  int  length = snprintf(buffer, TEXT_SIZE, "chord %zu (%s", link + 1U, numeral);
  bool is_any = false;
  for (size_t v = 0; v < QF_SATB; ++v) {
    if (kept[v] && length < TEXT_SIZE) {
      char pitch[16];
      qf_pitch_write(*kept[v], pitch, sizeof(pitch));
      length += snprintf(buffer + length, TEXT_SIZE - (size_t)length, "%s%s %s",
                         is_any ? ", " : " with ", names[v], pitch);
      is_any = true;
    }
  }
  if (length < TEXT_SIZE) {
    snprintf(buffer + length, TEXT_SIZE - (size_t)length, "%s)", is_any ? " kept" : "");
  }
}

static QfStatus
report(const Problem* const problem, const Failure* const failure, QfError* const error)
{
  char chord[TEXT_SIZE];
  describe_chord(problem, failure->link, chord);
  if (!failure->has_voicing) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                        "%s can't be written in four voices; change a kept note", chord);
  }
  if (failure->is_after || failure->link == 0) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE, "every way to join %s to the chord %s it %s",
                        chord, failure->is_after ? "after" : "before",
                        fault_clause(failure->fault));
  }

  char previous[TEXT_SIZE];
  describe_chord(problem, failure->link - 1U, previous);
  return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                      "every way from %s to %s %s; change one of them or a kept note", previous,
                      chord, fault_clause(failure->fault));
}

/// A kept note must belong to its chord, and in the bass be the chord's bass
static QfStatus
check_kept(const Problem* const problem, QfError* const error)
{
  for (size_t i = 0; i < problem->options.n_kept; ++i) {
    const QfKept kept = problem->options.kept[i];
    if (kept.link >= problem->n_links || kept.voice >= QF_SATB) {
      return qf_error_set(error, QF_ERR_RANGE, "a kept note names a chord or voice out of range");
    }

    const Sonority* const sonority = &problem->stages[kept.link].sonority;
    bool                  fits     = false;
    for (int tone = 0; tone < sonority->n_tones; ++tone) {
      fits |= qf_note_name_equals(sonority->tones[tone].name, qf_pitch_name(kept.pitch)) &&
              (kept.voice + 1U < QF_SATB || tone == sonority->bass);
    }
    if (!fits) {
      char chord[TEXT_SIZE];
      describe_chord(problem, kept.link, chord);
      return qf_error_set(error, QF_ERR_IMPOSSIBLE, "%s: a kept note is %s", chord,
                          kept.voice + 1U < QF_SATB ? "not in the chord"
                                                    : "not the bass this position asks for");
    }
  }
  return QF_OK;
}

static QfStatus
prepare(Problem* const problem, QfError* const error)
{
  problem->stages = (Stage*)calloc(problem->n_links, sizeof(Stage));
  if (!problem->stages) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  for (size_t i = 0; i < problem->n_links; ++i) {
    const QfLink* const link   = &problem->links[i];
    QfError             detail = {0};
    const QfStatus      st =
      sonority_of_numeral(&link->numeral, link->key, &problem->stages[i].sonority, &detail);
    if (st) {
      return qf_error_set(error, st, "chord %zu: %s", i + 1U, detail.text);
    }
  }
  if (problem->options.before) {
    problem->before = sonority_of_voicing(problem->options.before, problem->links[0].key);
  }
  if (problem->options.after) {
    problem->after =
      sonority_of_voicing(problem->options.after, problem->links[problem->n_links - 1U].key);
  }
  return check_kept(problem, error);
}

QfStatus
qf_realise(const QfLink* const    links,
           const size_t           n_links,
           const QfRealiseOptions options,
           QfVoicing* const       result,
           QfError* const         error)
{
  if (!n_links) {
    return QF_OK;
  }

  Problem  problem = {.links = links, .n_links = n_links, .options = options};
  QfStatus st      = prepare(&problem, error);
  if (!st) {
    st              = QF_ERR_IMPOSSIBLE;
    Failure failure = {0};
    for (int level = 0; level < STRICTNESS_N_KINDS && st == QF_ERR_IMPOSSIBLE; ++level) {
      st = try_strictness(&problem, (Strictness)level, result, &failure);
    }
    if (st == QF_ERR_IMPOSSIBLE) {
      report(&problem, &failure, error);
    } else if (st) {
      qf_error_set(error, st, "out of memory");
    }
  }
  problem_clear(&problem);
  return st;
}
