// SPDX-License-Identifier: MIT
// Notes foreign to the key, and where they pull.
#include "maker.h"

#include <stdio.h>
#include <string.h>

/// How a note stands to the key at its chord
typedef enum {
  OF_THE_KEY,
  DOUBTFUL, ///< Minor's raised sixth in a chord that leans elsewhere: either may be said
  FOREIGN,
} Standing;

/// Minor's raised seventh is its own, and its raised sixth in a chord of the key.
///
/// Common practice: harmonic and melodic minor.
static Standing
standing_of(const QfLabel* const link, const QfPitch pitch)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(link->key, qf_pitch_name(pitch), &degree, &alter);

  const bool is_minors = link->key.mode == QF_MINOR && alter == 1;
  const bool is_own    = link->is_known && !link->numeral.n_targets;
  return alter == 0 || (is_minors && degree == 7) ? OF_THE_KEY
         : is_minors && degree == 6 && is_own     ? OF_THE_KEY
         : is_minors && degree == 6               ? DOUBTFUL
                                                  : FOREIGN;
}

/// The note of a voice that begins with a link, or NULL
static const QfNote*
note_of(const Maker* const maker, const QfLabel* const link, const size_t voice)
{
  const QfNote* const note = qf_score_note_at(maker->score, voice, link->start);
  return note && !qf_time_compare(note->start, link->start) ? note : NULL;
}

static bool
is_asked(const Maker* const maker, const QfLabel* const link, const QfNote* const note)
{
  return note && standing_of(link, note->pitch) == FOREIGN &&
         !qf_lesson_is_given(maker->lesson, note->id);
}

/// The note that follows in the voice, or NULL
static const QfNote*
note_after(const Maker* const maker, const size_t voice, const QfNote* const note)
{
  return qf_score_note_at(maker->score, voice, qf_time_add(note->start, note->duration));
}

/// A foreign note, and the words for it: "the foreign note of the alto at m3 b2"
typedef struct {
  size_t        voice;
  const QfNote* note;
  QfKey         key;
  char          voice_name[QF_NAME_SIZE + 8];
  char          place[48];
} Foreign;

static QfQuestion
foreign_question(const Maker* const   maker,
                 const Foreign* const foreign,
                 const QfAskForm      form,
                 const char* const    word)
{
  const QfNote* const note = foreign->note;
  char                kind[32];
  snprintf(kind, sizeof(kind), "%s-%zu", word, foreign->voice + 1U);
  QfQuestion q = question_at(maker, QF_STAGE_FOREIGN, layer_of_voice(maker, foreign->voice), form,
                             kind, note->start, qf_time_add(note->start, note->duration));
  concern_note(&q, note->id);
  return q;
}

/// One question for a chord, however many of its notes are foreign: each voice that has one is
/// right
static void
ask_voice(Maker* const maker, const QfLabel* const link, const Foreign* const first)
{
  QfQuestion q         = foreign_question(maker, first, QF_ASK_CHOICE, "foreign-voice");
  size_t     n_foreign = 0;
  char       name[QF_NAME_SIZE + 8];
  for (size_t v = 0; v < qf_score_n_voices(maker->score); ++v) {
    const QfNote* const note  = qf_score_note_at(maker->score, v, link->start);
    const Standing      stand = note ? standing_of(link, note->pitch) : OF_THE_KEY;
    name_voice(maker, v, name, sizeof(name));
    add_choice(&q, name);
    if (stand != OF_THE_KEY) {
      add_answer(&q, name);
    }
    n_foreign += stand == FOREIGN;
  }
  if (n_foreign > 1) {
    set_prompt(&q, "At %s notes sound that are foreign to the key. Name a voice that has one.",
               first->place);
    set_feedback(&q, try_again, "Yes, that voice has one; %zu voices do.", n_foreign);
  } else {
    set_prompt(&q, "At %s a note sounds that is foreign to the key. Which voice has it?",
               first->place);
    set_feedback(&q, try_again, "Yes, %s has it.", first->voice_name);
  }
  add_hint(&q, "Sing the scale, and hear which of the voices does not fit it.");
  add_hint(&q, "Hear the passage with one voice forward at a time.");
  add_question(maker, &q);
}

static void
ask_degree(Maker* const maker, const Foreign* const foreign)
{
  char       degree[16];
  QfQuestion q = foreign_question(maker, foreign, QF_ASK_DEGREE, "foreign-degree");
  q.key        = foreign->key;
  name_degree(foreign->note->pitch, foreign->key, degree, sizeof(degree));
  add_answer(&q, degree);
  set_prompt(&q, "Which degree is altered in %s at %s, and is it raised or lowered?%s",
             foreign->voice_name, foreign->place, count_in(maker, foreign->key));
  add_hint(&q, "Sing the two neighbours in the scale: it lies between them.");
  add_hint(&q, "It is %s.", degree[0] == 'b' ? "lowered" : "raised");
  set_feedback(&q, try_again, "Yes, %s.", degree);
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
ask_pull(Maker* const maker, const Foreign* const foreign, const bool is_up)
{
  const char* const way = is_up ? "upwards" : "downwards";
  QfQuestion        q   = foreign_question(maker, foreign, QF_ASK_CHOICE, "pull");
  add_choice(&q, "upwards");
  add_choice(&q, "downwards");
  add_answer(&q, way);
  set_prompt(&q, "Which way does the foreign note of %s at %s pull?", foreign->voice_name,
             foreign->place);
  add_hint(&q, "Stop on it and sing on as it wants, whatever follows in the passage.");
  add_hint(&q, "It is %s: it leans the way in which it was altered.", is_up ? "raised" : "lowered");
  set_feedback(&q, try_again, "Yes, %s by a semitone.", way);
  add_question(maker, &q);
}

static void
ask_goal_note(Maker* const maker, const Foreign* const foreign, const QfPitch goal)
{
  char       degree[16];
  QfQuestion q = foreign_question(maker, foreign, QF_ASK_SING, "goal");
  q.key        = foreign->key;
  name_degree(goal, foreign->key, degree, sizeof(degree));
  add_answer(&q, degree);
  set_prompt(&q, "Sing the note to which the foreign note of %s at %s pulls.%s",
             foreign->voice_name, foreign->place, count_in(maker, foreign->key));
  add_hint(&q, "It lies a semitone away.");
  add_hint(&q, "It lies a semitone %s.",
           qf_pitch_midi(goal) > qf_pitch_midi(foreign->note->pitch) ? "above" : "below");
  set_feedback(&q, try_again, "Yes, degree %s.", degree);
  add_question(maker, &q);
}

enum { GOES, SLIPS, TURNS, STAYS, N_WAYS };

/// What a foreign note does after all.
///
/// Common practice: in a chain of dominants a leading tone slips down a chromatic semitone and is
/// the seventh of the next one; R. Hutchinson, as above, "Chains of secondary dominants".
static int
way_of(const QfNote* const note, const QfNote* const next, const QfPitch goal)
{
  const bool is_slip = next && qf_pitch_step(next->pitch) == qf_pitch_step(note->pitch) &&
                       qf_pitch_midi(goal) > qf_pitch_midi(note->pitch) &&
                       next->pitch.alter == note->pitch.alter - 1;
  return !next || qf_pitch_equals(next->pitch, note->pitch) ? STAYS
         : qf_pitch_equals(next->pitch, goal)               ? GOES
         : is_slip                                          ? SLIPS
                                                            : TURNS;
}

static void
ask_whether_it_goes(Maker* const maker, const Foreign* const foreign, const QfPitch goal)
{
  static const char* const ways[N_WAYS] = {
    [GOES]  = "yes, there",
    [SLIPS] = "no, it slips down a semitone on its own line or space",
    [TURNS] = "no, it turns aside",
    [STAYS] = "not yet: it is held or stops",
  };

  const QfNote* const next   = note_after(maker, foreign->voice, foreign->note);
  const char* const   answer = ways[way_of(foreign->note, next, goal)];
  QfQuestion          q      = foreign_question(maker, foreign, QF_ASK_CHOICE, "goes");
  if (next) {
    concern_note(&q, next->id);
  }
  for (size_t i = 0; i < N_WAYS; ++i) {
    add_choice(&q, ways[i]);
  }
  add_answer(&q, answer);
  set_prompt(&q, "Does the foreign note of %s at %s go where it pulls?", foreign->voice_name,
             foreign->place);
  add_hint(&q,
           "Keep the note in your ear to which it pulls, and compare what its voice sings next.");
  set_feedback(&q, try_again, "Right: %s.", answer);
  add_question(maker, &q);
}

static void
ask_of(Maker* const maker, const Foreign* const foreign)
{
  QfPitch goal = {0, 0, 0};
  ask_degree(maker, foreign);
  if (find_goal(foreign->key, foreign->note, &goal)) {
    ask_pull(maker, foreign, qf_pitch_midi(goal) > qf_pitch_midi(foreign->note->pitch));
    ask_goal_note(maker, foreign, goal);
    ask_whether_it_goes(maker, foreign, goal);
  }
}

void
make_foreign_questions(Maker* const maker)
{
  for (size_t i = 0; i < qf_labels_n_links(maker->labels); ++i) {
    const QfLabel* const link     = qf_labels_get_link(maker->labels, i);
    bool                 is_first = true;
    for (size_t v = 0; v < qf_score_n_voices(maker->score); ++v) {
      Foreign foreign = {.voice = v, .note = note_of(maker, link, v), .key = link->key};
      if (!is_asked(maker, link, foreign.note)) {
        continue;
      }
      name_place(maker, link->start, foreign.place, sizeof(foreign.place));
      name_voice(maker, v, foreign.voice_name, sizeof(foreign.voice_name));
      if (is_first) {
        ask_voice(maker, link, &foreign);
      }
      ask_of(maker, &foreign);
      is_first = false;
    }
  }
}
