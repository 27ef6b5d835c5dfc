// SPDX-License-Identifier: MIT
#include "study_support.h"
#include "tsv.h"

#include "quintfall/leading.h"

#include <ctype.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <cmocka.h>

static const Passage passage = {
  "C major",
  "4/4",
  {"C5/4 C#5/4 D5/4 D5/4 D5/4 E5/4 D5/4 C5/4", "G4/4 G4/4 F4/4 A4/4 G4/4 G4/4 F4/4 E4/4",
   "E4/4 E4/4 A3/4 C4/4 B3/4 C4/4 B3/4 C4/4", "C3/4 A2/4 D3/4 F#3/4 G3/4 G3/4 G2/4 C3/4"},
  "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I"};

static const char* const demo_names[] = {"ferry-bell", "lantern-walk", "low-water", "two-piers"};

static QfLesson*
demo(const size_t index)
{
  char path[512];
  snprintf(path, sizeof(path), QF_SOURCE_ROOT "/resources/lessons/%s.json", demo_names[index]);
  QfLesson* lesson = NULL;
  assert_int_equal(qf_lesson_load(path, &lesson, NULL), QF_OK);
  return lesson;
}

static QfLesson*
lesson_with_questions(void)
{
  QfLesson* const lesson = lesson_of(&passage);
  QfError         error  = {0};
  if (qf_questions_renew(lesson, &error)) {
    fail_msg("%s", error.text);
  }
  return lesson;
}

static const QfQuestion*
question_of(const QfLesson* const lesson, const char* const id)
{
  const size_t index = qf_lesson_find_question(lesson, id);
  if (index == SIZE_MAX) {
    fail_msg("there is no %s", id);
  }
  return qf_lesson_get_question(lesson, index);
}

typedef struct {
  const char* id;
  const char* answer;
} AnswerCase;

// Read off the passage by hand: its notes and numerals are above. Common practice.
static const AnswerCase answer_cases[] = {
  {"sing-tonic@7/4", "1"},
  {"first-bass@0", "1"},
  {"last-bass@7/4", "1"},
  {"cadence@3/2", "perfect authentic cadence"},
  {"end-key@0", "it stays in its key"},
  {"bass-motion@1/4", "a leap down"},
  {"bass-motion@1", "a step up"},
  {"bass-motion@5/4", "it stays"},
  {"bass-degree@3/4", "#4"},
  {"soprano-motion@1/4", "it is altered"},
  {"soprano-motion@3/2", "a step down"},
  {"soprano-degree@5/4", "3"},
  {"foreign-voice-1@1/4", "the soprano"},
  {"foreign-degree-1@1/4", "#1"},
  {"pull-1@1/4", "upwards"},
  {"goal-1@1/4", "2"},
  {"goes-1@1/4", "yes, there"},
  {"foreign-voice-4@3/4", "the bass"},
  {"goal-4@3/4", "5"},
  {"quality@1/4", "dominant seventh"},
  {"quality@1/2", "minor triad"},
  {"points-at@1/4", "2"},
  {"points-at@3/4", "5"},
  {"outcome@1/4", "the goal itself"},
  {"function@1/2", "it leads on: predominant"},
  {"numeral@1/4", "V7/ii"},
  {"numeral@3/4", "V65/V"},
  {"numeral@5/4", "Cad64"},
  {"inner-2@3/4", "A4"},
  {"inner-3@7/4", "C4"},
};

static void
test_questions_have_the_answers_of_the_hand(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_with_questions();
  for (size_t i = 0; i < sizeof(answer_cases) / sizeof(answer_cases[0]); ++i) {
    const QfQuestion* const question = question_of(lesson, answer_cases[i].id);
    if (strcmp(question->answers[0], answer_cases[i].answer)) {
      fail_msg("%s: %s", question->id, question->answers[0]);
    }
  }
  qf_lesson_free(lesson);
}

typedef struct {
  const char* id;
  int         midi;
  const char* reply;
  bool        is_right;
} SungCase;

// MIDI keys by the MIDI 1.0 specification's usual reading, 60 = middle C; degrees of C major by
// common practice: the tone between 4 and 5 is sung where "#4" is asked.
static const SungCase sung_cases[] = {
  {"goal-1@1/4", 62, "2", true},       // D over C sharp
  {"goal-1@1/4", 38, "2", true},       // The same in a bass's octave
  {"goal-1@1/4", 60, "1", false},      // C
  {"goal-1@1/4", 61, "#1", false},     // The foreign note itself
  {"goal-4@3/4", 67, "5", true},       // G over F sharp
  {"sing-tonic@7/4", 48, "1", true},   // C
  {"sing-tonic@7/4", 70, "b7", false}, // B flat
  {"bass-degree@3/4", 54, "#4", true}, // F sharp
};

static void
test_a_sung_note_answers_whatever_its_octave(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_with_questions();
  for (size_t i = 0; i < sizeof(sung_cases) / sizeof(sung_cases[0]); ++i) {
    const SungCase* const   row      = &sung_cases[i];
    const QfQuestion* const question = question_of(lesson, row->id);
    char                    reply[QF_QUESTION_CHOICE_SIZE];
    bool                    is_right = !row->is_right;
    assert_int_equal(qf_question_answer_of_key(question, row->midi, reply, sizeof(reply), NULL),
                     QF_OK);
    assert_int_equal(qf_question_judge(question, NULL, reply, &is_right, NULL), QF_OK);
    if (strcmp(reply, row->reply) || is_right != row->is_right) {
      fail_msg("%s, key %d: %s", row->id, row->midi, reply);
    }
  }

  char reply[QF_QUESTION_CHOICE_SIZE];
  assert_int_equal(
    qf_question_answer_of_key(question_of(lesson, "quality@1/4"), 60, reply, sizeof(reply), NULL),
    QF_ERR_IMPOSSIBLE);
  qf_lesson_free(lesson);
}

/// True if an answer stands in a text as words of its own
static bool
gives_away(const char* const text, const char* const answer)
{
  for (const char* at = strcasestr(text, answer); at; at = strcasestr(at + 1, answer)) {
    const char before = at == text ? ' ' : at[-1];
    const char after  = at[strlen(answer)];
    if (!isalnum((unsigned char)before) && before != '#' && !isalnum((unsigned char)after)) {
      return true;
    }
  }
  return false;
}

/// A prompt without its place: in "m2 b3" the beat is no note B3 and no flat third
static void
without_place(const QfLesson* const lesson, const QfQuestion* const question, char* const text)
{
  char place[48];
  qf_score_write_place(qf_lesson_get_score(lesson), question->start, place, sizeof(place));
  strcpy(text, question->prompt);
  char* const at = strstr(text, place);
  if (at) {
    memset(at, '_', strlen(place));
  }
}

static void
check_question(const QfLesson* const lesson, const QfQuestion* const question)
{
  QfError error = {0};
  char    prompt[QF_QUESTION_TEXT_SIZE];
  without_place(lesson, question, prompt);
  if (qf_question_check(question, &error)) {
    fail_msg("%s: %s", question->id, error.text);
  }
  assert_true(question->n_hints >= 1 && question->right[0] && question->wrong[0]);
  for (size_t i = 0; i < question->n_answers; ++i) {
    const char* const answer   = question->answers[i];
    bool              is_right = false;
    if (gives_away(prompt, answer) || gives_away(question->hints[0], answer) ||
        gives_away(question->wrong, answer)) {
      fail_msg("%s gives %s away: %s / %s", question->id, answer, question->prompt,
               question->hints[0]);
    }
    if (qf_question_judge(question, NULL, answer, &is_right, &error) || !is_right) {
      fail_msg("%s: its own answer %s is not right", question->id, answer);
    }
  }
  size_t n_right = 0;
  for (size_t i = 0; i < question->n_choices; ++i) {
    bool is_right = false;
    assert_int_equal(qf_question_judge(question, NULL, question->choices[i], &is_right, NULL),
                     QF_OK);
    n_right += is_right;
  }
  // Where books differ, or several voices are meant, more than one choice is right, never all.
  assert_true(question->form != QF_ASK_CHOICE ||
              (n_right == question->n_answers && n_right < question->n_choices));
}

static void
check_lesson(QfLesson* const lesson)
{
  QfError error = {0};
  if (qf_questions_renew(lesson, &error)) {
    fail_msg("%s", error.text);
  }
  const size_t n_questions            = qf_lesson_n_questions(lesson);
  bool         seen[QF_STAGE_N_KINDS] = {false};
  QfStage      stage                  = QF_STAGE_FRAME;
  for (size_t i = 0; i < n_questions; ++i) {
    const QfQuestion* const question = qf_lesson_get_question(lesson, i);
    check_question(lesson, question);
    assert_true(question->stage >= stage); // From what the ear finds to what reasoning adds
    stage       = question->stage;
    seen[stage] = true;
  }
  assert_true(seen[QF_STAGE_FRAME] && seen[QF_STAGE_QUALITY] && seen[QF_STAGE_FUNCTION]);

  // They are saved with the lesson, and made again they are the same.
  char*     json = NULL;
  char*     back = NULL;
  QfLesson* copy = NULL;
  assert_int_equal(qf_lesson_to_json(lesson, &json, NULL), QF_OK);
  assert_int_equal(qf_lesson_from_json(json, strlen(json), &copy, NULL), QF_OK);
  assert_int_equal(qf_lesson_n_questions(copy), n_questions);
  assert_int_equal(qf_questions_renew(copy, NULL), QF_OK);
  assert_int_equal(qf_lesson_to_json(copy, &back, NULL), QF_OK);
  assert_string_equal(back, json);
  free(json);
  free(back);
  qf_lesson_free(copy);
}

static void
test_questions_lead_and_never_tell(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  check_lesson(lesson);
  qf_lesson_free(lesson);
  for (size_t i = 0; i < sizeof(demo_names) / sizeof(demo_names[0]); ++i) {
    QfLesson* const other = demo(i);
    check_lesson(other);
    qf_lesson_free(other);
  }
}

// ---- chains of the reference table

enum { MOST_STEPS = 12 };

/// Degree at which a dominant of the table points: "V7/iii" at 3, "V7" at 1
static char
goal_of(const char* const numeral)
{
  static const char* const degrees[] = {"i", "ii", "iii", "iv", "v", "vi", "vii"};

  const char* const target = strchr(numeral, '/');
  for (size_t d = 0; target && d < 7; ++d) {
    if (!strcasecmp(target + 1, degrees[d])) {
      return (char)('1' + (int)d);
    }
  }
  return '1';
}

/// A question of the chain's step, by what it asks
static const QfQuestion*
question_at_step(const QfLesson* const lesson, const char* const word, const size_t step)
{
  char time[48];
  char id[QF_QUESTION_ID_SIZE];
  qf_time_write(qf_time((int)step, 4), time, sizeof(time));
  snprintf(id, sizeof(id), "%s@%.20s", word, time);
  return question_of(lesson, id);
}

static void
check_step(const QfLesson* const lesson,
           const Tsv* const      tsv,
           const size_t          row,
           const size_t          step,
           const bool            is_last)
{
  const char* const numeral = tsv_cell(tsv, row, "numeral");
  const char        goal[2] = {goal_of(numeral), '\0'};
  const char* const next = is_last ? "the goal itself" : "another dominant on the root of the goal";
  if (strcmp(question_at_step(lesson, "points-at", step)->answers[0], goal) ||
      strcmp(question_at_step(lesson, "outcome", step)->answers[0], next) ||
      strcmp(question_at_step(lesson, "numeral", step)->answers[0], numeral)) {
    fail_msg("chain %s, %s: points at %s, then %s, named %s", tsv_cell(tsv, row, "chain_no"),
             numeral, question_at_step(lesson, "points-at", step)->answers[0],
             question_at_step(lesson, "outcome", step)->answers[0],
             question_at_step(lesson, "numeral", step)->answers[0]);
  }
}

static QfLesson*
lesson_of_rows(const Tsv* const tsv, const size_t first, const size_t end)
{
  static const char* const names[] = {"S", "A", "T", "B"};

  char voices[4][MOST_STEPS * 8] = {"", "", "", ""};
  char numerals[512]             = "";
  char key[32];
  char metre[16];
  for (size_t r = first; r < end; ++r) {
    char time[48];
    for (size_t v = 0; v < 4; ++v) {
      sprintf(voices[v] + strlen(voices[v]), "%s/4 ", tsv_cell(tsv, r, names[v]));
    }
    qf_time_write(qf_time((int)(r - first), 4), time, sizeof(time));
    sprintf(numerals + strlen(numerals), "%s%s %s", r > first ? "; " : "", time,
            tsv_cell(tsv, r, "numeral"));
  }
  snprintf(key, sizeof(key), "%s %s", tsv_cell(tsv, first, "key"), tsv_cell(tsv, first, "mode"));
  snprintf(metre, sizeof(metre), "%zu/4", end - first);
  const Passage chain = {key, metre, {voices[0], voices[1], voices[2], voices[3]}, numerals};
  return lesson_of(&chain);
}

// Source: tests/data/references/applied_chains.tsv, 90 chains in all 30 keys, voice leading after
// R. Hutchinson, Music Theory for the 21st-Century Classroom: each seventh falls to the next.
static void
test_chains_of_the_table_are_asked_as_chains(void** state)
{
  (void)state;
  Tsv    tsv      = tsv_open("applied_chains");
  size_t n_chains = 0;
  for (size_t first = 0; first < tsv.n_rows; ++n_chains) {
    size_t end = first + 1;
    while (end < tsv.n_rows &&
           !strcmp(tsv_cell(&tsv, end, "chain_no"), tsv_cell(&tsv, first, "chain_no"))) {
      ++end;
    }
    assert_true(end - first <= MOST_STEPS);
    QfLesson* const lesson = lesson_of_rows(&tsv, first, end);
    assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);
    for (size_t r = first; r + 1 < end; ++r) {
      check_step(lesson, &tsv, r, r - first, r + 2 == end);
    }
    qf_lesson_free(lesson);
    first = end;
  }
  assert_int_equal(n_chains, 90);
  tsv_free(&tsv);
}

/// The cadential six-four has the notes of the tonic: nothing of its sound presses on.
static void
test_the_cadential_six_four_is_no_dominant_by_sound(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_with_questions();
  assert_string_equal(question_of(lesson, "cadential@5/4")->answers[0], "they delay the dominant");
  assert_int_equal(qf_lesson_find_question(lesson, "points-at@5/4"), SIZE_MAX);
  qf_lesson_free(lesson);
}

/// Two altered notes in one chord: viio7/V in C major is F sharp, A, C, E flat. Common practice.
static void
test_either_voice_of_two_foreign_notes_is_right(void** state)
{
  (void)state;
  static const Passage two = {
    "C major",
    "4/4",
    {"E5/4 Eb5/4 D5/2", "C5/4 C5/4 B4/2", "G4/4 A4/4 G4/2", "C4/4 F#3/4 G3/2"},
    "0 I; 1/4 viio7/V; 1/2 V"};
  QfLesson* const lesson = lesson_of(&two);
  assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);
  const QfQuestion* const voice = question_of(lesson, "foreign-voice-1@1/4");
  assert_int_equal(voice->n_answers, 2);
  assert_string_equal(voice->answers[0], "the soprano");
  assert_string_equal(voice->answers[1], "the bass");
  assert_int_equal(qf_lesson_find_question(lesson, "foreign-voice-4@1/4"), SIZE_MAX);
  assert_string_equal(question_of(lesson, "foreign-degree-1@1/4")->answers[0], "b3");
  assert_string_equal(question_of(lesson, "goal-1@1/4")->answers[0], "2");
  assert_string_equal(question_of(lesson, "goal-4@1/4")->answers[0], "5");
  qf_lesson_free(lesson);
}

/// Nobody is asked twice for one thing: a note that stays, an outer note of the frame, a prompt.
static void
test_nothing_is_asked_twice(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_with_questions();
  assert_int_equal(qf_lesson_find_question(lesson, "bass-degree@5/4"), SIZE_MAX); // G stays
  assert_int_equal(qf_lesson_find_question(lesson, "bass-degree@7/4"), SIZE_MAX); // "last-bass"
  qf_lesson_free(lesson);
  for (size_t d = 0; d < sizeof(demo_names) / sizeof(demo_names[0]); ++d) {
    QfLesson* const other = demo(d);
    assert_int_equal(qf_questions_renew(other, NULL), QF_OK);
    for (size_t i = 0; i < qf_lesson_n_questions(other); ++i) {
      for (size_t j = i + 1; j < qf_lesson_n_questions(other); ++j) {
        assert_string_not_equal(qf_lesson_get_question(other, i)->prompt,
                                qf_lesson_get_question(other, j)->prompt);
      }
    }
    qf_lesson_free(other);
  }
}

/// In a chain of sevenths the leading tone pulls up, but slips down to be the next seventh.
static void
test_what_pulls_up_may_slip_down(void** state)
{
  (void)state;
  static const Passage chain = {
    "C major",
    "4/4",
    {"G#4/4 G4/4 F#4/4 F4/4", "E4/4 E4/4 D4/4 D4/4", "D4/4 C#4/4 C4/4 B3/4", "E3/4 A2/4 D3/4 G2/4"},
    "0 V7/vi; 1/4 V7/ii; 1/2 V7/V; 3/4 V7"};
  QfLesson* const lesson = lesson_of(&chain);
  assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);
  assert_string_equal(question_of(lesson, "foreign-degree-1@0")->answers[0], "#5");
  assert_string_equal(question_of(lesson, "pull-1@0")->answers[0], "upwards");
  assert_string_equal(question_of(lesson, "goal-1@0")->answers[0], "6");
  assert_string_equal(question_of(lesson, "goes-1@0")->answers[0],
                      "no, it slips down a semitone on its own line or space");
  assert_string_equal(question_of(lesson, "outcome@0")->answers[0],
                      "another dominant on the root of the goal");
  qf_lesson_free(lesson);
}

/// Transposed, and then made anew, the questions are the same: their answers went along.
static void
test_questions_go_along_when_the_lesson_is_transposed(void** state)
{
  (void)state;
  QfLesson* const  lesson = lesson_with_questions();
  const QfInterval third  = {2, 3};
  assert_int_equal(qf_lesson_transpose(lesson, third, NULL), QF_OK);
  assert_string_equal(question_of(lesson, "inner-2@3/4")->answers[0], "C5"); // A4, a minor third up
  assert_int_equal(qf_key_fifths(question_of(lesson, "inner-2@3/4")->key), -3);
  char* moved = NULL;
  char* made  = NULL;
  assert_int_equal(qf_lesson_to_json(lesson, &moved, NULL), QF_OK);
  assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);
  assert_int_equal(qf_lesson_to_json(lesson, &made, NULL), QF_OK);
  assert_string_equal(made, moved);
  free(moved);
  free(made);
  qf_lesson_free(lesson);
}

static void
test_given_notes_are_not_asked(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  assert_int_equal(qf_lesson_set_voice_given(lesson, 3, true, NULL), QF_OK);
  assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);
  assert_int_equal(qf_lesson_find_question(lesson, "bass-degree@3/4"), SIZE_MAX);
  assert_int_equal(qf_lesson_find_question(lesson, "first-bass@0"), SIZE_MAX);
  assert_int_not_equal(qf_lesson_find_question(lesson, "soprano-degree@1/4"), SIZE_MAX);
  qf_lesson_free(lesson);
}

static void
test_an_empty_lesson_has_no_questions(void** state)
{
  (void)state;
  QfMetre metre = {0};
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);
  QfLesson* const lesson = qf_lesson_new(key_of("C major"), metre, QF_TIME_ZERO, 2);
  assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);
  assert_int_equal(qf_lesson_n_questions(lesson), 0);
  qf_lesson_free(lesson);
}

static void
test_renewing_keeps_what_the_teacher_did(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_with_questions();
  const size_t    before = qf_lesson_n_questions(lesson);

  QfQuestion edited = *question_of(lesson, "quality@1/2");
  snprintf(edited.prompt, sizeof(edited.prompt), "Light or dark?");
  assert_int_equal(qf_lesson_put_question(lesson, &edited, NULL), QF_OK);
  assert_int_equal(
    qf_lesson_drop_question(lesson, qf_lesson_find_question(lesson, "quality@1"), true, NULL),
    QF_OK);
  QfQuestion own = edited;
  own.id[0]      = '\0';
  snprintf(own.prompt, sizeof(own.prompt), "What would you sing here?");
  assert_int_equal(qf_lesson_put_question(lesson, &own, NULL), QF_OK);
  assert_int_equal(
    qf_lesson_move_question(lesson, qf_lesson_find_question(lesson, "numeral@7/4"), 0, NULL),
    QF_OK);

  // The chord on beat 3 becomes major, and the last one goes.
  const QfNumeral major = {.degree = 2, .kind = QF_CHORD_MAJOR};
  const QfScore*  score = qf_lesson_get_score(lesson);
  const uint32_t  third = qf_score_get_note(score, 1, 2)->id;
  assert_int_equal(qf_lesson_set_pitch(lesson, third, pitch_of("F#4"), NULL), QF_OK);
  assert_int_equal(qf_lesson_pin(lesson, (QfPin){qf_time(1, 2), key_of("C major"), major}, NULL),
                   QF_OK);
  const size_t n_questions = qf_lesson_n_questions(lesson);
  assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);

  assert_string_equal(question_of(lesson, "quality@1/2")->prompt, "Light or dark?");
  assert_string_equal(question_of(lesson, "quality@1/2")->answers[0], "minor triad"); // As edited
  assert_string_equal(question_of(lesson, "numeral@1/2")->answers[0], "II");          // Renewed
  assert_string_equal(question_of(lesson, "foreign-degree-2@1/2")->answers[0], "#4"); // New
  assert_true(question_of(lesson, "quality@1")->is_dropped);
  assert_string_equal(question_of(lesson, "own-1")->prompt, "What would you sing here?");
  assert_int_equal(qf_lesson_find_question(lesson, "numeral@7/4"), 0);
  assert_true(qf_lesson_n_questions(lesson) > n_questions);
  assert_true(before + 1U == n_questions);

  // Where the music is gone, its questions go; the teacher's own stay.
  assert_int_equal(qf_lesson_delete_span(lesson, qf_time(1, 4), qf_time(2, 1), NULL), QF_OK);
  assert_int_equal(qf_questions_renew(lesson, NULL), QF_OK);
  assert_int_equal(qf_lesson_find_question(lesson, "quality@1/2"), SIZE_MAX);
  assert_int_not_equal(qf_lesson_find_question(lesson, "own-1"), SIZE_MAX);

  // One edit each
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_int_not_equal(qf_lesson_find_question(lesson, "quality@1/2"), SIZE_MAX);
  qf_lesson_free(lesson);
}

typedef struct {
  QfAskForm   form;
  const char* key;
  const char* accepted;
  const char* reply;
  QfStatus    status;
  bool        is_right;
} ReplyCase;

// Degrees against the signature and syllables of movable do (minor on do): tests/data/references,
// solfege.tsv (OMT). Numerals: RomanText. Notes: scientific pitch notation. Common practice.
static const ReplyCase reply_cases[] = {
  {QF_ASK_DEGREE, "C major", "#4", "#4", QF_OK, true},
  {QF_ASK_DEGREE, "C major", "#4", " 4# ", QF_OK, true},
  {QF_ASK_DEGREE, "C major", "#4", "\u266F4", QF_OK, true},
  {QF_ASK_DEGREE, "C major", "#4", "fi", QF_OK, true},
  {QF_ASK_DEGREE, "C major", "#4", "Fi", QF_OK, true},
  {QF_ASK_DEGREE, "C major", "#4", "4", QF_OK, false},
  {QF_ASK_DEGREE, "C major", "#4", "b5", QF_OK, false},
  {QF_ASK_DEGREE, "C major", "5", "sol", QF_OK, true},
  {QF_ASK_DEGREE, "A minor", "3", "me", QF_OK, true},
  {QF_ASK_DEGREE, "A minor", "#7", "ti", QF_OK, true},
  {QF_ASK_DEGREE, "C major", "5", "8", QF_ERR_BAD_TEXT, false},
  {QF_ASK_DEGREE, "C major", "5", "", QF_ERR_BAD_TEXT, false},
  {QF_ASK_SING, "C major", "b7", "te", QF_OK, true},
  {QF_ASK_NOTE, "C major", "F#4", "F#4", QF_OK, true},
  {QF_ASK_NOTE, "C major", "F#4", "f#4", QF_OK, true},
  {QF_ASK_NOTE, "C major", "F#4", "Gb4", QF_OK, false},
  {QF_ASK_NOTE, "C major", "F#4", "F#5", QF_OK, false},
  {QF_ASK_NOTE, "C major", "F#4", "F#", QF_ERR_BAD_TEXT, false},
  {QF_ASK_NOTE, "C major", "F#4", "X", QF_ERR_BAD_TEXT, false},
  {QF_ASK_NOTE, "C major", "F#", "F#3", QF_OK, true},
  {QF_ASK_NOTE, "C major", "F#", "F#", QF_OK, true},
  {QF_ASK_NUMERAL, "C major", "V65/V", "V6/5/V", QF_OK, true},
  {QF_ASK_NUMERAL, "C major", "V65/V", "V7/V", QF_OK, false},
  {QF_ASK_NUMERAL, "C major", "Cad64", "I64", QF_OK, true},
  {QF_ASK_NUMERAL, "C major", "V7/V", "II7", QF_OK, false},
  {QF_ASK_NUMERAL, "A minor", "viio7", "vii\u00B07", QF_OK, true},
  {QF_ASK_NUMERAL, "C major", "I", "one", QF_ERR_BAD_TEXT, false},
};

static void
test_replies_are_judged_by_what_they_mean(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(reply_cases) / sizeof(reply_cases[0]); ++i) {
    const ReplyCase* const row      = &reply_cases[i];
    QfQuestion             question = {.form = row->form, .key = key_of(row->key), .n_answers = 1};
    bool                   is_right = false;
    QfError                error    = {0};
    snprintf(question.answers[0], sizeof(question.answers[0]), "%s", row->accepted);
    const QfStatus st = qf_question_judge(&question, NULL, row->reply, &is_right, &error);
    if (st != row->status || is_right != row->is_right || (st && !error.text[0])) {
      fail_msg("%s for %s in %s: %d %s", row->reply, row->accepted, row->key, is_right, error.text);
    }
  }
}

static void
test_equalities_are_those_of_the_rubric(void** state)
{
  (void)state;
  QfRubric   rubric        = qf_rubric_default();
  QfQuestion question      = {.form = QF_ASK_NUMERAL, .key = key_of("C major"), .n_answers = 1};
  bool       is_right      = false;
  rubric.degree_is_applied = true;
  rubric.six_four_is_equal = false;
  snprintf(question.answers[0], sizeof(question.answers[0]), "V7/V");
  assert_int_equal(qf_question_judge(&question, &rubric, "II7", &is_right, NULL), QF_OK);
  assert_true(is_right);
  snprintf(question.answers[0], sizeof(question.answers[0]), "Cad64");
  assert_int_equal(qf_question_judge(&question, &rubric, "I64", &is_right, NULL), QF_OK);
  assert_false(is_right);

  question.form              = QF_ASK_NOTE;
  rubric.enharmonic_is_equal = true;
  snprintf(question.answers[0], sizeof(question.answers[0]), "F#4");
  assert_int_equal(qf_question_judge(&question, &rubric, "Gb4", &is_right, NULL), QF_OK);
  assert_true(is_right);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_questions_have_the_answers_of_the_hand),
    cmocka_unit_test(test_a_sung_note_answers_whatever_its_octave),
    cmocka_unit_test(test_questions_lead_and_never_tell),
    cmocka_unit_test(test_what_pulls_up_may_slip_down),
    cmocka_unit_test(test_chains_of_the_table_are_asked_as_chains),
    cmocka_unit_test(test_the_cadential_six_four_is_no_dominant_by_sound),
    cmocka_unit_test(test_either_voice_of_two_foreign_notes_is_right),
    cmocka_unit_test(test_nothing_is_asked_twice),
    cmocka_unit_test(test_questions_go_along_when_the_lesson_is_transposed),
    cmocka_unit_test(test_given_notes_are_not_asked),
    cmocka_unit_test(test_an_empty_lesson_has_no_questions),
    cmocka_unit_test(test_renewing_keeps_what_the_teacher_did),
    cmocka_unit_test(test_replies_are_judged_by_what_they_mean),
    cmocka_unit_test(test_equalities_are_those_of_the_rubric),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
