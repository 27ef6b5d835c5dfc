// SPDX-License-Identifier: MIT
// Notes foreign to the key, qualities, functions, inner voices: what reasoning adds.
#include "maker.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char again[] = "Not yet. Hear it once more, with this in mind.";

/// True for a note of the key's scale, with the raised sixth and seventh of minor
static bool
belongs_to_key(const QfKey key, const QfPitch pitch)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(key, qf_pitch_name(pitch), &degree, &alter);
  return alter == 0 || (key.mode == QF_MINOR && alter == 1 && degree >= 6);
}

/// The note that follows in the voice, or NULL
static const QfNote*
note_after(const Maker* const maker, const size_t voice, const QfNote* const note)
{
  return qf_score_note_at(maker->score, voice, qf_time_add(note->start, note->duration));
}

static QfQuestion
foreign_question(const Maker* const  maker,
                 const size_t        voice,
                 const QfNote* const note,
                 const QfAskForm     form,
                 const char* const   word)
{
  char kind[32];
  snprintf(kind, sizeof(kind), "%s-%zu", word, voice + 1U);
  QfQuestion q = question_at(maker, QF_STAGE_FOREIGN, layer_of_voice(maker, voice), form, kind,
                             note->start, qf_time_add(note->start, note->duration));
  concern_note(&q, note->id);
  return q;
}

static void
ask_foreign_voice(Maker* const        maker,
                  const size_t        voice,
                  const QfNote* const note,
                  const char* const   place)
{
  QfQuestion q = foreign_question(maker, voice, note, QF_ASK_CHOICE, "foreign-voice");
  char       name[QF_NAME_SIZE + 8];
  for (size_t v = 0; v < qf_score_n_voices(maker->score); ++v) {
    name_voice(maker, v, name, sizeof(name));
    add_choice(&q, name);
  }
  name_voice(maker, voice, name, sizeof(name));
  add_answer(&q, name);
  set_prompt(&q, "At %s a note sounds that is foreign to the key. Which voice has it?", place);
  add_hint(&q, "Sing the scale, and hear which of the voices does not fit it.");
  add_hint(&q, "Hear the passage with one voice forward at a time.");
  set_feedback(&q, again, "Yes, %s has it.", name);
  add_question(maker, &q);
}

static void
ask_foreign_degree(Maker* const        maker,
                   const size_t        voice,
                   const QfNote* const note,
                   const QfKey         key,
                   const char* const   place)
{
  char       name[QF_NAME_SIZE + 8];
  char       degree[16];
  QfQuestion q = foreign_question(maker, voice, note, QF_ASK_DEGREE, "foreign-degree");
  q.key        = key;
  name_voice(maker, voice, name, sizeof(name));
  name_degree(note->pitch, key, degree, sizeof(degree));
  add_answer(&q, degree);
  set_prompt(&q, "Which degree is altered in %s at %s, and is it raised or lowered?", name, place);
  add_hint(&q, "Sing the two neighbours in the scale: it lies between them.");
  add_hint(&q, "It is %s.", degree[0] == 'b' ? "lowered" : "raised");
  set_feedback(&q, again, "Yes, %s.", degree);
  add_question(maker, &q);
}

/// Where an altered note pulls: raised ones a semitone up, lowered ones a semitone down.
///
/// Common practice; R. Hutchinson, "Music Theory for the 21st-Century Classroom", "Secondary
/// Dominants", listens for applied chords so.
static bool
find_goal(const QfKey key, const QfNote* const note, QfPitch* const goal)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(key, qf_pitch_name(note->pitch), &degree, &alter);
  const int16_t    way  = alter > 0 ? 1 : -1;
  const QfInterval step = {way, way};
  return alter != 0 && !qf_pitch_transpose(note->pitch, step, goal);
}

static void
ask_pull(Maker* const        maker,
         const size_t        voice,
         const QfNote* const note,
         const bool          is_up,
         const char* const   place)
{
  const char* const way = is_up ? "upwards" : "downwards";
  QfQuestion        q   = foreign_question(maker, voice, note, QF_ASK_CHOICE, "pull");
  add_choice(&q, "upwards");
  add_choice(&q, "downwards");
  add_answer(&q, way);
  set_prompt(&q, "Which way does the foreign note at %s pull?", place);
  add_hint(&q, "Stop on it and sing on as it wants, whatever follows in the passage.");
  add_hint(&q, "It is %s: it leans the way in which it was altered.", is_up ? "raised" : "lowered");
  set_feedback(&q, again, "Yes, %s by a semitone.", way);
  add_question(maker, &q);
}

static void
ask_goal_note(Maker* const        maker,
              const size_t        voice,
              const QfNote* const note,
              const QfPitch       goal,
              const QfKey         key,
              const char* const   place)
{
  char       degree[16];
  QfQuestion q = foreign_question(maker, voice, note, QF_ASK_SING, "goal");
  q.key        = key;
  name_degree(goal, key, degree, sizeof(degree));
  add_answer(&q, degree);
  set_prompt(&q, "Sing the note to which the foreign note at %s pulls.", place);
  add_hint(&q, "It lies a semitone away.");
  add_hint(&q, "It lies a semitone %s.",
           qf_pitch_midi(goal) > qf_pitch_midi(note->pitch) ? "above" : "below");
  set_feedback(&q, again, "Yes, degree %s.", degree);
  add_question(maker, &q);
}

static void
ask_whether_it_goes(Maker* const        maker,
                    const size_t        voice,
                    const QfNote* const note,
                    const QfPitch       goal,
                    const char* const   place)
{
  static const char* const choices[] = {"yes, there", "no, it turns aside",
                                        "not yet: it is held or stops"};

  const QfNote* const next     = note_after(maker, voice, note);
  const bool          is_there = next && qf_pitch_equals(next->pitch, goal);
  const bool          is_held  = !next || qf_pitch_equals(next->pitch, note->pitch);
  const char* const   answer   = choices[is_there ? 0 : is_held ? 2 : 1];
  QfQuestion          q        = foreign_question(maker, voice, note, QF_ASK_CHOICE, "goes");
  if (next) {
    concern_note(&q, next->id);
  }
  for (size_t i = 0; i < sizeof(choices) / sizeof(choices[0]); ++i) {
    add_choice(&q, choices[i]);
  }
  add_answer(&q, answer);
  set_prompt(&q, "Does the foreign note at %s go where it pulls?", place);
  add_hint(&q,
           "Keep the note in your ear to which it pulls, and compare what its voice sings next.");
  set_feedback(&q, again, "Right: %s.", answer);
  add_question(maker, &q);
}

void
make_foreign_questions(Maker* const maker)
{
  for (size_t i = 0; i < qf_labels_n_links(maker->labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(maker->labels, i);
    for (size_t v = 0; v < qf_score_n_voices(maker->score); ++v) {
      const QfNote* const note = qf_score_note_at(maker->score, v, link->start);
      QfPitch             goal = {0, 0, 0};
      if (!note || qf_time_compare(note->start, link->start) ||
          belongs_to_key(link->key, note->pitch) || qf_lesson_is_given(maker->lesson, note->id)) {
        continue;
      }
      char place[48];
      name_place(maker, note->start, place, sizeof(place));
      ask_foreign_voice(maker, v, note, place);
      ask_foreign_degree(maker, v, note, link->key, place);
      if (find_goal(link->key, note, &goal)) {
        const bool is_up = qf_pitch_midi(goal) > qf_pitch_midi(note->pitch);
        ask_pull(maker, v, note, is_up, place);
        ask_goal_note(maker, v, note, goal, link->key, place);
        ask_whether_it_goes(maker, v, note, goal, place);
      }
    }
  }
}

static const QfChordKind common_kinds[] = {
  QF_CHORD_MAJOR, QF_CHORD_MINOR, QF_CHORD_DIMINISHED, QF_CHORD_AUGMENTED, QF_CHORD_DOM7,
  QF_CHORD_MAJ7,  QF_CHORD_MIN7,  QF_CHORD_HALF_DIM7,  QF_CHORD_DIM7,
};

void
make_quality_questions(Maker* const maker)
{
  for (size_t i = 0; i < qf_labels_n_links(maker->labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(maker->labels, i);
    if (!link->is_known) {
      continue;
    }
    const QfChordKind kind  = link->chord.kind;
    const int         third = qf_chord_kind_member(kind, 1).semitones;
    char              place[48];
    name_place(maker, link->start, place, sizeof(place));

    QfQuestion q = question_at(maker, QF_STAGE_QUALITY, QF_LAYER_QUALITY, QF_ASK_CHOICE, "quality",
                               link->start, link->end);
    for (size_t k = 0; k < sizeof(common_kinds) / sizeof(common_kinds[0]); ++k) {
      add_choice(&q, qf_chord_kind_name(common_kinds[k]));
    }
    add_choice(&q, qf_chord_kind_name(kind));
    add_answer(&q, qf_chord_kind_name(kind));
    set_prompt(&q, "Which quality has the chord at %s?", place);
    add_hint(&q, "Sing up through it from its root: how many different notes has it?");
    add_hint(&q, "It has %d different notes.", qf_chord_kind_size(kind));
    add_hint(&q, "The third above its root is %s.",
             third == 4   ? "large"
             : third == 3 ? "small"
                          : "none of the usual ones");
    set_feedback(&q, again, "Yes, a %s.", qf_chord_kind_name(kind));
    add_question(maker, &q);
  }
}

static const char* const outcome_words[] = {
  [QF_RESOLUTION_NONE]      = NULL,
  [QF_RESOLUTION_KEPT]      = "the goal itself",
  [QF_RESOLUTION_CHAINED]   = "another dominant on the root of the goal",
  [QF_RESOLUTION_DEFLECTED] = "another dominant on another root",
  [QF_RESOLUTION_DECEPTIVE] = "something else",
  [QF_RESOLUTION_PROLONGED] = "still the same function",
  [QF_RESOLUTION_OPEN]      = NULL,
};

static void
ask_goal(Maker* const maker, const QfLabel* const link, const char* const place)
{
  char degree[16];
  qf_scale_degree_write(link->expected_root, link->key, false, degree, sizeof(degree));
  QfQuestion q = question_at(maker, QF_STAGE_FUNCTION, QF_LAYER_NUMERAL, QF_ASK_DEGREE, "points-at",
                             link->start, link->end);
  q.key        = link->key;
  add_answer(&q, degree);
  set_prompt(&q,
             "The chord at %s is of dominant quality. At the root on which degree does it point?",
             place);
  add_hint(&q, "Find its leading tone and sing on, a semitone up.");
  add_hint(&q,
           "Where it is built on a fifth, its goal lies a fifth below: one place on the circle.");
  set_feedback(&q, again, "Yes, it points at degree %s.", degree);
  add_question(maker, &q);
}

static void
ask_outcome(Maker* const maker, const QfLabel* const link, const char* const place)
{
  if (!outcome_words[link->resolution]) {
    return;
  }
  QfQuestion q = question_at(maker, QF_STAGE_FUNCTION, QF_LAYER_NUMERAL, QF_ASK_CHOICE, "outcome",
                             link->start, link->end);
  for (size_t i = 0; i < sizeof(outcome_words) / sizeof(outcome_words[0]); ++i) {
    if (outcome_words[i]) {
      add_choice(&q, outcome_words[i]);
    }
  }
  add_answer(&q, outcome_words[link->resolution]);
  set_prompt(&q, "What follows the dominant at %s?", place);
  add_hint(&q,
           "Sing the goal you expect, then hear whether the bass or another voice takes it up.");
  add_hint(&q, "Does the next chord want to go on as well?");
  set_feedback(&q, again, "Yes: %s.", outcome_words[link->resolution]);
  add_question(maker, &q);
}

static void
ask_family(Maker* const maker, const QfLabel* const link, const char* const place)
{
  const QfFunction function = qf_numeral_function(&link->numeral);
  QfQuestion q = question_at(maker, QF_STAGE_FUNCTION, QF_LAYER_NUMERAL, QF_ASK_CHOICE, "function",
                             link->start, link->end);
  for (int f = QF_FUNCTION_TONIC; f <= QF_FUNCTION_DOMINANT; ++f) {
    add_choice(&q, qf_function_name((QfFunction)f));
  }
  add_answer(&q, qf_function_name(function));
  set_prompt(&q, "What does the chord at %s do: rest, lead on, or press towards home?", place);
  add_hint(&q, "Stop on it. Could the passage end here?");
  add_hint(&q, "Is the leading tone of the key in it?");
  set_feedback(&q, again, "Yes, %s.", qf_function_name(function));
  add_question(maker, &q);
}

static void
ask_name(Maker* const maker, const QfLabel* const link, const char* const place)
{
  char numeral[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
  QfQuestion q = question_at(maker, QF_STAGE_FUNCTION, QF_LAYER_NUMERAL, QF_ASK_NUMERAL, "numeral",
                             link->start, link->end);
  q.key        = link->key;
  add_answer(&q, numeral);
  set_prompt(&q, "So what is the name of the chord at %s?", place);
  if (qf_numeral_is_applied_dominant(&link->numeral)) {
    add_hint(&q, "Name it by what it is to the degree at which it points.");
    add_hint(&q, "Write what it is, a slash, and the degree at which it points.");
  } else {
    add_hint(&q, "Which degree is its root? Bass and quality together tell it.");
  }
  add_hint(&q, "The figures tell which note is in the bass: it is %s.",
           link->numeral.inversion ? "not the root" : "the root");
  set_feedback(&q, again, "Yes, %s.", numeral);
  add_question(maker, &q);
}

void
make_function_questions(Maker* const maker)
{
  for (size_t i = 0; i < qf_labels_n_links(maker->labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(maker->labels, i);
    if (!link->is_known) {
      continue;
    }
    const bool is_pointing = link->resolution != QF_RESOLUTION_NONE;
    char       place[48];
    name_place(maker, link->start, place, sizeof(place));
    if (is_pointing) {
      ask_goal(maker, link, place);
      ask_outcome(maker, link, place);
    } else if (qf_numeral_function(&link->numeral) != QF_FUNCTION_APPLIED) {
      ask_family(maker, link, place);
    }
    ask_name(maker, link, place);
  }
}

static void
ask_inner(Maker* const         maker,
          const size_t         voice,
          const QfLabel* const link,
          const QfNote* const  note)
{
  char name[QF_NAME_SIZE + 8];
  char place[48];
  char pitch[16];
  char kind[32];
  name_voice(maker, voice, name, sizeof(name));
  name_place(maker, note->start, place, sizeof(place));
  qf_pitch_write(note->pitch, pitch, sizeof(pitch));
  snprintf(kind, sizeof(kind), "inner-%zu", voice + 1U);
  QfQuestion q = question_at(maker, QF_STAGE_INNER, QF_LAYER_INNER, QF_ASK_NOTE, kind, note->start,
                             qf_time_add(note->start, note->duration));
  concern_note(&q, note->id);
  add_answer(&q, pitch);
  set_prompt(&q, "Which note has %s at %s?", name, place);
  add_hint(&q, "Spell the chord you named, and strike out what soprano and bass have.");
  const int member =
    link->is_known ? qf_chord_member_of(link->chord, qf_pitch_name(note->pitch)) : -1;
  static const char* const members[] = {"root", "third", "fifth", "seventh", "ninth"};
  if (member >= 0) {
    add_hint(&q, "It is the %s of the chord.", members[member]);
  } else {
    add_hint(&q, "It is no note of the chord: it delays or adorns one.");
  }
  set_feedback(&q, again, "Yes, that is its note.");
  add_question(maker, &q);
}

void
make_inner_questions(Maker* const maker)
{
  for (size_t i = 0; i < qf_labels_n_links(maker->labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(maker->labels, i);
    for (size_t v = 1; v + 1U < qf_score_n_voices(maker->score); ++v) {
      const QfNote* const note = qf_score_note_at(maker->score, v, link->start);
      if (note && !qf_time_compare(note->start, link->start) &&
          !qf_lesson_is_given(maker->lesson, note->id)) {
        ask_inner(maker, v, link, note);
      }
    }
  }
}
