// SPDX-License-Identifier: MIT
#include "explain.h"
#include "words.h"

/// The slice in which the link ends
static const QfSlice*
last_slice(const QfCase* const c)
{
  const QfPassage* const passage = &c->labelling->passage;

  return &passage->slices.slices[passage->columns[c->link->span.end - 1].slice];
}

/// A way a tone can go on
typedef enum { TONE_RESOLVES, TONE_SLIDES, TONE_WAITS, TONE_LEAVES } ToneMotion;

/// The leading tone rises a semitone; in a chain it falls a chromatic one to the next seventh.
/// Rule: R. Hutchinson, Music Theory for the 21st-Century Classroom, "Voice Leading Chromatic
/// Harmonies".
static ToneMotion
leading_tone_motion(const QfInterval interval)
{
  if (interval.steps == 1 && interval.semitones == 1) {
    return TONE_RESOLVES;
  }
  if (interval.steps == 0) {
    return interval.semitones == -1 ? TONE_SLIDES : TONE_WAITS;
  }
  return TONE_LEAVES;
}

/// The seventh falls a step. Common practice.
static ToneMotion
seventh_motion(const QfInterval interval)
{
  if (interval.steps == -1 && interval.semitones >= -2 && interval.semitones < 0) {
    return TONE_RESOLVES;
  }
  return interval.steps == 0 && interval.semitones == 0 ? TONE_WAITS : TONE_LEAVES;
}

/// Say whether a tone goes where it should, in the lowest voice that has it at the link's end
static void
add_motion(const QfCase* const c,
           const int           fifths,
           ToneMotion (*const motion_of)(QfInterval),
           QfText* const text)
{
  static const char* const formats[][2] = {
    [TONE_RESOLVES] = {", and does in ", ""},
    [TONE_SLIDES]   = {", but slides down to the next seventh in ", ", as in a chain of sevenths"},
    [TONE_WAITS]    = {", and still waits in ", ""},
    [TONE_LEAVES]   = {", but goes elsewhere in ", ""},
  };

  const QfSlice* const slice = last_slice(c);

  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfSounding* const note = &slice->notes[i];
    const QfTime            end  = qf_time_add(note->start, note->duration);
    const QfNote* const     next = qf_score_note_at(c->labelling->passage.score, note->voice, end);
    char                    voice[QF_NAME_SIZE + 8];

    if (qf_note_name_fifths(qf_pitch_name(note->pitch)) != fifths) {
      continue;
    }

    qf_case_voice_name(c, note->voice, voice, sizeof(voice));
    if (next) {
      const ToneMotion motion = motion_of(qf_interval_between(note->pitch, next->pitch));

      qf_text_addf(text, "%s%s%s", formats[motion][0], voice, formats[motion][1]);
    } else {
      qf_text_addf(text, ", but %s falls silent", voice);
    }
    return;
  }
}

void
qf_case_explain_leading_tone(const QfCase* const c)
{
  const int  leading = c->link->dominant + 4;
  const bool applied = c->entry->role == QF_ROLE_APPLIED;
  QfText     text    = {0};
  char       name[QF_NAME_ROOM];
  char       goal[QF_NAME_ROOM];

  qf_case_fifths_name(c, leading, name);
  qf_case_fifths_name(c, c->link->target, goal);
  qf_text_addf(&text, "%s is the %sleading tone of %s: it should rise to %s", name,
               applied ? "applied " : "", goal, goal);
  add_motion(c, leading, leading_tone_motion, &text);
  qf_text_add(&text, ".");
  qf_case_add_reason(c->label, QF_REASON_LEADING, &text);
}

void
qf_case_explain_seventh(const QfCase* const c)
{
  const int seventh = c->link->root + qf_member_fifths(c->entry->kind, 3);
  QfText    text    = {0};
  char      name[QF_NAME_ROOM];

  qf_case_fifths_name(c, seventh, name);
  qf_text_addf(&text, "%s is the seventh: it should fall a step", name);
  add_motion(c, seventh, seventh_motion, &text);
  qf_text_add(&text, ".");
  qf_case_add_reason(c->label, QF_REASON_SEVENTH, &text);
}

void
qf_case_explain_augmented_sixth(const QfCase* const c)
{
  const int tonic = qf_tonic_of(c->link->span.key);
  QfText    text  = {0};
  char      low[QF_NAME_ROOM];
  char      high[QF_NAME_ROOM];
  char      goal[QF_NAME_ROOM];

  qf_case_fifths_name(c, tonic - 4, low);
  qf_case_fifths_name(c, tonic + 6, high);
  qf_case_fifths_name(c, tonic + 1, goal);
  qf_text_addf(&text, "%s and %s make an augmented sixth: both should close in on %s.", low, high,
               goal);
  qf_case_add_reason(c->label, QF_REASON_LEADING, &text);
}
