// SPDX-License-Identifier: MIT
#include "passage.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  N_VOICES   = 4,
  MAX_CHORDS = 12,
};

typedef const char* Chord[N_VOICES];

static const QfKey c_major = {{0, 0}, QF_MAJOR};
static const QfKey a_minor = {{5, 0}, QF_MINOR};

static Passage
passage_of(const QfKey key, const Chord* const chords, const QfTime duration)
{
  Passage passage = passage_new(key, N_VOICES);

  for (size_t i = 0; i < MAX_CHORDS && chords[i][0]; ++i) {
    passage_add(&passage, chords[i], duration);
  }
  return passage;
}

static QfLabels*
label_in(const QfKey key, const Chord* const chords, const bool may_modulate)
{
  Passage         passage = passage_of(key, chords, qf_time(1, 4));
  QfLabels* const labels  = passage_label(&passage, key, may_modulate);

  passage_free(&passage);
  return labels;
}

static void
check_text(const QfLabels* const labels, const char* const expected)
{
  char text[400];

  labels_text(labels, text, sizeof(text));
  assert_string_equal(text, expected);
}

static bool
has_reason(const QfLabel* const link, const QfReasonKind kind, const char* const words)
{
  for (size_t i = 0; i < link->n_reasons; ++i) {
    if (link->reasons[i].kind == kind && strstr(link->reasons[i].text, words)) {
      return true;
    }
  }
  return false;
}

// Resolutions

typedef struct {
  const char*  text;
  Chord        chords[MAX_CHORDS];
  size_t       link;
  QfResolution resolution;
} ResolutionCase;

// Source: R. Hutchinson, Music Theory for the 21st-Century Classroom, "Irregular Resolutions of
// Secondary Chords" (V7/vi to IV, V42/IV to V7/ii); the others are common practice.
static const ResolutionCase resolution_cases[] = {
  {"I V7 I",
   {{"C5", "G4", "E4", "C3"}, {"B4", "G4", "F4", "G2"}, {"C5", "G4", "E4", "C3"}},
   1,
   QF_RESOLUTION_KEPT},
  {"I V7 I",
   {{"C5", "G4", "E4", "C3"}, {"B4", "G4", "F4", "G2"}, {"C5", "G4", "E4", "C3"}},
   0,
   QF_RESOLUTION_NONE},
  {"I V7 vi",
   {{"C5", "G4", "E4", "C3"}, {"B4", "F4", "D4", "G2"}, {"C5", "E4", "C4", "A2"}},
   1,
   QF_RESOLUTION_DECEPTIVE},
  {"I V7/V V7 I",
   {{"C5", "G4", "E4", "C3"},
    {"C5", "A4", "F#4", "D3"},
    {"B4", "G4", "F4", "G2"},
    {"C5", "G4", "E4", "C3"}},
   1,
   QF_RESOLUTION_CHAINED},
  {"I V7/vi IV V I",
   {{"C5", "G4", "E4", "C3"},
    {"B4", "G#4", "D4", "E3"},
    {"C5", "A4", "C4", "F3"},
    {"B4", "G4", "D4", "G3"},
    {"C5", "G4", "E4", "C3"}},
   1,
   QF_RESOLUTION_DECEPTIVE},
  {"I V42/IV V7/ii ii V7 I",
   {{"C5", "G4", "E4", "C4"},
    {"C5", "G4", "E4", "Bb3"},
    {"C#5", "G4", "E4", "A3"},
    {"D5", "A4", "F4", "D3"},
    {"B4", "F4", "D4", "G3"},
    {"C5", "E4", "C4", "C3"}},
   1,
   QF_RESOLUTION_DEFLECTED},
  {"I V V7 I",
   {{"C5", "G4", "E4", "C3"},
    {"B4", "G4", "D4", "G2"},
    {"B4", "G4", "F4", "G2"},
    {"C5", "G4", "E4", "C3"}},
   1,
   QF_RESOLUTION_PROLONGED},
  {"I V7/V", {{"C5", "G4", "E4", "C3"}, {"C5", "A4", "F#4", "D3"}}, 1, QF_RESOLUTION_OPEN},
};

static void
test_resolutions_are_told_apart(void** state)
{
  (void)state;

  for (size_t i = 0; i < sizeof(resolution_cases) / sizeof(resolution_cases[0]); ++i) {
    const ResolutionCase* const c      = &resolution_cases[i];
    QfLabels* const             labels = label_in(c_major, c->chords, false);
    char                        text[200];

    labels_text(labels, text, sizeof(text));
    if (strcmp(text, c->text) != 0 ||
        qf_labels_get_link(labels, c->link)->resolution != c->resolution) {
      fail_msg("%s link %zu: %s, %s", c->text, c->link + 1, text,
               qf_resolution_name(qf_labels_get_link(labels, c->link)->resolution));
    }
    qf_labels_free(labels);
  }
}

static void
test_a_link_says_where_its_notes_should_go(void** state)
{
  (void)state;

  const Chord     chords[MAX_CHORDS] = {{"C5", "G4", "E4", "C3"},
                                        {"C5", "A4", "F#4", "D3"},
                                        {"B4", "G4", "F4", "G2"},
                                        {"C5", "G4", "E4", "C3"}};
  QfLabels* const labels             = label_in(c_major, chords, false);
  const QfLabel*  link               = qf_labels_get_link(labels, 1);
  char            spoken[200];

  // Facts of a chain: the applied leading tone slides down a semitone to the next seventh, the
  // seventh falls a step. Source: MT21C, "Voice Leading Chromatic Harmonies".
  assert_true(
    has_reason(link, QF_REASON_NOTES, "D, F sharp, A and C make a dominant seventh on D"));
  assert_true(has_reason(link, QF_REASON_LEADING, "F sharp is the applied leading tone of G"));
  assert_true(has_reason(link, QF_REASON_LEADING, "slides down to the next seventh in voice 3"));
  assert_true(has_reason(link, QF_REASON_SEVENTH, "C is the seventh"));
  assert_true(has_reason(link, QF_REASON_SEVENTH, "and does in voice 1"));
  assert_true(has_reason(link, QF_REASON_KEY, "C major"));

  qf_label_speak(link, 1, QF_NAMING_ENGLISH, spoken, sizeof(spoken));
  assert_string_equal(spoken, "Link 2: five seven of five, D dominant seventh, root position; "
                              "falling fifth; kept as another dominant");

  link = qf_labels_get_link(labels, 2);
  assert_int_equal(link->chord.omitted, 1U << 2U);
  assert_true(has_reason(link, QF_REASON_OMISSION, "The fifth, D, is left out"));
  assert_true(has_reason(link, QF_REASON_LEADING, "rise to C, and does in voice 1"));
  qf_labels_free(labels);
}

/// Common practice in German-speaking countries: H is B natural, B is B flat, Es is E flat.
static void
test_sentences_name_notes_by_the_chosen_convention(void** state)
{
  (void)state;

  const QfKey          e_flat             = {{2, -1}, QF_MAJOR};
  const Chord          chords[MAX_CHORDS] = {{"Eb5", "G4", "Bb3", "Eb3"},
                                             {"F5", "B4", "D4", "G3"},
                                             {"Eb5", "G4", "C4", "C3"},
                                             {"D5", "F4", "Ab3", "Bb2"},
                                             {"Eb5", "G4", "Bb3", "Eb3"}};
  Passage              passage            = passage_of(e_flat, chords, qf_time(1, 4));
  const QfLabelOptions options = {.has_key = true, .key = e_flat, .naming = QF_NAMING_GERMAN};
  QfLabels*            labels  = NULL;
  char                 spoken[240];

  assert_int_equal(qf_labels_new(passage.score, options, &labels, NULL), QF_OK);
  check_text(labels, "I V7/vi vi V7 I");

  const QfLabel* const applied  = qf_labels_get_link(labels, 1);
  const QfLabel* const dominant = qf_labels_get_link(labels, 3);

  assert_true(has_reason(applied, QF_REASON_LEADING, "H is the applied leading tone of C"));
  assert_true(has_reason(dominant, QF_REASON_NOTES, "B, D, F and As make a dominant seventh on B"));
  assert_true(has_reason(dominant, QF_REASON_RESOLUTION, "A chord on Es is expected"));
  assert_true(has_reason(dominant, QF_REASON_KEY, "Es major"));
  assert_true(qf_labels_n_cadences(labels) > 0);
  assert_non_null(strstr(qf_labels_get_cadence(labels, 0)->reason, "in Es major"));
  qf_label_speak(dominant, 3, QF_NAMING_GERMAN, spoken, sizeof(spoken));
  assert_non_null(strstr(spoken, "B dominant seventh"));
  qf_label_speak(dominant, 3, QF_NAMING_ENGLISH, spoken, sizeof(spoken));
  assert_non_null(strstr(spoken, "B flat dominant seventh"));
  qf_labels_free(labels);

  // In English the key is spelt out like the notes beside it.
  labels = passage_label(&passage, e_flat, false);
  assert_true(has_reason(qf_labels_get_link(labels, 3), QF_REASON_KEY, "E flat major"));
  qf_labels_free(labels);
  passage_free(&passage);
}

// Chains

typedef struct {
  const char* text;
  Chord       chords[MAX_CHORDS];
  QfChainKind kind;
  size_t      first;
  size_t      last;
  size_t      goal;
  const char* name;
} ChainCase;

static const ChainCase chain_cases[] = {
  // Inverted form 65-42, two voices hold and two step down. Source: MT21C, "Voice Leading
  // Chromatic Harmonies"; the numerals are those of Beethoven, Op. 27 No. 2, ii, bars 44-49.
  {"I V65/ii V42/V V65 V42/IV IV6",
   {{"C5", "G4", "E4", "C4"},
    {"A4", "G4", "E4", "C#4"},
    {"A4", "F#4", "D4", "C4"},
    {"G4", "F4", "D4", "B3"},
    {"G4", "E4", "C4", "Bb3"},
    {"F4", "F4", "C4", "A3"}},
   QF_CHAIN_APPLIED,
   1,
   4,
   5,
   "Chain of 4 dominant sevenths, 3 of them applied, falling by fifths, from V65/ii to IV6"},
  // The diatonic circle of fifths. Source: MT21C, "Circle of Fifths Progression".
  {"I IV viio iii vi ii V I",
   {{"E5", "G4", "C4", "C3"},
    {"C5", "A4", "F4", "F3"},
    {"D5", "B4", "F4", "B2"},
    {"B4", "G4", "E4", "E3"},
    {"C5", "A4", "E4", "A2"},
    {"A4", "F4", "D4", "D3"},
    {"B4", "G4", "D4", "G2"},
    {"C5", "G4", "E4", "C3"}},
   QF_CHAIN_FALLING,
   0,
   7,
   7,
   "Descending-fifth sequence of 8 chords, from I to I"},
  // Common practice: rising fifths in a plagal row.
  {"bVII IV I V",
   {{"Bb4", "F4", "D4", "Bb2"},
    {"A4", "F4", "C4", "F3"},
    {"G4", "E4", "C4", "C3"},
    {"G4", "D4", "B3", "G2"}},
   QF_CHAIN_RISING,
   0,
   3,
   3,
   "Run of 4 roots, rising by fifths, from bVII to V"},
};

static void
test_chains_are_named(void** state)
{
  (void)state;

  for (size_t i = 0; i < sizeof(chain_cases) / sizeof(chain_cases[0]); ++i) {
    const ChainCase* const c      = &chain_cases[i];
    QfLabels* const        labels = label_in(c_major, c->chords, false);

    check_text(labels, c->text);
    assert_int_equal(qf_labels_n_chains(labels), 1);

    const QfChain* const chain = qf_labels_get_chain(labels, 0);

    assert_int_equal(chain->kind, c->kind);
    assert_int_equal(chain->first, c->first);
    assert_int_equal(chain->last, c->last);
    assert_int_equal(chain->goal, c->goal);
    assert_string_equal(chain->name, c->name);
    qf_labels_free(labels);
  }
}

static QfPin
pin_of(const QfTime start, const char* const key, const char* const numeral)
{
  QfPin pin = {.start = start};

  assert_int_equal(qf_key_parse(key, &pin.key, NULL), QF_OK);
  assert_int_equal(qf_numeral_parse(numeral, pin.key.mode, &pin.numeral, NULL), QF_OK);
  return pin;
}

// Common practice: the leading-tone seventh that leads to a plain dominant is everyday harmony, and
// a deceptive step is no link of a chain.
static void
test_a_dominant_that_leads_to_none_makes_no_chain(void** state)
{
  (void)state;

  const Chord     chords[MAX_CHORDS] = {{"A4", "E4", "C4", "A2"},  {"A4", "F4", "C4", "F3"},
                                        {"A4", "F4", "D4", "D3"},  {"A4", "F#4", "C4", "D#3"},
                                        {"G#4", "E4", "B3", "E3"}, {"G#4", "D4", "B3", "E3"},
                                        {"A4", "C4", "A3", "F3"}};
  QfLabels* const labels             = label_in(a_minor, chords, false);

  check_text(labels, "i VI iv viio7/V V V7 VI");
  assert_int_equal(qf_labels_n_chains(labels), 0);
  qf_labels_free(labels);
}

// Source: Tchaikovsky 1872, ex. 189, bars 1-3: five dominant sevenths, each a fifth under the one
// before, on the way from C to A flat. The keys are pinned as they are found there.
static void
test_a_chain_goes_on_where_the_key_changes(void** state)
{
  (void)state;

  static const char* const numerals[] = {"V7", "V65/vi", "V42/ii", "V65/V", "V42", "I6"};
  const Chord chords[MAX_CHORDS]      = {{"B4", "F4", "D4", "G3"},    {"Bb4", "G4", "C4", "E3"},
                                         {"A4", "F4", "C4", "Eb3"},   {"Ab4", "F4", "Bb3", "D3"},
                                         {"G4", "Eb4", "Bb3", "Db3"}, {"Ab4", "Eb4", "Ab3", "C3"}};
  Passage     passage                 = passage_of(c_major, chords, qf_time(1, 4));
  QfPin       pins[6];
  QfLabels*   labels = NULL;

  for (size_t i = 0; i < 6; ++i) {
    pins[i] = pin_of(qf_time((int)i, 4), i ? "Ab" : "C", numerals[i]);
  }

  const QfLabelOptions options = {.may_modulate = true, .pins = pins, .n_pins = 6};

  assert_int_equal(qf_labels_new(passage.score, options, &labels, NULL), QF_OK);
  assert_int_equal(qf_labels_n_chains(labels), 1);
  assert_string_equal(qf_labels_get_chain(labels, 0)->name,
                      "Chain of 5 dominant sevenths, 3 of them applied, falling by fifths, "
                      "from V7 in C major to I6 in A flat major");
  qf_labels_free(labels);
  passage_free(&passage);
}

// Notes outside the chord

static uint32_t
put(Passage* const passage, const size_t voice, const int at, const int length, const char* pitch)
{
  QfPitch  value;
  uint32_t id = QF_NO_NOTE;

  assert_int_equal(qf_pitch_parse(pitch, &value, NULL), QF_OK);
  assert_int_equal(
    qf_score_put_note(passage->score, voice, qf_time(at, 8), qf_time(length, 8), value, 0, &id),
    QF_OK);
  return id;
}

static void
test_foreign_notes_are_listed_with_their_kind(void** state)
{
  (void)state;

  const Chord chords[MAX_CHORDS] = {{"E5", "G4", "C4", "C3"},
                                    {"C5", "A4", "F4", "F3"},
                                    {"C5", "G4", "D4", "G3"},
                                    {"C5", "G4", "E4", "C3"}};
  Passage     passage            = passage_of(c_major, chords, qf_time(1, 2));

  // Over half notes: a passing D in the soprano, and a 4-3 suspension over the dominant.
  put(&passage, 0, 0, 2, "E5");
  const uint32_t passing    = put(&passage, 0, 2, 2, "D5");
  const uint32_t suspension = put(&passage, 0, 4, 6, "C5"); // Held over from the chord before

  put(&passage, 0, 10, 2, "B4");

  QfLabels* const labels = passage_label(&passage, c_major, false);
  const QfLabel*  link   = qf_labels_get_link(labels, 0);

  check_text(labels, "I IV V I");
  assert_int_equal(link->n_foreign, 1);
  assert_int_equal(link->foreign[0].note, passing);
  assert_true(has_reason(link, QF_REASON_FOREIGN, "D in voice 1 does not belong to the chord"));
  assert_true(has_reason(link, QF_REASON_FOREIGN, "a passing note"));

  link = qf_labels_get_link(labels, 2);
  assert_int_equal(link->n_foreign, 1);
  assert_int_equal(link->foreign[0].note, suspension);
  assert_true(
    has_reason(link, QF_REASON_FOREIGN, "a 4-3 suspension, prepared at m1 b3 and resolved to B"));
  qf_labels_free(labels);
  passage_free(&passage);
}

// Keys

// Common practice: a full cadence fixes its key, whatever the signature says.
static const Chord cadence_chords[MAX_CHORDS] = {{"C5", "G4", "E4", "C3"},
                                                 {"C5", "A4", "F4", "F3"},
                                                 {"B4", "G4", "D4", "G3"},
                                                 {"B4", "G4", "F4", "G2"},
                                                 {"C5", "G4", "E4", "C3"}};

static void
test_the_key_is_found(void** state)
{
  (void)state;

  for (int fifths = -7; fifths <= 7; ++fifths) {
    Passage    passage = passage_of(c_major, cadence_chords, qf_time(1, 4));
    QfLabels*  labels  = NULL;
    QfKey      key;
    QfInterval interval;

    assert_int_equal(qf_key_from_fifths(fifths, QF_MAJOR, &key), QF_OK);
    interval = qf_interval_between_names(c_major.tonic, key.tonic);
    assert_int_equal(qf_score_transpose(passage.score, interval), QF_OK);
    // A signature two fifths off is overruled by the notes.
    const int            wrong = fifths > 0 ? fifths - 2 : fifths + 2;
    QfKey                sign;
    const QfLabelOptions options = {.may_modulate = true};

    for (int is_wrong = 0; is_wrong < 2; ++is_wrong) {
      assert_int_equal(qf_key_from_fifths(is_wrong ? wrong : fifths, QF_MAJOR, &sign), QF_OK);
      assert_int_equal(qf_score_set_signature(passage.score, QF_TIME_ZERO, sign), QF_OK);
      assert_int_equal(qf_labels_new(passage.score, options, &labels, NULL), QF_OK);
      assert_true(qf_key_equals(qf_labels_get_key(labels), key));
      check_text(labels, "I IV V V7 I");
      qf_labels_free(labels);
    }
    passage_free(&passage);
  }
}

// A pivot chord, then a cadence in the dominant: Open Music Theory, "Modulation".
static const Chord modulating_chords[MAX_CHORDS] = {
  {"C5", "G4", "E4", "C3"}, {"D5", "G4", "F4", "B2"},  {"E5", "G4", "E4", "C3"},
  {"E5", "A4", "C4", "A2"}, {"D5", "G4", "B3", "D3"},  {"C5", "F#4", "A3", "D3"},
  {"B4", "G4", "D4", "G2"}, {"A4", "F#4", "D4", "D3"}, {"G4", "G4", "B3", "G2"}};

static void
test_a_modulation_is_found_only_if_allowed(void** state)
{
  (void)state;

  const QfKey     g_major = {{4, 0}, QF_MAJOR};
  QfLabels*       labels  = label_in(c_major, modulating_chords, true);
  const QfKeySpan home    = *qf_labels_get_key_span(labels, 0);

  assert_int_equal(qf_labels_n_key_spans(labels), 2);
  assert_true(qf_key_equals(home.key, c_major));
  assert_true(qf_key_equals(qf_labels_get_key_span(labels, 1)->key, g_major));
  assert_in_range(home.last, 2, 3); // The pivot chord may go to either key
  assert_true(qf_key_equals(qf_labels_get_key(labels), c_major));
  qf_labels_free(labels);

  labels = label_in(c_major, modulating_chords, false);
  assert_int_equal(qf_labels_n_key_spans(labels), 1);
  // The six-four before the dominant of V is the second inversion of V's triad, or V's cadential
  // one: two names of one chord. Rule: common practice.
  char text[400];
  labels_text(labels, text, sizeof(text));
  assert_true(!strcmp(text, "I V65 I vi V64 V7/V V V/V V") ||
              !strcmp(text, "I V65 I vi Cad64/V V7/V V V/V V"));
  qf_labels_free(labels);
}

// Pins

static QfLabels*
label_with_pin(const Passage* const passage, const QfPin pin, const bool may_modulate)
{
  const QfLabelOptions options = {
    .has_key = true, .key = c_major, .may_modulate = may_modulate, .pins = &pin, .n_pins = 1};
  QfLabels* labels = NULL;

  assert_int_equal(qf_labels_new(passage->score, options, &labels, NULL), QF_OK);
  return labels;
}

static void
test_only_readings_worth_a_thought_are_offered(void** state)
{
  (void)state;

  // A chord of Am and C at once is open to either; the plain triads around it are not.
  const Chord     chords[MAX_CHORDS] = {{"C5", "G4", "E4", "C3"}, {"C5", "A4", "F4", "F3"},
                                        {"B4", "G4", "D4", "G2"}, {"C5", "G4", "E4", "A2"},
                                        {"B4", "G4", "F4", "G2"}, {"C5", "G4", "E4", "C3"}};
  QfLabels* const labels             = label_in(c_major, chords, false);
  size_t          n_readings         = 0;
  size_t          n_left_out         = 0;

  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);

    n_readings += link->n_readings;
    n_left_out += QF_LABEL_MAX_READINGS - link->n_readings;
    for (size_t r = 0; r < link->n_readings; ++r) {
      assert_true(link->readings[r].score >= 0.001 && link->readings[r].score <= 1.0);
    }
  }
  assert_true(n_readings > 0);
  assert_true(n_left_out > 0);
  qf_labels_free(labels);
}

static void
test_a_pin_is_kept_and_its_neighbours_adapt(void** state)
{
  (void)state;

  const Chord    chords[MAX_CHORDS] = {{"C5", "G4", "E4", "C3"},
                                       {"C5", "A4", "E4", "A2"},
                                       {"C5", "A4", "F#4", "D3"},
                                       {"B4", "G4", "D4", "G2"},
                                       {"C5", "G4", "E4", "C3"}};
  Passage        passage            = passage_of(c_major, chords, qf_time(1, 4));
  QfLabels*      labels             = passage_label(&passage, c_major, true);
  const QfLabel* link               = NULL;

  check_text(labels, "I vi V7/V V I");
  qf_labels_free(labels);

  // The A minor chord taken as ii of G: the dominant after it is then G's own.
  labels = label_with_pin(&passage, pin_of(qf_time(1, 4), "G", "ii"), true);
  link   = qf_labels_get_link(labels, 1);
  assert_true(link->is_pinned);
  assert_true(has_reason(link, QF_REASON_PINNED, "You pinned this reading"));
  check_text(labels, "I ii V7 I I");
  assert_int_equal(qf_labels_get_link(labels, 2)->key.tonic.letter, 4);
  assert_false(qf_labels_get_link(labels, 2)->is_pinned);
  qf_labels_free(labels);

  // One key only: the pin stands, the rest stays in the declared key.
  labels = label_with_pin(&passage, pin_of(qf_time(1, 4), "G", "ii"), false);
  check_text(labels, "I ii V7/V V I");
  qf_labels_free(labels);

  // A numeral that the analysis would never choose, and one that does not fit the notes.
  labels = label_with_pin(&passage, pin_of(qf_time(1, 4), "C", "v/V/V"), false);
  assert_true(qf_labels_get_link(labels, 1)->is_pinned);
  qf_labels_free(labels);
  labels = label_with_pin(&passage, pin_of(qf_time(1, 4), "C", "bVII7"), false);
  assert_true(qf_labels_get_link(labels, 1)->is_pinned);
  check_text(labels, "I bVII7 V7/V V I");
  qf_labels_free(labels);

  // The numeral stays as written, though another member is in the bass.
  labels = label_with_pin(&passage, pin_of(qf_time(1, 4), "C", "vi6"), false);
  check_text(labels, "I vi6 V7/V V I");
  qf_labels_free(labels);
  passage_free(&passage);
}

// Transposition

static void
check_transposed(const Passage* const passage, const QfKey from, const QfKey to)
{
  const QfInterval interval = qf_interval_between_names(from.tonic, to.tonic);
  QfLabels* const  plain    = passage_label(passage, from, false);
  Passage          moved    = {qf_score_dup(passage->score), passage->n_voices, passage->end};

  assert_int_equal(qf_score_transpose(moved.score, interval), QF_OK);

  QfLabels* const labels = passage_label(&moved, to, false);

  assert_int_equal(qf_labels_n_links(labels), qf_labels_n_links(plain));
  assert_int_equal(qf_labels_n_chains(labels), qf_labels_n_chains(plain));
  for (size_t i = 0; i < qf_labels_n_links(plain); ++i) {
    const QfLabel* const a = qf_labels_get_link(plain, i);
    const QfLabel* const b = qf_labels_get_link(labels, i);
    QfNoteName           root;

    assert_true(qf_numeral_equals(&a->numeral, &b->numeral));
    assert_int_equal(qf_note_name_transpose(a->chord.root, interval, &root), QF_OK);
    assert_true(qf_note_name_equals(root, b->chord.root));
    assert_int_equal(a->chord.omitted, b->chord.omitted);
    assert_int_equal(a->resolution, b->resolution);
    assert_int_equal(a->n_foreign, b->n_foreign);
    assert_int_equal(a->n_readings, b->n_readings);
    assert_true(qf_key_equals(b->key, to));
  }

  qf_labels_free(labels);
  qf_labels_free(plain);
  passage_free(&moved);
}

static const Chord minor_chords[MAX_CHORDS] = {{"A4", "E4", "C4", "A2"},  {"A4", "E4", "C#4", "G3"},
                                               {"A4", "F4", "D4", "F3"},  {"Bb4", "F4", "D4", "D3"},
                                               {"B4", "F4", "D4", "G#3"}, {"C5", "E4", "C4", "A3"},
                                               {"C5", "D#4", "A3", "F3"}, {"C5", "E4", "A3", "E3"},
                                               {"B4", "E4", "G#3", "E3"}, {"A4", "E4", "A3", "A2"}};

static void
test_labels_move_with_the_notes_through_all_keys(void** state)
{
  (void)state;

  Passage major = passage_of(c_major, modulating_chords, qf_time(1, 4));
  Passage minor = passage_of(a_minor, minor_chords, qf_time(1, 4));

  for (int fifths = -7; fifths <= 7; ++fifths) {
    QfKey key;

    assert_int_equal(qf_key_from_fifths(fifths, QF_MAJOR, &key), QF_OK);
    check_transposed(&major, c_major, key);
    assert_int_equal(qf_key_from_fifths(fifths, QF_MINOR, &key), QF_OK);
    check_transposed(&minor, a_minor, key);
  }
  passage_free(&major);
  passage_free(&minor);
}

// Anything at all

static QfLabels*
label_freely(const QfScore* const score)
{
  const QfLabelOptions options = {.may_modulate = true};
  QfLabels*            labels  = NULL;

  assert_int_equal(qf_labels_new(score, options, &labels, NULL), QF_OK);
  return labels;
}

static void
test_an_empty_passage_has_no_links(void** state)
{
  (void)state;

  QfScore* const score  = qf_score_new();
  QfLabels*      labels = label_freely(score);

  assert_int_equal(qf_labels_n_links(labels), 0);
  assert_int_equal(qf_labels_n_chains(labels), 0);
  assert_true(qf_labels_link_at(labels, QF_TIME_ZERO) == SIZE_MAX);
  qf_labels_free(labels);
  qf_score_free(score);

  Passage bars = passage_new(c_major, N_VOICES);

  labels = label_freely(bars.score);
  assert_int_equal(qf_labels_n_links(labels), 0);
  qf_labels_free(labels);
  passage_free(&bars);
}

static void
test_what_is_no_chord_is_unknown_and_says_why(void** state)
{
  (void)state;

  Passage   passage = passage_new(c_major, N_VOICES);
  QfLabels* labels  = NULL;

  put(&passage, 0, 0, 2, "C5");
  labels = label_freely(passage.score);
  assert_int_equal(qf_labels_n_links(labels), 1);
  assert_false(qf_labels_get_link(labels, 0)->is_known);
  assert_true(has_reason(qf_labels_get_link(labels, 0), QF_REASON_NOTES, "Only C sounds"));
  qf_labels_free(labels);

  put(&passage, 1, 0, 2, "C#4");
  put(&passage, 2, 0, 2, "D4");
  put(&passage, 3, 0, 2, "Eb4");
  labels = label_freely(passage.score);
  assert_int_equal(qf_labels_n_links(labels), 1);
  assert_false(qf_labels_get_link(labels, 0)->is_known);
  assert_true(has_reason(qf_labels_get_link(labels, 0), QF_REASON_NOTES, "No chord explains"));
  qf_labels_free(labels);
  passage_free(&passage);
}

static void
test_a_rest_ends_a_link(void** state)
{
  (void)state;

  const Chord chords[MAX_CHORDS] = {{"C5", "G4", "E4", "C3"}};
  Passage     passage            = passage_of(c_major, chords, qf_time(1, 4));
  const Chord silence            = {"", "", "", ""};
  QfLabels*   labels             = NULL;

  passage_add(&passage, silence, qf_time(1, 2));
  passage_add(&passage, chords[0], qf_time(1, 4));
  labels = label_freely(passage.score);
  check_text(labels, "I I");
  assert_false(qf_labels_get_link(labels, 0)->has_next);
  assert_true(qf_labels_link_at(labels, qf_time(1, 2)) == SIZE_MAX);
  qf_labels_free(labels);
  passage_free(&passage);
}

static void
test_drawn_noise_does_no_harm(void** state)
{
  (void)state;

  // Source: Numerical Recipes in C, 2nd edition, section 7.1, "quick and dirty" generator.
  uint32_t seed = 7;

  for (size_t n_voices = 1; n_voices <= QF_MAX_VOICES; n_voices += 23) {
    Passage passage = passage_new(c_major, n_voices);

    for (size_t i = 0; i < 600; ++i) {
      QfPitch pitch;

      seed          = seed * 1664525U + 1013904223U;
      pitch.letter  = (int8_t)((seed >> 8U) % 7U);
      pitch.alter   = (int8_t)((int)((seed >> 12U) % 9U) - 4);
      pitch.octave  = (int8_t)(2U + (seed >> 16U) % 5U);
      const int at  = (int)((seed >> 20U) % 64U);
      const int len = 1 + (int)((seed >> 26U) % 8U);

      assert_int_equal(qf_score_put_note(passage.score, i % n_voices, qf_time(at, 8),
                                         qf_time(len, 8), pitch, QF_NO_NOTE, NULL),
                       QF_OK);
    }

    QfLabels* const labels = label_freely(passage.score);

    assert_true(qf_labels_n_links(labels) > 0);
    for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
      const QfLabel* const link = qf_labels_get_link(labels, i);
      char                 spoken[240];

      qf_label_speak(link, i, QF_NAMING_ENGLISH, spoken, sizeof(spoken));
      assert_true(link->n_reasons > 0 && qf_time_compare(link->start, link->end) < 0);
      assert_true(link->sureness >= 0.0 && link->sureness <= 1.0);
    }
    qf_labels_free(labels);
    passage_free(&passage);
  }
}

typedef struct {
  const char* interval;
  const char* words;
  bool        is_falling_fifth;
} MotionCase;

// Common practice: root motion is named by its shorter way.
static const MotionCase motion_cases[] = {
  {"P1", "same root", false},    {"P4", "falling fifth", true},
  {"P5", "rising fifth", false}, {"A4", "falling diminished fifth", false},
  {"M2", "rising step", false},  {"m7", "falling step", false},
  {"m3", "rising third", false}, {"m6", "falling third", false},
};

static void
test_root_motion_is_put_in_words(void** state)
{
  (void)state;

  for (size_t i = 0; i < sizeof(motion_cases) / sizeof(motion_cases[0]); ++i) {
    QfInterval interval;
    char       words[48];

    assert_int_equal(qf_interval_parse(motion_cases[i].interval, &interval, NULL), QF_OK);
    qf_root_motion_describe(interval, words, sizeof(words));
    assert_string_equal(words, motion_cases[i].words);
    assert_int_equal(qf_root_motion_is_falling_fifth(interval), motion_cases[i].is_falling_fifth);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_sentences_name_notes_by_the_chosen_convention),
    cmocka_unit_test(test_resolutions_are_told_apart),
    cmocka_unit_test(test_a_link_says_where_its_notes_should_go),
    cmocka_unit_test(test_chains_are_named),
    cmocka_unit_test(test_a_dominant_that_leads_to_none_makes_no_chain),
    cmocka_unit_test(test_a_chain_goes_on_where_the_key_changes),
    cmocka_unit_test(test_foreign_notes_are_listed_with_their_kind),
    cmocka_unit_test(test_the_key_is_found),
    cmocka_unit_test(test_a_modulation_is_found_only_if_allowed),
    cmocka_unit_test(test_only_readings_worth_a_thought_are_offered),
    cmocka_unit_test(test_a_pin_is_kept_and_its_neighbours_adapt),
    cmocka_unit_test(test_labels_move_with_the_notes_through_all_keys),
    cmocka_unit_test(test_an_empty_passage_has_no_links),
    cmocka_unit_test(test_what_is_no_chord_is_unknown_and_says_why),
    cmocka_unit_test(test_a_rest_ends_a_link),
    cmocka_unit_test(test_drawn_noise_does_no_harm),
    cmocka_unit_test(test_root_motion_is_put_in_words),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
