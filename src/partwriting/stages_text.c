// SPDX-License-Identifier: MIT
#include "stages.h"

#include <stdio.h>

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

void
stages_describe(const Stages* const stages,
                const size_t        link,
                char* const         buffer,
                const size_t        size)
{
  const Task* const task     = stages->task;
  const size_t      n_voices = stages->policy.n_voices;

  char numeral[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&task->links[link].numeral, task->links[link].key.mode, numeral,
                   sizeof(numeral));

  const QfPitch* kept[MAX_PARTS];
  task_find_kept(task, link, kept);
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
  const size_t n_voices = stages->policy.n_voices;
  const bool   is_start = stages->stages[failure->stage].is_fixed;
  const size_t link     = is_start ? 0 : failure->stage - stages->first;
  char         chord[STAGE_TEXT_SIZE];
  char         fault[64];
  stages_describe(stages, link, chord, sizeof(chord));
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
  stages_describe(stages, link + 1U, next, sizeof(next));
  return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                      "every way from %s to %s breaks a rule (%s); change one of them or a kept "
                      "note",
                      chord, next, fault);
}
