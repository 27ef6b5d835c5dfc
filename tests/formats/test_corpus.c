// SPDX-License-Identifier: MIT
// Chorale scores are read where they lie, since their encodings may not be copied. Expected
// values are those of each meta.json, made by the corpus' own program, not by this one.
#include "support.h"

#include <json-c/json.h>

#include <dirent.h>
#include <math.h>
#include <unistd.h>

static char corpus[500];

/// The folder named by QUINTFALL_CORPUS, or the one beside the project; skips if there is none
static void
need_corpus(void)
{
  const char* const named = getenv("QUINTFALL_CORPUS");
  if (named) {
    snprintf(corpus, sizeof(corpus), "%s", named);
  } else {
    snprintf(corpus, sizeof(corpus), "%s/../shared/corpus", QF_SOURCE_ROOT);
  }
  char path[600];
  snprintf(path, sizeof(path), "%s/chorales", corpus);
  if (access(path, R_OK)) {
    print_message("skipped: no corpus (set QUINTFALL_CORPUS to its folder)\n");
    skip();
  }
}

/// Call for each item of a folder of the corpus
static size_t
for_each_item(const char* const folder, void (*const check)(const char* item))
{
  char path[600];
  snprintf(path, sizeof(path), "%s/%s", corpus, folder);
  DIR* const directory = opendir(path);
  size_t     n_items   = 0U;
  assert_non_null(directory);
  for (const struct dirent* entry = readdir(directory); entry; entry = readdir(directory)) {
    if (entry->d_name[0] != '.') {
      char item[900];
      snprintf(item, sizeof(item), "%s/%s", path, entry->d_name);
      check(item);
      ++n_items;
    }
  }
  closedir(directory);
  return n_items;
}

static QfScore*
read_score(const char* const item, const char* const file)
{
  char path[1000];
  snprintf(path, sizeof(path), "%s/%s", item, file);
  size_t         length = 0U;
  char* const    data   = read_file(path, &length);
  QfScore* const score  = must_read(data, length, path);
  free(data);
  return score;
}

static double
number_of(json_object* const meta, const char* const name)
{
  return json_object_get_double(json_object_object_get(meta, name));
}

/// Beat 1 of every measure stands where meta.json says; split measures have one beat 1
static void
check_measures(const char* const item, const QfScore* const score, json_object* const meta)
{
  json_object* const starts    = json_object_object_get(meta, "measure_starts_in_quarters");
  size_t             n_checked = 0U;
  for (size_t i = 0; i < qf_score_n_bars(score); ++i) {
    const QfBar* const bar = qf_score_get_bar(score, i);
    char               name[16];
    snprintf(name, sizeof(name), "m%d", bar->number);
    json_object* start = NULL;
    if (!json_object_object_get_ex(starts, name, &start)) {
      fail_msg("%s: %s is not among the measures", item, name);
    }
    const double first_beat = 4.0 * qf_time_to_double(qf_time_sub(bar->start, bar->offset));
    if (fabs(first_beat - json_object_get_double(start)) > 1e-9) {
      fail_msg("%s: %s%c begins at %g", item, name, bar->suffix ? bar->suffix : ' ', first_beat);
    }
    n_checked += !bar->suffix;
  }
  assert_int_equal(json_object_object_length(starts), n_checked);
}

static void
check_chorale(const char* const item)
{
  char path[1000];
  snprintf(path, sizeof(path), "%s/meta.json", item);
  json_object* const meta  = json_object_from_file(path);
  QfScore* const     score = read_score(item, "score.musicxml");
  assert_non_null(meta);

  const double quarters = 4.0 * qf_time_to_double(qf_score_get_end(score));
  if (fabs(quarters - number_of(meta, "quarters")) > 1e-9) {
    fail_msg("%s: %g quarters", item, quarters);
  }
  assert_int_equal((int)number_of(meta, "parts"), qf_score_n_voices(score));
  const QfBar* const first  = qf_score_get_bar(score, 0);
  const double       pickup = first->offset.num ? 4.0 * qf_time_to_double(first->length) : 0.0;
  if (fabs(pickup - number_of(meta, "pickup_quarters")) > 1e-9) {
    fail_msg("%s: a pickup of %g quarters", item, pickup);
  }
  check_measures(item, score, meta);

  qf_score_free(score);
  json_object_put(meta);
}

static void
test_chorales_have_their_measures(void** const state)
{
  (void)state;
  need_corpus();
  const size_t n_items = for_each_item("chorales", check_chorale);
  print_message("  %zu chorales\n", n_items);
  assert_int_equal(61U, n_items); // the corpus' README
}

/// Write and read again
static void
check_return(const char* const item)
{
  QfScore* const score =
    read_score(item, strstr(item, "/training/") ? "score.mxl" : "score.musicxml");
  char* xml = NULL;
  assert_int_equal(QF_OK, qf_musicxml_write(score, NULL, &xml, NULL));
  QfScore* const again = must_read(xml, strlen(xml), item);
  if (!qf_score_equals(score, again)) {
    fail_msg("%s came back changed", item);
  }
  free(xml);
  qf_score_free(again);
  qf_score_free(score);
}

static void
test_chorales_return(void** const state)
{
  (void)state;
  need_corpus();
  for_each_item("chorales", check_return);
}

static void
test_training_scores_return(void** const state)
{
  (void)state;
  need_corpus();
  char path[600];
  snprintf(path, sizeof(path), "%s/training", corpus);
  if (access(path, R_OK)) {
    print_message("skipped: no training folder in the corpus\n");
    skip();
  }
  const size_t n_items = for_each_item("training/chorales", check_return) +
                         for_each_item("training/textbooks", check_return);
  print_message("  %zu scores\n", n_items);
}

/// Notes of all chorales, and those that a MIDI file gave back with the spelling of the score
static struct {
  size_t n_notes;
  size_t n_spelled;
} midi;

/// Write and read as MIDI: the same notes at the same times, whatever their names
static void
check_midi(const char* const item)
{
  QfScore* const score  = read_score(item, "score.musicxml");
  QfScore*       again  = NULL;
  void*          data   = NULL;
  size_t         length = 0U;
  assert_int_equal(QF_OK, qf_smf_write(score, &data, &length, NULL));
  assert_int_equal(QF_OK, qf_smf_read(data, length, &again, NULL, NULL));
  free(data);

  assert_int_equal(qf_score_n_voices(score), qf_score_n_voices(again));
  for (size_t voice = 0; voice < qf_score_n_voices(score); ++voice) {
    assert_int_equal(qf_score_n_notes(score, voice), qf_score_n_notes(again, voice));
    for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
      const QfNote* const a = qf_score_get_note(score, voice, i);
      const QfNote* const b = qf_score_get_note(again, voice, i);
      if (qf_time_compare(a->start, b->start) || qf_time_compare(a->duration, b->duration) ||
          qf_pitch_midi(a->pitch) != qf_pitch_midi(b->pitch)) {
        fail_msg("%s: voice %zu, note %zu came back changed", item, voice, i);
      }
      midi.n_notes++;
      midi.n_spelled += qf_pitch_equals(a->pitch, b->pitch);
    }
  }
  qf_score_free(again);
  qf_score_free(score);
}

static void
test_midi_of_chorales_is_spelled_as_printed(void** const state)
{
  (void)state;
  need_corpus();
  for_each_item("chorales", check_midi);
  print_message("  %zu of %zu notes\n", midi.n_spelled, midi.n_notes);
  assert_true(midi.n_notes > 10000U);
  assert_true(midi.n_spelled * 100U > midi.n_notes * 99U);
}

static void
assert_fermatas(const char* const number, const char* const expected)
{
  char item[600];
  char places[400] = "";
  snprintf(item, sizeof(item), "%s/chorales/%s", corpus, number);
  QfScore* const score  = read_score(item, "score.musicxml");
  size_t         length = 0U;
  for (size_t i = 0; i < qf_score_n_fermatas(score); ++i) {
    char place[40];
    qf_score_write_place(score, qf_score_get_fermata(score, i), place, sizeof(place));
    length +=
      (size_t)snprintf(places + length, sizeof(places) - length, "%s%s", i ? ", " : "", place);
  }
  assert_string_equal(places, expected);
  qf_score_free(score);
}

static void
check_has_fermatas(const char* const item)
{
  QfScore* const score = read_score(item, "score.musicxml");
  if (!qf_score_n_fermatas(score)) {
    fail_msg("%s has no fermata", item);
  }
  qf_score_free(score);
}

static void
test_phrases_of_chorales_end_with_fermatas(void** const state)
{
  (void)state;
  // Source: the corpus' README, "all have fermatas"; the places are those of <fermata> in the
  // files, listed with Python's ElementTree.
  need_corpus();
  for_each_item("chorales", check_has_fermatas);
  assert_fermatas("003", "m2 b3, m4 b3, m6 b3, m8 b3, m10 b3");
  assert_fermatas("098", "m2 b3, m4 b1, m6 b3, m8 b1, m10 b3, m12 b1");
}

static void
test_one_part_in_another_key_is_outvoted(void** const state)
{
  (void)state;
  // Chorale 098 has four sharps in the first part and two in the others; the published analysis
  // begins in D major, which has two (Open Music Theory, "Key signatures").
  need_corpus();
  char item[600];
  snprintf(item, sizeof(item), "%s/chorales/098", corpus);
  QfScore* const score = read_score(item, "score.musicxml");
  assert_int_equal(2, qf_key_fifths(qf_score_signature_at(score, QF_TIME_ZERO)));
  qf_score_free(score);
}

static void
test_compressed_scores_say_the_same(void** const state)
{
  (void)state;
  // Source: the corpus' README, "005, 028, 140 also score.mxl (the same score, compressed)".
  static const char* const numbers[] = {"005", "028", "140"};
  need_corpus();
  for (size_t i = 0; i < N_ITEMS(numbers); ++i) {
    char item[600];
    snprintf(item, sizeof(item), "%s/chorales/%s", corpus, numbers[i]);
    QfScore* const plain  = read_score(item, "score.musicxml");
    QfScore* const packed = read_score(item, "score.mxl");
    assert_true(qf_score_equals(plain, packed));
    qf_score_free(plain);
    qf_score_free(packed);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_chorales_have_their_measures),
    cmocka_unit_test(test_chorales_return),
    cmocka_unit_test(test_training_scores_return),
    cmocka_unit_test(test_midi_of_chorales_is_spelled_as_printed),
    cmocka_unit_test(test_phrases_of_chorales_end_with_fermatas),
    cmocka_unit_test(test_one_part_in_another_key_is_outvoted),
    cmocka_unit_test(test_compressed_scores_say_the_same),
  };
  return cmocka_run_group_tests_name("corpus", tests, NULL, NULL);
}
