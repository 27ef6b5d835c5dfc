// SPDX-License-Identifier: MIT
#include "judge_impl.h"

#include <stdlib.h>

void
judge_push(Judge* const judge, const Remark remark)
{
  const QfSeverity  severity = grade_get(remark.grade)->severity[judge->profile];
  Judgements* const list     = judge->list;
  if (severity == QF_SEVERITY_OFF || list->failed) {
    return;
  }
  if (list->n_judgements == list->capacity) {
    const size_t     capacity = list->capacity ? 2U * list->capacity : 32U;
    Judgement* const grown    = (Judgement*)realloc(list->judgements, capacity * sizeof(Judgement));
    if (!grown) {
      list->failed = true;
      return;
    }
    list->judgements = grown;
    list->capacity   = capacity;
  }
  list->judgements[list->n_judgements++] = (Judgement){remark, severity, judge->from, judge->to};
}

static void
take(Sink* const sink, const Remark remark)
{
  Judge* const judge = (Judge*)sink;
  const size_t from  = judge->from;
  // A doubled third is judged by how it came about, but is a matter of its own chord.
  const QfRule rule = grade_get(remark.grade)->rule;
  if (rule == QF_RULE_DOUBLED_THIRD || rule == QF_RULE_DOUBLED_THIRD_IN_BASS) {
    judge->from = judge->to;
  }
  judge_push(judge, remark);
  judge->from = from;
}

/// Asks whether one remark would be made
typedef struct {
  Sink   sink;
  Remark wanted;
  bool   is_found;
} Finder;

static void
take_wanted(Sink* const sink, const Remark remark)
{
  Finder* const finder = (Finder*)sink;
  finder->is_found |=
    remark.grade == finder->wanted.grade && remark.voices == finder->wanted.voices;
}

static bool
placing_holds(const Frame* const frame, const Remark remark)
{
  Finder finder = {.sink = {take_wanted}, .wanted = remark};
  judge_placing(&frame->sounds, &finder.sink);
  return finder.is_found;
}

/**
   Is a placing over within a beat?

   Spacing: if it comes from figuration, not from a chord struck at once. Crossing:
   if the voices go back to their places.
*/
static bool
is_brief(const Judge* const judge, const Remark remark)
{
  const Frames* const frames = judge->frames;
  const Frame* const  start  = &frames->frames[judge->to];
  size_t              end    = judge->to + 1U;
  while (end < frames->n_frames && placing_holds(&frames->frames[end], remark)) {
    ++end;
  }

  const QfTime length = qf_time_sub(frames->frames[end - 1U].end, start->start);
  const int    excess = qf_time_compare(length, frames->beat);
  if (remark.grade == GRADE_CROSSING) {
    return excess <= 0 && end < frames->n_frames && frames->frames[end].is_joined;
  }
  return excess < 0 && !frame_is_block(start);
}

/// A placing is remarked where it begins, and again where all its voices move on
static void
take_placing(Sink* const sink, Remark remark)
{
  Judge* const       judge = (Judge*)sink;
  const Frame* const frame = &judge->frames->frames[judge->to];
  const uint32_t     fresh = frame->struck & remark.voices;
  if (!fresh) {
    return;
  }
  if (remark.grade != GRADE_RANGE) {
    const bool is_new = frame->is_link_start && fresh == remark.voices;
    if (!is_new && frame->is_joined && placing_holds(frame - 1, remark)) {
      return;
    }
    if (is_brief(judge, remark)) {
      remark.grade = remark.grade == GRADE_SPACING    ? GRADE_SPACING_BRIEF
                     : remark.grade == GRADE_CROSSING ? GRADE_CROSSING_BRIEF
                                                      : remark.grade;
    }
  }
  judge_push(judge, remark);
}

/// How the voice came to the note it has before a frame
static void
find_before(const Frames* const frames, size_t frame, VoiceMotion* const motion)
{
  const size_t   voice = motion->voice;
  const uint32_t id    = frames->frames[frame - 1U].ids[voice];
  const Sounds*  note  = &frames->frames[frame - 1U].sounds;
  for (size_t i = frame - 1U; i > 0 && frames->frames[i].is_joined; --i) {
    const Frame* const before = &frames->frames[i - 1U];
    if (!sounds_has(&before->sounds, voice)) {
      return;
    }
    if (before->ids[voice] != id) {
      motion->has_before       = true;
      motion->before_steps     = note->step[voice] - before->sounds.step[voice];
      motion->before_semitones = note->midi[voice] - before->sounds.midi[voice];
      return;
    }
  }
}

static void
judge_voices(Judge* const judge, const size_t index)
{
  const Frame* const from = &judge->frames->frames[index - 1U];
  const Frame* const to   = &judge->frames->frames[index];
  for (size_t v = 0; v < judge->frames->n_voices; ++v) {
    if (!((to->struck >> v) & 1U) || !sounds_has(&from->sounds, v)) {
      continue;
    }
    VoiceMotion motion = {.voice     = v,
                          .n_voices  = judge->frames->n_voices,
                          .steps     = to->sounds.step[v] - from->sounds.step[v],
                          .semitones = to->sounds.midi[v] - from->sounds.midi[v]};
    find_before(judge->frames, index, &motion);
    judge_melody(&motion, &judge->sink);
  }
}

/// Steps by which each voice came to its note before a frame, 0 if it did not
static void
list_arrivals(const Frames* const frames, const size_t frame, int8_t arrivals[QF_MAX_VOICES])
{
  for (size_t v = 0; v < frames->n_voices; ++v) {
    VoiceMotion motion = {.voice = v};
    find_before(frames, frame, &motion);
    arrivals[v] = (int8_t)motion.before_steps;
  }
}

/// Is the note before a frame a passing or neighbour note, shorter than a beat?
static bool
is_ornament(const Frames* const frames, const size_t frame, const size_t voice)
{
  VoiceMotion        motion = {.voice = voice};
  const Frame* const note   = &frames->frames[frame - 1U];
  const Frame* const next   = &frames->frames[frame];
  find_before(frames, frame, &motion);
  size_t start = frame - 1U;
  while (start > 0 && frames->frames[start - 1U].ids[voice] == note->ids[voice]) {
    --start;
  }
  const QfTime length = qf_time_sub(note->end, frames->frames[start].start);
  return qf_time_compare(length, frames->beat) < 0 && motion.has_before &&
         !frame_is_block(&frames->frames[start]) && abs(motion.before_steps) == 1 &&
         abs(next->sounds.step[voice] - note->sounds.step[voice]) == 1;
}

/// The moment before a frame, its passing and neighbour notes made foreign to the chord
static Sounds
without_ornaments(const Frames* const frames, const size_t frame)
{
  Sounds sounds = frames->frames[frame - 1U].sounds;
  for (size_t v = 0; v < frames->n_voices; ++v) {
    if (sounds_has(&sounds, v) && is_ornament(frames, frame, v)) {
      sounds.tone[v] = -1;
    }
  }
  return sounds;
}

/// Where each voice settles: on its first note of the chord
static Sounds
goal_of(const Frames* const frames, const size_t start)
{
  Sounds goal = frames->frames[start].sounds;
  for (size_t v = 0; v < frames->n_voices; ++v) {
    for (size_t i = start; i < frames->n_frames && goal.tone[v] < 0 && sounds_has(&goal, v) &&
                           frames->frames[i].link == frames->frames[start].link;
         ++i) {
      const Sounds* const later = &frames->frames[i].sounds;
      if (sounds_has(later, v) && later->tone[v] >= 0) {
        goal.tone[v] = later->tone[v];
        goal.midi[v] = later->midi[v];
        goal.step[v] = later->step[v];
      }
    }
  }
  return goal;
}

/// The move into a frame
static void
judge_join(Judge* const judge, const size_t index)
{
  const Frames* const   frames    = judge->frames;
  const Frame* const    from      = &frames->frames[index - 1U];
  const Frame* const    to        = &frames->frames[index];
  const Sonority* const left      = frames_sonority(frames, index - 1U);
  const Sonority* const reached   = frames_sonority(frames, index);
  const bool            has_chord = to->is_link_start && left && reached;
  Passage               passage   = has_chord ? passage_between(left, reached) : (Passage){0};
  const Sounds          goal      = has_chord ? goal_of(frames, index) : to->sounds;
  const Join            join      = {.passage = has_chord ? &passage : NULL,
                                     .from    = &from->sounds,
                                     .to      = &to->sounds,
                                     .goal    = &goal};

  judge->from = index - 1U;
  judge->to   = index;
  judge_motion(&join, &judge->sink);
  judge_voices(judge, index);
  if (has_chord) {
    const Sounds settled = without_ornaments(frames, index);
    int8_t       arrivals[QF_MAX_VOICES];
    list_arrivals(frames, index, arrivals);
    const Join resolution = {&passage, &settled, &to->sounds, &goal, arrivals};
    judge_resolution(&resolution, &judge->sink);
    passage.is_over_bar = to->is_downbeat && ((to->struck >> (frames->n_voices - 1U)) & 1U);
    judge_bass(&join, &judge->sink);
  }
}

void
judge_frames(const Frames* const frames,
             const QfProfile     profile,
             const size_t        first,
             const size_t        last,
             Judgements* const   result)
{
  Judge judge = {.sink = {take}, .frames = frames, .profile = profile, .list = result};
  if (!frames->n_voices) {
    return;
  }
  for (size_t i = first; i < last && i < frames->n_frames; ++i) {
    judge.from = judge.to = i;
    judge.sink.take       = take_placing;
    judge_placing(&frames->frames[i].sounds, &judge.sink);
    judge.sink.take = take;

    if (i > 0 && frames->frames[i].is_joined) {
      judge_join(&judge, i);
    }
    if (frames->frames[i].is_link_start && frames_sonority(frames, i)) {
      judge_chord(&judge, i);
    }
  }
}

void
judgements_clear(Judgements* const judgements)
{
  free(judgements->judgements);
  *judgements = (Judgements){0};
}
