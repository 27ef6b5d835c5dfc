// SPDX-License-Identifier: MIT
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes and analyses of the When in Rome corpus (see tests/data).
#include "support.h"

#include "quintfall/text.h"

#include <json-c/json.h>

#include <ctype.h>
#include <dirent.h>
#include <math.h>
#include <unistd.h>

static QfRomanText
must_parse(const char* const text, const size_t length, const char* const name)
{
  QfRomanText roman = {0};
  QfError     error = {0};
  if (qf_romantext_read(text, length, &roman, &error)) {
    char message[500];
    qf_error_describe(&error, name, message, sizeof(message));
    fail_msg("%s (line %d)", message, error.line);
  }
  return roman;
}

/// Write chords as "m1 b2 C: V65/ii; ..." for comparison with a line of text
static void
assert_chords(const char* const text, const char* const expected)
{
  QfRomanText roman       = must_parse(text, strlen(text), text);
  char        found[1000] = "";
  size_t      filled      = 0U;
  for (size_t i = 0; i < roman.n_chords; ++i) {
    const QfRomanChord* const chord = &roman.chords[i];
    char                      beat[44];
    char                      key[16];
    char                      numeral[QF_NUMERAL_TEXT_SIZE];
    const char                suffix[2] = {chord->suffix, '\0'};
    qf_time_write(chord->beat, beat, sizeof(beat));
    qf_key_write_short(chord->key, key, sizeof(key));
    qf_numeral_write(&chord->numeral, chord->key.mode, numeral, sizeof(numeral));
    filled += (size_t)snprintf(found + filled, sizeof(found) - filled, "%sm%d%s b%s %s: %s%s",
                               i ? "; " : "", chord->measure, suffix, beat, key, numeral,
                               chord->is_pivot ? " pivot" : "");
  }
  qf_romantext_clear(&roman);
  assert_string_equal(found, expected);
}

static const char*
string_of(json_object* const object, const char* const name)
{
  json_object* member = NULL;
  return json_object_object_get_ex(object, name, &member) && member ? json_object_get_string(member)
                                                                    : NULL;
}

static void
check_chord(const QfRomanChord* const chord, json_object* const expected)
{
  char key_text[32];
  snprintf(key_text, sizeof(key_text), "%s:", string_of(expected, "key"));
  QfKey     key;
  QfNumeral numeral;
  assert_int_equal(QF_OK, qf_key_parse(key_text, &key, NULL));
  assert_int_equal(QF_OK,
                   qf_numeral_parse(string_of(expected, "numeral"), key.mode, &numeral, NULL));

  assert_int_equal(atoi(string_of(expected, "measure")), chord->measure);
  assert_true(fabs(qf_time_to_double(chord->beat) - atof(string_of(expected, "beat"))) < 0.004);
  assert_true(qf_key_equals(key, chord->key));
  assert_true(qf_numeral_equals(&numeral, &chord->numeral));
}

static void
test_lines_agree_with_the_table(void** const state)
{
  (void)state;
  json_object* const file  = json_object_from_file(QF_TEST_DATA "/references/romantext_lines.json");
  json_object* const lines = json_object_object_get(file, "lines");
  assert_int_equal(10U, json_object_array_length(lines));
  for (size_t i = 0; i < json_object_array_length(lines); ++i) {
    json_object* const row        = json_object_array_get_idx(lines, i);
    json_object* const expected   = json_object_object_get(row, "expect");
    const char* const  prevailing = string_of(row, "prevailing_key");
    char               text[300];
    snprintf(text, sizeof(text), "m0 %s%s I\n%s\n", prevailing ? prevailing : "C", ":",
             string_of(row, "line"));
    QfRomanText roman = must_parse(text, strlen(text), text);
    assert_int_equal(json_object_array_length(expected) + 1U, roman.n_chords);
    for (size_t j = 0; j + 1U < roman.n_chords; ++j) {
      check_chord(&roman.chords[j + 1U], json_object_array_get_idx(expected, j));
    }
    qf_romantext_clear(&roman);
  }
  json_object_put(file);
}

static void
test_headers_are_read(void** const state)
{
  (void)state;
  static const char text[] =
    "\xEF\xBB\xBF"
    "Composer: J. S. Bach\r\nTitle:  An  Example\r\nAnalyst: Nobody\r\n"
    "Time Signature: 6/8?\r\n\r\nForm: chorale\r\nNote: m1 b2 is V\r\nm0 b2 G: I\r\n";
  QfRomanText roman = must_parse(text, sizeof(text) - 1U, "headers");
  assert_string_equal("J. S. Bach", roman.composer);
  assert_string_equal("An Example", roman.title);
  assert_int_equal(6, roman.metre.numerator);
  assert_int_equal(8, roman.metre.denominator);
  assert_int_equal(1U, roman.n_chords);
  qf_romantext_clear(&roman);
}

static void
test_the_syntax_is_understood(void** const state)
{
  (void)state;
  // Each line follows a sentence of the syntax notes.
  assert_chords("m1 C: I b2.5 V || b4 I :||", "m1 b1 C: I; m1 b5/2 C: V; m1 b4 C: I");
  assert_chords("m1 C: vi || G: ii b2 V", "m1 b1 C: vi; m1 b1 G: ii pivot; m1 b2 G: V");
  assert_chords("m1 C: I\nm1var1 a: i\nm2 V", "m1 b1 C: I; m2 b1 C: V");
}

static void
test_copies_say_it_again(void** const state)
{
  (void)state;
  assert_chords("m1 C: I b3 V\nm2 vi\nm3-4 = m1-2\nm5 I",
                "m1 b1 C: I; m1 b3 C: V; m2 b1 C: vi; m3 b1 C: I; m3 b3 C: V; m4 b1 C: vi; "
                "m5 b1 C: I");
  // The key in force carries on into a copy that does not change it.
  assert_chords("m1 C: I\nm2 V G: I\nm3 = m1\nm4 = m2",
                "m1 b1 C: I; m2 b1 C: V; m2 b1 G: I pivot; m3 b1 C: I; m4 b1 C: V; "
                "m4 b1 G: I pivot");
  assert_chords("m1 C: I\nm2 V\nm3 a: i\nm4 = m2",
                "m1 b1 C: I; m2 b1 C: V; m3 b1 a: i; m4 b1 a: V");
  // A copy of a copy, and endings.
  assert_chords("m1 C: I\nm2 = m1\nm3 = m2\nm4a V\nm4b I",
                "m1 b1 C: I; m2 b1 C: I; m3 b1 C: I; m4a b1 C: V; m4b b1 C: I");
}

static void
test_far_keys_become_their_twins(void** const state)
{
  (void)state;
  // D flat minor would have eight flats, F flat major too, B sharp minor nine sharps.
  assert_chords("m1 db: i b2 Fb: V b3 b#: iv", "m1 b1 c#: i; m1 b2 E: V; m1 b3 c: iv");
}

static void
test_beats_are_exact(void** const state)
{
  (void)state;
  // Source: the corpus' README: .33 .66 .67 .17 .83 are exact thirds or sixths.
  assert_chords("m1 C: I b1.33 I b1.66 I b1.67 I b2.17 I b2.83 I b3.125 I b3.75 I b4.66.5 I",
                "m1 b1 C: I; m1 b4/3 C: I; m1 b5/3 C: I; m1 b5/3 C: I; m1 b13/6 C: I; "
                "m1 b17/6 C: I; m1 b25/8 C: I; m1 b15/4 C: I; m1 b29/6 C: I");
}

//
// The corpus
//

/// Chords by a rougher count: words after `m`, beats, keys and bar signs left out
static size_t
count_chords(const char* const text)
{
  size_t n_chords = 0U;
  char*  copy     = strdup(text);
  char*  rest     = NULL;
  for (char* line = strtok_r(copy, "\r\n", &rest); line; line = strtok_r(NULL, "\r\n", &rest)) {
    if (line[0] != 'm' || !isdigit((unsigned char)line[1]) || strstr(line, "var")) {
      continue;
    }
    char* words = NULL;
    for (char* word = strtok_r(line, " \t", &words); word; word = strtok_r(NULL, " \t", &words)) {
      const bool is_place = strchr("mb", word[0]) && isdigit((unsigned char)word[1]);
      n_chords += !is_place && word[strlen(word) - 1U] != ':' && !strchr("|:", word[0]);
    }
  }
  free(copy);
  return n_chords;
}

/// Write and read again: the same value, and the same text from it
static char*
check_return(const QfRomanText* const roman, const char* const name)
{
  char* text  = NULL;
  char* again = NULL;
  assert_int_equal(QF_OK, qf_romantext_print(roman, &text, NULL));
  QfRomanText read = must_parse(text, strlen(text), text);
  if (!qf_romantext_equals(roman, &read)) {
    fail_msg("%s came back changed:\n%s", name, text);
  }
  assert_int_equal(QF_OK, qf_romantext_print(&read, &again, NULL));
  assert_string_equal(text, again);
  free(again);
  qf_romantext_clear(&read);
  return text;
}

static char*
next_line(char** const rest)
{
  char* line = strtok_r(NULL, "\r\n", rest);
  while (line && !line[strspn(line, " \t")]) {
    line = strtok_r(NULL, "\r\n", rest);
  }
  for (size_t n = line ? strlen(line) : 0U; n && strchr(" \t", line[n - 1U]); --n) {
    line[n - 1U] = '\0';
  }
  return line;
}

static char*
next_word(char* const line, char** const rest)
{
  char* word = strtok_r(line, " \t", rest);
  while (word && ((word[0] == 'b' && isdigit((unsigned char)word[1])) || !strcmp(word, "|"))) {
    word = strtok_r(NULL, " \t", rest);
  }
  return word;
}

/// Every line of the file is there again, with as many words, the same keys and signs
static void
check_nothing_is_lost(const char* const original, const char* const printed, const char* const name)
{
  QfText a = {0};
  QfText b = {0};
  qf_text_addf(&a, "x\n%s", original);
  qf_text_addf(&b, "x\n%s", printed);
  char* a_rest = NULL;
  char* b_rest = NULL;
  strtok_r(a.data, "\r\n", &a_rest);
  strtok_r(b.data, "\r\n", &b_rest);
  char* left  = next_line(&a_rest);
  char* right = next_line(&b_rest);
  for (; left && right; left = next_line(&a_rest), right = next_line(&b_rest)) {
    if (left[0] != 'm' || !isdigit((unsigned char)left[1])) {
      const char* const value = strchr(left, ':') + 1;
      if (strncmp(left, right, (size_t)(value - left)) != 0 ||
          strcmp(value + strspn(value, " "), right + (value - left) + (*value ? 1 : 0)) != 0) {
        fail_msg("%s: \"%s\" became \"%s\"", name, left, right);
      }
      continue;
    }
    char* l     = NULL;
    char* r     = NULL;
    char* word  = next_word(left, &l);
    char* other = next_word(right, &r);
    while (word && other) {
      // A key beyond seven signs becomes its twin
      QfKey      key;
      const bool is_twin = word[strlen(word) - 1U] == ':' && word[0] != '|' && word[0] != ':' &&
                           qf_key_parse(word, &key, NULL);
      const bool is_sign  = strchr("m|:", word[0]) || word[strlen(word) - 1U] == ':';
      const bool is_exact = is_sign && !is_twin;
      if (is_exact ? strcmp(word, other) != 0 : strchr("m|:", other[0]) != NULL) {
        fail_msg("%s: %s: \"%s\" became \"%s\"", name, left, word, other);
      }
      word  = next_word(NULL, &l);
      other = next_word(NULL, &r);
    }
    if (word || other) {
      fail_msg("%s: %s has more or fewer words", name, left);
    }
  }
  if (left || right) {
    fail_msg("%s: a line is lost or new: %s", name, left ? left : right);
  }
  qf_text_free(&a);
  qf_text_free(&b);
}

static void
check_analysis(const char* const path)
{
  size_t      length = 0U;
  char* const text   = read_file(path, &length);
  QfRomanText roman  = must_parse(text, length, path);
  char* const again  = check_return(&roman, path);
  check_nothing_is_lost(text, again, path);
  free(again);
  if (roman.n_chords != count_chords(text)) {
    fail_msg("%s: %zu chords read, %zu counted", path, roman.n_chords, count_chords(text));
  }
  qf_romantext_clear(&roman);
  free(text);
}

static void
test_published_analyses_are_read_whole(void** const state)
{
  (void)state;
  size_t     n_files   = 0U;
  DIR* const directory = opendir(QF_TEST_DATA "/chorale_analyses");
  assert_non_null(directory);
  for (const struct dirent* entry = readdir(directory); entry; entry = readdir(directory)) {
    if (strstr(entry->d_name, ".rntxt")) {
      char path[800];
      snprintf(path, sizeof(path), "%s/chorale_analyses/%s", QF_TEST_DATA, entry->d_name);
      check_analysis(path);
      ++n_files;
    }
  }
  closedir(directory);
  assert_int_equal(61U, n_files);

  for (size_t i = 0; i < N_ITEMS(textbooks); ++i) {
    char path[800];
    snprintf(path, sizeof(path), "%s/textbooks/%s/analysis.rntxt", QF_TEST_DATA, textbooks[i]);
    check_analysis(path);
  }
}

static size_t
check_training(const char* const folder)
{
  static const char* const files[] = {"analysis.rntxt", "analysis_second.rntxt",
                                      "analysis_automatic.rntxt"};

  DIR* const directory = opendir(folder);
  size_t     n_files   = 0U;
  assert_non_null(directory);
  for (const struct dirent* entry = readdir(directory); entry; entry = readdir(directory)) {
    for (size_t i = 0; i < N_ITEMS(files) && entry->d_name[0] != '.'; ++i) {
      char path[1200];
      snprintf(path, sizeof(path), "%s/%s/%s", folder, entry->d_name, files[i]);
      if (!access(path, R_OK)) {
        check_analysis(path);
        ++n_files;
      }
    }
  }
  closedir(directory);
  return n_files;
}

static void
test_the_whole_corpus_is_read(void** const state)
{
  (void)state;
  static const char* const folders[] = {"chorales", "textbooks", "training/chorales",
                                        "training/textbooks"};

  const char* const named   = getenv("QUINTFALL_CORPUS");
  size_t            n_files = 0U;
  for (size_t i = 0; i < N_ITEMS(folders); ++i) {
    char path[900];
    if (named) {
      snprintf(path, sizeof(path), "%s/%s", named, folders[i]);
    } else {
      snprintf(path, sizeof(path), "%s/../shared/corpus/%s", QF_SOURCE_ROOT, folders[i]);
    }
    if (access(path, R_OK)) {
      print_message("skipped: no corpus (set QUINTFALL_CORPUS to its folder)\n");
      skip();
    }
    n_files += check_training(path);
  }
  print_message("  %zu analyses\n", n_files);
  assert_int_equal(437U, n_files);
}

//
// Writing
//

/// Labels, written and read, are the same labels at the same places
static void
test_labels_return(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(textbooks); ++i) {
    char path[100];
    snprintf(path, sizeof(path), "textbooks/%s/score.musicxml", textbooks[i]);
    size_t         length = 0U;
    char* const    xml    = read_data(path, &length);
    QfScore* const score  = must_read(xml, length, path);
    QfLabels*      labels = NULL;
    char*          text   = NULL;
    free(xml);
    const QfLabelOptions options = {.may_modulate = true};
    assert_int_equal(QF_OK, qf_labels_new(score, options, &labels, NULL));
    assert_int_equal(QF_OK, qf_romantext_write(score, labels, &text, NULL));
    assert_non_null(strstr(text, "Time Signature: "));

    QfRomanText roman = must_parse(text, strlen(text), text);
    assert_string_equal(qf_score_get_title(score), roman.title);
    size_t n_chords = 0U;
    for (size_t j = 0; j < qf_labels_n_links(labels); ++j) {
      const QfLabel* const link = qf_labels_get_link(labels, j);
      if (!link->is_known) {
        continue;
      }
      assert_true(n_chords < roman.n_chords);
      const QfRomanChord* const chord = &roman.chords[n_chords++];
      const QfPlace             place = qf_score_place_of(score, link->start);
      if (chord->measure != qf_score_get_bar(score, place.bar)->number ||
          qf_time_compare(chord->beat, place.beat) || !qf_key_equals(chord->key, link->key) ||
          !qf_numeral_equals(&chord->numeral, &link->numeral)) {
        fail_msg("%s: link %zu came back changed\n%s", textbooks[i], j, text);
      }
      if (link->is_pivot) { // Its second reading comes at the same place
        assert_true(n_chords < roman.n_chords);
        const QfRomanChord* const pivot = &roman.chords[n_chords++];
        assert_true(pivot->is_pivot);
        assert_int_equal(0, qf_time_compare(pivot->beat, place.beat));
        assert_true(qf_key_equals(pivot->key, link[1].key));
        assert_true(qf_numeral_equals(&pivot->numeral, &link->pivot));
      }
    }
    assert_int_equal(n_chords, roman.n_chords);

    qf_romantext_clear(&roman);
    free(text);
    qf_labels_free(labels);
    qf_score_free(score);
  }
}

static void
test_split_bars_and_new_metres_are_written(void** const state)
{
  (void)state;
  // I in each bar: pickup of a quarter, bar 1 in 3+1 quarters, bar 2 in three-four.
  QfScore* const score = qf_score_new();
  QfMetre        four;
  QfMetre        three;
  assert_int_equal(QF_OK, qf_metre(4, 4, &four));
  assert_int_equal(QF_OK, qf_metre(3, 4, &three));
  const QfBar bars[] = {
    {.length = {1, 4}, .offset = {3, 4}, .number = 0, .metre = four},
    {.length = {3, 4}, .offset = {0, 1}, .number = 1, .metre = four},
    {.length = {1, 4}, .offset = {3, 4}, .number = 1, .suffix = 'a', .metre = four},
    {.length = {3, 4}, .offset = {0, 1}, .number = 2, .metre = three},
  };
  for (size_t i = 0; i < N_ITEMS(bars); ++i) {
    assert_int_equal(QF_OK, qf_score_append_bar(score, bars[i]));
  }
  assert_int_equal(QF_OK, qf_score_set_title(score, "Two\nlines"));
  assert_int_equal(QF_OK, qf_score_add_staff(score, "", QF_CLEF_TREBLE));

  // Alternate I and V in C so that every bar has a chord of its own.
  static const char* const chords[2][3] = {{"C4", "E4", "G4"}, {"B3", "D4", "G4"}};
  for (size_t voice = 0; voice < 3U; ++voice) {
    assert_int_equal(QF_OK, qf_score_add_voice(score, "", 0));
    for (size_t i = 0; i < N_ITEMS(bars); ++i) {
      QfPitch pitch;
      assert_int_equal(QF_OK, qf_pitch_parse(chords[i % 2U][2U - voice], &pitch, NULL));
      const QfTime start = qf_score_get_bar(score, i)->start;
      assert_int_equal(
        QF_OK, qf_score_put_note(score, voice, start, bars[i].length, pitch, QF_NO_NOTE, NULL));
    }
  }

  const QfLabelOptions options = {.has_key = true, .key = {{0, 0}, QF_MAJOR}};
  QfLabels*            labels  = NULL;
  char*                text    = NULL;
  assert_int_equal(QF_OK, qf_labels_new(score, options, &labels, NULL));
  assert_int_equal(QF_OK, qf_romantext_write(score, labels, &text, NULL));
  const char* const music = strstr(text, "\nm0");
  assert_non_null(music);
  assert_string_equal(music, "\nm0 b4 C: I\nm1 V6 b4 I\n\nTime Signature: 3/4\n\nm2 V6\n");
  assert_non_null(strstr(text, "Title: Two lines\n"));
  free(text);
  qf_labels_free(labels);
  qf_score_free(score);
}

static void
test_everything_comes_back(void** const state)
{
  (void)state;
  // Each line follows a sentence of the syntax notes; blank lines are the writer's own.
  static const char text[] = "Composer: J. S. Bach\n"
                             "Title: An Example\n"
                             "Proofreader:\n"
                             "\n"
                             "Time Signature: 3/4?\n"
                             "\n"
                             "Form: chorale\n"
                             "\n"
                             "m0 b3 C: I\n"
                             "m1 ||: vi G: ii b2 V b3 I ||\n"
                             "Note: m1 b2: a doubled third\n"
                             "m1var1 vi b2 IV\n"
                             "m1var2 this is prose\n"
                             "m2 b2.33 V65/V b3 r\n"
                             "Pedal: G m1 b2 m2 b1\n"
                             "m3-4 = m1-2\n"
                             "\n"
                             "time signature: 6/8\n"
                             "\n"
                             "m12a I b2.66 a: V :||\n"
                             "m12b = m2\n"
                             "m13 :||: i\n"
                             "m14\n";
  static const struct {
    QfRomanLineKind kind;
    int             measure;
  } lines[] = {
    {QF_ROMAN_FIELD, -1},   {QF_ROMAN_FIELD, -1},   {QF_ROMAN_FIELD, -1},   {QF_ROMAN_METRE, -1},
    {QF_ROMAN_FORM, -1},    {QF_ROMAN_MEASURE, 0},  {QF_ROMAN_MEASURE, 1},  {QF_ROMAN_NOTE, 1},
    {QF_ROMAN_VARIANT, 1},  {QF_ROMAN_VARIANT, 1},  {QF_ROMAN_MEASURE, 2},  {QF_ROMAN_PEDAL, 2},
    {QF_ROMAN_COPY, 3},     {QF_ROMAN_METRE, 4},    {QF_ROMAN_MEASURE, 12}, {QF_ROMAN_COPY, 12},
    {QF_ROMAN_MEASURE, 13}, {QF_ROMAN_MEASURE, 14},
  };

  QfRomanText roman = must_parse(text, sizeof(text) - 1U, "everything");
  assert_int_equal(N_ITEMS(lines), roman.n_lines);
  for (size_t i = 0; i < N_ITEMS(lines); ++i) {
    assert_int_equal(lines[i].kind, roman.lines[i].kind);
    assert_int_equal(lines[i].measure, roman.lines[i].measure);
  }
  assert_int_equal(3, roman.metre.numerator);
  assert_int_equal(6, roman.lines[13].metre.numerator);
  assert_string_equal("Proofreader", roman.lines[2].tag);
  assert_string_equal("", roman.lines[2].text);
  assert_string_equal("G m1 b2 m2 b1", roman.lines[11].text);

  // A variant begins in the key of its measure, C, not in the one that this leads to
  const QfRomanLine* const variant = &roman.lines[8];
  assert_int_equal(1, variant->variant);
  assert_int_equal(2U, variant->n_items);
  assert_int_equal(0, qf_key_fifths(roman.items[variant->first_item].key));
  assert_int_equal(2, roman.lines[9].variant);
  assert_string_equal("this is prose", roman.lines[9].text);

  char* const again = check_return(&roman, "everything");
  assert_string_equal(text, again);
  free(again);
  qf_romantext_clear(&roman);

  // Variants are no part of the reading; an ending that copies keeps its letter
  assert_chords("m1 C: I\nm1var1 a: i b2 G: V\nm2 V\nm3b = m2",
                "m1 b1 C: I; m2 b1 C: V; m3b b1 C: V");
}

static void
test_what_differs_is_not_equal(void** const state)
{
  (void)state;
  static const char        base[]   = "Title: A\nm1 C: I b3 V ||\nm1var1 vi\nNote: x\nm2 = m1\n";
  static const char* const others[] = {
    "Title: B\nm1 C: I b3 V ||\nm1var1 vi\nNote: x\nm2 = m1\n",
    "Title: A\nm1 C: I b2 V ||\nm1var1 vi\nNote: x\nm2 = m1\n",
    "Title: A\nm1 C: I b3 V :||\nm1var1 vi\nNote: x\nm2 = m1\n",
    "Title: A\nm1 C: I b3 V ||\nm1var2 vi\nNote: x\nm2 = m1\n",
    "Title: A\nm1 C: I b3 V ||\nm1var1 ii\nNote: x\nm2 = m1\n",
    "Title: A\nm1 C: I b3 V ||\nm1var1 vi\nNote: y\nm2 = m1\n",
    "Title: A\nm1 C: I b3 V ||\nm1var1 vi\nm2 = m1\nNote: x\n",
    "Title: A\nm1 C: I b3 V ||\nm1var1 vi\nNote: x\nm2 C: I b3 V\n",
    "Title: A\nTime Signature: 3/4\nm1 C: I b3 V ||\nm1var1 vi\nNote: x\nm2 = m1\n",
  };
  QfRomanText roman = must_parse(base, sizeof(base) - 1U, base);
  for (size_t i = 0; i < N_ITEMS(others); ++i) {
    QfRomanText other = must_parse(others[i], strlen(others[i]), others[i]);
    assert_false(qf_romantext_equals(&roman, &other));
    qf_romantext_clear(&other);
  }
  qf_romantext_clear(&roman);
}

static void
test_every_beat_returns(void** const state)
{
  (void)state;
  // The usual parts of a beat, and each of them within a third
  static const int parts[] = {2, 3, 4, 6, 8, 12, 16};
  QfRomanText      roman   = must_parse("m1 C: I", 7U, "beats");
  for (size_t i = 0; i < N_ITEMS(parts); ++i) {
    for (int k = 0; k < 3 * parts[i]; ++k) {
      roman.items[1].beat  = qf_time_add(qf_time(2, 1), qf_time(k, 3 * parts[i]));
      roman.chords[0].beat = roman.items[1].beat;
      roman.items[0].beat  = roman.items[1].beat;
      free(check_return(&roman, "beats"));
    }
  }
  qf_romantext_clear(&roman);
}

//
// Faults
//

static void
test_faults_say_what_and_where(void** const state)
{
  (void)state;
  static const struct {
    const char* text;
    int         line;
    int         measure;
    const char* beat;
    const char* words;
  } cases[] = {
    {"", 0, -1, "", "no chords"},
    {"Title: x\n", 0, -1, "", "no chords"},
    {"Dear reader\n", 1, -1, "", "neither a measure nor a header"},
    {"m1 I\n", 1, 1, "1", "before any key"},
    {"m1 C: I\nm2 b3 Q7\n", 2, 2, "3", "Q7"},
    {"m1 C: I\nm2x3 V\n", 2, 2, "", "expected a space"},
    {"m1 C: I\nm5-6 = m1\n", 2, 5, "", "as many measures"},
    {"m1 C: I\nm5-6 = x\n", 2, 5, "", "as many measures"},
    {"Time Signature: 4/5\nm1 C: I\n", 1, -1, "", "4/5"},
    {"m1 C: I\nm2 C#####: I\n", 2, 2, "1", "is no key"},
  };
  for (size_t i = 0; i < N_ITEMS(cases); ++i) {
    QfRomanText    roman = {0};
    QfError        error = {0};
    const QfStatus st    = qf_romantext_read(cases[i].text, strlen(cases[i].text), &roman, &error);
    if (st != QF_ERR_BAD_FILE || error.line != cases[i].line || error.measure != cases[i].measure ||
        strcmp(error.beat, cases[i].beat) != 0 || !strstr(error.text, cases[i].words)) {
      fail_msg("\"%s\": status %d, line %d, measure %d, beat \"%s\": \"%s\"", cases[i].text,
               (int)st, error.line, error.measure, error.beat, error.text);
    }
    assert_null(roman.chords);
  }
}

static void
test_damaged_text_does_no_harm(void** const state)
{
  (void)state;
  size_t      length = 0U;
  char* const text   = read_data("chorale_analyses/005.rntxt", &length);
  Lcg         lcg    = {41};
  for (size_t i = 0; i < 1500U; ++i) {
    const size_t cut  = i % 2U ? length : draw(&lcg, (uint32_t)length);
    char* const  copy = (char*)malloc(cut ? cut : 1U);
    memcpy(copy, text, cut);
    for (uint32_t n = cut ? draw(&lcg, 5) : 0U; n > 0; --n) {
      copy[draw(&lcg, (uint32_t)cut)] = (char)draw(&lcg, 256);
    }
    QfRomanText    roman = {0};
    QfError        error = {0};
    const QfStatus st    = qf_romantext_read(copy, cut, &roman, &error);
    assert_true(st ? error.text[0] != '\0' && !roman.chords : roman.n_chords > 0U);
    if (!st) {
      free(check_return(&roman, "damaged text"));
    }
    qf_romantext_clear(&roman);
    free(copy);
  }
  free(text);
}

static void
test_copies_of_copies_have_an_end(void** const state)
{
  (void)state;
  // Every line doubles what measure 1 says; after forty there would be 2^40 chords.
  QfText text = {0};
  qf_text_add(&text, "m1 C: I\n");
  for (int i = 0; i < 40; ++i) {
    qf_text_add(&text, "m1 = m1\n");
  }
  QfRomanText roman = {0};
  QfError     error = {0};
  assert_int_equal(QF_ERR_BAD_FILE, qf_romantext_read(text.data, text.length, &roman, &error));
  assert_non_null(strstr(error.text, "more than"));
  qf_text_free(&text);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_lines_agree_with_the_table),
    cmocka_unit_test(test_headers_are_read),
    cmocka_unit_test(test_the_syntax_is_understood),
    cmocka_unit_test(test_copies_say_it_again),
    cmocka_unit_test(test_far_keys_become_their_twins),
    cmocka_unit_test(test_beats_are_exact),
    cmocka_unit_test(test_published_analyses_are_read_whole),
    cmocka_unit_test(test_the_whole_corpus_is_read),
    cmocka_unit_test(test_labels_return),
    cmocka_unit_test(test_split_bars_and_new_metres_are_written),
    cmocka_unit_test(test_everything_comes_back),
    cmocka_unit_test(test_what_differs_is_not_equal),
    cmocka_unit_test(test_every_beat_returns),
    cmocka_unit_test(test_faults_say_what_and_where),
    cmocka_unit_test(test_damaged_text_does_no_harm),
    cmocka_unit_test(test_copies_of_copies_have_an_end),
  };
  return cmocka_run_group_tests_name("romantext", tests, NULL, NULL);
}
