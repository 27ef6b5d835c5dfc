// SPDX-License-Identifier: MIT
#include "frames.h"

#include "quintfall/slice.h"

#include <stdlib.h>

/// The link that holds a time, searched from a hint on
static size_t
link_at(const Frames* const frames, const QfTime time, size_t hint)
{
  for (; hint < frames->n_harmonies; ++hint) {
    const QfLink* const link = &frames->harmonies[hint].link;
    if (qf_time_compare(time, link->start) < 0) {
      return SIZE_MAX;
    }
    if (qf_time_compare(time, qf_time_add(link->start, link->duration)) < 0) {
      return hint;
    }
  }
  return SIZE_MAX;
}

const Sonority*
frames_sonority(const Frames* const frames, const size_t frame)
{
  const size_t link = frames->frames[frame].link;
  return link < frames->n_harmonies && frames->harmonies[link].is_known
           ? &frames->harmonies[link].sonority
           : NULL;
}

static void
fill_notes(const Frames* const frames, const size_t index, const QfSlice* const slice)
{
  Frame* const frame     = &frames->frames[index];
  frame->sounds.n_voices = (uint8_t)frames->n_voices;
  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfSounding* const note = &slice->notes[i];
    frame->ids[note->voice]      = note->id;
    frame->pitches[note->voice]  = note->pitch;
    frame->struck |= note->is_struck ? 1U << note->voice : 0U;
    sounds_set(&frame->sounds, note->voice, note->pitch, frames_sonority(frames, index));
  }
}

/// Does one of the notes that end here carry a fermata?
static bool
ends_with_fermata(const QfScore* const score, const QfSlice* const slice)
{
  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfSounding* const note = &slice->notes[i];
    if (qf_time_compare(qf_time_add(note->start, note->duration), slice->end) == 0 &&
        qf_score_has_fermata(score, note->start)) {
      return true;
    }
  }
  return false;
}

static void
fill_frames(Frames* const frames, const QfScore* const score, const QfSlices* const slices)
{
  size_t hint = 0;
  for (size_t i = 0; i < slices->n_slices; ++i) {
    const QfSlice* const slice = &slices->slices[i];
    Frame* const         frame = &frames->frames[i];
    const QfPlace        place = qf_score_place_of(score, slice->start);

    frame->start       = slice->start;
    frame->end         = slice->end;
    frame->link        = link_at(frames, slice->start, hint);
    hint               = frame->link < frames->n_harmonies ? frame->link : hint;
    frame->is_downbeat = qf_time_compare(place.beat, qf_time(1, 1)) == 0;
    if (i > 0) {
      const Frame* const before = &frames->frames[i - 1U];
      frame->is_joined          = before->sounds.sounding && slice->n_notes &&
                         !ends_with_fermata(score, &slices->slices[i - 1U]);
      frame->is_link_start = frame->link != before->link;
    } else {
      frame->is_link_start = true;
    }
    fill_notes(frames, i, slice);
  }
  frames->n_frames = slices->n_slices;
}

QfStatus
frames_of(const QfScore* const score,
          const QfLink* const  links,
          const size_t         n_links,
          Frames* const        result)
{
  QfSlices slices = {0};
  QfStatus st     = qf_slices_of(score, &slices);
  if (st) {
    return st;
  }

  Frames frames    = {.n_voices = qf_score_n_voices(score), .beat = qf_time(1, 4)};
  frames.frames    = (Frame*)calloc(slices.n_slices + 1U, sizeof(Frame));
  frames.harmonies = (Harmony*)calloc(n_links + 1U, sizeof(Harmony));
  if (!frames.frames || !frames.harmonies) {
    st = QF_ERR_NO_MEM;
    frames_clear(&frames);
  } else {
    for (size_t i = 0; i < n_links; ++i) {
      Harmony* const harmony = &frames.harmonies[i];
      harmony->link          = links[i];
      harmony->is_known =
        !sonority_of_numeral(&links[i].numeral, links[i].key, &harmony->sonority, NULL);
    }
    frames.n_harmonies = n_links;
    if (qf_score_n_bars(score)) {
      frames.beat = qf_metre_beat(qf_score_get_bar(score, 0)->metre);
    }
    fill_frames(&frames, score, &slices);
    *result = frames;
  }
  qf_slices_clear(&slices);
  return st;
}

void
frames_clear(Frames* const frames)
{
  free(frames->frames);
  free(frames->harmonies);
  *frames = (Frames){0};
}

void
frames_set_pitch(Frames* const frames, const uint32_t id, const QfPitch pitch)
{
  for (size_t i = 0; i < frames->n_frames; ++i) {
    Frame* const frame = &frames->frames[i];
    for (size_t v = 0; v < frames->n_voices; ++v) {
      if (frame->ids[v] == id) {
        frame->pitches[v] = pitch;
        sounds_set(&frame->sounds, v, pitch, frames_sonority(frames, i));
      }
    }
  }
}
