// SPDX-License-Identifier: MIT
#include "passage.h"

#include <json-c/json.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

enum {
  N_VOICES   = 4,
  MAX_CHORDS = 24,
};

typedef const char* Chord[N_VOICES];

typedef struct {
  const char*   name;
  const char*   tonic;
  const char*   mode;
  Chord         chords[6];
  QfCadenceKind kind; ///< Of the cadence onto the last chord, or their number
} CadenceCase;

// Source of the kinds: Open Music Theory, "Classical cadence types" (perfect: both chords in root
// position, do in the soprano; imperfect: mi or sol in the soprano; half: ends on V; deceptive: V
// to vi), and R. Hutchinson, Music Theory for the 21st-Century Classroom, "Cadences" (plagal IV-I,
// Phrygian iv6-V, leading-tone and inverted forms imperfect). The chords are worked by hand.
static const CadenceCase cases[] = {
  {"V-I, do on top",
   "C",
   "major",
   {{"C5", "G4", "E4", "C3"},
    {"C5", "A4", "F4", "F3"},
    {"B4", "G4", "D4", "G3"},
    {"C5", "G4", "E4", "C3"}},
   QF_CADENCE_PERFECT},
  {"V7-i, do on top",
   "A",
   "minor",
   {{"A4", "E4", "C4", "A2"},
    {"A4", "F4", "D4", "D3"},
    {"G#4", "E4", "D4", "E3"},
    {"A4", "E4", "C4", "A2"}},
   QF_CADENCE_PERFECT},
  {"V-I, mi on top",
   "C",
   "major",
   {{"C5", "G4", "E4", "C3"},
    {"C5", "A4", "F4", "F3"},
    {"D5", "G4", "B3", "G3"},
    {"E5", "G4", "C4", "C3"}},
   QF_CADENCE_IMPERFECT},
  {"V6-I",
   "C",
   "major",
   {{"C5", "G4", "E4", "C3"},
    {"D5", "A4", "F4", "D3"},
    {"D5", "G4", "G4", "B2"},
    {"C5", "G4", "E4", "C3"}},
   QF_CADENCE_IMPERFECT},
  {"viio6-I",
   "C",
   "major",
   {{"C5", "G4", "E4", "C3"},
    {"C5", "A4", "F4", "F3"},
    {"B4", "F4", "D4", "D3"},
    {"C5", "G4", "E4", "C3"}},
   QF_CADENCE_IMPERFECT},
  {"ii-V",
   "C",
   "major",
   {{"E5", "G4", "C4", "C3"},
    {"C5", "G4", "E4", "C3"},
    {"D5", "A4", "F4", "D3"},
    {"D5", "G4", "B3", "G3"}},
   QF_CADENCE_HALF},
  {"I-V",
   "C",
   "major",
   {{"C5", "A4", "F4", "F3"},
    {"D5", "G4", "F4", "B2"},
    {"C5", "G4", "E4", "C3"},
    {"B4", "G4", "D4", "G3"}},
   QF_CADENCE_HALF},
  {"iv6-V",
   "A",
   "minor",
   {{"A4", "E4", "C4", "A3"},
    {"G#4", "E4", "B3", "E3"},
    {"A4", "E4", "C4", "A3"},
    {"A4", "D4", "D4", "F3"},
    {"G#4", "E4", "B3", "E3"}},
   QF_CADENCE_PHRYGIAN},
  {"IV-I",
   "C",
   "major",
   {{"C5", "G4", "E4", "C3"},
    {"B4", "G4", "F4", "G3"},
    {"C5", "G4", "E4", "C3"},
    {"C5", "A4", "F4", "F3"},
    {"C5", "G4", "E4", "C3"}},
   QF_CADENCE_PLAGAL},
  {"V7-vi",
   "C",
   "major",
   {{"C5", "G4", "E4", "C3"},
    {"C5", "A4", "F4", "F3"},
    {"B4", "F4", "D4", "G3"},
    {"C5", "E4", "C4", "A3"}},
   QF_CADENCE_DECEPTIVE},
  {"V-VI",
   "A",
   "minor",
   {{"A4", "E4", "C4", "A3"},
    {"A4", "F4", "D4", "D3"},
    {"G#4", "E4", "B3", "E3"},
    {"A4", "C4", "A3", "F3"}},
   QF_CADENCE_DECEPTIVE},
  {"ends on ii",
   "C",
   "major",
   {{"C5", "G4", "E4", "C3"},
    {"B4", "G4", "F4", "G3"},
    {"C5", "G4", "E4", "C3"},
    {"D5", "A4", "F4", "D3"}},
   QF_CADENCE_N_KINDS}, // None
};

static Passage
passage_of(const CadenceCase* const c)
{
  Passage passage = passage_new(key_of(c->tonic, c->mode), N_VOICES);

  for (size_t i = 0; i < sizeof(c->chords) / sizeof(c->chords[0]) && c->chords[i][0]; ++i) {
    passage_add(&passage, c->chords[i], qf_time(1, 2));
  }
  return passage;
}

/// The cadence onto a link, or NULL
static const QfCadence*
cadence_onto(const QfLabels* const labels, const size_t link)
{
  for (size_t i = 0; i < qf_labels_n_cadences(labels); ++i) {
    if (qf_labels_get_cadence(labels, i)->arrival == link) {
      return qf_labels_get_cadence(labels, i);
    }
  }
  return NULL;
}

static const char*
name_of(const QfCadence* const cadence)
{
  return cadence ? qf_cadence_kind_name(cadence->kind) : "no cadence";
}

static void
test_cadences_at_the_end_are_named(void** state)
{
  size_t n_wrong = 0;

  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const CadenceCase* const c       = &cases[i];
    Passage                  passage = passage_of(c);
    QfLabels* const          labels  = passage_label(&passage, key_of(c->tonic, c->mode), false);
    const QfCadence*         cadence = cadence_onto(labels, qf_labels_n_links(labels) - 1);
    char                     text[200];

    labels_text(labels, text, sizeof(text));
    if ((cadence ? cadence->kind : QF_CADENCE_N_KINDS) != c->kind ||
        qf_labels_n_cadences(labels) != (cadence ? 1 : 0)) {
      print_error("%s: %s: %s\n", c->name, text, name_of(cadence));
      ++n_wrong;
    }
    if (cadence) {
      assert_true(cadence->from + 1 == cadence->arrival);
      assert_true(qf_key_equals(cadence->key, key_of(c->tonic, c->mode)));
      assert_non_null(strstr(cadence->reason, "the passage ends"));
    }
    qf_labels_free(labels);
    passage_free(&passage);
  }
  assert_int_equal(n_wrong, 0);
}

// Common practice: V-I within a phrase is no cadence; a fermata or a rest ends a phrase.
static void
test_a_cadence_needs_the_end_of_a_phrase(void** state)
{
  (void)state;

  static const Chord chords[] = {{"C5", "G4", "E4", "C3"},
                                 {"B4", "G4", "D4", "G3"},
                                 {"C5", "G4", "E4", "C3"},
                                 {"C5", "A4", "F4", "F3"},
                                 {"B4", "G4", "D4", "G3"}};
  const QfKey        key      = key_of("C", "major");

  for (int has_fermata = 0; has_fermata < 2; ++has_fermata) {
    Passage passage = passage_new(key, N_VOICES);

    for (size_t i = 0; i < 5; ++i) {
      passage_add(&passage, chords[i], qf_time(1, 4));
    }
    if (has_fermata) {
      assert_int_equal(qf_score_set_fermata(passage.score, qf_time(2, 4), true), QF_OK);
    }

    QfLabels* const        labels  = passage_label(&passage, key, false);
    const QfCadence* const cadence = cadence_onto(labels, 2);

    assert_int_equal(qf_labels_n_cadences(labels), has_fermata ? 2 : 1);
    assert_true(!cadence == !has_fermata);
    if (cadence) {
      assert_int_equal(cadence->kind, QF_CADENCE_PERFECT);
      assert_string_equal(
        cadence->reason, "Perfect authentic cadence in C major: V leads to I in root position, the "
                         "highest voice on C; a fermata ends the phrase.");
    }
    qf_labels_free(labels);
    passage_free(&passage);
  }

  Passage     passage = passage_new(key, N_VOICES);
  const Chord silence = {"", "", "", ""};

  for (size_t i = 0; i < 5; ++i) {
    passage_add(&passage, chords[i], qf_time(1, 4));
    if (i == 2) {
      passage_add(&passage, silence, qf_time(1, 4));
    }
  }

  QfLabels* const labels = passage_label(&passage, key, false);

  assert_non_null(cadence_onto(labels, 2));
  assert_non_null(strstr(cadence_onto(labels, 2)->reason, "a rest follows"));
  qf_labels_free(labels);
  passage_free(&passage);
}

// Passages with human labels

typedef struct {
  const char*   id;
  const char*   key;
  QfCadenceKind kind;
} PassageCase;

// The last two chords and outer voices of tests/data/references/progressions.json, judged by hand
// after the same definitions. Those left out end with two chords that make no cadence.
static const PassageCase passage_cases[] = {
  {"reger-01", "G major", QF_CADENCE_PERFECT},
  {"reger-02", "D major", QF_CADENCE_PERFECT},
  {"reger-06", "F# major", QF_CADENCE_PERFECT},
  {"rimsky-05a", "F major", QF_CADENCE_IMPERFECT}, // Fifth on top
  {"rimsky-17a", "D minor", QF_CADENCE_PERFECT},
  {"tchaikovsky-183d", "A minor", QF_CADENCE_PERFECT},
  {"bach-351-it6", "G minor", QF_CADENCE_IMPERFECT},       // V42-i6
  {"bach-272-ger65", "D minor", QF_CADENCE_IMPERFECT},     // Third on top
  {"bach-309-deceptive", "G minor", QF_CADENCE_IMPERFECT}, // Third on top
  {"bach-65-tonicize", "C major", QF_CADENCE_PERFECT},
  {"bach-309-chain", "G minor", QF_CADENCE_HALF},
  {"bach-395-tonicize-mod", "E major", QF_CADENCE_IMPERFECT}, // Third on top
  {"bach-259-fifths", "G major", QF_CADENCE_IMPERFECT},       // Third on top
};

static const char*
text_of(struct json_object* const object, const char* const name)
{
  struct json_object* value = NULL;

  assert_true(json_object_object_get_ex(object, name, &value));
  return json_object_get_string(value);
}

/// Label with every chord pinned as the human reader has it
static QfLabels*
label_as_read(struct json_object* const chords)
{
  const size_t n = json_object_array_length(chords);
  QfPin        pins[MAX_CHORDS];
  Passage      passage = passage_new(key_of("C", "major"), N_VOICES);
  QfLabels*    labels  = NULL;

  assert_in_range(n, 1, MAX_CHORDS);
  for (size_t i = 0; i < n; ++i) {
    struct json_object* const chord = json_object_array_get_idx(chords, i);

    const char* const pitches[] = {text_of(chord, "S"), text_of(chord, "A"), text_of(chord, "T"),
                                   text_of(chord, "B")};

    pins[i].start = passage.end;
    passage_add(&passage, pitches, qf_time(1, 4));
    assert_int_equal(qf_key_parse(text_of(chord, "key"), &pins[i].key, NULL), QF_OK);
    assert_int_equal(
      qf_numeral_parse(text_of(chord, "numeral"), pins[i].key.mode, &pins[i].numeral, NULL), QF_OK);
  }

  const QfLabelOptions options = {.may_modulate = true, .pins = pins, .n_pins = n};

  assert_int_equal(qf_labels_new(passage.score, options, &labels, NULL), QF_OK);
  assert_int_equal(qf_labels_n_links(labels), n);
  passage_free(&passage);
  return labels;
}

static void
test_cadences_of_labelled_passages(void** state)
{
  struct json_object* const root =
    json_object_from_file(QF_TEST_DATA "/references/progressions.json");
  struct json_object* passages = NULL;
  size_t              n_seen   = 0;

  (void)state;
  assert_true(json_object_object_get_ex(root, "progressions", &passages));
  for (size_t p = 0; p < json_object_array_length(passages); ++p) {
    struct json_object* const json   = json_object_array_get_idx(passages, p);
    struct json_object*       chords = NULL;

    json_object_object_get_ex(json, "chords", &chords);
    for (size_t i = 0; i < sizeof(passage_cases) / sizeof(passage_cases[0]); ++i) {
      const PassageCase* const c = &passage_cases[i];

      if (strcmp(c->id, text_of(json, "id")) != 0) {
        continue;
      }

      QfLabels* const        labels  = label_as_read(chords);
      const QfCadence* const cadence = cadence_onto(labels, qf_labels_n_links(labels) - 1);
      char                   key[16] = "";

      if (cadence) {
        qf_key_write(cadence->key, key, sizeof(key));
      }
      if (!cadence || cadence->kind != c->kind || strcmp(key, c->key) != 0) {
        fail_msg("%s: %s in %s", c->id, name_of(cadence), key);
      }
      qf_labels_free(labels);
      ++n_seen;
    }
  }
  assert_int_equal(n_seen, sizeof(passage_cases) / sizeof(passage_cases[0]));
  json_object_put(root);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_cadences_at_the_end_are_named),
    cmocka_unit_test(test_a_cadence_needs_the_end_of_a_phrase),
    cmocka_unit_test(test_cadences_of_labelled_passages),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
