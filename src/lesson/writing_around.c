// SPDX-License-Identifier: MIT
#include "writing_around.h"

#include "quintfall/text.h"

#include <stdlib.h>

static QfTime
note_end(const QfNote* const note)
{
  return qf_time_add(note->start, note->duration);
}

static QfTime
link_end(const QfLink* const link)
{
  return qf_time_add(link->start, link->duration);
}

/// Index of the first note of a voice that begins at a time or later
static size_t
first_from(const QfScore* const score, const size_t voice, const QfTime time)
{
  size_t low  = 0;
  size_t high = qf_score_n_notes(score, voice);
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(qf_score_get_note(score, voice, middle)->start, time) < 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

/// The note of a voice that sounds right up to a time, or NULL
static const QfNote*
note_before(const QfScore* const score, const size_t voice, const QfTime time)
{
  const size_t        index = first_from(score, voice, time);
  const QfNote* const note  = index ? qf_score_get_note(score, voice, index - 1U) : NULL;
  return note && qf_time_compare(note_end(note), time) >= 0 ? note : NULL;
}

/// The note of a voice that begins at a time, or NULL
static const QfNote*
note_after(const QfScore* const score, const size_t voice, const QfTime time)
{
  const QfNote* const note = qf_score_note_at(score, voice, time);
  return note && !qf_time_compare(note->start, time) ? note : NULL;
}

/// The chord next to a time on one side; false unless all voices sound there
static bool
find_chord(const Around* const around,
           const QfTime        time,
           const QfNote* (*find)(const QfScore*, size_t, QfTime),
           QfPitch* const result)
{
  for (size_t v = 0; v < around->n_voices; ++v) {
    const QfNote* const note = find(around->score, v, time);
    if (!note) {
      return false;
    }
    result[v] = note->pitch;
  }
  return true;
}

static bool
stays(const State* const state, const uint32_t kept_voices, const size_t voice, const QfNote* note)
{
  return ((kept_voices >> voice) & 1U) || state_is_given(state, note->id);
}

/// The first note that stays in a voice after `from`, up to `end`; NULL if none does
static const QfNote*
next_staying(const State* const state,
             const uint32_t     kept_voices,
             const size_t       voice,
             const QfTime       from,
             const QfTime       end)
{
  const QfScore* const score = state->score;
  const QfNote* const  held  = qf_score_note_at(score, voice, from);
  if (held && stays(state, kept_voices, voice, held)) {
    return held;
  }
  for (size_t i = first_from(score, voice, from); i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    if (qf_time_compare(note->start, end) >= 0) {
      return NULL;
    }
    if (stays(state, kept_voices, voice, note)) {
      return note;
    }
  }
  return NULL;
}

static bool
fits(const QfLink* const link, const QfPitch pitch, const bool is_bass)
{
  QfChord chord = {0};
  if (qf_numeral_chord(&link->numeral, link->key, &chord, NULL)) {
    return false;
  }
  const int member = qf_chord_member_of(chord, qf_pitch_name(pitch));
  return is_bass ? member == chord.inversion : member >= 0;
}

/// What a voice keeps during a link: the first note of the chord, or else the first at all
static const QfNote*
find_kept(const Around* const around,
          const State* const  state,
          const uint32_t      kept_voices,
          const QfLink* const link,
          const size_t        voice,
          const bool          must_fit)
{
  const QfNote* first = NULL;
  const QfTime  end   = link_end(link);
  for (QfTime time = link->start; qf_time_compare(time, end) < 0;) {
    const QfNote* const note = next_staying(state, kept_voices, voice, time, end);
    if (!note || fits(link, note->pitch, voice + 1U == around->n_voices)) {
      return note ? note : first;
    }
    first = must_fit && !first ? note : first;
    time  = note_end(note);
  }
  return first;
}

QfStatus
around_find(const State* const  state,
            const QfLink* const links,
            const size_t        n_links,
            const size_t        n_voices,
            const uint32_t      kept_voices,
            const bool          must_fit,
            Around* const       result)
{
  Around around = {.score       = state->score,
                   .links       = links,
                   .n_links     = n_links,
                   .n_voices    = n_voices,
                   .kept        = (QfKept*)calloc(n_links * n_voices, sizeof(QfKept)),
                   .notes       = (uint32_t*)calloc(n_links * n_voices, sizeof(uint32_t)),
                   .on_downbeat = (bool*)calloc(n_links, sizeof(bool))};
  if (!around.kept || !around.notes || !around.on_downbeat) {
    around_clear(&around);
    return QF_ERR_NO_MEM;
  }

  const QfTime end  = link_end(&links[n_links - 1U]);
  around.has_before = find_chord(&around, links[0].start, note_before, around.before);
  around.has_after  = find_chord(&around, end, note_after, around.after);
  for (size_t i = 0; i < n_links; ++i) {
    const QfPlace place   = qf_score_place_of(state->score, links[i].start);
    around.on_downbeat[i] = qf_time_compare(place.beat, qf_time(1, 1)) == 0;
    for (size_t v = 0; v < n_voices; ++v) {
      const QfNote* const note = find_kept(&around, state, kept_voices, &links[i], v, must_fit);
      if (note) {
        around.notes[around.n_kept]  = note->id;
        around.kept[around.n_kept++] = (QfKept){i, v, note->pitch};
      }
    }
  }
  *result = around;
  return QF_OK;
}

void
around_clear(Around* const around)
{
  free(around->kept);
  free(around->notes);
  free(around->on_downbeat);
  *around = (Around){0};
}

QfWriteOptions
around_options(const Around* const around, const QfProfile profile)
{
  return (QfWriteOptions){.profile     = profile,
                          .n_voices    = around->n_voices,
                          .kept        = around->kept,
                          .n_kept      = around->n_kept,
                          .before      = around->has_before ? around->before : NULL,
                          .after       = around->has_after ? around->after : NULL,
                          .on_downbeat = around->on_downbeat};
}

QfStatus
around_report(const Around* const around, const QfClash* const clash, QfError* const error)
{
  QfText text = {0};
  for (size_t i = 0; i < clash->n_kept; ++i) {
    const QfKept* const kept = &around->kept[clash->kept[i]];
    const QfNote* const note =
      qf_score_find_note(around->score, around->notes[clash->kept[i]], NULL);
    char pitch[16];
    char place[40];
    qf_pitch_write(kept->pitch, pitch, sizeof(pitch));
    qf_score_write_place(around->score, note->start, place, sizeof(place));
    qf_text_addf(&text, "%s%s %s (%s)", i ? ", " : "",
                 qf_score_get_voice(around->score, kept->voice)->name, pitch, place);
  }
  const char* const notes = text.data ? text.data : "out of memory";
  if (clash->n_kept == 1) {
    qf_error_set(error, QF_ERR_IMPOSSIBLE, "the chord can't be written around %s, which is to stay",
                 notes);
  } else {
    qf_error_set(error, QF_ERR_IMPOSSIBLE, "these notes are to stay but can't hold together: %s",
                 notes);
  }
  qf_text_free(&text);
  return QF_ERR_IMPOSSIBLE;
}

static QfStatus
write_voice(State* const state, const QfLink* const link, const size_t voice, const QfPitch pitch)
{
  const QfTime end = link_end(link);
  QfStatus     st  = QF_OK;
  for (QfTime time = link->start; !st && qf_time_compare(time, end) < 0;) {
    const QfNote* const note = next_staying(state, 0, voice, time, end);
    const QfTime        stop = note ? note->start : end;
    const QfTime        next = note ? note_end(note) : end;
    if (qf_time_compare(stop, time) > 0) {
      st = qf_score_put_note(state->score, voice, time, qf_time_sub(stop, time), pitch, QF_NO_NOTE,
                             NULL);
    }
    time = next;
  }
  return st;
}

QfStatus
around_write(State* const         state,
             const QfLink* const  links,
             const size_t         n_links,
             const size_t         n_voices,
             const uint32_t       kept_voices,
             const QfPitch* const pitches)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < n_links; ++i) {
    for (size_t v = 0; !st && v < n_voices; ++v) {
      if (!((kept_voices >> v) & 1U)) {
        st = write_voice(state, &links[i], v, pitches[i * n_voices + v]);
      }
    }
  }
  return st;
}
