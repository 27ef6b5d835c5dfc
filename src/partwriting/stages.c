// SPDX-License-Identifier: MIT
#include "stages.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void
find_kept(const Task* const task, const size_t link, const QfPitch* kept[MAX_PARTS])
{
  memset(kept, 0, MAX_PARTS * sizeof(*kept));
  for (size_t i = 0; i < task->n_kept; ++i) {
    const QfKept* const note = &task->kept[i];
    if (note->link == link && note->voice < MAX_PARTS &&
        !(task->is_dropped && task->is_dropped[i])) {
      kept[note->voice] = &note->pitch;
    }
  }
}

static const char*
voice_name(const size_t voice, const size_t n_voices)
{
  // By the number of parts from three on
  static const char* const names[][MAX_PARTS] = {
    {"soprano", "alto", "bass", "", ""},
    {"soprano", "alto", "tenor", "bass", ""},
    {"soprano", "second soprano", "alto", "tenor", "bass"},
  };

  return names[n_voices - 3][voice];
}

static void
describe_for(const Task* const task,
             const size_t      n_voices,
             const size_t      link,
             char* const       buffer,
             const size_t      size)
{
  char numeral[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&task->links[link].numeral, task->links[link].key.mode, numeral,
                   sizeof(numeral));

  const QfPitch* kept[MAX_PARTS];
  find_kept(task, link, kept);
  size_t length = (size_t)snprintf(buffer, size, "chord %zu (%s", link + 1U, numeral);
  bool   is_any = false;
  for (size_t v = 0; v < n_voices && length < size; ++v) {
    if (kept[v]) {
      char pitch[16];
      qf_pitch_write(*kept[v], pitch, sizeof(pitch));
      length += (size_t)snprintf(buffer + length, size - length, "%s%s %s",
                                 is_any ? ", " : " with ", voice_name(v, n_voices), pitch);
      is_any = true;
    }
  }
  if (length < size) {
    snprintf(buffer + length, size - length, "%s)", is_any ? " kept" : "");
  }
}

/// A kept note must belong to its chord, and in the bass be the chord's bass
static QfStatus
check_kept(Stages* const stages, QfError* const error)
{
  const Task* const task     = stages->task;
  const size_t      n_voices = stages->policy.n_voices;
  for (size_t i = 0; i < task->n_kept; ++i) {
    const QfKept kept = task->kept[i];
    if (kept.link >= task->n_links || kept.voice >= n_voices) {
      return qf_error_set(error, QF_ERR_RANGE, "a kept note names a chord or voice out of range");
    }
    const Sonority* const sonority = &stages->stages[stages->first + kept.link].sonority;
    const bool            is_bass  = kept.voice + 1U == n_voices;
    bool                  fits     = false;
    for (int tone = 0; tone < sonority->n_tones; ++tone) {
      fits |= qf_note_name_equals(sonority->tones[tone].name, qf_pitch_name(kept.pitch)) &&
              (!is_bass || tone == sonority->bass);
    }
    if (!fits && !(task->is_dropped && task->is_dropped[i])) {
      stages->misfit = i;
      char chord[STAGE_TEXT_SIZE];
      describe_for(task, n_voices, kept.link, chord, sizeof(chord));
      return qf_error_set(error, QF_ERR_IMPOSSIBLE, "%s: a kept note is %s", chord,
                          is_bass ? "not the bass this position asks for" : "not in the chord");
    }
  }
  return QF_OK;
}

static QfStatus
set_fixed(Stage* const stage, const QfPitch* const pitches, const size_t n_voices, const QfKey key)
{
  stage->is_fixed    = true;
  stage->sonority    = sonority_of_pitches(pitches, n_voices, key);
  stage->list.voiced = (Voiced*)malloc(sizeof(Voiced));
  if (!stage->list.voiced) {
    return QF_ERR_NO_MEM;
  }
  stage->list.voiced[0] = voiced_of(pitches, n_voices, &stage->sonority);
  stage->list.n_voiced = stage->list.capacity = 1;
  return QF_OK;
}

static void
link_stages(Stages* const stages)
{
  for (size_t i = 0; i + 1U < stages->n_stages; ++i) {
    Stage* const stage  = &stages->stages[i];
    stage->next         = passage_between(&stage->sonority, &stage[1].sonority);
    stage->next.is_edge = stage->is_fixed || stage[1].is_fixed;
  }
}

QfStatus
stages_prepare(Stages* const stages, const Task* const task, QfError* const error)
{
  const size_t n_voices = stages->policy.n_voices;

  stages->task     = task;
  stages->misfit   = SIZE_MAX;
  stages->first    = task->before != NULL;
  stages->n_stages = stages->first + task->n_links + (task->after != NULL);
  stages->stages   = (Stage*)calloc(stages->n_stages + 1U, sizeof(Stage));
  QfStatus st      = stages->stages ? QF_OK : QF_ERR_NO_MEM;
  if (!st && task->before) {
    st = set_fixed(&stages->stages[0], task->before, n_voices, task->links[0].key);
  }
  if (!st && task->after) {
    st = set_fixed(&stages->stages[stages->n_stages - 1U], task->after, n_voices,
                   task->links[task->n_links - 1U].key);
  }
  if (st) {
    return qf_error_set(error, st, "out of memory");
  }

  for (size_t i = 0; i < task->n_links; ++i) {
    const QfLink* const link   = &task->links[i];
    Stage* const        stage  = &stages->stages[stages->first + i];
    QfError             detail = {0};
    st = sonority_of_numeral(&link->numeral, link->key, &stage->sonority, &detail);
    if (st) {
      return qf_error_set(error, st, "chord %zu: %s", i + 1U, detail.text);
    }
  }
  link_stages(stages);
  return check_kept(stages, error);
}

static void
forget_rows(Stage* const stage)
{
  for (size_t i = 0; stage->rows && i < stage->list.n_voiced; ++i) {
    free(stage->rows[i]);
  }
  free(stage->rows);
  free(stage->rests);
  free(stage->nexts);
  stage->rows  = NULL;
  stage->rests = NULL;
  stage->nexts = NULL;
}

QfStatus
stages_list(Stages* const stages, const Policy policy)
{
  stages->policy = policy;
  for (size_t i = 0; i < stages->n_stages; ++i) {
    Stage* const stage = &stages->stages[i];
    forget_rows(stage);
    if (!stage->is_fixed) {
      const QfPitch* kept[MAX_PARTS];
      find_kept(stages->task, i - stages->first, kept);
      const QfStatus st =
        voiced_list(&stage->sonority, &policy, i + 1U < stages->n_stages ? &stage->next : NULL,
                    i == 0, kept, &stage->list);
      if (st) {
        return st;
      }
    }
    stage->rests = (int*)calloc(stage->list.n_voiced + 1U, sizeof(int));
    stage->nexts = (size_t*)calloc(stage->list.n_voiced + 1U, sizeof(size_t));
    stage->rows  = (int**)calloc(stage->list.n_voiced + 1U, sizeof(int*));
    if (!stage->rests || !stage->nexts || !stage->rows) {
      return QF_ERR_NO_MEM;
    }
  }
  return QF_OK;
}

static int
connect(Stages* const stages,
        const size_t  stage,
        const size_t  from,
        const size_t  to,
        Grade* const  fault)
{
  const Stage* const here = &stages->stages[stage];
  ++stages->n_visited;
  return connection_cost(&here->next, &here->list.voiced[from], &here[1].list.voiced[to],
                         &stages->policy, fault);
}

int
stages_connection(Stages* const stages, const size_t stage, const size_t from, const size_t to)
{
  Stage* const here  = &stages->stages[stage];
  const size_t n     = here[1].list.n_voiced;
  Grade        fault = GRADE_NONE;
  if (!here->rows[from]) {
    here->rows[from] = (int*)malloc(n * sizeof(int));
    for (size_t i = 0; here->rows[from] && i < n; ++i) {
      here->rows[from][i] = -1;
    }
  }
  if (!here->rows[from]) { // Without memory it is worked out again
    return connect(stages, stage, from, to, &fault);
  }
  if (here->rows[from][to] < 0) {
    here->rows[from][to] = connect(stages, stage, from, to, &fault);
  }
  return here->rows[from][to];
}

/// A voicing of the next chord by what it costs from there on
typedef struct {
  int    cost;
  size_t index;
} Onward;

static int
compare_onward(const void* const a, const void* const b)
{
  const Onward* const first  = (const Onward*)a;
  const Onward* const second = (const Onward*)b;
  return first->cost != second->cost
           ? first->cost - second->cost
           : (first->index > second->index) - (first->index < second->index);
}

static size_t
list_onward(const Stage* const next, Onward* const onward)
{
  size_t n = 0;
  for (size_t i = 0; i < next->list.n_voiced; ++i) {
    if (next->rests[i] < COST_NEVER) {
      onward[n++] = (Onward){next->list.voiced[i].cost + next->rests[i], i};
    }
  }
  qsort(onward, n, sizeof(Onward), compare_onward);
  return n;
}

/// Least cost after one voicing; what costs too much at once is not looked at
static void
look_from(Stages* const       stages,
          const size_t        index,
          const size_t        from,
          const Onward* const onward,
          const size_t        n_onward,
          size_t              counts[GRADE_N_KINDS])
{
  Stage* const        stage  = &stages->stages[index];
  const Voiced* const voiced = &stage->list.voiced[from];
  stage->rests[from]         = COST_NEVER;
  for (size_t i = 0; i < n_onward && onward[i].cost < stage->rests[from]; ++i) {
    const Voiced* const to = &stage[1].list.voiced[onward[i].index];
    if (onward[i].cost + motion_cost(voiced, to) >= stage->rests[from]) {
      continue;
    }
    Grade     fault = GRADE_NONE;
    const int cost  = connect(stages, index, from, onward[i].index, &fault);
    ++counts[fault];
    if (cost < COST_NEVER && cost + onward[i].cost < stage->rests[from]) {
      stage->rests[from] = cost + onward[i].cost;
      stage->nexts[from] = onward[i].index;
    }
  }
}

static bool
look_from_stage(Stages* const stages, const size_t index, Onward* const onward, Grade* const fault)
{
  const Stage* const stage                 = &stages->stages[index];
  size_t             counts[GRADE_N_KINDS] = {0};
  const size_t       n_onward              = list_onward(&stage[1], onward);
  bool               is_reached            = false;
  for (size_t from = 0; from < stage->list.n_voiced; ++from) {
    look_from(stages, index, from, onward, n_onward, counts);
    is_reached |= stage->rests[from] < COST_NEVER;
  }
  *fault = GRADE_NONE;
  for (unsigned i = 1; i < GRADE_N_KINDS; ++i) {
    *fault = *fault == GRADE_NONE         ? (counts[i] ? (Grade)i : GRADE_NONE)
             : counts[i] > counts[*fault] ? (Grade)i
                                          : *fault;
  }
  return is_reached;
}

QfStatus
stages_look_ahead(Stages* const stages, Failure* const failure)
{
  size_t most = 0;
  for (size_t i = 0; i < stages->n_stages; ++i) {
    *failure = (Failure){.stage = i, .has_voicing = stages->stages[i].list.n_voiced > 0};
    most     = stages->stages[i].list.n_voiced > most ? stages->stages[i].list.n_voiced : most;
    if (!failure->has_voicing) {
      return QF_ERR_IMPOSSIBLE;
    }
  }

  Onward* const onward = (Onward*)malloc(most * sizeof(Onward));
  QfStatus      st     = onward ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = stages->n_stages - 1U; !st && i > 0; --i) {
    failure->stage = i - 1U;
    if (!look_from_stage(stages, i - 1U, onward, &failure->fault)) {
      st = QF_ERR_IMPOSSIBLE;
    }
  }
  free(onward);
  return st;
}

void
stages_clear(Stages* const stages)
{
  for (size_t i = 0; stages->stages && i < stages->n_stages; ++i) {
    forget_rows(&stages->stages[i]);
    voiced_list_clear(&stages->stages[i].list);
  }
  free(stages->stages);
  stages->stages = NULL;
}

void
stages_describe(const Stages* const stages,
                const size_t        link,
                char* const         buffer,
                const size_t        size)
{
  describe_for(stages->task, stages->policy.n_voices, link, buffer, size);
}

/// "parallel octaves", from the identity of the rule
static void
write_fault(const Grade fault, char* const buffer, const size_t size)
{
  snprintf(buffer, size, "%s", qf_rule_get_text(grade_get(fault)->rule)->id);
  for (char* c = buffer; *c; ++c) {
    *c = *c == '_' ? ' ' : *c;
  }
}

QfStatus
stages_report(const Stages* const stages, const Failure* const failure, QfError* const error)
{
  const Task* const task     = stages->task;
  const size_t      n_voices = stages->policy.n_voices;
  const bool        is_start = stages->stages[failure->stage].is_fixed;
  const size_t      link     = is_start ? 0 : failure->stage - stages->first;
  char              chord[STAGE_TEXT_SIZE];
  char              fault[64];
  describe_for(task, n_voices, link, chord, sizeof(chord));
  write_fault(failure->fault, fault, sizeof(fault));
  if (!failure->has_voicing) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                        "%s can't be written in %s voices; change a kept note", chord,
                        n_voices == 3   ? "three"
                        : n_voices == 5 ? "five"
                                        : "four");
  }
  if (is_start || stages->stages[failure->stage + 1U].is_fixed) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                        "every way to join %s to the chord %s it breaks a rule (%s)", chord,
                        is_start ? "before" : "after", fault);
  }

  char next[STAGE_TEXT_SIZE];
  describe_for(task, n_voices, link + 1U, next, sizeof(next));
  return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                      "every way from %s to %s breaks a rule (%s); change one of them or a kept "
                      "note",
                      chord, next, fault);
}
