// SPDX-License-Identifier: MIT
#include "stages.h"

#include <stdlib.h>
#include <string.h>

void
task_find_kept(const Task* const task, const size_t link, const QfPitch* kept[MAX_PARTS])
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

static bool
fits(const Choice* const choice, const QfPitch pitch, const bool is_bass)
{
  for (int tone = 0; tone < choice->sonority.n_tones; ++tone) {
    if (qf_note_name_equals(choice->sonority.tones[tone].name, qf_pitch_name(pitch)) &&
        (!is_bass || tone == choice->sonority.bass)) {
      return true;
    }
  }
  return false;
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
    const bool   is_bass    = kept.voice + 1U == n_voices;
    const bool   is_dropped = task->is_dropped && task->is_dropped[i];
    const Stage* stage      = &stages->stages[stages->first + kept.link];
    if (!task->lexicon && !is_dropped && !fits(&stage->choices[0], kept.pitch, is_bass)) {
      char chord[STAGE_TEXT_SIZE];
      stages->misfit = i;
      stages_describe(stages, kept.link, chord, sizeof(chord));
      return qf_error_set(error, QF_ERR_IMPOSSIBLE, "%s: a kept note is %s", chord,
                          is_bass ? "not the bass this position asks for" : "not in the chord");
    }
  }
  return QF_OK;
}

/// Room for the choices of a stage
static QfStatus
add_choices(Stage* const stage, const size_t n)
{
  stage->choices = (Choice*)calloc(n + 1U, sizeof(Choice));
  return stage->choices ? QF_OK : QF_ERR_NO_MEM;
}

/// A chord that somebody else wrote
static QfStatus
set_fixed(Stage* const stage, const QfPitch* const pitches, const size_t n_voices, const QfKey key)
{
  stage->is_fixed    = true;
  stage->list.voiced = (Voiced*)malloc(sizeof(Voiced));
  if (!stage->list.voiced || add_choices(stage, 1)) {
    return QF_ERR_NO_MEM;
  }
  stage->choices[0] =
    (Choice){.sonority = sonority_of_pitches(pitches, n_voices, key), .n_voiced = 1};
  stage->list.voiced[0] = voiced_of(pitches, n_voices, &stage->choices[0].sonority);
  stage->list.n_voiced = stage->list.capacity = stage->n_choices = 1;
  return QF_OK;
}

static QfStatus
set_link(const Stages* const stages, const size_t link, QfError* const error)
{
  const Task* const task  = stages->task;
  Stage* const      stage = &stages->stages[stages->first + link];
  if (task->lexicon) {
    if (add_choices(stage, task->lexicon->n_words)) {
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    }
    for (size_t word = 0; word < task->lexicon->n_words; ++word) {
      if (task->lexicon->fits(task->lexicon, link, word)) {
        stage->choices[stage->n_choices++] =
          (Choice){.sonority = task->lexicon->sonorities[word], .word = word};
      }
    }
    return QF_OK;
  }

  QfError detail = {0};
  if (add_choices(stage, 1)) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  const QfStatus st = sonority_of_numeral(&task->links[link].numeral, task->links[link].key,
                                          &stage->choices[0].sonority, &detail);
  stage->n_choices  = 1;
  return st ? qf_error_set(error, st, "chord %zu: %s", link + 1U, detail.text) : QF_OK;
}

static QfStatus
set_bridges(Stages* const stages, const size_t index)
{
  const Task* const  task    = stages->task;
  Stage* const       stage   = &stages->stages[index];
  const Stage* const next    = stage + 1;
  const size_t       link    = index + 1U - stages->first;
  const bool         is_link = !next->is_fixed;
  stage->bridges = (Bridge*)calloc(stage->n_choices * next->n_choices + 1U, sizeof(Bridge));
  if (!stage->bridges) {
    return QF_ERR_NO_MEM;
  }
  for (size_t c = 0; c < stage->n_choices; ++c) {
    for (size_t k = 0; k < next->n_choices; ++k) {
      const Choice* const from    = &stage->choices[c];
      const Choice* const to      = &next->choices[k];
      Bridge* const       bridge  = &stage->bridges[c * next->n_choices + k];
      bridge->passage             = passage_between(&from->sonority, &to->sonority);
      bridge->passage.is_edge     = stage->is_fixed || next->is_fixed;
      bridge->passage.is_over_bar = is_link && task->on_downbeat && task->on_downbeat[link];
      bridge->fee =
        task->lexicon ? task->lexicon->step_fee(task->lexicon, link, from->word, to->word) : 0;
    }
  }
  return QF_OK;
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

  for (size_t i = 0; !st && i < task->n_links; ++i) {
    st = set_link(stages, i, error);
  }
  for (size_t i = 0; !st && i + 1U < stages->n_stages; ++i) {
    st = set_bridges(stages, i);
    st = st ? qf_error_set(error, st, "out of memory") : QF_OK;
  }
  return st ? st : check_kept(stages, error);
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

static QfStatus
list_link(const Stages* const stages, const size_t link, Stage* const stage)
{
  const Task* const task   = stages->task;
  Wishes            wishes = {.is_first = link + stages->first == 0};
  task_find_kept(task, link, wishes.kept);
  for (size_t i = 0; i < task->n_doublings; ++i) {
    wishes.doubled |= task->doublings[i].link == link ? 1U << task->doublings[i].member : 0U;
  }

  stage->list.n_voiced = 0;
  for (size_t c = 0; c < stage->n_choices; ++c) {
    Choice* const choice = &stage->choices[c];
    choice->first        = stage->list.n_voiced;
    const QfStatus st    = voiced_list(&choice->sonority, &stages->policy, &wishes, &stage->list);
    if (st) {
      return st;
    }
    choice->n_voiced = stage->list.n_voiced - choice->first;
    for (size_t i = choice->first; i < stage->list.n_voiced; ++i) {
      stage->list.voiced[i].choice = (uint16_t)c;
      stage->list.voiced[i].cost +=
        task->lexicon && link == 0 ? task->lexicon->start_fee(task->lexicon, choice->word) : 0;
    }
  }
  return QF_OK;
}

QfStatus
stages_list(Stages* const stages, const Policy policy)
{
  stages->policy = policy;
  for (size_t i = 0; i < stages->n_stages; ++i) {
    Stage* const stage = &stages->stages[i];
    forget_rows(stage);
    const QfStatus st = stage->is_fixed ? QF_OK : list_link(stages, i - stages->first, stage);
    if (st) {
      return st;
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

const Choice*
stage_choice(const Stage* const stage, const size_t voicing)
{
  return &stage->choices[stage->list.voiced[voicing].choice];
}

const Bridge*
stages_bridge(const Stages* const stages, const size_t stage, const size_t from, const size_t to)
{
  const Stage* const here = &stages->stages[stage];
  const Stage* const next = here + 1;
  return &here->bridges[here->list.voiced[from].choice * next->n_choices +
                        next->list.voiced[to].choice];
}

int
stages_connect(Stages* const stages,
               const size_t  stage,
               const size_t  from,
               const size_t  to,
               Grade* const  fault)
{
  const Stage* const  here   = &stages->stages[stage];
  const Bridge* const bridge = stages_bridge(stages, stage, from, to);
  ++stages->n_visited;
  return bridge->fee + connection_cost(&bridge->passage, &here->list.voiced[from],
                                       &here[1].list.voiced[to], &stages->policy, fault);
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
    return stages_connect(stages, stage, from, to, &fault);
  }
  if (here->rows[from][to] < 0) {
    here->rows[from][to] = stages_connect(stages, stage, from, to, &fault);
  }
  return here->rows[from][to];
}

void
stages_clear(Stages* const stages)
{
  for (size_t i = 0; stages->stages && i < stages->n_stages; ++i) {
    Stage* const stage = &stages->stages[i];
    forget_rows(stage);
    voiced_list_clear(&stage->list);
    free(stage->choices);
    free(stage->bridges);
  }
  free(stages->stages);
  stages->stages = NULL;
}
