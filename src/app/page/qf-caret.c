// SPDX-License-Identifier: MIT
#include "qf-caret.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

QfTime
qf_caret_duration(const QfCaret caret)
{
  const QfTime plain =
    caret.value < 0 ? qf_time(1 << -caret.value, 1) : qf_time(1, 1 << caret.value);
  return caret.is_dotted ? qf_time_mul(plain, qf_time(3, 2)) : plain;
}

static const QfBar*
bar_at(const QfScore* const score, const QfTime time)
{
  return qf_score_n_bars(score) ? qf_score_get_bar(score, qf_score_bar_at(score, time)) : NULL;
}

QfTime
qf_caret_beat(const QfScore* const score, const QfTime time)
{
  const QfBar* const bar = bar_at(score, time);
  return bar ? qf_metre_beat(bar->metre) : qf_time(1, 4);
}

/// Nearest beat on one side of a time; `time` itself if there is none
static QfTime
neighbour_beat(const QfScore* const score, const QfTime time, const bool is_forward)
{
  const size_t n_bars = qf_score_n_bars(score);
  const size_t here   = n_bars ? qf_score_bar_at(score, time) : 0;
  const size_t first  = here > 0 ? here - 1 : 0;
  QfTime       best   = time;
  bool         found  = false;

  for (size_t b = first; b < n_bars && b <= here + 1; ++b) {
    const QfBar* const bar = qf_score_get_bar(score, b);
    for (int beat = 0; beat < bar->metre.n_groups; ++beat) {
      const QfTime within = qf_time_sub(qf_metre_beat_start(bar->metre, beat), bar->offset);
      if (within.num < 0 || qf_time_compare(within, bar->length) >= 0) {
        continue;
      }

      const QfTime at   = qf_time_add(bar->start, within);
      const int    side = qf_time_compare(at, time);
      if ((is_forward && side > 0 && (!found || qf_time_compare(at, best) < 0)) ||
          (!is_forward && side < 0 && (!found || qf_time_compare(at, best) > 0))) {
        best  = at;
        found = true;
      }
    }
  }

  return best;
}

QfTime
qf_caret_next_stop(const QfScore* const score, const QfTime time)
{
  const QfTime end  = qf_score_get_end(score);
  const QfTime beat = neighbour_beat(score, time, true);
  QfTime       best = qf_time_compare(beat, time) > 0 ? beat : end;

  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfTime start = qf_score_get_note(score, v, i)->start;
      if (qf_time_compare(start, time) > 0) {
        best = qf_time_min(best, start);
        break;
      }
    }
  }

  return qf_time_min(best, end);
}

QfTime
qf_caret_previous_stop(const QfScore* const score, const QfTime time)
{
  const QfTime beat = neighbour_beat(score, time, false);
  QfTime       best = qf_time_compare(beat, time) < 0 ? beat : QF_TIME_ZERO;

  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfTime start = qf_score_get_note(score, v, i)->start;
      if (qf_time_compare(start, time) >= 0) {
        break;
      }
      best = qf_time_max(best, start);
    }
  }

  return best;
}

QfTime
qf_caret_next_bar(const QfScore* const score, const QfTime time)
{
  const QfBar* const bar = bar_at(score, time);
  const QfTime       end = qf_score_get_end(score);
  return bar ? qf_time_min(end, qf_time_add(bar->start, bar->length)) : end;
}

QfTime
qf_caret_previous_bar(const QfScore* const score, const QfTime time)
{
  const QfBar* const bar = bar_at(score, time);
  if (!bar) {
    return QF_TIME_ZERO;
  }

  const size_t index = qf_score_bar_at(score, time);
  return qf_time_compare(bar->start, time) < 0 || index == 0
           ? bar->start
           : qf_score_get_bar(score, index - 1)->start;
}

/// Staff step in the middle of each clef's staff
static int
middle_step(const QfClef clef)
{
  static const int middle_steps[QF_CLEF_N_KINDS] = {
    [QF_CLEF_TREBLE]   = 34, // B4
    [QF_CLEF_BASS]     = 22, // D3
    [QF_CLEF_ALTO]     = 28, // C4
    [QF_CLEF_TENOR]    = 26, // A3
    [QF_CLEF_TREBLE_8] = 27, // B3
  };
  return middle_steps[clef];
}

/// Whether another voice is written on the same staff before (above) or after (below) this one
static bool
shares_staff(const QfScore* const score, const size_t voice, const bool is_above)
{
  const size_t other = is_above ? voice - 1 : voice + 1;
  return other < qf_score_n_voices(score) &&
         qf_score_get_voice(score, other)->staff == qf_score_get_voice(score, voice)->staff;
}

/// Staff step a voice without notes starts from
static int
home_step(const QfScore* const score, const size_t voice)
{
  const QfStaff* const staff  = qf_score_get_staff(score, qf_score_get_voice(score, voice)->staff);
  const int            middle = middle_step(staff->clef);
  return shares_staff(score, voice, true)    ? middle - 3
         : shares_staff(score, voice, false) ? middle + 2
                                             : middle;
}

static const QfNote*
note_before(const QfScore* const score, const size_t voice, const QfTime time)
{
  const QfNote* before = NULL;
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    if (qf_time_compare(note->start, time) >= 0) {
      break;
    }
    before = note;
  }

  return before;
}

QfPitch
qf_caret_nearest_pitch(const QfScore* const score, const QfCaret caret, const int letter)
{
  const QfNote* const before = note_before(score, caret.voice, caret.time);
  const int           from  = before ? qf_pitch_step(before->pitch) : home_step(score, caret.voice);
  const int           base  = from - ((from % 7) + 7) % 7 + letter;
  const int           above = base < from - 3 ? base + 7 : base;
  const int           step  = above > from + 3 ? above - 7 : above;
  const QfKey         key   = qf_score_signature_at(score, caret.time);

  return qf_pitch_from_step(step, qf_key_alter_of(key, letter));
}

size_t
qf_caret_voice_on_staff(const QfScore* const score,
                        const QfCaret        caret,
                        const size_t         staff,
                        const int            step)
{
  size_t best     = caret.voice;
  int    distance = 1000;

  if (qf_score_get_voice(score, caret.voice)->staff == staff) {
    return caret.voice;
  }

  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    if (qf_score_get_voice(score, v)->staff != staff) {
      continue;
    }

    const QfNote* const note = qf_score_note_at(score, v, caret.time);
    const int           at   = note ? qf_pitch_step(note->pitch) : home_step(score, v);
    if (abs(at - step) < distance) {
      distance = abs(at - step);
      best     = v;
    }
  }

  return best;
}

QfPitch
qf_pitch_move_steps(const QfPitch pitch, const int steps, const QfKey signature)
{
  const int step   = qf_pitch_step(pitch) + steps;
  const int letter = ((step % 7) + 7) % 7;
  return qf_pitch_from_step(step, steps % 7 ? qf_key_alter_of(signature, letter) : pitch.alter);
}

void
qf_duration_speak(const QfTime duration, char* const buffer, const size_t size)
{
  static const struct {
    QfTime      duration;
    const char* name;
  } names[] = {
    {{2, 1}, "breve"},      {{3, 2}, "dotted whole note"},
    {{1, 1}, "whole note"}, {{3, 4}, "dotted half"},
    {{1, 2}, "half"},       {{3, 8}, "dotted quarter"},
    {{1, 4}, "quarter"},    {{3, 16}, "dotted eighth"},
    {{1, 8}, "eighth"},     {{3, 32}, "dotted sixteenth"},
    {{1, 16}, "sixteenth"}, {{1, 32}, "thirty-second"},
  };

  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    if (!qf_time_compare(names[i].duration, duration)) {
      snprintf(buffer, size, "%s", names[i].name);
      return;
    }
  }

  char text[48];
  qf_time_write(duration, text, sizeof(text));
  snprintf(buffer, size, "%s of a whole note", text);
}

void
qf_place_speak(const QfScore* const score, const QfTime time, char* const buffer, const size_t size)
{
  if (!qf_score_n_bars(score)) {
    snprintf(buffer, size, "Start");
    return;
  }

  const QfPlace      place = qf_score_place_of(score, time);
  const QfBar* const bar   = qf_score_get_bar(score, place.bar);
  char               beat[48];

  if (qf_time_compare(time, qf_score_get_end(score)) >= 0) {
    snprintf(buffer, size, "After bar %d", bar->number);
    return;
  }

  const int64_t whole = place.beat.num / place.beat.den;
  const QfTime  rest  = qf_time_sub(place.beat, qf_time(whole, 1));
  if (rest.num) {
    char part[48];
    qf_time_write(rest, part, sizeof(part));
    snprintf(beat, sizeof(beat), "%d and %.20s", (int)whole, part);
  } else {
    snprintf(beat, sizeof(beat), "%d", (int)whole);
  }

  if (bar->number || bar->suffix) {
    const char suffix[2] = {bar->suffix, '\0'};
    snprintf(buffer, size, "Bar %d%s beat %s", bar->number, suffix, beat);
  } else {
    snprintf(buffer, size, "Pickup, beat %s", beat);
  }
}

void
qf_caret_describe(const QfScore* const score,
                  const QfCaret        caret,
                  const QfNamingKind   naming,
                  char* const          buffer,
                  const size_t         size)
{
  char place[64];
  qf_place_speak(score, caret.time, place, sizeof(place));
  if (caret.voice >= qf_score_n_voices(score)) {
    snprintf(buffer, size, "%s", place);
    return;
  }

  const QfVoice* const voice = qf_score_get_voice(score, caret.voice);
  const QfNote* const  note  = qf_score_note_at(score, caret.voice, caret.time);
  char                 fallback[QF_NAME_SIZE];
  snprintf(fallback, sizeof(fallback), "voice %zu", caret.voice + 1);
  const char* const voice_name = voice->name[0] ? voice->name : fallback;
  if (!note) {
    snprintf(buffer, size, "%s, %s, rest", place, voice_name);
    return;
  }

  char name[40];
  char length[64];
  qf_note_name_speak(qf_pitch_name(note->pitch), naming, name, sizeof(name));
  qf_duration_speak(note->duration, length, sizeof(length));
  snprintf(buffer, size, "%s, %s, %s %d, %s%s%s", place, voice_name, name, note->pitch.octave,
           length, qf_time_compare(note->start, caret.time) < 0 ? ", held" : "",
           qf_score_has_fermata(score, note->start) ? ", fermata" : "");
}
