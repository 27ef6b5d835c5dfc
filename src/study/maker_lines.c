// SPDX-License-Identifier: MIT
// The frame and the lines: what the ear finds first.
#include "maker.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char again[] = "Not yet. Hear it once more, with this in mind.";

/// The lowest voice
static size_t
bass_of(const Maker* const maker)
{
  return qf_score_n_voices(maker->score) - 1U;
}

static void
ask_end(Maker* const maker, const bool is_first)
{
  const size_t bass    = bass_of(maker);
  const size_t n_notes = qf_score_n_notes(maker->score, bass);
  if (!n_notes) {
    return;
  }
  const QfNote* const note = qf_score_get_note(maker->score, bass, is_first ? 0 : n_notes - 1U);
  if (qf_lesson_is_given(maker->lesson, note->id)) {
    return;
  }

  char degree[16];
  name_degree(note->pitch, maker->home, degree, sizeof(degree));
  QfQuestion q = question_at(maker, QF_STAGE_FRAME, QF_LAYER_BASS, QF_ASK_DEGREE,
                             is_first ? "first-bass" : "last-bass", note->start,
                             qf_time_add(note->start, note->duration));
  concern_note(&q, note->id);
  add_answer(&q, degree);
  set_prompt(&q, "On which degree of the scale does the bass %s?", is_first ? "begin" : "end");
  add_hint(&q, "Hum the tonic, hold it, and sing from it to the %s bass note.",
           is_first ? "first" : "last");
  add_hint(&q, "Most passages %s on a note of the tonic chord. Is it one of them?",
           is_first ? "begin" : "end");
  set_feedback(&q, again, "Yes, the bass %s on degree %s.", is_first ? "begins" : "ends", degree);
  add_question(maker, &q);
}

static void
ask_cadence(Maker* const maker)
{
  const size_t n_cadences = qf_labels_n_cadences(maker->labels);
  if (!n_cadences) {
    return;
  }
  const QfCadence* const cadence = qf_labels_get_cadence(maker->labels, n_cadences - 1U);
  const QfLabel* const   from    = qf_labels_get_link(maker->labels, cadence->from);
  const QfLabel* const   arrival = qf_labels_get_link(maker->labels, cadence->arrival);

  QfQuestion q = question_at(maker, QF_STAGE_FRAME, QF_LAYER_NUMERAL, QF_ASK_CHOICE, "cadence",
                             from->start, arrival->end);
  for (int k = 0; k < QF_CADENCE_N_KINDS; ++k) {
    add_choice(&q, qf_cadence_kind_name((QfCadenceKind)k));
  }
  add_answer(&q, qf_cadence_kind_name(cadence->kind));
  set_prompt(&q, "How does the %s phrase close?", n_cadences > 1 ? "last" : "whole");
  add_hint(&q, "Does it come to rest, or does it want to go on?");
  add_hint(&q,
           "Listen to the two bass notes at the close: a fall or rise between them tells much.");
  add_hint(&q, "If it rests on the tonic, is the tonic also on top?");
  set_feedback(&q, again, "Yes, a %s.", qf_cadence_kind_name(cadence->kind));
  add_question(maker, &q);
}

static void
ask_same_key(Maker* const maker)
{
  const size_t n_links = qf_labels_n_links(maker->labels);
  if (n_links < 2) {
    return;
  }
  const QfLabel* const first   = qf_labels_get_link(maker->labels, 0);
  const QfLabel* const last    = qf_labels_get_link(maker->labels, n_links - 1U);
  const bool           is_same = qf_key_equals(first->key, last->key);

  QfQuestion q = question_at(maker, QF_STAGE_FRAME, QF_LAYER_NUMERAL, QF_ASK_CHOICE, "end-key",
                             first->start, last->end);
  add_choice(&q, "where it began");
  add_choice(&q, "somewhere else");
  add_answer(&q, is_same ? "where it began" : "somewhere else");
  set_prompt(&q, "In which key does the passage end?");
  add_hint(&q, "Hold the tonic of the opening through the whole passage. Is it still home?");
  add_hint(&q, "Listen for a new leading tone that stays.");
  set_feedback(&q, again, is_same ? "Yes, it ends at home." : "Yes, it has gone to another key.");
  add_question(maker, &q);
}

static void
ask_tonic(Maker* const maker)
{
  const size_t n_links = qf_labels_n_links(maker->labels);
  if (!n_links) {
    return;
  }
  const QfLabel* const last = qf_labels_get_link(maker->labels, n_links - 1U);
  QfQuestion q = question_at(maker, QF_STAGE_FRAME, QF_LAYER_BASS, QF_ASK_SING, "sing-tonic",
                             last->start, last->end);
  add_answer(&q, "1");
  set_prompt(&q, "After the last chord, sing the tonic of the key you were given.");
  add_hint(&q, "Recall the prelude and hum its last note.");
  set_feedback(&q, again, "Yes, that is the tonic.");
  add_question(maker, &q);
}

void
make_frame_questions(Maker* const maker)
{
  ask_tonic(maker);
  ask_end(maker, true);
  ask_end(maker, false);
  ask_cadence(maker);
  ask_same_key(maker);
}

/// How one note goes to the next
static const char*
motion_of(const QfNote* const from, const QfNote* const to)
{
  const int steps = qf_pitch_step(to->pitch) - qf_pitch_step(from->pitch);
  return qf_pitch_equals(from->pitch, to->pitch) ? "it stays"
         : steps == 0                            ? "it is altered"
         : steps == 1                            ? "a step up"
         : steps == -1                           ? "a step down"
         : steps > 0                             ? "a leap up"
                                                 : "a leap down";
}

static void
ask_motion(Maker* const maker, const size_t voice, const QfNote* const from, const QfNote* const to)
{
  static const char* const choices[] = {"it stays",    "it is altered", "a step up",
                                        "a step down", "a leap up",     "a leap down"};

  char name[QF_NAME_SIZE + 8];
  char place[48];
  char kind[32];
  name_voice(maker, voice, name, sizeof(name));
  name_place(maker, to->start, place, sizeof(place));
  snprintf(kind, sizeof(kind), "%s-motion", qf_layer_id(layer_of_voice(maker, voice)));
  QfQuestion q = question_at(maker, QF_STAGE_OUTER, layer_of_voice(maker, voice), QF_ASK_CHOICE,
                             kind, to->start, qf_time_add(to->start, to->duration));
  concern_note(&q, from->id);
  concern_note(&q, to->id);
  for (size_t i = 0; i < sizeof(choices) / sizeof(choices[0]); ++i) {
    add_choice(&q, choices[i]);
  }
  add_answer(&q, motion_of(from, to));
  set_prompt(&q, "How does %s come to its note at %s?", name, place);
  add_hint(&q, "Sing both notes one after the other.");
  add_hint(&q, "Can another note of the scale be sung between them? Then it is no step.");
  set_feedback(&q, again, "Yes: %s.", motion_of(from, to));
  add_question(maker, &q);
}

static void
ask_degree(Maker* const        maker,
           const size_t        voice,
           const QfNote* const from,
           const QfNote* const to,
           const QfKey         key)
{
  char name[QF_NAME_SIZE + 8];
  char place[48];
  char kind[32];
  char degree[16];
  name_voice(maker, voice, name, sizeof(name));
  name_place(maker, to->start, place, sizeof(place));
  name_degree(to->pitch, key, degree, sizeof(degree));
  snprintf(kind, sizeof(kind), "%s-degree", qf_layer_id(layer_of_voice(maker, voice)));
  QfQuestion q = question_at(maker, QF_STAGE_OUTER, layer_of_voice(maker, voice), QF_ASK_DEGREE,
                             kind, to->start, qf_time_add(to->start, to->duration));
  q.key        = key;
  concern_note(&q, to->id);
  add_answer(&q, degree);
  set_prompt(&q, "Which degree of the scale has %s at %s?", name, place);
  add_hint(&q, "Sing from this note down or up to the tonic and count the steps.");
  if (from) {
    add_hint(&q, "Begin from the note before, which you know. From there: %s.",
             motion_of(from, to));
  }
  set_feedback(&q, again, "Yes, degree %s.", degree);
  add_question(maker, &q);
}

/// Ask for a voice's notes where the chords change; the first and last bass note were asked before
static void
ask_line(Maker* const maker, const size_t voice)
{
  const QfNote* before = NULL;
  for (size_t i = 0; i < qf_labels_n_links(maker->labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(maker->labels, i);
    const QfNote* const  note = qf_score_note_at(maker->score, voice, link->start);
    if (!note || qf_time_compare(note->start, link->start)) {
      continue;
    }
    if (!qf_lesson_is_given(maker->lesson, note->id)) {
      if (before) {
        ask_motion(maker, voice, before, note);
      }
      ask_degree(maker, voice, before, note, link->key);
    }
    before = note;
  }
}

void
make_outer_questions(Maker* const maker)
{
  const size_t bass = bass_of(maker);
  ask_line(maker, bass);
  if (bass > 0) {
    ask_line(maker, 0);
  }
}
