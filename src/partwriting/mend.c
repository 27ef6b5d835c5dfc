// SPDX-License-Identifier: MIT
#include "judge.h"

#include <limits.h>
#include <stdlib.h>

enum {
  REACH       = 8,  ///< Frames around a finding that a change can touch
  MAX_NOTES   = 12, ///< Notes that may be changed
  MAX_PITCHES = 16, ///< Other pitches of one note
  WIDEST_MOVE = 12, ///< Semitones
};

/// A note that may change, and to what
typedef struct {
  uint32_t id;
  QfPitch  pitch;
  size_t   n_pitches;
  QfPitch  pitches[MAX_PITCHES];
} Option;

typedef struct {
  Frames*    frames;
  QfProfile  profile;
  Judgement  finding;
  size_t     first; ///< Window that is judged
  size_t     last;
  Judgements before;
  size_t     n_warnings; ///< In the window as it stands
  size_t     n_options;
  Option     options[MAX_NOTES];
  int        best_cost;
  QfMend     best;
} Search;

static bool
is_same_place(const Judgement* const a, const Judgement* const b)
{
  return a->remark.voices == b->remark.voices && a->from == b->from && a->to == b->to;
}

static bool
is_known_error(const Search* const search, const Judgement* const error)
{
  for (size_t i = 0; i < search->before.n_judgements; ++i) {
    const Judgement* const other = &search->before.judgements[i];
    if (other->remark.grade == error->remark.grade && is_same_place(other, error)) {
      return true;
    }
  }
  return false;
}

/// Is the finding gone, with no new error and no more warnings?
static bool
is_mended(const Search* const search)
{
  Judgements after = {0};
  judge_frames(search->frames, search->profile, search->first, search->last, &after);

  const QfRule rule       = grade_get(search->finding.remark.grade)->rule;
  size_t       n_warnings = 0;
  bool         is_good    = !after.failed;
  for (size_t i = 0; i < after.n_judgements; ++i) {
    const Judgement* const judgement = &after.judgements[i];
    const bool             is_it     = grade_get(judgement->remark.grade)->rule == rule &&
                       is_same_place(judgement, &search->finding);
    const bool is_error = judgement->severity == QF_SEVERITY_ERROR;
    n_warnings += judgement->severity == QF_SEVERITY_WARNING;
    is_good &= !is_it && (!is_error || is_known_error(search, judgement));
  }
  judgements_clear(&after);
  return is_good && n_warnings <= search->n_warnings;
}

static int
distance(const QfPitch a, const QfPitch b)
{
  return abs(qf_pitch_midi(a) - qf_pitch_midi(b));
}

static void
try_one(Search* const search, const Option* const option)
{
  for (size_t i = 0; i < option->n_pitches; ++i) {
    const int cost = distance(option->pitch, option->pitches[i]);
    if (cost >= search->best_cost) {
      continue;
    }
    frames_set_pitch(search->frames, option->id, option->pitches[i]);
    if (is_mended(search)) {
      search->best_cost = cost;
      search->best      = (QfMend){1, {{option->id, option->pitches[i]}}};
    }
  }
  frames_set_pitch(search->frames, option->id, option->pitch);
}

static void
try_two(Search* const search, const Option* const a, const Option* const b)
{
  for (size_t i = 0; i < a->n_pitches; ++i) {
    frames_set_pitch(search->frames, a->id, a->pitches[i]);
    for (size_t k = 0; k < b->n_pitches; ++k) {
      const int cost = distance(a->pitch, a->pitches[i]) + distance(b->pitch, b->pitches[k]);
      if (cost >= search->best_cost) {
        continue;
      }
      frames_set_pitch(search->frames, b->id, b->pitches[k]);
      if (is_mended(search)) {
        search->best_cost = cost;
        search->best      = (QfMend){2, {{a->id, a->pitches[i]}, {b->id, b->pitches[k]}}};
      }
    }
    frames_set_pitch(search->frames, b->id, b->pitch);
  }
  frames_set_pitch(search->frames, a->id, a->pitch);
}

/// Notes of the chord near a note that are not it; the bass keeps to the chord's bass
static void
list_pitches(const Search* const search,
             const size_t        frame,
             const size_t        voice,
             Option* const       option)
{
  const Sonority* const sonority = frames_sonority(search->frames, frame);
  const bool            is_bass  = voice + 1U == search->frames->n_voices;
  for (int tone = 0; sonority && tone < sonority->n_tones; ++tone) {
    for (int8_t octave = (int8_t)(option->pitch.octave - 1);
         octave <= option->pitch.octave + 1 && option->n_pitches < MAX_PITCHES; ++octave) {
      const QfNoteName name  = sonority->tones[tone].name;
      const QfPitch    pitch = {name.letter, name.alter, octave};
      const int        midi  = qf_pitch_midi(pitch);
      if (midi >= 0 && midi <= 127 && (!is_bass || tone == sonority->bass) &&
          distance(pitch, option->pitch) <= WIDEST_MOVE && !qf_pitch_equals(pitch, option->pitch)) {
        option->pitches[option->n_pitches++] = pitch;
      }
    }
  }
}

/// The chord a note is written for is the one it begins in
static void
add_options(Search* const search, const size_t frame)
{
  const Frame* const at = &search->frames->frames[frame];
  for (size_t v = 0; v < search->frames->n_voices; ++v) {
    bool is_known = at->ids[v] == QF_NO_NOTE || search->n_options == MAX_NOTES;
    for (size_t i = 0; i < search->n_options; ++i) {
      is_known |= search->options[i].id == at->ids[v];
    }
    if (is_known) {
      continue;
    }
    size_t start = frame;
    while (start > 0 && search->frames->frames[start - 1U].ids[v] == at->ids[v]) {
      --start;
    }
    Option* const option = &search->options[search->n_options];
    *option              = (Option){.id = at->ids[v], .pitch = at->pitches[v]};
    list_pitches(search, start, v, option);
    search->n_options += option->n_pitches > 0;
  }
}

static void
set_window(Search* const search)
{
  const Frames* const frames = search->frames;
  const size_t        from   = search->finding.from;
  search->first              = from > REACH ? from - REACH : 0;
  search->last               = search->finding.to + REACH + 1U;
  search->last               = search->last < frames->n_frames ? search->last : frames->n_frames;
}

static void
search_mend(Search* const search)
{
  set_window(search);
  judge_frames(search->frames, search->profile, search->first, search->last, &search->before);
  for (size_t i = 0; i < search->before.n_judgements; ++i) {
    search->n_warnings += search->before.judgements[i].severity == QF_SEVERITY_WARNING;
  }

  add_options(search, search->finding.to);
  if (search->finding.from != search->finding.to) {
    add_options(search, search->finding.from);
  }
  search->best_cost = INT_MAX;
  for (size_t i = 0; i < search->n_options; ++i) {
    try_one(search, &search->options[i]);
  }
  if (search->best.n_changes) {
    return;
  }
  for (size_t i = 0; i < search->n_options; ++i) {
    for (size_t k = i + 1U; k < search->n_options; ++k) {
      try_two(search, &search->options[i], &search->options[k]);
    }
  }
}

static bool
find_finding(const Frames* const     frames,
             const Judgements* const all,
             const QfFinding* const  finding,
             Judgement* const        result)
{
  uint32_t voices = 0;
  for (size_t i = 0; i < finding->n_voices; ++i) {
    for (size_t v = 0; v < frames->n_voices; ++v) {
      voices |= frames->voices[v] == finding->voices[i] ? 1U << v : 0U;
    }
  }
  for (size_t i = 0; i < all->n_judgements; ++i) {
    const Judgement* const judgement = &all->judgements[i];
    if (grade_get(judgement->remark.grade)->rule == finding->rule &&
        judgement->remark.voices == voices &&
        qf_time_compare(frames->frames[judgement->from].start, finding->from) == 0 &&
        qf_time_compare(frames->frames[judgement->to].start, finding->to) == 0) {
      *result = *judgement;
      return true;
    }
  }
  return false;
}

QfStatus
qf_find_mend_links(const QfScore* const   score,
                   const QfLink* const    links,
                   const size_t           n_links,
                   const QfProfile        profile,
                   const QfFinding* const finding,
                   QfMend* const          result)
{
  Frames         frames = {0};
  const QfStatus st     = frames_of(score, links, n_links, &frames);
  if (st) {
    return st;
  }

  Judgements all    = {0};
  Search     search = {.frames = &frames, .profile = profile};
  judge_frames(&frames, profile, 0, frames.n_frames, &all);
  if (find_finding(&frames, &all, finding, &search.finding)) {
    search_mend(&search);
  }
  const bool has_failed = all.failed || search.before.failed;
  if (!has_failed) {
    *result = search.best;
  }
  judgements_clear(&search.before);
  judgements_clear(&all);
  frames_clear(&frames);
  return has_failed ? QF_ERR_NO_MEM : QF_OK;
}

QfStatus
qf_find_mend(const QfScore* const   score,
             const QfLabels* const  labels,
             const QfProfile        profile,
             const QfFinding* const finding,
             QfMend* const          result)
{
  QfLink*        links   = NULL;
  size_t         n_links = 0;
  const QfStatus st      = links_of_labels(labels, &links, &n_links);
  if (st) {
    return st;
  }
  const QfStatus found = qf_find_mend_links(score, links, n_links, profile, finding, result);
  free(links);
  return found;
}
