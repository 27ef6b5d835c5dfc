// SPDX-License-Identifier: MIT
#include "labels_equal.h"
#include "lesson_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  N_RANDOM_EDITS = 120,
  N_RANDOM_RUNS  = 4,
};

typedef struct {
  const char* label;
  const char* undo_name;
  QfStatus (*edit)(QfLesson* lesson, QfError* error);
} EditCase;

static uint32_t
first_note(const QfLesson* const lesson, const size_t voice)
{
  return qf_score_get_note(qf_lesson_get_score(lesson), voice, 0)->id;
}

static QfStatus
edit_put(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_put_note(lesson, 0, qf_time(1, 8), qf_time(1, 8), pitch_of("B4"), NULL, error);
}

static QfStatus
edit_pitch(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_pitch(lesson, first_note(lesson, 0), pitch_of("C#5"), error);
}

static QfStatus
edit_pitches(QfLesson* const lesson, QfError* const error)
{
  const QfNewPitch changes[] = {{first_note(lesson, 0), pitch_of("C#5")},
                                {first_note(lesson, 2), pitch_of("G3")}};
  return qf_lesson_set_pitches(lesson, changes, 2, error);
}

static QfStatus
edit_move(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_move_note(lesson, first_note(lesson, 1), qf_time(9, 4), error);
}

static QfStatus
edit_duration(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_duration(lesson, first_note(lesson, 2), qf_time(3, 4), error);
}

static QfStatus
edit_delete(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_delete_note(lesson, first_note(lesson, 3), error);
}

static QfStatus
edit_delete_span(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_delete_span(lesson, qf_time(1, 4), qf_time(3, 4), error);
}

static QfStatus
edit_move_span(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_move_span(lesson, qf_time(1, 2), qf_time(3, 2), qf_time(1, 1), error);
}

static QfStatus
edit_fermata(QfLesson* const lesson, QfError* const error)
{
  const uint32_t id = first_note(lesson, 0);
  const QfTime   at = qf_score_find_note(qf_lesson_get_score(lesson), id, NULL)->start;
  return qf_lesson_set_fermata(lesson, at, true, error);
}

static QfStatus
edit_place(QfLesson* const lesson, QfError* const error)
{
  const QfNumeral numeral = numeral_of("V7/V", QF_MAJOR);
  return qf_lesson_place_chord(lesson, qf_time(2, 1), qf_time(1, 2), key_of("A major"), &numeral,
                               error);
}

static QfStatus
edit_place_chain(QfLesson* const lesson, QfError* const error)
{
  const QfKey  key     = key_of("A major");
  const QfLink links[] = {{key, numeral_of("V7/ii", QF_MAJOR), qf_time(2, 1), qf_time(1, 2)},
                          {key, numeral_of("V7/V", QF_MAJOR), qf_time(5, 2), qf_time(1, 2)},
                          {key, numeral_of("V7", QF_MAJOR), qf_time(3, 1), qf_time(1, 2)}};
  return qf_lesson_place_chords(lesson, links, 3, error);
}

/// common practice: IV in A major, D below F sharp, A and D
static const QfVoicing written = {{{5, 0, 4}, {1, 0, 4}, {5, 0, 3}, {1, 0, 3}}};

static QfStatus
edit_place_written(QfLesson* const lesson, QfError* const error)
{
  const QfLink link = {key_of("A major"), numeral_of("IV", QF_MAJOR), qf_time(2, 1), qf_time(1, 2)};
  return qf_lesson_place_voicings(lesson, &link, &written, 1, 0, error);
}

static QfStatus
edit_title(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_title(lesson, "Lamps \"on\" the quay \u2669", error);
}

static QfStatus
edit_composer(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_composer(lesson, "Nobody", error);
}

static QfStatus
edit_remarks(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_notes_text(lesson, "Two lines\nof remarks\\", error);
}

static QfStatus
edit_key(QfLesson* const lesson, QfError* const error)
{
  const QfKey key = key_of("f# minor");
  return qf_lesson_set_key(lesson, &key, error);
}

static QfStatus
edit_no_key(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_key(lesson, NULL, error);
}

static QfStatus
edit_may_modulate(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_may_modulate(lesson, true, error);
}

static QfStatus
edit_thresholds(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_key_thresholds(lesson, (QfKeyThresholds){8.0, 4.0}, error);
}

static QfStatus
edit_metre(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_metre(lesson, metre_of("6/8"), error);
}

static QfStatus
edit_tempo(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_tempo(lesson, 66.6, error);
}

static QfStatus
edit_hearing(QfLesson* const lesson, QfError* const error)
{
  QfHearing hearing    = qf_lesson_get_hearing(lesson);
  hearing.forward      = (QfForward){QF_FORWARD_VOICE, 3};
  hearing.tempo_factor = 0.7;
  hearing.repeats      = 4;
  return qf_lesson_set_hearing(lesson, hearing, error);
}

static QfStatus
edit_append(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_append_bar(lesson, error);
}

static QfStatus
edit_remove_bar(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_remove_last_bar(lesson, error);
}

static QfStatus
edit_given(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_given(lesson, first_note(lesson, 0), true, error);
}

/// The first notes of two voices, given at once
static QfStatus
edit_notes_given(QfLesson* const lesson, QfError* const error)
{
  const uint32_t notes[] = {first_note(lesson, 0), first_note(lesson, 3)};
  const QfStatus st      = qf_lesson_give_notes(lesson, notes, 2, true, error);
  assert_true(st || (qf_lesson_is_given(lesson, notes[0]) && qf_lesson_is_given(lesson, notes[1])));
  return st;
}

static QfStatus
edit_voice_given(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_voice_given(lesson, 3, true, error);
}

static QfStatus
edit_pin(QfLesson* const lesson, QfError* const error)
{
  const QfPin pin = {qf_time(1, 2), key_of("E major"), numeral_of("V7", QF_MAJOR)};
  return qf_lesson_pin(lesson, pin, error);
}

static QfStatus
edit_pin_links(QfLesson* const lesson, QfError* const error)
{
  const QfLink links[] = {{key_of("A major"), numeral_of("vi", QF_MAJOR), QF_TIME_ZERO, {1, 2}},
                          {key_of("E major"), numeral_of("V7", QF_MAJOR), qf_time(1, 2), {1, 2}}};
  return qf_lesson_pin_links(lesson, links, 2, error);
}

static QfStatus
edit_transpose(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_transpose(lesson, (QfInterval){1, 1}, error);
}

static const EditCase edits[] = {
  {"put a note", "Write a note", edit_put},
  {"set a pitch", "Change a pitch", edit_pitch},
  {"pitches", "Change pitches", edit_pitches},
  {"move a note", "Move a note", edit_move},
  {"set a length", "Change a length", edit_duration},
  {"delete a note", "Delete a note", edit_delete},
  {"delete a span", "Delete a span", edit_delete_span},
  {"move a span", "Move a span", edit_move_span},
  {"place a chord", "Place a chord", edit_place},
  {"place a chain", "Place chords", edit_place_chain},
  {"place a written chord", "Place a chord", edit_place_written},
  {"title", "Change the title", edit_title},
  {"composer", "Change the composer", edit_composer},
  {"remarks", "Change the remarks", edit_remarks},
  {"declare a key", "Declare the key", edit_key},
  {"have the key found", "Let the key be found", edit_no_key},
  {"may modulate", "Look for other keys", edit_may_modulate},
  {"thresholds", "Change what makes a modulation", edit_thresholds},
  {"fermata", "Set a fermata", edit_fermata},
  {"metre", "Change the metre", edit_metre},
  {"tempo", "Change the tempo", edit_tempo},
  {"hearing", "Change the hearing", edit_hearing},
  {"append a bar", "Append a bar", edit_append},
  {"remove a bar", "Remove the last bar", edit_remove_bar},
  {"give a note", "Give a note", edit_given},
  {"give notes", "Give notes", edit_notes_given},
  {"give a voice", "Give a voice", edit_voice_given},
  {"pin", "Pin a label", edit_pin},
  {"pin links", "Pin labels", edit_pin_links},
  {"transpose", "Transpose", edit_transpose},
};

enum { N_EDITS = sizeof(edits) / sizeof(edits[0]) };

static void
undo_all(QfLesson* const lesson)
{
  while (qf_lesson_can_undo(lesson)) {
    assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  }
}

static void
redo_all(QfLesson* const lesson)
{
  while (qf_lesson_can_redo(lesson)) {
    assert_int_equal(qf_lesson_redo(lesson), QF_OK);
  }
}

static void
check_json(const QfLesson* const lesson, const char* const expected, const char* const label)
{
  char* const json = json_of(lesson);
  if (strcmp(json, expected) != 0) {
    fail_msg("%s: state differs:\n%s\nexpected:\n%s", label, json, expected);
  }
  free(json);
}

/// Of several pitches all change or none
static void
test_refused_pitches_change_nothing(void** state)
{
  (void)state;
  QfLesson* const  lesson    = small_lesson();
  char* const      before    = json_of(lesson);
  const QfNewPitch changes[] = {{first_note(lesson, 0), pitch_of("C#5")}, {99999U, pitch_of("G3")}};
  const uint64_t   revision  = qf_lesson_get_revision(lesson);
  QfError          error     = {0};

  assert_int_equal(qf_lesson_set_pitches(lesson, changes, 2, &error), QF_ERR_RANGE);
  assert_true(error.text[0]);
  check_json(lesson, before, "refused pitches");
  assert_true(qf_lesson_get_revision(lesson) == revision);
  free(before);
  qf_lesson_free(lesson);
}

static void
test_every_edit_changes_and_can_be_undone_and_redone(void** state)
{
  (void)state;
  for (size_t i = 0; i < N_EDITS; ++i) {
    QfLesson* const lesson   = small_lesson();
    char* const     before   = json_of(lesson);
    const uint64_t  revision = qf_lesson_get_revision(lesson);
    QfError         error    = {0};
    if (edits[i].edit(lesson, &error)) {
      fail_msg("%s: %s", edits[i].label, error.text);
    }

    char* const after = json_of(lesson);
    if (!strcmp(before, after)) {
      fail_msg("%s: nothing changed", edits[i].label);
    }
    assert_string_equal(qf_lesson_get_undo_name(lesson), edits[i].undo_name);
    assert_true(qf_lesson_get_revision(lesson) > revision);

    assert_int_equal(qf_lesson_undo(lesson), QF_OK);
    check_json(lesson, before, edits[i].label);
    assert_string_equal(qf_lesson_get_redo_name(lesson), edits[i].undo_name);
    assert_int_equal(qf_lesson_redo(lesson), QF_OK);
    check_json(lesson, after, edits[i].label);

    // A lesson read back has the same bytes
    QfLesson* const read = lesson_of_json(after);
    check_json(read, after, edits[i].label);

    qf_lesson_free(read);
    free(after);
    free(before);
    qf_lesson_free(lesson);
  }
}

/// Numerical Recipes' linear congruential generator: a fixed seed repeats a run exactly
static uint32_t
draw(uint32_t* const seed, const uint32_t n)
{
  *seed = *seed * 1664525U + 1013904223U;
  return (*seed >> 8U) % n;
}

static uint32_t
draw_note(const QfLesson* const lesson, uint32_t* const seed)
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  const size_t         voice = draw(seed, 4);
  const size_t         n     = qf_score_n_notes(score, voice);
  return n ? qf_score_get_note(score, voice, draw(seed, (uint32_t)n))->id : 9999U;
}

/// One random edit; many are refused, which is part of the test
static QfStatus
random_edit(QfLesson* const lesson, uint32_t* const seed)
{
  const QfTime   start    = qf_time((int64_t)draw(seed, 40) - 2, 8);
  const QfTime   duration = qf_time((int64_t)draw(seed, 9), 8);
  const QfPitch  pitch    = qf_pitch_from_step(14 + (int)draw(seed, 24), (int)draw(seed, 3) - 1);
  const uint32_t note     = draw_note(lesson, seed);
  const QfTime   end      = qf_time_add(start, duration);

  switch (draw(seed, 12)) {
    case 0:
    case 1:
      return qf_lesson_put_note(lesson, draw(seed, 5), start, duration, pitch, NULL, NULL);
    case 2:
      return qf_lesson_set_pitch(lesson, note, pitch, NULL);
    case 3:
      return qf_lesson_move_note(lesson, note, start, NULL);
    case 4:
      return qf_lesson_set_duration(lesson, note, duration, NULL);
    case 5:
      return qf_lesson_delete_note(lesson, note, NULL);
    case 6:
      return qf_lesson_delete_span(lesson, start, end, NULL);
    case 7:
      return qf_lesson_move_span(lesson, start, end, qf_time((int64_t)draw(seed, 9) - 4, 8), NULL);
    case 8:
      return qf_lesson_set_given(lesson, note, draw(seed, 2), NULL);
    case 9: {
      const QfPin pin = {start, key_of("D major"), numeral_of("V65/V", QF_MAJOR)};
      return qf_lesson_pin(lesson, pin, NULL);
    }
    case 10:
      return qf_lesson_unpin(lesson, start, NULL);
    default:
      return edits[draw(seed, N_EDITS)].edit(lesson, NULL);
  }
}

static void
test_random_edits_undo_and_redo_byte_for_byte(void** state)
{
  (void)state;
  for (uint32_t run = 0; run < N_RANDOM_RUNS; ++run) {
    uint32_t        seed   = 2026U + run;
    QfLesson* const small  = small_lesson();
    char* const     first  = json_of(small);
    QfLesson* const lesson = lesson_of_json(first);
    size_t          n_done = 0;
    for (size_t i = 0; i < N_RANDOM_EDITS; ++i) {
      char* const    before   = json_of(lesson);
      const uint64_t revision = qf_lesson_get_revision(lesson);
      if (qf_lesson_get_score(lesson) && qf_score_n_notes(qf_lesson_get_score(lesson), 0) &&
          qf_score_n_notes(qf_lesson_get_score(lesson), 1) &&
          qf_score_n_notes(qf_lesson_get_score(lesson), 2) &&
          qf_score_n_notes(qf_lesson_get_score(lesson), 3)) {
        if (random_edit(lesson, &seed)) {
          check_json(lesson, before, "a refused edit");
          assert_true(qf_lesson_get_revision(lesson) == revision);
        } else {
          ++n_done;
        }
      } else {
        assert_int_equal(qf_lesson_undo(lesson), QF_OK);
        --n_done;
      }
      free(before);
    }
    assert_true(n_done > N_RANDOM_EDITS / 4);

    char* const last = json_of(lesson);
    undo_all(lesson);
    check_json(lesson, first, "everything undone");
    assert_false(qf_lesson_is_modified(lesson));
    redo_all(lesson);
    check_json(lesson, last, "everything redone");
    assert_true(qf_lesson_is_modified(lesson));

    QfLesson* const read = lesson_of_json(last);
    check_json(read, last, "read back");
    qf_lesson_free(read);
    free(last);
    free(first);
    qf_lesson_free(lesson);
    qf_lesson_free(small);
  }
}

static void
test_undo_is_capped(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  size_t          n_undo = 0;
  for (int i = 0; i < 700; ++i) {
    assert_int_equal(qf_lesson_set_tempo(lesson, 60.0 + i / 10.0, NULL), QF_OK);
  }
  while (!qf_lesson_undo(lesson)) {
    ++n_undo;
  }
  assert_int_equal(n_undo, 500);
  assert_int_equal(qf_lesson_undo(lesson), QF_ERR_IMPOSSIBLE);
  assert_null(qf_lesson_get_undo_name(lesson));
  qf_lesson_free(lesson);
}

static void
test_a_new_edit_drops_what_was_undone(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  assert_int_equal(edit_title(lesson, NULL), QF_OK);
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_true(qf_lesson_can_redo(lesson));
  assert_int_equal(edit_tempo(lesson, NULL), QF_OK);
  assert_false(qf_lesson_can_redo(lesson));
  assert_int_equal(qf_lesson_redo(lesson), QF_ERR_IMPOSSIBLE);
  qf_lesson_free(lesson);
}

typedef struct {
  const char* label;
  QfStatus    status;
  const char* words;
  QfStatus (*edit)(QfLesson* lesson, QfError* error);
} BadEdit;

static QfStatus
bad_voice(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_put_note(lesson, 4, QF_TIME_ZERO, qf_time(1, 4), pitch_of("A4"), NULL, error);
}

static QfStatus
bad_start(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_put_note(lesson, 0, qf_time(-1, 4), qf_time(1, 4), pitch_of("A4"), NULL, error);
}

static QfStatus
bad_length(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_duration(lesson, first_note(lesson, 0), QF_TIME_ZERO, error);
}

static QfStatus
bad_note(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_delete_note(lesson, 4711, error);
}

static QfStatus
bad_pitch(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_pitch(lesson, first_note(lesson, 0), pitch_of("A12"), error);
}

static QfStatus
bad_tempo(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_tempo(lesson, 401.0, error);
}

static QfStatus
bad_transposition(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_transpose(lesson, (QfInterval){2, 5}, error); // A major up to C double sharp
}

static QfStatus
bad_pin(QfLesson* const lesson, QfError* const error)
{
  const QfPin pin = {qf_time(4, 1), key_of("A major"), numeral_of("I", QF_MAJOR)};
  return qf_lesson_pin(lesson, pin, error);
}

/// The second of these links lies in a rest, so the first is not pinned either
static QfStatus
bad_pin_links(QfLesson* const lesson, QfError* const error)
{
  const QfLink links[] = {{key_of("A major"), numeral_of("I", QF_MAJOR), qf_time(1, 2), {1, 2}},
                          {key_of("A major"), numeral_of("V", QF_MAJOR), qf_time(4, 1), {1, 2}}};
  return qf_lesson_pin_links(lesson, links, 2, error);
}

static QfStatus
no_pin_links(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_pin_links(lesson, NULL, 0, error);
}

static QfStatus
bad_move_span(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_move_span(lesson, qf_time(1, 2), qf_time(2, 1), qf_time(-1, 1), error);
}

static QfStatus
bad_forward(QfLesson* const lesson, QfError* const error)
{
  QfHearing hearing = qf_hearing_default();
  hearing.forward   = (QfForward){QF_FORWARD_VOICE, 4};
  return qf_lesson_set_hearing(lesson, hearing, error);
}

static QfStatus
bad_fermata(QfLesson* const lesson, QfError* const error)
{
  return qf_lesson_set_fermata(lesson, qf_time(1, 64), true, error);
}

static const BadEdit bad_edits[] = {
  {"fermata without a note", QF_ERR_RANGE, "needs a note", bad_fermata},
  {"no such voice", QF_ERR_RANGE, "no such voice", bad_voice},
  {"before the start", QF_ERR_RANGE, "before the first bar", bad_start},
  {"no length", QF_ERR_RANGE, "above zero", bad_length},
  {"no such note", QF_ERR_RANGE, "no longer in the lesson", bad_note},
  {"pitch out of MIDI", QF_ERR_RANGE, "C-1 to G9", bad_pitch},
  {"tempo", QF_ERR_RANGE, "10 to 400", bad_tempo},
  {"too many sharps", QF_ERR_RANGE, "seven signs", bad_transposition},
  {"pin in a rest", QF_ERR_RANGE, "where a note sounds", bad_pin},
  {"pins, one in a rest", QF_ERR_RANGE, "where a note sounds", bad_pin_links},
  {"no pins", QF_ERR_RANGE, "no label to pin", no_pin_links},
  {"span before the start", QF_ERR_RANGE, "before the first bar", bad_move_span},
  {"forward voice", QF_ERR_RANGE, "does not exist", bad_forward},
};

static void
test_a_refused_edit_changes_nothing_and_says_why(void** state)
{
  (void)state;
  QfLesson* const lesson   = small_lesson();
  char* const     before   = json_of(lesson);
  const uint64_t  revision = qf_lesson_get_revision(lesson);
  for (size_t i = 0; i < sizeof(bad_edits) / sizeof(bad_edits[0]); ++i) {
    QfError        error = {0};
    const QfStatus st    = bad_edits[i].edit(lesson, &error);
    if (st != bad_edits[i].status || error.status != st ||
        !strstr(error.text, bad_edits[i].words)) {
      fail_msg("%s: %s: %s", bad_edits[i].label, qf_status_text(st), error.text);
    }
    check_json(lesson, before, bad_edits[i].label);
    assert_true(qf_lesson_get_revision(lesson) == revision);
  }
  free(before);
  qf_lesson_free(lesson);
}

static void
test_several_pins_are_one_edit(void** state)
{
  (void)state;
  QfLesson* const lesson   = small_lesson();
  const uint64_t  revision = qf_lesson_get_revision(lesson);
  assert_int_equal(edit_pin_links(lesson, NULL), QF_OK);
  assert_int_equal(qf_lesson_n_pins(lesson), 2);
  assert_true(qf_key_equals(qf_lesson_get_pin(lesson, 1)->key, key_of("E major")));
  assert_int_equal(qf_lesson_get_revision(lesson), revision + 1U);
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_int_equal(qf_lesson_n_pins(lesson), 0);
  qf_lesson_free(lesson);
}

/// Labels that are brought up to date are those of the same lesson opened anew
static void
check_labels_are_new(QfLesson* const lesson, const char* const label)
{
  char* const     json   = json_of(lesson);
  QfLesson* const opened = lesson_of_json(json);
  char            what[120];
  if (labels_differ(qf_lesson_get_labels(lesson), qf_lesson_get_labels(opened), what,
                    sizeof(what))) {
    fail_msg("%s: %s differs", label, what);
  }
  qf_lesson_free(opened);
  free(json);
}

static void
test_labels_follow_every_edit_and_undo(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  for (size_t i = 0; i < N_EDITS; ++i) {
    assert_int_equal(edits[i].edit(lesson, NULL), QF_OK);
    check_labels_are_new(lesson, edits[i].label);
    assert_int_equal(qf_lesson_undo(lesson), QF_OK);
    check_labels_are_new(lesson, edits[i].label);
  }
  qf_lesson_set_naming(lesson, QF_NAMING_GERMAN);
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  assert_non_null(strstr(qf_labels_get_link(labels, 0)->reasons[0].text, "Cis"));
  qf_lesson_free(lesson);
}

static void
test_givens_and_pins_follow_the_notes(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  const uint32_t  note   = first_note(lesson, 0);
  assert_int_equal(qf_lesson_set_given(lesson, note, true, NULL), QF_OK);
  assert_int_equal(edit_pin(lesson, NULL), QF_OK); // At 1/2, over the chord to 1

  assert_int_equal(qf_lesson_move_span(lesson, QF_TIME_ZERO, qf_time(2, 1), qf_time(2, 1), NULL),
                   QF_OK);
  assert_true(qf_lesson_is_given(lesson, note));
  assert_int_equal(qf_lesson_n_pins(lesson), 1);
  assert_int_equal(qf_time_compare(qf_lesson_get_pin(lesson, 0)->start, qf_time(5, 2)), 0);

  assert_int_equal(qf_lesson_transpose(lesson, (QfInterval){1, 2}, NULL), QF_OK);
  assert_true(qf_key_equals(qf_lesson_get_pin(lesson, 0)->key, key_of("F# major")));

  assert_int_equal(qf_lesson_delete_span(lesson, qf_time(2, 1), qf_time(4, 1), NULL), QF_OK);
  assert_false(qf_lesson_is_given(lesson, note));
  assert_int_equal(qf_lesson_n_pins(lesson), 0);
  qf_lesson_free(lesson);
}

static void
test_a_fermata_goes_with_its_notes(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of_json(
    "{\"format\": \"quintfall-lesson\", \"version\": 1, \"bars\": [{\"metre\": \"4/4\", "
    "\"count\": 3}], \"staves\": [{\"clef\": \"treble\"}], \"voices\": [{\"staff\": 0, \"notes\": "
    "[{\"id\": 1, \"start\": \"0\", \"duration\": \"1/4\", \"pitch\": \"E4\"}]}, {\"staff\": 0, "
    "\"notes\": [{\"id\": 2, \"start\": \"0\", \"duration\": \"1/4\", \"pitch\": \"C4\"}]}], "
    "\"fermatas\": [\"0\"]}");
  const QfTime half = qf_time(1, 2);

  // A longer note keeps it; so does a voice that stays when another leaves
  assert_int_equal(qf_lesson_set_duration(lesson, 1, half, NULL), QF_OK);
  assert_int_equal(qf_lesson_move_note(lesson, 1, half, NULL), QF_OK);
  const QfScore* score = qf_lesson_get_score(lesson);
  assert_true(qf_score_has_fermata(score, QF_TIME_ZERO));
  assert_false(qf_score_has_fermata(score, half));

  assert_int_equal(qf_lesson_move_note(lesson, 2, half, NULL), QF_OK);
  score = qf_lesson_get_score(lesson);
  assert_int_equal(qf_score_n_fermatas(score), 1);
  assert_true(qf_score_has_fermata(score, half));

  assert_int_equal(qf_lesson_move_span(lesson, half, qf_time(1, 1), qf_time(1, 1), NULL), QF_OK);
  score = qf_lesson_get_score(lesson);
  assert_int_equal(qf_score_n_fermatas(score), 1);
  assert_true(qf_score_has_fermata(score, qf_time(3, 2)));

  assert_int_equal(qf_lesson_delete_span(lesson, half, qf_time(2, 1), NULL), QF_OK);
  assert_int_equal(qf_score_n_fermatas(qf_lesson_get_score(lesson)), 0);
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_int_equal(qf_score_n_fermatas(qf_lesson_get_score(lesson)), 1);
  qf_lesson_free(lesson);
}

static void
test_the_key_is_declared_or_found(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  QfKey           key;
  assert_true(qf_lesson_get_key(lesson, &key));
  assert_true(qf_key_equals(key, key_of("A major")));
  assert_false(qf_lesson_get_may_modulate(lesson));
  assert_int_equal(qf_lesson_set_key(lesson, NULL, NULL), QF_OK);
  assert_false(qf_lesson_get_key(lesson, &key));
  assert_true(qf_lesson_get_may_modulate(lesson));
  assert_true(qf_key_equals(qf_labels_get_key(qf_lesson_get_labels(lesson)), key_of("A major")));

  key = key_of("E major");
  assert_int_equal(qf_lesson_set_key(lesson, &key, NULL), QF_OK);
  assert_false(qf_lesson_get_may_modulate(lesson));
  assert_true(qf_key_equals(qf_score_signature_at(qf_lesson_get_score(lesson), QF_TIME_ZERO), key));
  qf_lesson_free(lesson);
}

static void
test_thresholds_are_kept_and_undone(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  assert_true(qf_lesson_get_key_thresholds(lesson).least_beats == 0.0);
  assert_int_equal(qf_lesson_set_key_thresholds(lesson, (QfKeyThresholds){8.0, 4.0}, NULL), QF_OK);
  assert_int_equal(qf_lesson_set_key_thresholds(lesson, (QfKeyThresholds){-1.0, 4.0}, NULL),
                   QF_ERR_RANGE);
  assert_int_equal(qf_lesson_set_key_thresholds(lesson, (QfKeyThresholds){1.0, 1001.0}, NULL),
                   QF_ERR_RANGE);
  assert_true(qf_lesson_get_key_thresholds(lesson).least_beats == 8.0);
  assert_true(qf_lesson_get_key_thresholds(lesson).cadence_beats == 4.0);
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_true(qf_lesson_get_key_thresholds(lesson).cadence_beats == 0.0);
  qf_lesson_free(lesson);
}

static void
test_labels_follow_every_edit(void** state)
{
  (void)state;
  QfLesson* const       lesson = small_lesson();
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  assert_non_null(labels);
  assert_ptr_equal(labels, qf_lesson_get_labels(lesson));

  // A major: I, then F# A D B = ii43
  char numeral[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&qf_labels_get_link(labels, 1)->numeral, QF_MAJOR, numeral, sizeof(numeral));
  assert_string_equal(numeral, "ii43");

  // With D sharp in place of D it is V43/V: F# A D# B
  const uint32_t alto = qf_score_get_note(qf_lesson_get_score(lesson), 1, 1)->id;
  assert_int_equal(qf_lesson_set_pitch(lesson, alto, pitch_of("D#4"), NULL), QF_OK);
  qf_numeral_write(&qf_labels_get_link(qf_lesson_get_labels(lesson), 1)->numeral, QF_MAJOR, numeral,
                   sizeof(numeral));
  assert_string_equal(numeral, "V43/V");

  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  qf_numeral_write(&qf_labels_get_link(qf_lesson_get_labels(lesson), 1)->numeral, QF_MAJOR, numeral,
                   sizeof(numeral));
  assert_string_equal(numeral, "ii43");
  qf_lesson_free(lesson);
}

static void
check_placed(QfLesson* const lesson, const QfTime start, const char* const numeral)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  const size_t          index  = qf_labels_link_at(labels, start);
  assert_true(index != SIZE_MAX);
  const QfLabel* const label = qf_labels_get_link(labels, index);
  char                 text[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&label->numeral, label->key.mode, text, sizeof(text));
  assert_string_equal(text, numeral);
  assert_int_equal(qf_time_compare(label->start, start), 0);
}

/// A chord typed after another joins it by small steps: every upper voice within a third
static void
test_a_placed_chord_joins_smoothly_and_reads_as_meant(void** state)
{
  (void)state;
  static const char* const numerals[] = {"vi",       "IV",    "V7/ii", "ii65", "V7/V",
                                         "viio7/vi", "Cad64", "I6",    "V42",  "V7/vi"};
  for (size_t i = 0; i < sizeof(numerals) / sizeof(numerals[0]); ++i) {
    QfLesson* const lesson  = small_lesson();
    const QfNumeral numeral = numeral_of(numerals[i], QF_MAJOR);
    const QfTime    start   = qf_time(2, 1);
    QfError         error   = {0};
    if (qf_lesson_place_chord(lesson, start, qf_time(1, 2), key_of("A major"), &numeral, &error)) {
      fail_msg("%s: %s", numerals[i], error.text);
    }
    check_placed(lesson, start, numerals[i]);

    const QfScore* const score = qf_lesson_get_score(lesson);
    for (size_t voice = 0; voice < 3; ++voice) {
      const QfPitch from = qf_score_note_at(score, voice, qf_time(7, 4))->pitch;
      const QfPitch to   = qf_score_note_at(score, voice, start)->pitch;
      if (abs(qf_pitch_step(to) - qf_pitch_step(from)) > 3) {
        fail_msg("%s: voice %zu leaps more than a fourth", numerals[i], voice);
      }
    }
    qf_lesson_free(lesson);
  }
}

/// What is placed is the writing that was given, but for voices that stay
static void
test_a_written_chord_is_placed_as_it_is(void** state)
{
  (void)state;
  QfLesson* const lesson  = small_lesson();
  const QfTime    start   = qf_time(1, 1);
  const QfPitch   soprano = qf_score_note_at(qf_lesson_get_score(lesson), 0, start)->pitch;
  const QfLink    link    = {key_of("A major"), numeral_of("IV", QF_MAJOR), start, {1, 4}};
  QfError         error   = {0};
  assert_int_equal(qf_lesson_place_voicings(lesson, &link, &written, 1, 1, &error), QF_OK);
  const QfScore* const score = qf_lesson_get_score(lesson);
  for (size_t voice = 0; voice < 4; ++voice) {
    const QfPitch wanted = voice ? written.pitch[voice] : soprano;
    assert_true(qf_pitch_equals(qf_score_note_at(score, voice, start)->pitch, wanted));
  }
  check_placed(lesson, start, "IV");
  qf_lesson_free(lesson);
}

static void
test_a_chord_needs_four_voices(void** state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  assert_int_equal(qf_score_add_staff(score, "", QF_CLEF_TREBLE), QF_OK);
  assert_int_equal(qf_score_add_voice(score, "Melody", 0), QF_OK);
  QfLesson* const lesson  = qf_lesson_new_from_score(score);
  const QfNumeral numeral = numeral_of("I", QF_MAJOR);
  QfError         error   = {0};
  assert_int_equal(
    qf_lesson_place_chord(lesson, QF_TIME_ZERO, qf_time(1, 4), key_of("C major"), &numeral, &error),
    QF_ERR_UNSUPPORTED);
  assert_non_null(strstr(error.text, "four voices"));
  qf_lesson_free(lesson);
}

static void
test_a_saved_state_is_known_again(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  assert_true(qf_lesson_is_modified(lesson));
  undo_all(lesson);
  assert_false(qf_lesson_is_modified(lesson));
  redo_all(lesson);
  assert_true(qf_lesson_is_modified(lesson));
  qf_lesson_free(lesson);
}

static bool
explains_with(QfLesson* const lesson, const char* const words)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);

  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);

    for (size_t r = 0; r < link->n_reasons; ++r) {
      if (strstr(link->reasons[r].text, words)) {
        return true;
      }
    }
  }
  return false;
}

/// Common practice in German-speaking countries: Fis is F sharp.
static void
test_naming_changes_the_sentences_and_is_no_edit(void** state)
{
  (void)state;
  QfLesson* const lesson   = small_lesson();
  char* const     before   = json_of(lesson);
  const uint64_t  revision = qf_lesson_get_revision(lesson);

  qf_lesson_forget_history(lesson);
  assert_false(explains_with(lesson, "Gis"));
  assert_true(explains_with(lesson, "G sharp"));
  qf_lesson_set_naming(lesson, QF_NAMING_GERMAN);
  assert_true(explains_with(lesson, "Gis"));
  assert_false(explains_with(lesson, "G sharp"));
  assert_false(qf_lesson_can_undo(lesson));
  assert_false(qf_lesson_is_modified(lesson));
  assert_int_equal(qf_lesson_get_revision(lesson), revision);

  char* const after = json_of(lesson);
  assert_string_equal(after, before);
  free(after);
  free(before);

  // It stays through edits.
  assert_int_equal(qf_lesson_append_bar(lesson, NULL), QF_OK);
  assert_true(explains_with(lesson, "Gis"));
  qf_lesson_free(lesson);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_every_edit_changes_and_can_be_undone_and_redone),
    cmocka_unit_test(test_refused_pitches_change_nothing),
    cmocka_unit_test(test_random_edits_undo_and_redo_byte_for_byte),
    cmocka_unit_test(test_undo_is_capped),
    cmocka_unit_test(test_a_new_edit_drops_what_was_undone),
    cmocka_unit_test(test_a_refused_edit_changes_nothing_and_says_why),
    cmocka_unit_test(test_several_pins_are_one_edit),
    cmocka_unit_test(test_labels_follow_every_edit_and_undo),
    cmocka_unit_test(test_givens_and_pins_follow_the_notes),
    cmocka_unit_test(test_a_fermata_goes_with_its_notes),
    cmocka_unit_test(test_the_key_is_declared_or_found),
    cmocka_unit_test(test_thresholds_are_kept_and_undone),
    cmocka_unit_test(test_labels_follow_every_edit),
    cmocka_unit_test(test_a_placed_chord_joins_smoothly_and_reads_as_meant),
    cmocka_unit_test(test_a_written_chord_is_placed_as_it_is),
    cmocka_unit_test(test_a_chord_needs_four_voices),
    cmocka_unit_test(test_a_saved_state_is_known_again),
    cmocka_unit_test(test_naming_changes_the_sentences_and_is_no_edit),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
