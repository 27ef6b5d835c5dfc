// SPDX-License-Identifier: MIT
#include "score_test.h"

#include "quintfall/spelling.h"

/// One note to write: its voice, place and name, and what must stand before it
typedef struct {
  size_t      voice; ///< 0 and 1 share the upper staff, 2 and 3 the lower
  const char* start;
  const char* duration;
  const char* pitch;
  char        sign; ///< '-' none, 'n' needed, 'c' courtesy
} NoteCase;

enum {
  MAX_NOTES = 8,
};

typedef struct {
  const char* label;
  const char* key;
  bool        across_voices;
  NoteCase    notes[MAX_NOTES];
} AccidentalCase;

// Common practice, in four-four: a sign holds for its line or space to the bar line
static const AccidentalCase accidental_cases[] = {
  {"the signature speaks for itself",
   "D",
   false,
   {{0, "0", "1/4", "F#4", '-'}, {0, "1/4", "1/4", "C#5", '-'}, {0, "1/2", "1/4", "F4", 'n'}}},
  {"a sign holds in its bar",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'},
    {0, "1/4", "1/4", "F#4", '-'},
    {0, "1/2", "1/4", "F4", 'n'},
    {0, "3/4", "1/4", "F4", '-'}}},
  {"a sign does not hold in another octave",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'}, {0, "1/4", "1/4", "F#5", 'n'}}},
  {"a sign does not hold over the bar line",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'}, {0, "1", "1/4", "F#4", 'n'}}},
  {"a sign holds for the other voice of its staff",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'}, {1, "1/4", "1/4", "F#4", '-'}, {1, "1/2", "1/4", "F4", 'n'}}},
  {"a sign does not hold for the other staff",
   "C",
   false,
   {{1, "0", "1/4", "F#4", 'n'}, {2, "1/4", "1/4", "F#4", 'n'}}},
  {"a tied note needs no sign, the next one does",
   "C",
   false,
   {{0, "3/4", "1/2", "F#4", 'n'}, {0, "5/4", "1/4", "F#4", 'n'}}},
  {"plain again in the next bar",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'}, {0, "1", "1/4", "F4", 'c'}, {0, "5/4", "1/4", "F4", '-'}}},
  {"plain again after a tie over the bar line",
   "C",
   false,
   {{0, "3/4", "1/2", "F#4", 'n'}, {0, "5/4", "1/4", "F4", 'c'}}},
  {"plain again two bars after a tie that ends between",
   "C",
   false,
   {{0, "3/4", "1/2", "F#4", 'n'}, {0, "2", "1/4", "F4", 'c'}}},
  {"two bars later nothing is recalled",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'}, {0, "2", "1/4", "F4", '-'}}},
  {"already plain in the same bar",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'}, {0, "1/4", "1/4", "F4", 'n'}, {0, "1", "1/4", "F4", '-'}}},
  {"a natural against the signature is cancelled too",
   "G",
   false,
   {{0, "0", "1/4", "F4", 'n'}, {0, "1", "1/4", "F#4", 'c'}}},
  {"a double sharp and back to the signature",
   "c#",
   false,
   {{0, "0", "1/4", "F##4", 'n'}, {0, "1", "1/4", "F#4", 'c'}}},
  {"another octave is reminded only on request",
   "C",
   false,
   {{0, "0", "1/4", "C#5", 'n'}, {0, "1/4", "1/4", "C4", '-'}}},
  {"another octave in the same bar",
   "C",
   true,
   {{0, "0", "1/4", "C#5", 'n'}, {0, "1/4", "1/4", "C4", 'c'}, {0, "1/2", "1/4", "C4", '-'}}},
  {"another voice in the same bar",
   "C",
   true,
   {{0, "0", "1/4", "C#5", 'n'}, {3, "1/4", "1/4", "C3", 'c'}}},
  {"another voice in the next bar",
   "C",
   true,
   {{0, "0", "1/4", "C#5", 'n'}, {3, "1", "1/4", "C3", 'c'}, {3, "5/4", "1/4", "C3", '-'}}},
  {"another voice two bars later",
   "C",
   true,
   {{0, "0", "1/4", "C#5", 'n'}, {3, "2", "1/4", "C3", '-'}}},
  {"another voice at the same time",
   "C",
   true,
   {{0, "0", "1/4", "C5", 'c'}, {3, "0", "1/4", "C#3", 'n'}}},
  {"a unison needs one sign",
   "C",
   false,
   {{0, "0", "1/4", "F#4", 'n'}, {1, "0", "1/4", "F#4", '-'}}},
};

static char
sign_before(const QfAccidentals* const list, const uint32_t note, const NoteCase* const row)
{
  char sign = '-';
  for (size_t i = 0; i < list->n_accidentals; ++i) {
    if (list->accidentals[i].note == note) {
      assert_int_equal(sign, '-'); // one sign a note
      assert_int_equal(list->accidentals[i].alter, pitch_of(row->pitch).alter);
      assert_int_equal(list->accidentals[i].staff, row->voice / 2);
      sign = list->accidentals[i].kind == QF_ACCIDENTAL_NEEDED ? 'n' : 'c';
    }
  }
  return sign;
}

static void
test_signs_stand_where_they_should(void** const state)
{
  (void)state;
  int n_failed = 0;
  for (size_t i = 0; i < N_ITEMS(accidental_cases); ++i) {
    const AccidentalCase* const row            = &accidental_cases[i];
    QfScore* const              score          = new_score(row->key, "4/4", "0", 3);
    QfAccidentals               list           = {0};
    uint32_t                    ids[MAX_NOTES] = {0};
    for (size_t j = 0; j < MAX_NOTES && row->notes[j].pitch; ++j) {
      const NoteCase* const note = &row->notes[j];
      ids[j] = put(score, note->voice, note->start, note->duration, note->pitch);
    }

    assert_int_equal(qf_accidentals_of(score, row->across_voices, &list), QF_OK);
    for (size_t j = 0; j < MAX_NOTES && row->notes[j].pitch; ++j) {
      const char sign = sign_before(&list, ids[j], &row->notes[j]);
      if (sign != row->notes[j].sign) {
        print_error("%s: note %zu has %c, not %c\n", row->label, j, sign, row->notes[j].sign);
        ++n_failed;
      }
    }
    qf_accidentals_clear(&list);
    qf_score_free(score);
  }
  assert_int_equal(n_failed, 0);
}

static void
test_a_new_signature_ends_what_was_in_force(void** const state)
{
  (void)state;
  // From four sharps to none: the F natural then needs no sign, nor a reminder
  QfScore* const score = new_score("E", "4/4", "0", 2);
  QfAccidentals  list  = {0};
  assert_int_equal(qf_score_set_signature(score, qf_time(1, 1), key_of("C")), QF_OK);
  put(score, 0, "0", "1/4", "F#4");
  put(score, 0, "1", "1/4", "F4");
  const uint32_t sharp = put(score, 0, "5/4", "1/4", "G#4");
  assert_int_equal(qf_accidentals_of(score, false, &list), QF_OK);
  assert_int_equal(list.n_accidentals, 1);
  assert_int_equal(list.accidentals[0].note, sharp);
  qf_accidentals_clear(&list);
  qf_score_free(score);
}

static void
test_a_signature_within_the_bar_ends_signs(void** const state)
{
  (void)state;
  // The F natural is then in the signature: a reminder, not a need
  QfScore* const score = new_score("C", "4/4", "0", 1);
  QfAccidentals  list  = {0};
  assert_int_equal(qf_score_set_signature(score, qf_time(1, 2), key_of("F")), QF_OK);
  put(score, 0, "0", "1/4", "F#4");
  put(score, 0, "1/2", "1/4", "F4");
  assert_int_equal(qf_accidentals_of(score, false, &list), QF_OK);
  assert_int_equal(list.n_accidentals, 2);
  assert_int_equal(list.accidentals[0].kind, QF_ACCIDENTAL_NEEDED);
  assert_int_equal(list.accidentals[1].kind, QF_ACCIDENTAL_COURTESY);
  qf_accidentals_clear(&list);
  qf_score_free(score);
}

/// Alteration a reader takes a note to have, from the signature and the signs alone
typedef struct {
  int    alter;
  size_t bar; ///< From 1
} ReadLine;

static int
kind_of(const QfAccidentals* const list, const uint32_t note, int* const alter)
{
  for (size_t i = 0; i < list->n_accidentals; ++i) {
    if (list->accidentals[i].note == note) {
      *alter = list->accidentals[i].alter;
      return (int)list->accidentals[i].kind;
    }
  }
  return QF_ACCIDENTAL_NONE;
}

static void
test_a_reader_gets_back_every_pitch(void** const state)
{
  (void)state;
  // One voice a staff, so that reading order is the order of notes
  for (uint64_t seed = 1; seed <= 20; ++seed) {
    TestRandom     random = {seed, 0};
    QfScore* const score  = qf_score_new();
    for (size_t i = 0; i < 2; ++i) {
      assert_int_equal(qf_score_add_staff(score, "", QF_CLEF_TREBLE), QF_OK);
      assert_int_equal(qf_score_add_voice(score, "", i), QF_OK);
    }
    QfKey key = key_of("C");
    assert_int_equal(qf_key_from_fifths((int)random_below(&random, 15) - 7, QF_MAJOR, &key), QF_OK);
    assert_int_equal(qf_score_set_signature(score, QF_TIME_ZERO, key), QF_OK);
    scribble(score, &random, 80, 8);

    QfAccidentals list = {0};
    assert_int_equal(qf_accidentals_of(score, seed % 2, &list), QF_OK);
    for (size_t voice = 0; voice < 2; ++voice) {
      ReadLine lines[80] = {{0, 0}};
      for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
        const QfNote* const note  = qf_score_get_note(score, voice, i);
        const size_t        bar   = qf_score_bar_at(score, note->start) + 1U;
        ReadLine* const     line  = &lines[qf_pitch_step(note->pitch)];
        const int           plain = qf_key_alter_of(key, note->pitch.letter);
        int                 read  = line->bar == bar ? line->alter : plain;
        const int           kind  = kind_of(&list, note->id, &read);
        const int           force = line->bar == bar ? line->alter : plain;

        assert_int_equal(read, note->pitch.alter);
        assert_int_equal(kind == QF_ACCIDENTAL_NEEDED, force != note->pitch.alter);
        *line = (ReadLine){read, bar};
      }
    }
    qf_accidentals_clear(&list);
    qf_score_free(score);
  }
}

static void
test_extreme_pitches_have_a_line(void** const state)
{
  (void)state;
  // The ends of MIDI in their most remote spellings
  static const char* const pitches[] = {"C-1", "B#-2", "B####-2", "A####-2",
                                        "G9",  "Abb9", "Bbbbb9"};
  QfScore* const           score     = new_score("C", "4/4", "0", 2);
  for (size_t i = 0; i < N_ITEMS(pitches); ++i) {
    const QfStatus st   = qf_score_put_note(score, 0, qf_time((int64_t)i, 4), qf_time(1, 4),
                                            pitch_of(pitches[i]), QF_NO_NOTE, NULL);
    const int      midi = qf_pitch_midi(pitch_of(pitches[i]));
    assert_int_equal(st, midi >= 0 && midi <= 127 ? QF_OK : QF_ERR_RANGE);
  }

  QfAccidentals list = {0};
  assert_int_equal(qf_accidentals_of(score, true, &list), QF_OK);
  for (size_t i = 0; i < qf_score_n_notes(score, 0); ++i) {
    const QfNote* const note  = qf_score_get_note(score, 0, i);
    int                 alter = 0;
    assert_int_equal(kind_of(&list, note->id, &alter),
                     note->pitch.alter ? QF_ACCIDENTAL_NEEDED : QF_ACCIDENTAL_NONE);
  }
  qf_accidentals_clear(&list);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_signs_stand_where_they_should),
    cmocka_unit_test(test_a_new_signature_ends_what_was_in_force),
    cmocka_unit_test(test_a_signature_within_the_bar_ends_signs),
    cmocka_unit_test(test_a_reader_gets_back_every_pitch),
    cmocka_unit_test(test_extreme_pitches_have_a_line),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
