// SPDX-License-Identifier: MIT
// Orders of elements are those of the MusicXML 4.0 documentation (W3C Music Notation Community
// Group), note, measure, attributes, harmony, identification and score-partwise elements.
#include "support.h"

#include "../../src/formats/musicxml_harmony.h"

#include <libxml/parser.h>
#include <libxml/tree.h>

#include <math.h>

//
// There and back
//

/// Write and read; the score must be the same
static void
assert_returns(const QfScore* const score, const char* const name)
{
  char*   xml   = NULL;
  QfError error = {0};
  if (qf_musicxml_write(score, NULL, &xml, &error)) {
    fail_msg("%s: %s", name, error.text);
  }
  QfImport       import = {0};
  QfScore*       again  = NULL;
  const QfStatus st     = qf_musicxml_read(xml, strlen(xml), &again, &import, &error);
  if (st) {
    fail_msg("%s: %d: %s\n%s", name, error.line, error.text, xml);
  }
  if (import.remarks) {
    fail_msg("%s: our own document needs the remark \"%s\"", name, import.remarks);
  }
  if (!qf_score_equals(score, again)) {
    fail_msg("%s: the score came back changed\n%s", name, xml);
  }
  assert_true(fabs(qf_score_get_tempo(score) - qf_score_get_tempo(again)) < 0.001);
  qf_score_free(again);
  free(xml);
}

static void
test_random_scores_return(void** const state)
{
  (void)state;
  Lcg lcg = {7};
  for (int i = 0; i < 150; ++i) {
    QfScore* const score = random_score(&lcg);
    char           name[32];
    snprintf(name, sizeof(name), "random score %d", i);
    assert_int_equal(QF_OK, qf_score_set_tempo(score, 40.0 + draw(&lcg, 1000) / 7.0));
    assert_returns(score, name);
    qf_score_free(score);
  }
}

static void
test_textbooks_return_in_all_keys(void** const state)
{
  (void)state;
  static const char* const intervals[] = {"P1", "m2", "M2",  "m3",  "M3",  "P4",
                                          "A4", "P5", "-m2", "-M2", "-m3", "-M3"};

  size_t n_returned = 0U;
  for (size_t i = 0; i < N_ITEMS(textbooks); ++i) {
    char path[100];
    snprintf(path, sizeof(path), "textbooks/%s/score.musicxml", textbooks[i]);
    size_t      length = 0U;
    char* const xml    = read_data(path, &length);
    for (size_t j = 0; j < N_ITEMS(intervals); ++j) {
      QfScore* const score = must_read(xml, length, path);
      QfInterval     interval;
      assert_int_equal(QF_OK, qf_interval_parse(intervals[j], &interval, NULL));
      if (!qf_score_transpose(score, interval)) {
        assert_returns(score, textbooks[i]);
        ++n_returned;
      }
      qf_score_free(score);
    }
    free(xml);
  }
  print_message("  %zu transpositions of 12 textbook scores\n", n_returned);
  assert_true(n_returned > 6U * N_ITEMS(textbooks));
}

/// Everything a document can hold at once: odd names, split bars, repeats, keys inside a bar
static void
test_everything_else_returns(void** const state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  assert_int_equal(QF_OK, qf_score_set_title(score, "Ebb & Flow <\"Low\" Water> \xC3\xA9"));
  assert_int_equal(QF_OK, qf_score_set_composer(score, "N. N."));
  assert_int_equal(QF_OK, qf_score_add_staff(score, "", QF_CLEF_TREBLE_8));
  assert_int_equal(QF_OK, qf_score_add_staff(score, "Viola & Co", QF_CLEF_ALTO));
  assert_int_equal(QF_OK, qf_score_add_staff(score, "Cello", QF_CLEF_TENOR));
  assert_int_equal(QF_OK, qf_score_add_staff(score, "No voice", QF_CLEF_BASS));
  // Voices need not follow the staves, need no name and no note.
  assert_int_equal(QF_OK, qf_score_add_voice(score, "low on top", 2));
  assert_int_equal(QF_OK, qf_score_add_voice(score, "", 0));
  assert_int_equal(QF_OK, qf_score_add_voice(score, "empty", 1));
  assert_int_equal(QF_OK, qf_score_add_voice(score, "second of its staff", 0));

  QfMetre four;
  QfMetre five;
  assert_int_equal(QF_OK, qf_metre(4, 4, &four));
  assert_int_equal(QF_OK, qf_metre_parse("2+3/8", &five, NULL));
  const QfBar bars[] = {
    {.length = {1, 4}, .offset = {3, 4}, .number = 0, .metre = four},
    {.length = {3, 4}, .number = 1, .metre = four, .ends_repeat = true},
    {.length = {1, 4}, .offset = {3, 4}, .number = 1, .suffix = 'a', .metre = four},
    {.length = {1, 1}, .number = 2, .metre = four, .starts_repeat = true},
    {.length = {5, 8}, .number = 3, .metre = five},
    {.length = {3, 8}, .number = 4, .metre = five, .ends_repeat = true},
  };
  for (size_t i = 0; i < N_ITEMS(bars); ++i) {
    QfBar bar  = bars[i];
    bar.offset = bar.offset.den ? bar.offset : QF_TIME_ZERO;
    assert_int_equal(QF_OK, qf_score_append_bar(score, bar));
  }

  QfKey key;
  assert_int_equal(QF_OK, qf_key_parse("c minor", &key, NULL));
  assert_int_equal(QF_OK, qf_score_set_signature(score, QF_TIME_ZERO, key));
  assert_int_equal(QF_OK, qf_key_parse("E major", &key, NULL));
  assert_int_equal(QF_OK, qf_score_set_signature(score, qf_time(25, 16), key)); // inside bar 2

  static const struct {
    size_t      voice;
    QfTime      start;
    QfTime      duration;
    const char* pitch;
  } notes[] = {
    {0, {1, 8}, {5, 4}, "C####3"}, {0, {3, 2}, {1, 7}, "Bbbbb2"}, {1, {0, 1}, {2, 1}, "G5"},
    {3, {2, 3}, {1, 3}, "G#4"},    {3, {1, 1}, {1, 12}, "E#4"},
  };
  for (size_t i = 0; i < N_ITEMS(notes); ++i) {
    QfPitch pitch;
    assert_int_equal(QF_OK, qf_pitch_parse(notes[i].pitch, &pitch, NULL));
    assert_int_equal(QF_OK, qf_score_put_note(score, notes[i].voice, notes[i].start,
                                              notes[i].duration, pitch, QF_NO_NOTE, NULL));
  }
  assert_returns(score, "everything");
  qf_score_free(score);
}

//
// The shape of the document
//

/// What may stand in an element, in this order; NULL ends a row
static const char* const orders[][30] = {
  {"score-partwise", "work", "movement-number", "movement-title", "identification", "defaults",
   "credit", "part-list", "part", NULL},
  {"identification", "creator", "rights", "encoding", "source", "relation", "miscellaneous", NULL},
  {"attributes", "divisions", "key", "time", "staves", "part-symbol", "instruments", "clef",
   "staff-details", "transpose", NULL},
  {"note", "chord", "pitch", "rest", "duration", "tie", "voice", "type", "dot", "accidental",
   "time-modification", "stem", "notehead", "staff", "beam", "notations", "lyric", NULL},
  {"pitch", "step", "alter", "octave", NULL},
  {"time-modification", "actual-notes", "normal-notes", NULL},
  {"key", "fifths", "mode", NULL},
  {"time", "beats", "beat-type", NULL},
  {"clef", "sign", "line", "clef-octave-change", NULL},
  {"barline", "bar-style", "repeat", NULL},
  {"direction", "direction-type", "offset", "voice", "staff", "sound", NULL},
  {"metronome", "beat-unit", "per-minute", NULL},
  {"numeral", "numeral-root", "numeral-alter", "numeral-key", NULL},
  {"numeral-key", "numeral-fifths", "numeral-mode", NULL},
};

static size_t
position(const char* const* const order, const xmlNode* const node)
{
  size_t i = 1U;
  while (order[i] && strcmp(order[i], (const char*)node->name) != 0) {
    ++i;
  }
  if (!order[i]) {
    fail_msg("<%s> may not stand in <%s>", node->name, order[0]);
  }
  return i;
}

static void
check_order(const xmlNode* const parent)
{
  for (size_t i = 0; i < N_ITEMS(orders); ++i) {
    if (strcmp(orders[i][0], (const char*)parent->name) != 0) {
      continue;
    }
    size_t reached = 0U;
    for (const xmlNode* node = parent->children; node; node = node->next) {
      if (node->type == XML_ELEMENT_NODE) {
        const size_t at = position(orders[i], node);
        if (at < reached) {
          fail_msg("line %ld: <%s> comes too late in <%s>", xmlGetLineNo(node), node->name,
                   parent->name);
        }
        reached = at;
      }
    }
  }
  for (const xmlNode* node = parent->children; node; node = node->next) {
    if (node->type == XML_ELEMENT_NODE) {
      check_order(node);
    }
  }
}

static long
child_number(const xmlNode* const parent, const char* const name)
{
  for (const xmlNode* node = parent->children; node; node = node->next) {
    if (node->type == XML_ELEMENT_NODE && !strcmp((const char*)node->name, name)) {
      return strtol((const char*)node->children->content, NULL, 10);
    }
  }
  return 0;
}

/// Every part must fill every measure alike, and nothing may leave it
static void
check_durations(const xmlNode* const part, long* const lengths, const bool is_first)
{
  size_t index = 0U;
  for (const xmlNode* measure = part->children; measure; measure = measure->next) {
    if (measure->type != XML_ELEMENT_NODE) {
      continue;
    }
    long here = 0;
    for (const xmlNode* node = measure->children; node; node = node->next) {
      if (node->type == XML_ELEMENT_NODE) {
        const bool is_back = !strcmp((const char*)node->name, "backup");
        here += child_number(node, "duration") * (is_back ? -1 : 1);
        assert_true(here >= 0);
      }
    }
    if (!is_first) {
      assert_int_equal(lengths[index], here);
    }
    lengths[index++] = here;
    assert_true(index < 100U);
  }
}

static const xmlNode*
child_of(const xmlNode* const parent, const char* const name)
{
  const xmlNode* node = parent->children;
  while (node && (node->type != XML_ELEMENT_NODE || strcmp((const char*)node->name, name) != 0)) {
    node = node->next;
  }
  return node;
}

/// What is drawn must last as long as what sounds: type, dots and tuplet against the duration
static void
check_value(const xmlNode* const note, const long divisions)
{
  // Source: MusicXML 4.0, note-type-value.
  static const struct {
    const char* name;
    double      length;
  } types[] = {
    {"breve", 2.0},       {"whole", 1.0},       {"half", 1.0 / 2.0},  {"quarter", 1.0 / 4.0},
    {"eighth", 1.0 / 8},  {"16th", 1.0 / 16},   {"32nd", 1.0 / 32},   {"64th", 1.0 / 64},
    {"128th", 1.0 / 128}, {"256th", 1.0 / 256}, {"512th", 1.0 / 512}, {"1024th", 1.0 / 1024},
  };

  const xmlNode* const type = child_of(note, "type");
  if (!type) {
    assert_non_null(child_of(note, "rest")); // only a rest of a whole measure needs none
    return;
  }
  double length = 0.0;
  for (size_t i = 0; i < N_ITEMS(types); ++i) {
    if (!strcmp(types[i].name, (const char*)type->children->content)) {
      length = types[i].length;
    }
  }
  double dot = length;
  for (const xmlNode* node = note->children; node; node = node->next) {
    if (node->type == XML_ELEMENT_NODE && !strcmp((const char*)node->name, "dot")) {
      dot /= 2.0;
      length += dot;
    }
  }
  const xmlNode* const tuplet = child_of(note, "time-modification");
  if (tuplet) {
    length *= (double)child_number(tuplet, "normal-notes");
    length /= (double)child_number(tuplet, "actual-notes");
  }
  const double duration = (double)child_number(note, "duration") / (4.0 * (double)divisions);
  if (fabs(duration - length) > 1e-9) {
    fail_msg("line %ld: drawn %g, sounding %g of a whole note", xmlGetLineNo(note), length,
             duration);
  }
}

static void
check_values(const xmlNode* const part)
{
  long divisions = 0;
  for (const xmlNode* measure = part->children; measure; measure = measure->next) {
    for (const xmlNode* node = measure->children; node; node = node->next) {
      if (node->type != XML_ELEMENT_NODE) {
        continue;
      }
      if (!strcmp((const char*)node->name, "attributes") && child_of(node, "divisions")) {
        divisions = child_number(node, "divisions");
      } else if (!strcmp((const char*)node->name, "note")) {
        check_value(node, divisions);
      }
    }
  }
}

static void
test_elements_stand_in_the_schemas_order(void** const state)
{
  (void)state;
  Lcg lcg = {99};
  for (int i = 0; i < 40; ++i) {
    QfScore* const score = random_score(&lcg);
    char*          xml   = NULL;
    assert_int_equal(QF_OK, qf_musicxml_write(score, NULL, &xml, NULL));
    xmlDoc* const doc = xmlReadMemory(xml, (int)strlen(xml), NULL, NULL, XML_PARSE_NONET);
    assert_non_null(doc);
    const xmlNode* const root = xmlDocGetRootElement(doc);
    check_order(root);

    long lengths[100];
    bool is_first = true;
    for (const xmlNode* part = root->children; part; part = part->next) {
      if (part->type == XML_ELEMENT_NODE && !strcmp((const char*)part->name, "part")) {
        check_durations(part, lengths, is_first);
        check_values(part);
        is_first = false;
      }
    }
    xmlFreeDoc(doc);
    free(xml);
    qf_score_free(score);
  }
}

//
// Numerals
//

static QfLabel
label_of(const char* const numeral, const char* const key)
{
  QfLabel label = {.is_known = true};
  assert_int_equal(QF_OK, qf_key_parse(key, &label.key, NULL));
  QfError error = {0};
  if (qf_numeral_parse(numeral, label.key.mode, &label.numeral, &error)) {
    fail_msg("%s: %s", numeral, error.text);
  }
  return label;
}

/// Numerals and what must be in their element, by the documentation of harmony and numeral
static const struct {
  const char* numeral;
  const char* key;
  const char* words[4];
} harmony_cases[] = {
  // The first row is that of sample_satb.musicxml, measure 1.
  {"V65/ii",
   "Eb major",
   {">5</numeral-root></numeral><kind", ">dominant</kind><inversion>1</inversion><numeral>",
    "text=\"ii\">2</numeral-root>", "<kind>minor</kind></harmony>"}},
  {"V7/V/ii",
   "C major",
   {">dominant</kind>", "text=\"V\">5</numeral-root></numeral><kind>major</kind>",
    "text=\"ii\">2</numeral-root>", "<kind>minor</kind>"}},
  {"I", "C major", {"<numeral-fifths>0<", "<numeral-mode>major<", ">1</numeral-root>", NULL}},
  {"viio7",
   "A minor",
   {">7</numeral-root><numeral-alter>1</numeral-alter>", "natural minor", "diminished-seventh",
    NULL}},
  {"N6",
   "C major",
   {">2</numeral-root><numeral-alter>-1</numeral-alter>", "Neapolitan</kind>",
    "<inversion>1</inversion>", NULL}},
  {"Ger65", "C minor", {">4</numeral-root><numeral-alter>1</numeral-alter>", ">German<", NULL}},
  {"Fr43", "C minor", {">2</numeral-root>", ">French<", NULL}},
  {"It6", "C minor", {">4</numeral-root>", ">Italian<", NULL}},
};

static void
test_numerals_are_written_as_the_standard_says(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(harmony_cases); ++i) {
    const QfLabel label = label_of(harmony_cases[i].numeral, harmony_cases[i].key);
    QfText        text  = {0};
    qf_harmony_write(&text, &label, 0);
    for (size_t j = 0; j < 4U && harmony_cases[i].words[j]; ++j) {
      if (!strstr(text.data, harmony_cases[i].words[j])) {
        fail_msg("%s: no \"%s\" in %s", harmony_cases[i].numeral, harmony_cases[i].words[j],
                 text.data);
      }
    }
    assert_null(strstr(text.data, "<offset>"));
    xmlDoc* const doc = xmlReadMemory(text.data, (int)text.length, NULL, NULL, XML_PARSE_NONET);
    assert_non_null(doc);
    check_order(xmlDocGetRootElement(doc));
    xmlFreeDoc(doc);
    qf_text_free(&text);
  }
}

// Source: tests/data/references/musicxml_chord_kinds.tsv (MusicXML 4.0, kind-value), by numeral.
static const struct {
  const char* quality; ///< First column of the table
  const char* numeral;
  const char* key;
} kind_cases[] = {
  {"major", "I", "C major"},
  {"minor", "ii", "C major"},
  {"diminished", "viio", "C major"},
  {"augmented", "III+", "C minor"},
  {"dominant seventh", "V7", "C major"},
  {"major seventh", "I7", "C major"},
  {"minor seventh", "ii7", "C major"},
  {"half-diminished seventh", "vii/o7", "C major"},
  {"diminished seventh", "viio7", "C minor"},
  {"Italian sixth", "It6", "C major"},
  {"German sixth", "Ger65", "C major"},
  {"French sixth", "Fr43", "C major"},
  {"Neapolitan sixth", "N6", "C major"},
};

static void
test_kinds_agree_with_the_table(void** const state)
{
  (void)state;
  size_t      length = 0U;
  char* const table  = read_data("references/musicxml_chord_kinds.tsv", &length);
  for (size_t i = 0; i < N_ITEMS(kind_cases); ++i) {
    char start[64];
    snprintf(start, sizeof(start), "\n%s\t", kind_cases[i].quality);
    const char* const row = strstr(table, start);
    assert_non_null(row);
    const char* const cell = row + strlen(start);
    char              expected[64];
    snprintf(expected, sizeof(expected), ">%.*s</kind>", (int)strcspn(cell, "\t\n"), cell);

    const QfLabel label = label_of(kind_cases[i].numeral, kind_cases[i].key);
    QfText        text  = {0};
    qf_harmony_write(&text, &label, 3);
    if (!strstr(text.data, expected)) {
      fail_msg("%s: no %s in %s", kind_cases[i].numeral, expected, text.data);
    }
    assert_non_null(strstr(text.data, "<offset>3</offset></harmony>"));
    qf_text_free(&text);
  }
  free(table);
}

/// Labels of a real passage: one harmony for each known link, in the first part, well formed
static void
test_labels_are_written_with_their_notes(void** const state)
{
  (void)state;
  size_t         length = 0U;
  char* const    source = read_data("textbooks/tchaikovsky-189/score.musicxml", &length);
  QfScore* const score  = must_read(source, length, "tchaikovsky-189");
  free(source);

  QfLabels*            labels  = NULL;
  const QfLabelOptions options = {.may_modulate = true};
  assert_int_equal(QF_OK, qf_labels_new(score, options, &labels, NULL));
  size_t n_known = 0U;
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    n_known += qf_labels_get_link(labels, i)->is_known;
  }
  assert_true(n_known > 0U);

  char* xml = NULL;
  assert_int_equal(QF_OK, qf_musicxml_write(score, labels, &xml, NULL));
  size_t n_harmonies = 0U;
  for (const char* at = strstr(xml, "<harmony>"); at; at = strstr(at + 1, "<harmony>")) {
    ++n_harmonies;
  }
  assert_int_equal(n_known, n_harmonies);
  QfScore* const again = must_read(xml, strlen(xml), "labelled");
  assert_true(qf_score_equals(score, again));
  qf_score_free(again);
  free(xml);
  qf_labels_free(labels);
  qf_score_free(score);
}

static void
test_an_empty_score_is_an_error_not_a_file(void** const state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  QfError        error = {0};
  char*          xml   = NULL;
  assert_int_equal(QF_ERR_RANGE, qf_musicxml_write(score, NULL, &xml, &error));
  assert_null(xml);
  assert_non_null(strstr(error.text, "at least one"));
  qf_score_free(score);
}

static void
test_a_note_below_all_octaves_of_musicxml_is_an_error_with_its_place(void** const state)
{
  (void)state;
  // Source: MusicXML 4.0, octave data type: 0 to 9, 4 begins at middle C.
  const QfKey    key   = {{0, 0}, QF_MAJOR};
  QfMetre        metre = {0};
  QfScore* const score =
    qf_metre(4, 4, &metre) ? NULL : qf_score_new_satb(key, metre, QF_TIME_ZERO, 2);
  const QfPitch low   = {0, 0, -1};
  QfError       error = {0};
  char*         xml   = NULL;
  assert_int_equal(
    QF_OK, qf_score_put_note(score, 3, qf_time(1, 1), qf_time(1, 4), low, QF_NO_NOTE, NULL));
  assert_int_equal(QF_ERR_RANGE, qf_musicxml_write(score, NULL, &xml, &error));
  assert_null(xml);
  assert_int_equal(error.measure, 2);
  assert_non_null(strstr(error.text, "C-1"));
  qf_score_free(score);
}

static void
test_text_that_xml_forbids_is_replaced(void** const state)
{
  (void)state;
  // Source: Extensible Markup Language 1.0, production 2 (Char); RFC 3629 for UTF-8.
  static const char* const cases[][2] = {
    {"a\001b", "a?b"},
    {"\xC3\xA9", "\xC3\xA9"},
    {"\xC3", "?"},
    {"\xC0\x80", "??"},
    {"\xED\xA0\x80", "???"},
    {"\xEF\xBF\xBF", "???"},
    {"\xF0\x9D\x84\x9E", "\xF0\x9D\x84\x9E"},
    {"\xF5\x80\x80\x80", "????"},
    {"<&>\"", "&lt;&amp;&gt;&quot;"},
  };
  for (size_t i = 0; i < N_ITEMS(cases); ++i) {
    QfText text = {0};
    qf_xml_add_escaped(&text, cases[i][0]);
    assert_string_equal(cases[i][1], text.data);
    qf_text_free(&text);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_random_scores_return),
    cmocka_unit_test(test_textbooks_return_in_all_keys),
    cmocka_unit_test(test_everything_else_returns),
    cmocka_unit_test(test_elements_stand_in_the_schemas_order),
    cmocka_unit_test(test_numerals_are_written_as_the_standard_says),
    cmocka_unit_test(test_kinds_agree_with_the_table),
    cmocka_unit_test(test_labels_are_written_with_their_notes),
    cmocka_unit_test(test_an_empty_score_is_an_error_not_a_file),
    cmocka_unit_test(test_a_note_below_all_octaves_of_musicxml_is_an_error_with_its_place),
    cmocka_unit_test(test_text_that_xml_forbids_is_replaced),
  };
  return cmocka_run_group_tests_name("musicxml write", tests, NULL, NULL);
}
