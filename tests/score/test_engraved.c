// SPDX-License-Identifier: MIT
// What editors wrote down, against what this layer would write for the same notes.
#include "score_test.h"

#include "quintfall/spelling.h"

#include <dirent.h>
#include <libxml/parser.h>
#include <libxml/tree.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// A note as the file shows it
typedef struct {
  QfTime   start;
  uint32_t note; ///< The score's note, shared by all tied parts
  size_t   voice;
  int      value;
  int      dots;
  bool     is_tied;
  bool     goes_on; ///< Tied to the one before, so that no sign is due
  bool     has_sign;
} Shown;

typedef struct {
  QfScore* score;
  Shown*   shown;
  size_t   n_shown;
  size_t   capacity;
  bool     keys_disagree; ///< The parts do not have the same signature: an error of the file
} Edition;

typedef struct {
  int n_notes;
  int n_same_rhythm;
  int n_signs_missing; ///< Needed by us, not in the file
  int n_signs_extra;   ///< In the file, not even a courtesy for us
  int n_signs_same;
} Tally;

static xmlNode*
child(const xmlNode* const node, const char* const name)
{
  for (xmlNode* at = node ? node->children : NULL; at; at = at->next) {
    if (at->type == XML_ELEMENT_NODE && !strcmp((const char*)at->name, name)) {
      return at;
    }
  }
  return NULL;
}

static xmlNode*
next_named(const xmlNode* const node)
{
  for (xmlNode* at = node->next; at; at = at->next) {
    if (at->type == XML_ELEMENT_NODE && !xmlStrcmp(at->name, node->name)) {
      return at;
    }
  }
  return NULL;
}

static void
text_of(const xmlNode* const node, char* const buffer, const size_t size)
{
  xmlChar* const text = node ? xmlNodeGetContent(node) : NULL;
  snprintf(buffer, size, "%s", text ? (const char*)text : "");
  xmlFree(text);
}

static int
number_of(const xmlNode* const node, const int otherwise)
{
  char text[32];
  text_of(node, text, sizeof(text));
  return text[0] ? atoi(text) : otherwise;
}

static bool
has_tie(const xmlNode* const note, const char* const type)
{
  bool found = false;
  for (xmlNode* tie = child(note, "tie"); tie; tie = next_named(tie)) {
    xmlChar* const text = xmlGetProp(tie, (const xmlChar*)"type");
    found               = found || !strcmp((const char*)text, type);
    xmlFree(text);
  }
  return found;
}

/// MusicXML 4.0, note-type-value
static int
value_of(const xmlNode* const note)
{
  static const char* const types[] = {"whole", "half", "quarter", "eighth", "16th", "32nd"};
  char                     text[16];
  text_of(child(note, "type"), text, sizeof(text));
  for (size_t i = 0; i < N_ITEMS(types); ++i) {
    if (!strcmp(text, types[i])) {
      return (int)i;
    }
  }
  fail_msg("unknown note type \"%s\"", text);
  return 0;
}

static QfPitch
pitch_in(const xmlNode* const pitch)
{
  static const char letters[] = "CDEFGAB";
  char              step[8];
  text_of(child(pitch, "step"), step, sizeof(step));
  return (QfPitch){(int8_t)(strchr(letters, step[0]) - letters),
                   (int8_t)number_of(child(pitch, "alter"), 0),
                   (int8_t)number_of(child(pitch, "octave"), 4)};
}

static void
add_note(Edition* const       edition,
         const size_t         voice,
         const xmlNode* const note,
         const QfTime         start,
         const QfTime         duration)
{
  if (edition->n_shown == edition->capacity) {
    edition->capacity = 2 * edition->capacity + 64;
    edition->shown    = (Shown*)realloc(edition->shown, edition->capacity * sizeof(Shown));
    assert_non_null(edition->shown);
  }

  Shown shown = {.start    = start,
                 .voice    = voice,
                 .value    = value_of(note),
                 .is_tied  = has_tie(note, "start"),
                 .goes_on  = has_tie(note, "stop"),
                 .has_sign = child(note, "accidental")};
  for (const xmlNode* dot = child(note, "dot"); dot; dot = next_named(dot)) {
    ++shown.dots;
  }

  const Shown* const before = edition->n_shown ? &edition->shown[edition->n_shown - 1U] : NULL;
  QfTime             from   = start;
  shown.goes_on             = shown.goes_on && before && before->voice == voice && before->is_tied;
  if (shown.goes_on) {
    from = qf_score_find_note(edition->score, before->note, NULL)->start;
  }
  assert_int_equal(
    qf_score_put_note(edition->score, voice, from, qf_time_sub(qf_time_add(start, duration), from),
                      pitch_in(child(note, "pitch")),
                      shown.goes_on ? before->note : (uint32_t)QF_NO_NOTE, &shown.note),
    QF_OK);
  edition->shown[edition->n_shown++] = shown;
}

static void
read_attributes(Edition* const       edition,
                const size_t         voice,
                const xmlNode* const attributes,
                const QfTime         time,
                QfMetre* const       metre)
{
  const xmlNode* const key  = child(attributes, "key");
  const xmlNode* const beat = child(attributes, "time");
  if (beat) {
    assert_int_equal(
      qf_metre(number_of(child(beat, "beats"), 4), number_of(child(beat, "beat-type"), 4), metre),
      QF_OK);
  }
  if (key) {
    QfKey named = {{0, 0}, QF_MAJOR};
    assert_int_equal(qf_key_from_fifths(number_of(child(key, "fifths"), 0), QF_MAJOR, &named),
                     QF_OK);
    if (voice == 0) {
      assert_int_equal(qf_score_set_signature(edition->score, time, named), QF_OK);
    } else if (!qf_key_equals(qf_score_signature_at(edition->score, time), named)) {
      edition->keys_disagree = true;
    }
  }
}

/// Lay out the bars of the first part before any note is put
static void
read_bars(Edition* const edition, const xmlNode* const part)
{
  QfMetre metre     = metre_of("4/4");
  int     divisions = 1;
  QfTime  carried   = QF_TIME_ZERO; // what a split bar has of its full bar so far
  for (const xmlNode* bar = child(part, "measure"); bar; bar = next_named(bar)) {
    const xmlNode* const attributes = child(bar, "attributes");
    QfTime               length     = QF_TIME_ZERO;
    divisions                       = number_of(child(attributes, "divisions"), divisions);
    if (attributes) {
      read_attributes(edition, 0, attributes, qf_score_get_end(edition->score), &metre);
    }
    for (const xmlNode* note = child(bar, "note"); note; note = next_named(note)) {
      length = qf_time_add(length, qf_time(number_of(child(note, "duration"), 0), 4 * divisions));
    }

    // An incomplete bar ends the full bar where it is a pickup or fills up a split one
    const QfTime full   = qf_metre_bar(metre);
    const bool   starts = qf_score_n_bars(edition->score) == 0;
    QfBar        made   = {.length = length, .offset = QF_TIME_ZERO, .metre = metre, .number = 1};
    if (starts && qf_time_compare(length, full) < 0) {
      made.offset = qf_time_sub(full, length);
    } else if (carried.num && qf_time_compare(qf_time_add(carried, length), full) <= 0) {
      made.offset = carried;
    }
    carried = qf_time_add(made.offset, length);
    carried = qf_time_compare(carried, full) < 0 ? carried : QF_TIME_ZERO;
    assert_int_equal(qf_score_append_bar(edition->score, made), QF_OK);
  }
}

static void
read_part(Edition* const edition, const size_t voice, const xmlNode* const part)
{
  QfMetre metre     = metre_of("4/4");
  int     divisions = 1;
  QfTime  time      = QF_TIME_ZERO;
  for (const xmlNode* bar = child(part, "measure"); bar; bar = next_named(bar)) {
    for (const xmlNode* at = bar->children; at; at = at->next) {
      if (!xmlStrcmp(at->name, (const xmlChar*)"attributes")) {
        divisions = number_of(child(at, "divisions"), divisions);
        read_attributes(edition, voice, at, time, &metre);
      } else if (!xmlStrcmp(at->name, (const xmlChar*)"note")) {
        const QfTime duration = qf_time(number_of(child(at, "duration"), 0), 4 * divisions);
        if (!child(at, "rest")) {
          add_note(edition, voice, at, time, duration);
        }
        time = qf_time_add(time, duration);
      }
    }
  }
}

/// Read a file of one voice a part, as all of the corpus are
static Edition
read_edition(const char* const path)
{
  xmlDoc* const document =
    xmlReadFile(path, NULL, XML_PARSE_NONET | XML_PARSE_NOWARNING | XML_PARSE_NOERROR);
  assert_non_null(document);
  Edition        edition = {.score = qf_score_new()};
  const xmlNode* part    = child(xmlDocGetRootElement(document), "part");
  assert_non_null(part);
  read_bars(&edition, part);
  for (size_t voice = 0; part; part = next_named(part), ++voice) {
    assert_int_equal(qf_score_add_staff(edition.score, "", QF_CLEF_TREBLE), QF_OK);
    assert_int_equal(qf_score_add_voice(edition.score, "", voice), QF_OK);
    read_part(&edition, voice, part);
  }
  xmlFreeDoc(document);
  return edition;
}

static void
compare_rhythm(const Edition* const edition, Tally* const tally)
{
  for (size_t voice = 0; voice < qf_score_n_voices(edition->score); ++voice) {
    QfSymbols symbols = {0};
    size_t    at      = 0;
    assert_int_equal(qf_symbols_of(edition->score, voice, &symbols), QF_OK);
    for (size_t i = 0; i < edition->n_shown; ++i) {
      const Shown* const shown = &edition->shown[i];
      if (shown->voice != voice) {
        continue;
      }
      while (at < symbols.n_symbols &&
             qf_time_compare(symbols.symbols[at].start, shown->start) < 0) {
        ++at;
      }
      const QfSymbol* const symbol = at < symbols.n_symbols ? &symbols.symbols[at] : NULL;
      ++tally->n_notes;
      if (symbol && !qf_time_compare(symbol->start, shown->start) &&
          symbol->value == shown->value && symbol->dots == shown->dots &&
          symbol->is_tied == shown->is_tied && symbol->note == shown->note) {
        ++tally->n_same_rhythm;
      }
    }
    qf_symbols_clear(&symbols);
  }
}

static void
compare_signs(const Edition* const edition, Tally* const tally)
{
  QfAccidentals list = {0};
  assert_int_equal(qf_accidentals_of(edition->score, true, &list), QF_OK);
  for (size_t i = 0; i < edition->n_shown; ++i) {
    const Shown* const shown = &edition->shown[i];
    QfAccidentalKind   kind  = QF_ACCIDENTAL_NONE;
    for (size_t j = 0; j < list.n_accidentals && !shown->goes_on; ++j) {
      kind = list.accidentals[j].note == shown->note ? list.accidentals[j].kind : kind;
    }
    tally->n_signs_missing += kind == QF_ACCIDENTAL_NEEDED && !shown->has_sign ? 1 : 0;
    tally->n_signs_extra += kind == QF_ACCIDENTAL_NONE && shown->has_sign ? 1 : 0;
    tally->n_signs_same += kind != QF_ACCIDENTAL_NONE && shown->has_sign ? 1 : 0;
  }
  qf_accidentals_clear(&list);
}

/// Compare all scores of a folder of folders; false if there is no such folder
static bool
compare_folder(const char* const folder, Tally* const tally)
{
  DIR* const dir = opendir(folder);
  if (!dir) {
    return false;
  }
  for (const struct dirent* entry = readdir(dir); entry; entry = readdir(dir)) {
    char path[1024];
    snprintf(path, sizeof(path), "%.600s/%.300s/score.musicxml", folder, entry->d_name);
    FILE* const file = fopen(path, "rb");
    if (!file) {
      continue;
    }
    fclose(file);
    Edition edition = read_edition(path);
    compare_rhythm(&edition, tally);
    if (!edition.keys_disagree) {
      compare_signs(&edition, tally);
    }
    free(edition.shown);
    qf_score_free(edition.score);
  }
  closedir(dir);
  return true;
}

static void
report(const char* const name, const Tally* const tally)
{
  print_message("%s: %d of %d notes written alike; signs: %d alike, %d missing, %d extra\n", name,
                tally->n_same_rhythm, tally->n_notes, tally->n_signs_same, tally->n_signs_missing,
                tally->n_signs_extra);
}

static void
test_textbook_examples_are_written_alike(void** const state)
{
  (void)state;
  // Source: the examples in tests/data/textbooks (Reger, Rimsky-Korsakov, Tchaikovsky)
  Tally tally = {0};
  assert_true(compare_folder(QF_TEST_DATA "/textbooks", &tally));
  report("textbooks", &tally);
  assert_true(tally.n_notes > 700);
  assert_int_equal(tally.n_same_rhythm, tally.n_notes);
  assert_int_equal(tally.n_signs_missing, 0);
  assert_true(tally.n_signs_same > 150);
  assert_int_equal(tally.n_signs_extra, 0);
}

static void
test_chorales_are_written_alike(void** const state)
{
  (void)state;
  // Source: the chorale scores of the corpus, which stay outside the tree. They split some
  // values over the middle of the bar and others not, so all but a few in a thousand agree.
  const char* const named = getenv("QUINTFALL_CORPUS");
  char              folder[1024];
  Tally             tally = {0};
  snprintf(folder, sizeof(folder), "%.900s/chorales",
           named ? named : QF_SOURCE_ROOT "/../shared/corpus");
  if (!compare_folder(folder, &tally)) {
    print_message("skipped: no corpus (set QUINTFALL_CORPUS to its folder)\n");
    skip();
  }
  report("chorales", &tally);
  assert_true(tally.n_notes > 10000);
  assert_true(tally.n_same_rhythm >= tally.n_notes * 0.99);
  assert_int_equal(tally.n_signs_missing, 0);
  assert_true(tally.n_signs_extra <= 0.1 * tally.n_signs_same);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_textbook_examples_are_written_alike),
    cmocka_unit_test(test_chorales_are_written_alike),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
