// SPDX-License-Identifier: MIT
#include "judge_impl.h"

enum { MAX_CONTENT = 16 };

/// Remarks on doubling and omission within one chord, and how long each holds
typedef struct {
  Sink   sink;
  size_t n_remarks;
  Remark remarks[MAX_CONTENT];
  size_t first[MAX_CONTENT]; ///< Frame where it is true at first
  QfTime lasts[MAX_CONTENT];
  size_t frame;
  QfTime length;
} Content;

static void
take_content(Sink* const sink, const Remark remark)
{
  Content* const content = (Content*)sink;
  size_t         i       = 0;
  while (i < content->n_remarks && (content->remarks[i].grade != remark.grade ||
                                    content->remarks[i].voices != remark.voices)) {
    ++i;
  }
  if (i == MAX_CONTENT) {
    return;
  }
  if (i == content->n_remarks) {
    content->remarks[i] = remark;
    content->first[i]   = content->frame;
    content->lasts[i]   = QF_TIME_ZERO;
    ++content->n_remarks;
  }
  content->lasts[i] = qf_time_add(content->lasts[i], content->length);
}

static size_t
end_of_link(const Frames* const frames, const size_t start)
{
  size_t end = start + 1U;
  while (end < frames->n_frames && frames->frames[end].link == frames->frames[start].link) {
    ++end;
  }
  return end;
}

static bool
is_omission(const Remark remark)
{
  return remark.grade == GRADE_MISSING_THIRD || remark.grade == GRADE_MISSING_FIFTH ||
         remark.grade == GRADE_MISSING_FIFTH_INVERTED || remark.grade == GRADE_MISSING_ROOT ||
         remark.grade == GRADE_MISSING_SEVENTH;
}

/// Doubling and omission of the chord that begins at a frame
static void
judge_notes(Judge* const judge, const size_t start)
{
  const Frames* const   frames   = judge->frames;
  const Sonority* const sonority = frames_sonority(frames, start);
  const size_t          end      = end_of_link(frames, start);
  const Sonority* const after    = end < frames->n_frames ? frames_sonority(frames, end) : NULL;
  const Passage         next     = after ? passage_between(sonority, after) : (Passage){0};
  const bool            is_first =
    !frames->frames[start].is_joined || !start || !frames_sonority(frames, start - 1U);

  // A chord of passing notes, within a beat, is not written out.
  const QfTime whole = qf_time_sub(frames->frames[end - 1U].end, frames->frames[start].start);
  if (qf_time_compare(whole, frames->beat) < 0 && !frame_is_block(&frames->frames[start])) {
    return;
  }

  Content content = {.sink = {take_content}};
  int     fullest = 0;
  for (size_t i = start; i < end; ++i) {
    const ChordView chord = {.sonority = sonority,
                             .sounds   = &frames->frames[i].sounds,
                             .next     = after ? &next : NULL,
                             .is_first = is_first};
    content.frame         = i;
    content.length        = qf_time_sub(frames->frames[i].end, frames->frames[i].start);
    const int n_sounding  = count_bits(chord.sounds->sounding);
    fullest               = n_sounding > fullest ? n_sounding : fullest;
    judge_content(&chord, &content.sink);
  }

  // What is doubled in passing is not heard as doubled; what comes later was not left out.
  const QfTime enough = qf_time_min(whole, frames->beat);
  for (size_t i = 0; i < content.n_remarks; ++i) {
    const bool is_absence = content.remarks[i].voices == 0;
    const bool is_real    = qf_time_compare(content.lasts[i], is_absence ? whole : enough) >= 0;
    if (is_real && (fullest > 2 || !is_omission(content.remarks[i]))) {
      size_t at = content.first[i]; // A rest has no notes to point to
      while (at + 1U < end && !frames->frames[at].sounds.sounding) {
        ++at;
      }
      judge->from = judge->to = at;
      judge_push(judge, content.remarks[i]);
    }
  }
}

static int
bass_step(const Frames* const frames, const size_t frame)
{
  return frames->frames[frame].sounds.step[frames->n_voices - 1U];
}

/// A six-four must cadence, pass, stand over a held bass, or belong to a broken chord
static bool
is_stray_six_four(const Frames* const frames, const size_t start)
{
  const size_t end = end_of_link(frames, start);
  if (!start || end >= frames->n_frames) {
    return false;
  }
  const Sonority* const chord  = frames_sonority(frames, start);
  const Sonority* const before = frames_sonority(frames, start - 1U);
  const Sonority* const after  = frames_sonority(frames, end);
  if (!before || !after) {
    return false;
  }
  const Passage in  = passage_between(before, chord);
  const Passage out = passage_between(chord, after);
  return six_four_is_stray(
    six_four_entry(&in, bass_step(frames, start) - bass_step(frames, start - 1U)), &out,
    bass_step(frames, end) - bass_step(frames, end - 1U));
}

void
judge_chord(Judge* const judge, const size_t start)
{
  judge_notes(judge, start);
  if (is_stray_six_four(judge->frames, start)) {
    judge->from = judge->to = start;
    judge_push(judge, (Remark){GRADE_SIX_FOUR_USE, 0});
  }
}
