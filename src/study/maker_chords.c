// SPDX-License-Identifier: MIT
// Qualities, functions, inner voices: what reasoning adds.
#include "maker.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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
    set_prompt(&q, "What is the quality of the chord at %s?", place);
    add_hint(&q, "Sing up through it from its root: how many different notes has it?");
    add_hint(&q, "It has %d different notes.", qf_chord_kind_size(kind));
    add_hint(&q, "The third above its root is %s.",
             third == 4   ? "large"
             : third == 3 ? "small"
                          : "none of the usual ones");
    set_feedback(&q, try_again, "Yes, a %s.", qf_chord_kind_name(kind));
    add_question(maker, &q);
  }
}

static const char* const outcome_words[] = {
  [QF_RESOLUTION_NONE]      = NULL,
  [QF_RESOLUTION_KEPT]      = "the goal itself",
  [QF_RESOLUTION_CHAINED]   = "another dominant on the root of the goal",
  [QF_RESOLUTION_DEFLECTED] = "another dominant on another root",
  [QF_RESOLUTION_DECEPTIVE] = "another chord in place of the goal",
  [QF_RESOLUTION_PROLONGED] = "the same dominant goes on",
  [QF_RESOLUTION_OPEN]      = NULL,
};

/// Where the goal lies from the root, on the line of fifths; common practice
static const char*
way_to_goal(const QfLabel* const link)
{
  enum { FIFTH_BELOW = -1, SEMITONE_ABOVE = -5 };

  const int way = qf_note_name_fifths(link->expected_root) - qf_note_name_fifths(link->chord.root);
  return link->numeral.form != QF_NUMERAL_ROMAN
           ? "Follow the two notes that pull apart: they open into the root of the goal."
         : way == FIFTH_BELOW
           ? "Its goal lies a fifth below its root: one place on along the circle."
         : way == SEMITONE_ABOVE ? "Its root is a leading tone: its goal lies a semitone above."
                                 : "Sing on to where all of it comes to rest.";
}

static void
ask_goal(Maker* const maker, const QfLabel* const link, const char* const place)
{
  char degree[16];
  qf_scale_degree_write(link->expected_root, link->key, false, degree, sizeof(degree));
  QfQuestion q = question_at(maker, QF_STAGE_FUNCTION, QF_LAYER_NUMERAL, QF_ASK_DEGREE, "points-at",
                             link->start, link->end);
  q.key        = link->key;
  add_answer(&q, degree);
  set_prompt(
    &q,
    "The chord at %s presses on to a goal, as dominants do. On which degree is the root of "
    "that goal?%s",
    place, count_in(maker, link->key));
  add_hint(&q, "Hold the note in it that pulls most, and sing it on to where it wants to go.");
  add_hint(&q, "%s", way_to_goal(link));
  set_feedback(&q, try_again, "Yes, it points at degree %s.", degree);
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
  set_prompt(&q, "What follows the chord at %s, which points at a goal?", place);
  add_hint(&q,
           "Sing the root you expect, then hear whether the bass or another voice takes it up.");
  add_hint(&q, "Does the next chord want to go on as well?");
  set_feedback(&q, try_again, "Yes: %s.", outcome_words[link->resolution]);
  add_question(maker, &q);
}

/// The dominant's bass under the notes of the tonic: neither rest nor a dominant by its sound
static void
ask_cadential(Maker* const maker, const QfLabel* const link, const char* const place)
{
  static const char* const choices[] = {"they rest as the tonic does", "they delay the dominant",
                                        "they pass on to another bass note"};

  QfQuestion q = question_at(maker, QF_STAGE_FUNCTION, QF_LAYER_NUMERAL, QF_ASK_CHOICE, "cadential",
                             link->start, link->end);
  for (size_t i = 0; i < sizeof(choices) / sizeof(choices[0]); ++i) {
    add_choice(&q, choices[i]);
  }
  add_answer(&q, choices[1]);
  set_prompt(&q, "At %s notes of the tonic stand over the fifth degree. What do they do there?",
             place);
  add_hint(&q, "Stop on it: would it do as the last chord?");
  add_hint(&q, "Keep the bass in your ear, and hear where the notes over it go next.");
  set_feedback(&q, try_again, "Yes: %s.", choices[1]);
  add_question(maker, &q);
}

/// What a function does, as it is asked
static const char* const deeds[] = {
  [QF_FUNCTION_TONIC]       = "it rests: tonic",
  [QF_FUNCTION_PREDOMINANT] = "it leads on: predominant",
  [QF_FUNCTION_DOMINANT]    = "it presses home: dominant",
};

/// Books differ on the third and sixth degrees: each stands for the tonic, and leads on.
///
/// Common practice: vi as tonic substitute and as pre-dominant; iii between tonic and dominant.
static void
add_other_reading(QfQuestion* const q, const QfLabel* const link)
{
  if (link->numeral.form == QF_NUMERAL_ROMAN && !link->numeral.alter &&
      (link->numeral.degree == 6 || link->numeral.degree == 3)) {
    add_answer(q, deeds[QF_FUNCTION_TONIC]);
    add_answer(q,
               deeds[link->numeral.degree == 6 ? QF_FUNCTION_PREDOMINANT : QF_FUNCTION_DOMINANT]);
  }
}

/// True for a triad over its fifth, which adorns what is around it
static bool
is_six_four(const QfLabel* const link)
{
  return link->numeral.inversion == 2 && qf_chord_kind_size(link->chord.kind) == 3;
}

static void
ask_family(Maker* const maker, const QfLabel* const link, const char* const place)
{
  const QfFunction function = qf_numeral_function(&link->numeral);
  QfQuestion q = question_at(maker, QF_STAGE_FUNCTION, QF_LAYER_NUMERAL, QF_ASK_CHOICE, "function",
                             link->start, link->end);
  for (int f = QF_FUNCTION_TONIC; f <= QF_FUNCTION_DOMINANT; ++f) {
    add_choice(&q, deeds[f]);
  }
  add_answer(&q, deeds[function]);
  add_other_reading(&q, link);
  set_prompt(&q, "What does the chord at %s do?", place);
  add_hint(&q, "Stop on it. Could the passage end here?");
  add_hint(&q, "Is the leading tone of the key in it?");
  set_feedback(&q, try_again, "Yes, %s.", deeds[function]);
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
  set_prompt(&q, "So what is the name of the chord at %s?%s", place, count_in(maker, link->key));
  if (qf_numeral_is_applied_dominant(&link->numeral)) {
    add_hint(&q, "Name it by what it is to the degree at which it points.");
    add_hint(&q, "Write what it is, a slash, and the degree at which it points.");
  } else {
    add_hint(&q, "Which degree is its root? Bass and quality together tell it.");
  }
  add_hint(&q, "The figures tell which note is in the bass: it is %s.",
           link->numeral.inversion ? "not the root" : "the root");
  set_feedback(&q, try_again, "Yes, %s.", numeral);
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
    char place[48];
    name_place(maker, link->start, place, sizeof(place));
    if (link->numeral.form == QF_NUMERAL_CADENTIAL) {
      ask_cadential(maker, link, place);
    } else if (link->resolution != QF_RESOLUTION_NONE) {
      ask_goal(maker, link, place);
      ask_outcome(maker, link, place);
    } else if (qf_numeral_function(&link->numeral) != QF_FUNCTION_APPLIED && !is_six_four(link)) {
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
  set_prompt(&q, "Which note does %s have at %s? Name it with its octave.", name, place);
  add_hint(&q, "Spell the chord you named. Which of its notes do soprano and bass not have yet?");
  const int member =
    link->is_known ? qf_chord_member_of(link->chord, qf_pitch_name(note->pitch)) : -1;
  static const char* const members[] = {"root", "third", "fifth", "seventh", "ninth"};
  if (member >= 0) {
    add_hint(&q, "It is the %s of the chord.", members[member]);
  } else {
    add_hint(&q, "It is no note of the chord: it delays or adorns one.");
  }
  set_feedback(&q, try_again, "Yes, that is its note.");
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
