// SPDX-License-Identifier: MIT
// The frame and the lines: what the ear finds first.
#include "maker.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// The lowest voice
static size_t
bass_of(const Maker* const maker)
{
  return qf_score_n_voices(maker->score) - 1U;
}

/// The first or last bass note if it is to be found, or NULL
static const QfNote*
end_of_bass(const Maker* const maker, const bool is_first)
{
  const size_t        bass    = bass_of(maker);
  const size_t        n_notes = qf_score_n_notes(maker->score, bass);
  const QfNote* const note =
    n_notes ? qf_score_get_note(maker->score, bass, is_first ? 0 : n_notes - 1U) : NULL;
  return note && !qf_lesson_is_given(maker->lesson, note->id) ? note : NULL;
}

/// True if the passage ends in the key it began in
static bool
ends_at_home(const Maker* const maker)
{
  const size_t n = qf_labels_n_links(maker->labels);
  return !n || qf_key_equals(qf_labels_get_link(maker->labels, n - 1U)->key, maker->home);
}

static void
ask_end(Maker* const maker, const bool is_first)
{
  const QfNote* const note = end_of_bass(maker, is_first);
  if (!note) {
    return;
  }

  char degree[16];
  name_degree(note->pitch, maker->home, degree, sizeof(degree));
  QfQuestion q = question_at(maker, QF_STAGE_FRAME, QF_LAYER_BASS, QF_ASK_DEGREE,
                             is_first ? "first-bass" : "last-bass", note->start,
                             qf_time_add(note->start, note->duration));
  concern_note(&q, note->id);
  add_answer(&q, degree);
  set_prompt(&q, "On which degree of the scale does the bass %s?%s", is_first ? "begin" : "end",
             is_first || ends_at_home(maker) ? "" : " Count in the key you were given.");
  add_hint(&q, "Hum the tonic, hold it, and sing from it to the %s bass note.",
           is_first ? "first" : "last");
  add_hint(&q, "Most passages %s on a note of the tonic chord. Is it one of them?",
           is_first ? "begin" : "end");
  set_feedback(&q, try_again, "Yes, the bass %s on degree %s.", is_first ? "begins" : "ends",
               degree);
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
  // What comes after the last close is no part of it.
  const QfLabel* const end =
    qf_labels_get_link(maker->labels, qf_labels_n_links(maker->labels) - 1U);
  if (qf_time_compare(arrival->end, end->start) < 0) {
    char place[48];
    name_place(maker, arrival->start, place, sizeof(place));
    set_prompt(&q, "How does the phrase close that ends at %s?", place);
  } else {
    set_prompt(&q, "How does the %s close?", n_cadences > 1 ? "last phrase" : "passage");
  }
  add_hint(&q, "Does it come to rest, or does it want to go on?");
  add_hint(&q,
           "Listen to the two bass notes at the close: a fall or rise between them tells much.");
  add_hint(&q, "If it rests on the tonic, is the tonic also on top?");
  set_feedback(&q, try_again, "Yes, a %s.", qf_cadence_kind_name(cadence->kind));
  add_question(maker, &q);
}

static void
ask_keys(Maker* const maker)
{
  enum { KEEPS, RETURNS, LEAVES, N_WAYS };
  static const char* const ways[N_WAYS] = {
    [KEEPS]   = "it stays in its key",
    [RETURNS] = "it leaves its key and returns",
    [LEAVES]  = "it ends in another key",
  };

  const size_t n_links = qf_labels_n_links(maker->labels);
  if (n_links < 2) {
    return;
  }
  bool is_home = true;
  for (size_t i = 0; i < n_links; ++i) {
    is_home &= qf_key_equals(qf_labels_get_link(maker->labels, i)->key, maker->home);
  }
  const char* const answer = ways[is_home ? KEEPS : ends_at_home(maker) ? RETURNS : LEAVES];

  QfQuestion q = question_at(maker, QF_STAGE_FRAME, QF_LAYER_NUMERAL, QF_ASK_CHOICE, "end-key",
                             qf_labels_get_link(maker->labels, 0)->start,
                             qf_labels_get_link(maker->labels, n_links - 1U)->end);
  for (size_t i = 0; i < N_WAYS; ++i) {
    add_choice(&q, ways[i]);
  }
  add_answer(&q, answer);
  set_prompt(&q, "Does the passage keep the key you were given?");
  add_hint(&q, "Hold the tonic of the opening through the whole passage. Is it home at the end?");
  add_hint(&q, "Listen for a new leading tone that comes back, and for a close on its goal.");
  set_feedback(&q, try_again, "Yes: %s.", answer);
  add_question(maker, &q);
}

/// The tonic of a key that is reached, by what it is in the first key
static void
ask_new_tonic(Maker* const maker, const QfLabel* const link)
{
  char degree[16];
  char place[48];
  name_place(maker, link->start, place, sizeof(place));
  qf_scale_degree_write(link->key.tonic, maker->home, false, degree, sizeof(degree));
  QfQuestion q = question_at(maker, QF_STAGE_FRAME, QF_LAYER_NUMERAL, QF_ASK_DEGREE, "new-tonic",
                             link->start, link->end);
  add_answer(&q, degree);
  set_prompt(&q,
             "From %s on the passage is in another key. Which degree of the key you were given is "
             "the tonic there?",
             place);
  add_hint(&q,
           "Sing the note on which it rests there, then down or up to the tonic you were given.");
  add_hint(&q, "Most passages go to a key that differs by one sharp or flat.");
  set_feedback(&q, try_again, "Yes, degree %s of the first key.", degree);
  add_question(maker, &q);
}

static void
ask_new_tonics(Maker* const maker)
{
  for (size_t i = 1; i < qf_labels_n_links(maker->labels); ++i) {
    const QfLabel* const link   = qf_labels_get_link(maker->labels, i);
    const QfLabel* const before = qf_labels_get_link(maker->labels, i - 1U);
    if (!qf_key_equals(link->key, before->key) && !qf_key_equals(link->key, maker->home)) {
      ask_new_tonic(maker, link);
    }
  }
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
  add_hint(&q, "Recall the key as it was given: on which note would it rest?");
  set_feedback(&q, try_again, "Yes, that is the tonic.");
  add_question(maker, &q);
}

void
make_frame_questions(Maker* const maker)
{
  ask_tonic(maker);
  ask_end(maker, true);
  ask_end(maker, false);
  ask_cadence(maker);
  ask_keys(maker);
  ask_new_tonics(maker);
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
  set_feedback(&q, try_again, "Yes: %s.", motion_of(from, to));
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
  set_prompt(&q, "Which degree of the scale does %s have at %s?%s", name, place,
             count_in(maker, key));
  add_hint(&q, "Sing from this note down or up to the tonic and count the steps.");
  if (from) {
    add_hint(&q, "Begin from the note before, which you know. From there: %s.",
             motion_of(from, to));
  }
  set_feedback(&q, try_again, "Yes, degree %s.", degree);
  add_question(maker, &q);
}

/// True for the first and last bass note, whose degrees belong to the frame
static bool
is_of_frame(const Maker* const maker, const size_t voice, const QfNote* const note)
{
  return voice == bass_of(maker) &&
         (note == end_of_bass(maker, true) || note == end_of_bass(maker, false)) &&
         ends_at_home(maker);
}

/// Ask for a voice's notes where the chords change
static void
ask_line(Maker* const maker, const size_t voice)
{
  const QfNote* before     = NULL;
  QfKey         key_before = maker->home;
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
      // Of a note that stays only that is asked: its degree is known.
      const bool is_known = before && qf_pitch_equals(before->pitch, note->pitch) &&
                            qf_key_equals(key_before, link->key);
      if (!is_known && !is_of_frame(maker, voice, note)) {
        ask_degree(maker, voice, before, note, link->key);
      }
    }
    before     = note;
    key_before = link->key;
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
