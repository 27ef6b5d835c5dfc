// SPDX-License-Identifier: MIT
#include "passage.h"

#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

enum {
  MAX_NOTES  = 8,
  MAX_CHORDS = 4,
  SOPRANO    = 0,
};

/// A note of the soprano, in eighths
typedef struct {
  const char* pitch;
  int         length;
} Sung;

typedef struct {
  const char*   name;
  const char*   text;                  ///< Numerals of the lower voices' chords
  const char*   chords[MAX_CHORDS][3]; ///< Alto, tenor, bass: a half note each
  Sung          soprano[MAX_NOTES];
  size_t        link;
  size_t        note;       ///< The only foreign note of that link, by its place in the soprano
  size_t        resolution; ///< Place in the soprano, or MAX_NOTES
  QfForeignKind kind;
  int           figure;
  int           goal_figure;
} ForeignCase;

#define C_CHORD                                                                                    \
  {                                                                                                \
    "G4", "E4", "C3"                                                                               \
  }
#define V7_CHORD                                                                                   \
  {                                                                                                \
    "F4", "D4", "G3"                                                                               \
  }

// Source of the kinds: R. Hutchinson, Music Theory for the 21st-Century Classroom, "Non-chord
// tones", the table of how each kind is approached and left (from memory); the figures of
// suspensions are common practice. The examples are worked by hand after it.
static const ForeignCase cases[] = {
  {"passing",
   "I",
   {C_CHORD},
   {{"C5", 1}, {"D5", 1}, {"E5", 2}},
   0,
   1,
   MAX_NOTES,
   QF_FOREIGN_PASSING,
   0,
   0},
  {"accented passing",
   "I V7 I",
   {C_CHORD, V7_CHORD, C_CHORD},
   {{"E5", 2}, {"D5", 2}, {"C5", 1}, {"B4", 3}, {"C5", 4}},
   1,
   2,
   MAX_NOTES,
   QF_FOREIGN_PASSING,
   0,
   0},
  {"upper neighbour",
   "I",
   {C_CHORD},
   {{"E5", 1}, {"F5", 1}, {"E5", 2}},
   0,
   1,
   MAX_NOTES,
   QF_FOREIGN_NEIGHBOUR,
   0,
   0},
  {"4-3",
   "I V7 I",
   {C_CHORD, V7_CHORD, C_CHORD},
   {{"C5", 6}, {"B4", 2}, {"C5", 4}},
   1,
   0,
   1,
   QF_FOREIGN_SUSPENSION,
   4,
   3},
  {"4-3, struck again",
   "I V7 I",
   {C_CHORD, V7_CHORD, C_CHORD},
   {{"C5", 4}, {"C5", 2}, {"B4", 2}, {"C5", 4}},
   1,
   1,
   2,
   QF_FOREIGN_SUSPENSION,
   4,
   3},
  {"9-8, ornamented",
   "V7 I",
   {V7_CHORD, C_CHORD},
   {{"D5", 5}, {"G4", 1}, {"C5", 2}},
   1,
   0,
   2,
   QF_FOREIGN_SUSPENSION,
   9,
   8},
  {"9-8",
   "V7 I",
   {V7_CHORD, C_CHORD},
   {{"D5", 6}, {"C5", 2}},
   1,
   0,
   1,
   QF_FOREIGN_SUSPENSION,
   9,
   8},
  {"7-6",
   "V7 I6 V7",
   {V7_CHORD, {"G4", "C4", "E3"}, V7_CHORD},
   {{"D5", 6}, {"C5", 2}, {"B4", 4}},
   1,
   0,
   1,
   QF_FOREIGN_SUSPENSION,
   7,
   6},
  {"9-10",
   "V7 I",
   {V7_CHORD, C_CHORD},
   {{"D5", 6}, {"E5", 2}},
   1,
   0,
   1,
   QF_FOREIGN_RETARDATION,
   9,
   10},
  {"anticipation",
   "I V7 I",
   {C_CHORD, V7_CHORD, C_CHORD},
   {{"C5", 4}, {"B4", 3}, {"C5", 1}, {"C5", 4}},
   1,
   2,
   MAX_NOTES,
   QF_FOREIGN_ANTICIPATION,
   0,
   0},
  {"anticipation, held",
   "I V7 I",
   {C_CHORD, V7_CHORD, C_CHORD},
   {{"C5", 4}, {"B4", 3}, {"C5", 5}},
   1,
   2,
   MAX_NOTES,
   QF_FOREIGN_ANTICIPATION,
   0,
   0},
  {"appoggiatura",
   "I",
   {C_CHORD, C_CHORD},
   {{"C5", 4}, {"F5", 1}, {"E5", 3}},
   0,
   1,
   2,
   QF_FOREIGN_APPOGGIATURA,
   0,
   0},
  {"escape",
   "I V7 I",
   {C_CHORD, V7_CHORD, C_CHORD},
   {{"E5", 3}, {"F5", 1}, {"D5", 4}, {"C5", 4}},
   0,
   1,
   MAX_NOTES,
   QF_FOREIGN_ESCAPE,
   0,
   0},
};

static QfPitch
pitch_of(const char* const text)
{
  QfPitch pitch = {0};

  assert_int_equal(qf_pitch_parse(text, &pitch, NULL), QF_OK);
  return pitch;
}

static Passage
passage_of(const ForeignCase* const c, uint32_t* const ids)
{
  Passage passage = passage_new(key_of("C", "major"), 4);
  int     at      = 0;

  for (size_t i = 0; i < MAX_CHORDS && c->chords[i][0]; ++i) {
    const char* const chord[] = {"", c->chords[i][0], c->chords[i][1], c->chords[i][2]};

    passage_add(&passage, chord, qf_time(1, 2));
  }
  for (size_t i = 0; i < MAX_NOTES && c->soprano[i].pitch; ++i) {
    const int length = c->soprano[i].length;

    assert_int_equal(qf_score_put_note(passage.score, SOPRANO, qf_time(at, 8), qf_time(length, 8),
                                       pitch_of(c->soprano[i].pitch), QF_NO_NOTE, &ids[i]),
                     QF_OK);
    at += length;
  }
  return passage;
}

static void
test_kinds_are_told_apart(void** state)
{
  size_t n_wrong = 0;

  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const ForeignCase* const c                  = &cases[i];
    uint32_t                 ids[MAX_NOTES + 1] = {0};
    Passage                  passage            = passage_of(c, ids);
    QfLabels* const          labels = passage_label(&passage, key_of("C", "major"), false);
    const QfLabel* const     link   = qf_labels_get_link(labels, c->link);
    const QfForeign* const   got    = &link->foreign[0];
    char                     text[200];

    labels_text(labels, text, sizeof(text));
    if (strcmp(text, c->text) != 0 || link->n_foreign != 1 || got->note != ids[c->note] ||
        got->kind != c->kind || got->resolution != ids[c->resolution] || got->figure != c->figure ||
        got->goal_figure != c->goal_figure) {
      print_error("%s: %s, %zu foreign, %s %d-%d\n", c->name, text, link->n_foreign,
                  qf_foreign_kind_name(got->kind), got->figure, got->goal_figure);
      ++n_wrong;
    }
    qf_labels_free(labels);
    passage_free(&passage);
  }
  assert_int_equal(n_wrong, 0);
}

// MT21C, as above: the double neighbour, a pair of neighbours round one note.
static void
test_both_neighbours_are_neighbours(void** state)
{
  (void)state;

  const ForeignCase c                  = {.chords  = {C_CHORD},
                                          .soprano = {{"C5", 1}, {"D5", 1}, {"B4", 1}, {"C5", 1}}};
  uint32_t          ids[MAX_NOTES + 1] = {0};
  Passage           passage            = passage_of(&c, ids);
  QfLabels* const   labels             = passage_label(&passage, key_of("C", "major"), false);
  const QfLabel*    link               = qf_labels_get_link(labels, 0);

  assert_int_equal(qf_labels_n_links(labels), 1);
  assert_int_equal(link->n_foreign, 2);
  for (size_t i = 0; i < 2; ++i) {
    assert_int_equal(link->foreign[i].note, ids[i + 1]);
    assert_int_equal(link->foreign[i].kind, QF_FOREIGN_NEIGHBOUR);
  }
  qf_labels_free(labels);
  passage_free(&passage);
}

// MT21C, as above: a pedal point begins as a chord note, becomes foreign, and belongs again.
static void
test_a_pedal_is_held_under_other_chords(void** state)
{
  (void)state;

  static const char* const chords[][4] = {
    {"E5", "C5", "G4", ""}, {"F5", "B4", "G4", ""}, {"E5", "C5", "G4", ""}};
  Passage  passage = passage_new(key_of("C", "major"), 4);
  uint32_t pedal   = 0;

  for (size_t i = 0; i < 3; ++i) {
    passage_add(&passage, chords[i], qf_time(1, 2));
  }
  assert_int_equal(qf_score_put_note(passage.score, 3, QF_TIME_ZERO, qf_time(3, 2), pitch_of("C3"),
                                     QF_NO_NOTE, &pedal),
                   QF_OK);

  // Pinned, since it is not the reading that is looked at here.
  QfPin     pin    = {.start = qf_time(1, 2), .key = key_of("C", "major")};
  QfLabels* labels = NULL;

  assert_int_equal(qf_numeral_parse("V7", QF_MAJOR, &pin.numeral, NULL), QF_OK);
  assert_int_equal(qf_labels_new(passage.score,
                                 (QfLabelOptions){.has_key = true, .pins = &pin, .n_pins = 1},
                                 &labels, NULL),
                   QF_OK);
  assert_int_equal(qf_labels_n_links(labels), 3);

  const QfLabel* const link = qf_labels_get_link(labels, 1);

  assert_int_equal(link->numeral.degree, 5);
  assert_int_equal(link->n_foreign, 1);
  assert_int_equal(link->foreign[0].note, pedal);
  assert_int_equal(link->foreign[0].kind, QF_FOREIGN_PEDAL);
  qf_labels_free(labels);
  passage_free(&passage);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_kinds_are_told_apart),
    cmocka_unit_test(test_both_neighbours_are_neighbours),
    cmocka_unit_test(test_a_pedal_is_held_under_other_chords),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
