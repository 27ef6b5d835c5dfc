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

/// How two voices of the score go together
typedef struct {
  size_t n_lower; ///< Moments with the second voice
  size_t n_both;
  size_t n_same; ///< In unison or octaves
} Company;

static const QfSounding*
find_sounding(const QfSlice* const slice, const size_t voice)
{
  for (size_t i = 0; i < slice->n_notes; ++i) {
    if (slice->notes[i].voice == voice) {
      return &slice->notes[i];
    }
  }
  return NULL;
}

static Company
company_of(const QfSlices* const slices, const size_t a, const size_t b)
{
  Company company = {0, 0, 0};
  for (size_t i = 0; i < slices->n_slices; ++i) {
    const QfSounding* const first  = find_sounding(&slices->slices[i], a);
    const QfSounding* const second = find_sounding(&slices->slices[i], b);
    company.n_lower += second != NULL;
    company.n_both += first && second;
    company.n_same +=
      first && second &&
      qf_note_name_equals(qf_pitch_name(first->pitch), qf_pitch_name(second->pitch));
  }
  return company;
}

/// An instrument that doubles a voice is no part of its own (common practice)
static bool
is_doubling(const QfSlices* const slices, const size_t a, const size_t b)
{
  enum { ENOUGH_MOMENTS = 16 };

  const Company company = company_of(slices, a, b);
  return company.n_both >= ENOUGH_MOMENTS && 5U * company.n_both >= 4U * company.n_lower &&
         5U * company.n_same >= 4U * company.n_both;
}

/// Choose the parts: all voices of four, otherwise without those that double another
static void
choose_voices(Frames* const frames, const QfSlices* const slices, const size_t n_voices)
{
  for (size_t v = 0; v < n_voices; ++v) {
    bool doubles = false;
    for (size_t u = 0; n_voices > QF_SATB && u < frames->n_voices && !doubles; ++u) {
      doubles = is_doubling(slices, frames->voices[u], v);
    }
    if (!doubles) {
      frames->voices[frames->n_voices++] = (uint8_t)v;
    }
  }
}

bool
frame_is_block(const Frame* const frame)
{
  return (frame->struck & frame->sounds.sounding) == frame->sounds.sounding;
}

static void
fill_notes(const Frames* const frames, const size_t index, const QfSlice* const slice)
{
  Frame* const frame     = &frames->frames[index];
  frame->sounds.n_voices = (uint8_t)frames->n_voices;
  for (size_t v = 0; v < frames->n_voices; ++v) {
    const QfSounding* const note = find_sounding(slice, frames->voices[v]);
    if (note) {
      frame->ids[v]     = note->id;
      frame->pitches[v] = note->pitch;
      frame->struck |= note->is_struck ? 1U << v : 0U;
      sounds_set(&frame->sounds, v, note->pitch, frames_sonority(frames, index));
    }
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

  Frames frames    = {.beat = qf_time(1, 4)};
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
    choose_voices(&frames, &slices, qf_score_n_voices(score));
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
