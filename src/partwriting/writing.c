// SPDX-License-Identifier: MIT
#include "quintfall/writing.h"

#include "clash.h"
#include "optimum.h"

#include "quintfall/text.h"

#include <stdlib.h>

static QfStatus
check_options(const QfWriteOptions options, QfError* const error)
{
  if (options.n_voices < QF_WRITING_MIN_VOICES || options.n_voices > QF_WRITING_MAX_VOICES) {
    return qf_error_set(error, QF_ERR_RANGE, "a chain is written in three, four or five voices");
  }
  if (options.n_best > QF_WRITING_MAX_BEST) {
    return qf_error_set(error, QF_ERR_RANGE, "at most %d writings can be asked for",
                        QF_WRITING_MAX_BEST);
  }
  for (size_t i = 0; i < options.n_ranges; ++i) {
    const QfVoiceRange range = options.ranges[i];
    if (range.voice >= options.n_voices || qf_pitch_midi(range.low) > qf_pitch_midi(range.high)) {
      return qf_error_set(error, QF_ERR_RANGE,
                          "a range is from a lower to a higher pitch, of a voice there is");
    }
  }
  return QF_OK;
}

/// A voice can keep one note a chord
static QfStatus
check_givens(const QfWriteOptions* const options, QfClash* const clash, QfError* const error)
{
  for (size_t i = 0; i < options->n_kept; ++i) {
    for (size_t k = 0; k < i; ++k) {
      const QfKept* const a = &options->kept[k];
      const QfKept* const b = &options->kept[i];
      if (a->link == b->link && a->voice == b->voice && !qf_pitch_equals(a->pitch, b->pitch)) {
        if (clash) {
          *clash = (QfClash){.n_kept = 2, .kept = {k, i}};
        }
        return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                            "two different notes are to be kept in one voice of chord %zu",
                            a->link + 1U);
      }
    }
  }
  return QF_OK;
}

/// Every chord in which a doubling is wished for must have that member
static QfStatus
check_doublings(const Stages* const stages, QfError* const error)
{
  static const char* const names[] = {"root", "third", "fifth"};

  const Task* const task = stages->task;
  for (size_t i = 0; i < task->n_doublings; ++i) {
    const QfDoubling wish = task->doublings[i];
    if (wish.link >= task->n_links || wish.member >= sizeof(names) / sizeof(names[0])) {
      return qf_error_set(error, QF_ERR_RANGE,
                          "a doubling names a chord out of range, or no root, third or fifth");
    }
    const Sonority* const sonority = &stages->stages[stages->first + wish.link].choices[0].sonority;
    bool                  is_there = false;
    for (int tone = 0; tone < sonority->n_tones; ++tone) {
      is_there |= sonority->tones[tone].member == wish.member;
    }
    if (!is_there) {
      char chord[STAGE_TEXT_SIZE];
      stages_describe(stages, wish.link, chord, sizeof(chord));
      return qf_error_set(error, QF_ERR_RANGE, "%s has no %s to double", chord, names[wish.member]);
    }
  }
  return QF_OK;
}

static Policy
policy_of(const QfWriteOptions* const options)
{
  Policy policy = {.profile     = options->profile,
                   .n_voices    = options->n_voices,
                   .is_keyboard = options->is_keyboard,
                   .is_wide     = options->profile == QF_PROFILE_FREE,
                   .is_lenient  = options->may_join_badly};
  for (size_t i = 0; i < options->n_ranges; ++i) {
    const QfVoiceRange range = options->ranges[i];
    policy.ranged |= 1U << range.voice;
    policy.lowest[range.voice]  = (int16_t)qf_pitch_midi(range.low);
    policy.highest[range.voice] = (int16_t)qf_pitch_midi(range.high);
  }
  return policy;
}

static QfStatus
copy_ways(const Stages* const stages, const Ways* const ways, QfWritings* const result)
{
  const size_t n_links  = stages->task->n_links;
  const size_t n_voices = stages->policy.n_voices;
  QfWritings   writings = {.n_links = n_links, .n_voices = n_voices};
  writings.writings     = (QfWriting*)calloc(ways->n_ways + 1U, sizeof(QfWriting));
  for (size_t w = 0; writings.writings && w < ways->n_ways; ++w) {
    QfPitch* const pitches = (QfPitch*)calloc(n_links * n_voices, sizeof(QfPitch));
    if (!pitches) {
      qf_writings_clear(&writings);
      return QF_ERR_NO_MEM;
    }
    writings.writings[writings.n_writings++] = (QfWriting){ways->ways[w].cost, pitches};
    for (size_t i = 0; i < n_links; ++i) {
      const Voiced* const voiced =
        &stages->stages[stages->first + i].list.voiced[ways->ways[w].voicings[stages->first + i]];
      for (size_t v = 0; v < n_voices; ++v) {
        pitches[i * n_voices + v] = voiced->pitch[v];
      }
    }
  }
  *result = writings;
  return writings.writings ? QF_OK : QF_ERR_NO_MEM;
}

/// Add the givens that clash to a message that names the chords
static QfStatus
report_clash(const Stages* const  stages,
             const Failure* const failure,
             QfClash* const       clash,
             QfError* const       error)
{
  if (!clash && !error) { // Nobody wants to know why
    return QF_ERR_IMPOSSIBLE;
  }
  QfClash        found = {0};
  const QfStatus st    = clash_find(stages->task, stages->policy, &found);
  if (st) {
    return qf_error_set(error, st, "out of memory");
  }
  stages_report(stages, failure, error);
  if (error && found.n_kept) {
    QfText text = {0};
    qf_text_addf(&text, "%s; givens that can't hold together: ", error->text);
    for (size_t i = 0; i < found.n_kept; ++i) {
      const QfKept* const kept = &stages->task->kept[found.kept[i]];
      char                pitch[16];
      qf_pitch_write(kept->pitch, pitch, sizeof(pitch));
      qf_text_addf(&text, "%s%s of chord %zu", i ? ", " : "", pitch, kept->link + 1U);
    }
    qf_error_set(error, QF_ERR_IMPOSSIBLE, "%s", text.data ? text.data : "out of memory");
    qf_text_free(&text);
  }
  if (clash) {
    *clash = found;
  }
  return QF_ERR_IMPOSSIBLE;
}

QfStatus
qf_write(const QfLink* const links,
         const size_t        n_links,
         QfWriteOptions      options,
         QfWritings* const   result,
         QfClash* const      clash,
         QfError* const      error)
{
  options.n_voices = options.n_voices ? options.n_voices : QF_SATB;
  options.n_best   = options.n_best ? options.n_best : 1U;
  QfStatus st      = check_options(options, error);
  st               = st ? st : check_givens(&options, clash, error);
  if (st || !n_links) {
    if (!st) {
      *result = (QfWritings){.n_voices = options.n_voices};
    }
    return st;
  }

  const Task   task   = {.links       = links,
                         .n_links     = n_links,
                         .kept        = options.kept,
                         .n_kept      = options.n_kept,
                         .doublings   = options.doublings,
                         .n_doublings = options.n_doublings,
                         .on_downbeat = options.on_downbeat,
                         .before      = options.before,
                         .after       = options.after};
  const Policy policy = policy_of(&options);
  Stages       stages = {.policy = policy};
  st                  = stages_prepare(&stages, &task, error);
  if (clash && st == QF_ERR_IMPOSSIBLE && stages.misfit != SIZE_MAX) {
    *clash = (QfClash){.n_kept = 1, .kept = {stages.misfit}};
  }
  st = st ? st : check_doublings(&stages, error);
  if (!st) {
    Failure failure = {0};
    Ways    ways    = {0};
    st              = stages_list(&stages, policy);
    st              = st ? st : stages_look_ahead(&stages, &failure);
    if (st == QF_ERR_IMPOSSIBLE) {
      st = report_clash(&stages, &failure, clash, error);
    } else {
      st = st ? st : optimum_find(&stages, options.n_best, 0, &ways);
      st = st ? st : copy_ways(&stages, &ways, result);
      if (st) {
        qf_error_set(error, st, "out of memory");
      }
    }
    ways_clear(&ways);
  }
  stages_clear(&stages);
  return st;
}

void
qf_writings_clear(QfWritings* const writings)
{
  for (size_t i = 0; i < writings->n_writings; ++i) {
    free(writings->writings[i].pitches);
  }
  free(writings->writings);
  *writings = (QfWritings){0};
}
