// SPDX-License-Identifier: MIT
#include "qf-compare-words.h"

#include "page/qf-caret.h"

#include <stdio.h>
#include <string.h>

enum { NAME_SIZE = 56 };

const QfNote*
qf_compare_written_at(const QfComparison* const comparison, const size_t voice, const QfTime place)
{
  const QfScore* const written = qf_comparison_get_written(comparison);

  for (size_t v = 0; written && v < qf_score_n_voices(written); ++v) {
    if (qf_comparison_voice_of(comparison, v) != voice) {
      continue;
    }
    for (size_t i = 0; i < qf_score_n_notes(written, v); ++i) {
      const QfNote* const note = qf_score_get_note(written, v, i);
      if (!qf_time_compare(qf_comparison_place_of(comparison, voice, note->start), place)) {
        return note;
      }
    }
  }
  return NULL;
}

void
qf_compare_name_voice(const QfScore* const score,
                      const size_t         voice,
                      char* const          buffer,
                      const size_t         size)
{
  const char* const name = qf_score_get_voice(score, voice)->name;

  if (name[0]) {
    snprintf(buffer, size, "%s", name);
  } else {
    snprintf(buffer, size, "Voice %zu", voice + 1);
  }
}

static void
name_note(const QfNote* const note, const QfNamingKind naming, char* const buffer)
{
  char name[40] = "nothing";

  if (!note) {
    snprintf(buffer, NAME_SIZE, "%s", name);
    return;
  }
  qf_note_name_speak(qf_pitch_name(note->pitch), naming, name, sizeof(name));
  snprintf(buffer, NAME_SIZE, "%s %d", name, note->pitch.octave);
}

/// What is to be said after the place
static void
write_state(const QfComparedNote* const item,
            const char* const           asked,
            const char* const           written,
            char* const                 buffer,
            const size_t                size)
{
  switch (item->kind) {
    case QF_COMPARED_SAME:
      snprintf(buffer, size, "%s, alike", asked);
      return;
    case QF_COMPARED_EQUAL:
      snprintf(buffer, size, "%s, which counts as %s", written, asked);
      return;
    case QF_COMPARED_MISSING:
      snprintf(buffer, size, "%s is missing in the answer", asked);
      return;
    case QF_COMPARED_EXTRA:
      snprintf(buffer, size, "%s is too many in the answer", written);
      return;
    case QF_COMPARED_UNASKED:
      snprintf(buffer, size, "%s in the passage, not asked for", asked);
      return;
    case QF_COMPARED_DIFFERS:
      break;
  }
  if (!strcmp(asked, written)) {
    snprintf(buffer, size, "%s on both pages, but another time or length", asked);
  } else {
    snprintf(buffer, size, "the answer has %s, the passage has %s", written, asked);
  }
}

/// The note that a place is about, with its page; NULL for a rest
static const QfComparedNote*
item_at(const QfComparison* const comparison,
        const QfNote* const       asked,
        const QfNote* const       written)
{
  const QfComparedNote* const theirs =
    written ? qf_comparison_find_note(comparison, true, written->id) : NULL;

  // Only what begins here on the answer's page can be too many; otherwise the passage leads.
  if (!asked || (theirs && theirs->kind == QF_COMPARED_EXTRA)) {
    return theirs;
  }
  return qf_comparison_find_note(comparison, false, asked->id);
}

void
qf_compare_describe(const QfComparison* const comparison,
                    const size_t              voice,
                    const QfTime              place,
                    const QfNamingKind        naming,
                    char* const               buffer,
                    const size_t              size)
{
  const QfScore* const        score   = qf_comparison_get_score(comparison);
  const QfScore* const        page    = qf_comparison_get_written(comparison);
  const QfNote* const         asked   = qf_score_note_at(score, voice, place);
  const QfNote*               written = qf_compare_written_at(comparison, voice, place);
  const QfComparedNote* const item    = item_at(comparison, asked, written);
  char                        where[64];
  char                        state[160] = "rest";
  char                        asked_name[NAME_SIZE];
  char                        written_name[NAME_SIZE];
  char                        voice_name[QF_NAME_SIZE];

  qf_place_speak(score, place, where, sizeof(where));
  qf_compare_name_voice(score, voice, voice_name, sizeof(voice_name));
  if (item) {
    if (asked && item->note == asked->id && item->other != QF_NO_NOTE) {
      written = qf_score_find_note(page, item->other, NULL);
    }
    name_note(asked, naming, asked_name);
    name_note(written, naming, written_name);
    write_state(item, asked_name, written_name, state, sizeof(state));
  }
  snprintf(buffer, size, "%s, %s: %s", where, voice_name, state);
}
