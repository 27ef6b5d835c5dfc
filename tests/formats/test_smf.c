// SPDX-License-Identifier: MIT
// Source: Standard MIDI Files 1.0 (MIDI Association); tables in tests/data/references.
#include "support.h"

#include <json-c/json.h>

#include <math.h>

enum {
  MAX_BYTES = 4096,
};

static size_t
parse_hex(const char* text, uint8_t* const bytes)
{
  size_t n_bytes = 0U;
  int    used    = 0;
  for (unsigned value = 0; sscanf(text, "%2x%n", &value, &used) == 1; text += used) {
    assert_true(n_bytes < MAX_BYTES);
    bytes[n_bytes++] = (uint8_t)value;
  }
  return n_bytes;
}

/// Call for each row of a table after its heading, cells split at tabs
static size_t
for_each_row(const char* const name, const size_t n_cells, void (*const check)(char** cells))
{
  size_t      length = 0U;
  char* const table  = read_data(name, &length);
  size_t      n_rows = 0U;
  char*       line   = strchr(table, '\n');
  while (line && line[1]) {
    char*       cells[8] = {line + 1};
    char* const end      = strchr(line + 1, '\n');
    if (end) {
      *end = '\0';
    }
    for (size_t i = 1; i < n_cells; ++i) {
      char* const tab = strchr(cells[i - 1U], '\t');
      assert_non_null(tab);
      *tab     = '\0';
      cells[i] = tab + 1;
    }
    check(cells);
    ++n_rows;
    line = end;
  }
  free(table);
  return n_rows;
}

static bool
contains(const void* const data, const size_t length, const uint8_t* const bytes, const size_t n)
{
  return memmem(data, length, bytes, n) != NULL;
}

//
// Variable-length quantities
//

static void
check_vlq(char** const cells)
{
  const uint32_t value = (uint32_t)strtoul(cells[0], NULL, 10);
  uint8_t        expected[MAX_BYTES];
  uint8_t        written[4];
  const size_t   n_expected = parse_hex(cells[2], expected);
  const size_t   n_written  = qf_smf_write_vlq(value, written);
  if (n_written != n_expected || memcmp(written, expected, n_expected) != 0) {
    fail_msg("%s is written wrongly", cells[0]);
  }
  uint32_t again = 0U;
  assert_int_equal(n_expected, qf_smf_read_vlq(expected, n_expected, &again));
  assert_int_equal(value, again);
  // One byte less is no number.
  assert_int_equal(0U, qf_smf_read_vlq(expected, n_expected - 1U, &again));
}

static void
test_quantities_agree_with_the_specification(void** const state)
{
  (void)state;
  assert_int_equal(28U, for_each_row("references/smf_vlq.tsv", 4U, check_vlq));
}

static void
test_quantities_have_bounds(void** const state)
{
  (void)state;
  uint8_t  bytes[4];
  uint32_t value = 0U;
  assert_int_equal(0U, qf_smf_write_vlq(0x10000000U, bytes));
  assert_int_equal(0U, qf_smf_write_vlq(UINT32_MAX, bytes));
  static const uint8_t five[] = {0x81, 0x80, 0x80, 0x80, 0x00};
  assert_int_equal(0U, qf_smf_read_vlq(five, sizeof(five), &value));

  Lcg lcg = {3};
  for (int i = 0; i < 10000; ++i) {
    const uint32_t number  = draw(&lcg, 0x10000000U) >> draw(&lcg, 28);
    const size_t   n_bytes = qf_smf_write_vlq(number, bytes);
    assert_int_equal(n_bytes, qf_smf_read_vlq(bytes, n_bytes, &value));
    assert_int_equal(number, value);
  }
}

//
// Meta events
//

/// A bar of one note in a key, metre and tempo, written (transfer full)
static uint8_t*
write_bar(const QfKey   key,
          const int     beats,
          const int     beat_type,
          const double  tempo,
          size_t* const length)
{
  QfMetre metre;
  assert_int_equal(QF_OK, qf_metre(beats, beat_type, &metre));
  QfScore* const score = qf_score_new_satb(key, metre, QF_TIME_ZERO, 1U);
  const QfPitch  pitch = {0, 0, 4};
  assert_int_equal(QF_OK, qf_score_set_tempo(score, tempo));
  assert_int_equal(
    QF_OK, qf_score_put_note(score, 0, QF_TIME_ZERO, qf_time(1, 4), pitch, QF_NO_NOTE, NULL));
  void* data = NULL;
  assert_int_equal(QF_OK, qf_smf_write(score, &data, length, NULL));
  qf_score_free(score);
  return (uint8_t*)data;
}

static const QfKey c_major = {{0, 0}, QF_MAJOR};

static void
check_key(char** const cells)
{
  uint8_t      expected[MAX_BYTES];
  const size_t n_bytes = parse_hex(cells[3], expected);
  char         name[32];
  QfKey        key;
  snprintf(name, sizeof(name), "%s %s", cells[2], cells[1]);
  assert_int_equal(QF_OK, qf_key_parse(name, &key, NULL));

  size_t         length = 0U;
  uint8_t* const data   = write_bar(key, 4, 4, 60.0, &length);
  if (!contains(data, length, expected, n_bytes)) {
    fail_msg("%s: no %s", name, cells[3]);
  }
  QfScore* score = NULL;
  assert_int_equal(QF_OK, qf_smf_read(data, length, &score, NULL, NULL));
  assert_true(qf_key_equals(key, qf_score_signature_at(score, QF_TIME_ZERO)));
  qf_score_free(score);
  free(data);
}

static void
test_keys_agree_with_the_table(void** const state)
{
  (void)state;
  assert_int_equal(30U, for_each_row("references/smf_key_signature_meta.tsv", 4U, check_key));
}

static void
check_tempo(char** const cells)
{
  uint8_t      expected[MAX_BYTES] = {0xFF, 0x51, 0x03};
  uint8_t      bytes[MAX_BYTES];
  const size_t n_bytes = parse_hex(cells[2], bytes);
  memcpy(expected + 3, bytes, n_bytes);

  const double   tempo  = strtod(cells[0], NULL);
  size_t         length = 0U;
  uint8_t* const data   = write_bar(c_major, 4, 4, tempo, &length);
  if (!contains(data, length, expected, 3U + n_bytes)) {
    fail_msg("tempo %s: no %s", cells[0], cells[2]);
  }
  QfScore* score = NULL;
  assert_int_equal(QF_OK, qf_smf_read(data, length, &score, NULL, NULL));
  assert_true(fabs(tempo - qf_score_get_tempo(score)) < 0.001);
  qf_score_free(score);
  free(data);
}

static void
test_tempos_agree_with_the_table(void** const state)
{
  (void)state;
  assert_int_equal(9U, for_each_row("references/smf_tempo.tsv", 3U, check_tempo));
}

static void
test_metres_agree_with_the_specification(void** const state)
{
  (void)state;
  // Source: specification, "FF 58 04 nn dd cc bb": 4/4 and 6/8 as its own examples give them;
  // 3/2: dd is the power of two, a click each half note is 48 MIDI clocks.
  static const struct {
    int     beats;
    int     beat_type;
    uint8_t bytes[7];
  } cases[] = {
    {4, 4, {0xFF, 0x58, 0x04, 0x04, 0x02, 0x18, 0x08}},
    {6, 8, {0xFF, 0x58, 0x04, 0x06, 0x03, 0x24, 0x08}},
    {3, 2, {0xFF, 0x58, 0x04, 0x03, 0x01, 0x30, 0x08}},
  };
  for (size_t i = 0; i < N_ITEMS(cases); ++i) {
    size_t         length = 0U;
    uint8_t* const data   = write_bar(c_major, cases[i].beats, cases[i].beat_type, 60.0, &length);
    assert_true(contains(data, length, cases[i].bytes, sizeof(cases[i].bytes)));
    free(data);
  }
}

//
// The sample
//

static uint8_t*
read_sample(size_t* const length)
{
  json_object* const sample = json_object_from_file(QF_TEST_DATA "/references/sample_smf.json");
  assert_non_null(sample);
  uint8_t* const bytes = (uint8_t*)malloc(MAX_BYTES);
  *length = parse_hex(json_object_get_string(json_object_object_get(sample, "bytes_hex")), bytes);
  assert_int_equal(*length, json_object_get_int(json_object_object_get(sample, "length")));
  json_object_put(sample);
  return bytes;
}

static void
assert_note(const QfScore* const score,
            const size_t         voice,
            const size_t         index,
            const QfTime         start,
            const QfTime         duration,
            const char* const    expected)
{
  const QfNote* const note = qf_score_get_note(score, voice, index);
  char                pitch[12];
  qf_pitch_write(note->pitch, pitch, sizeof(pitch));
  assert_string_equal(expected, pitch);
  assert_int_equal(0, qf_time_compare(start, note->start));
  assert_int_equal(0, qf_time_compare(duration, note->duration));
}

static void
test_the_sample_is_read_whole(void** const state)
{
  (void)state;
  // Events of sample_smf.json at 480 ticks a quarter note: keys 63 and 67 from 0 to 480; key 70
  // from 608 to 1568. Tick 608 is 4/15 of a quarter after beat 2, on no written place, so all
  // is moved to the grid: 608/1920 of a whole note is nearest 8/24 or 10/32 (0.3125 against
  // 0.3167: 10/32); 1568/1920 = 0.8167 is nearest 26/32. E flat major spells 63 as E flat, 70
  // as B flat.
  size_t         length = 0U;
  uint8_t* const data   = read_sample(&length);
  QfScore*       score  = NULL;
  QfImport       import = {0};
  assert_int_equal(QF_OK, qf_smf_read(data, length, &score, &import, NULL));
  free(data);

  assert_string_equal("test", qf_score_get_title(score));
  assert_true(qf_score_get_tempo(score) == 120.0);
  assert_int_equal(-3, qf_key_fifths(qf_score_signature_at(score, QF_TIME_ZERO)));
  assert_int_equal(2U, qf_score_n_voices(score));
  assert_note(score, 0, 0, QF_TIME_ZERO, qf_time(1, 4), "G4");
  assert_note(score, 1, 0, QF_TIME_ZERO, qf_time(1, 4), "Eb4");
  assert_note(score, 0, 1, qf_time(10, 32), qf_time(16, 32), "Bb4");
  assert_non_null(strstr(import.remarks, "moved to the nearest"));
  assert_non_null(strstr(import.remarks, "spelled from signature and harmony"));
  qf_import_clear(&import);
  qf_score_free(score);
}

//
// Spelling
//

static void
test_spelling_follows_the_signature(void** const state)
{
  (void)state;
  // Common practice: the leading tone of a minor key, the raised fourth, the lowered seventh.
  static const struct {
    const char* key;
    int         midi;
    const char* pitch;
  } cases[] = {
    {"C major", 61, "C#4"},  {"C major", 63, "Eb4"},  {"C major", 66, "F#4"},
    {"C major", 70, "Bb4"},  {"A minor", 68, "G#4"},  {"A minor", 70, "Bb4"},
    {"C minor", 71, "B4"},   {"Eb major", 69, "A4"},  {"E major", 62, "D4"},
    {"F# minor", 65, "E#4"}, {"Gb major", 71, "Cb5"}, {"C# major", 60, "B#3"},
    {"G minor", 66, "F#4"},  {"Ab minor", 67, "G4"},  {"D# minor", 62, "C##4"},
    {"C major", 0, "C-1"},   {"C major", 127, "G9"},
  };
  for (size_t i = 0; i < N_ITEMS(cases); ++i) {
    QfKey key;
    assert_int_equal(QF_OK, qf_key_parse(cases[i].key, &key, NULL));
    size_t               length = 0U;
    uint8_t* const       data   = write_bar(key, 4, 4, 60.0, &length);
    static const uint8_t on[]   = {0x90, 60};
    static const uint8_t off[]  = {0x80, 60};
    uint8_t* const       at_on  = (uint8_t*)memmem(data, length, on, 2U);
    uint8_t* const       at_off = (uint8_t*)memmem(data, length, off, 2U);
    assert_true(at_on && at_off);
    at_on[1]  = (uint8_t)cases[i].midi;
    at_off[1] = (uint8_t)cases[i].midi;

    QfScore* score = NULL;
    assert_int_equal(QF_OK, qf_smf_read(data, length, &score, NULL, NULL));
    print_message("  %d in %s\n", cases[i].midi, cases[i].key);
    assert_note(score, 0, 0, QF_TIME_ZERO, qf_time(1, 4), cases[i].pitch);
    qf_score_free(score);
    free(data);
  }
}

//
// There and back
//

/// Same bars, times and sounds, whatever the spelling
static void
assert_sounds_same(const QfScore* const a, const QfScore* const b, const char* const name)
{
  assert_int_equal(qf_score_n_voices(a), qf_score_n_voices(b));
  for (size_t voice = 0; voice < qf_score_n_voices(a); ++voice) {
    assert_string_equal(qf_score_get_voice(a, voice)->name, qf_score_get_voice(b, voice)->name);
    assert_int_equal(qf_score_n_notes(a, voice), qf_score_n_notes(b, voice));
    for (size_t i = 0; i < qf_score_n_notes(a, voice); ++i) {
      const QfNote* const left  = qf_score_get_note(a, voice, i);
      const QfNote* const right = qf_score_get_note(b, voice, i);
      if (qf_time_compare(left->start, right->start) ||
          qf_time_compare(left->duration, right->duration) ||
          qf_pitch_midi(left->pitch) != qf_pitch_midi(right->pitch)) {
        fail_msg("%s: voice %zu, note %zu came back changed", name, voice, i);
      }
    }
  }
  for (size_t i = 0; i < qf_score_n_bars(b); ++i) {
    assert_int_equal(
      0, qf_time_compare(qf_score_get_bar(a, i)->length, qf_score_get_bar(b, i)->length));
    assert_int_equal(
      0, qf_time_compare(qf_score_get_bar(a, i)->offset, qf_score_get_bar(b, i)->offset));
    assert_int_equal(qf_score_get_bar(a, i)->number, qf_score_get_bar(b, i)->number);
  }
}

/// Four voices of quarters, eighths and triplets, with or without a pickup
static QfScore*
simple_score(Lcg* const lcg)
{
  static const int durations[][2] = {{1, 4}, {1, 8}, {3, 8}, {1, 2}, {1, 12}, {1, 6}, {1, 16}};

  QfMetre metre;
  QfKey   key;
  assert_int_equal(QF_OK, qf_metre(2 + (int)draw(lcg, 3), 4, &metre));
  assert_int_equal(QF_OK, qf_key_from_fifths((int)draw(lcg, 15) - 7, QF_MAJOR, &key));
  const QfTime   pickup = draw(lcg, 2) ? qf_time(1, 4) : QF_TIME_ZERO;
  QfScore* const score  = qf_score_new_satb(key, metre, pickup, 3U);
  const QfTime   end    = qf_score_get_end(score);
  for (size_t voice = 0; voice < 4U; ++voice) {
    QfTime here = QF_TIME_ZERO;
    while (qf_time_compare(here, end) < 0) {
      const size_t index = draw(lcg, N_ITEMS(durations));
      const QfTime duration =
        qf_time_min(qf_time(durations[index][0], durations[index][1]), qf_time_sub(end, here));
      const QfPitch pitch = qf_pitch_from_step(20 + (int)draw(lcg, 20), (int)draw(lcg, 3) - 1);
      assert_int_equal(QF_OK,
                       qf_score_put_note(score, voice, here, duration, pitch, QF_NO_NOTE, NULL));
      here = qf_time_add(here, duration);
    }
  }
  return score;
}

static void
test_written_music_returns_exactly(void** const state)
{
  (void)state;
  Lcg lcg = {11};
  for (int i = 0; i < 100; ++i) {
    QfScore* const score  = simple_score(&lcg);
    void*          data   = NULL;
    size_t         length = 0U;
    QfScore*       again  = NULL;
    QfError        error  = {0};
    assert_int_equal(QF_OK, qf_smf_write(score, &data, &length, &error));
    if (qf_smf_read(data, length, &again, NULL, &error)) {
      fail_msg("%s", error.text);
    }
    assert_sounds_same(score, again, "random score");
    qf_score_free(again);
    qf_score_free(score);
    free(data);
  }
}

static void
test_textbooks_return_with_their_spelling(void** const state)
{
  (void)state;
  size_t n_notes   = 0U;
  size_t n_spelled = 0U;
  for (size_t i = 0; i < N_ITEMS(textbooks); ++i) {
    char path[100];
    snprintf(path, sizeof(path), "textbooks/%s/score.musicxml", textbooks[i]);
    size_t         length = 0U;
    char* const    xml    = read_data(path, &length);
    QfScore* const score  = must_read(xml, length, path);
    void*          data   = NULL;
    QfScore*       again  = NULL;
    free(xml);
    assert_int_equal(QF_OK, qf_smf_write(score, &data, &length, NULL));
    assert_int_equal(QF_OK, qf_smf_read(data, length, &again, NULL, NULL));
    assert_sounds_same(score, again, textbooks[i]);
    for (size_t voice = 0; voice < qf_score_n_voices(score); ++voice) {
      for (size_t j = 0; j < qf_score_n_notes(score, voice); ++j) {
        ++n_notes;
        n_spelled += qf_pitch_equals(qf_score_get_note(score, voice, j)->pitch,
                                     qf_score_get_note(again, voice, j)->pitch);
      }
    }
    qf_score_free(again);
    qf_score_free(score);
    free(data);
  }
  // The printed spelling judges; these examples modulate far under one signature.
  print_message("  %zu of %zu notes spelled as printed\n", n_spelled, n_notes);
  assert_true(n_spelled * 20U > n_notes * 19U);
}

static void
test_format_0_and_running_status(void** const state)
{
  (void)state;
  // Two channels in one track, running status, velocity 0, an unknown chunk, a longer header.
  static const uint8_t file[] = {
    'M', 'T',  'h',  'd',  0,    0,    0,  8,  0, 0,    0,  1,  0, 96, 0xAB, 0xCD, //
    'X', 'Y',  'Z',  'W',  0,    0,    0,  2,  1, 2,                               //
    'M', 'T',  'r',  'k',  0,    0,    0,  40,                                     //
    0,   0xFF, 0x03, 2,    'H',  'i',                                              //
    0,   0xF0, 2,    1,    0xF7,                                                   //
    0,   0x90, 72,   64,   0,    0x91, 48, 64, 0, 0x99, 36, 99, // 9 is percussion
    96,  0x90, 72,   0,    0,    74,   64,                      // running
    96,  74,   0,    0,    0x81, 48,                            //
    64,  0,    0xFF, 0x2F, 0};
  QfScore* score  = NULL;
  QfImport import = {0};
  QfError  error  = {0};
  uint8_t  copy[sizeof(file)];
  memcpy(copy, file, sizeof(file));
  copy[33] = (uint8_t)(sizeof(file) - 34U); // track length
  if (qf_smf_read(copy, sizeof(copy), &score, &import, &error)) {
    fail_msg("%s", error.text);
  }
  assert_int_equal(2U, qf_score_n_voices(score));
  assert_note(score, 0, 0, QF_TIME_ZERO, qf_time(1, 4), "C5");
  assert_note(score, 0, 1, qf_time(1, 4), qf_time(1, 4), "D5");
  assert_note(score, 1, 0, QF_TIME_ZERO, qf_time(1, 2), "C3");
  assert_int_equal(QF_CLEF_BASS, qf_score_get_staff(score, 1)->clef);
  assert_non_null(strstr(import.remarks, "Percussion"));
  assert_non_null(strstr(import.remarks, "no time signature"));
  qf_import_clear(&import);
  qf_score_free(score);
}

static void
test_broken_files_say_what_is_wrong(void** const state)
{
  (void)state;
  static const struct {
    const char* label;
    const char* hex;
    QfStatus    status;
    const char* words;
  } cases[] = {
    {"empty", "", QF_ERR_BAD_FILE, "MThd"},
    {"another file", "25 50 44 46 2D 31 2E 37 0A 0A 0A 0A 0A 0A", QF_ERR_BAD_FILE, "MThd"},
    {"format 2", "4D 54 68 64 00 00 00 06 00 02 00 01 01 E0", QF_ERR_UNSUPPORTED, "format 2"},
    {"film frames", "4D 54 68 64 00 00 00 06 00 01 00 01 E2 50", QF_ERR_UNSUPPORTED, "frames"},
    {"no division", "4D 54 68 64 00 00 00 06 00 01 00 01 00 00", QF_ERR_BAD_FILE, "ticks"},
    {"no notes", "4D 54 68 64 00 00 00 06 00 01 00 01 01 E0", QF_ERR_UNSUPPORTED, "at least one"},
    {"a track longer than the file",
     "4D 54 68 64 00 00 00 06 00 01 00 01 01 E0 4D 54 72 6B 00 00 00 FF 00", QF_ERR_BAD_FILE,
     "within the file"},
    {"a data byte without status",
     "4D 54 68 64 00 00 00 06 00 01 00 01 01 E0 4D 54 72 6B 00 00 00 03 00 40 40", QF_ERR_BAD_FILE,
     "status byte"},
    {"running status after a meta event",
     "4D 54 68 64 00 00 00 06 00 01 00 01 01 E0 4D 54 72 6B 00 00 00 0B 00 90 40 40 00 FF 01 00 00 "
     "40 00",
     QF_ERR_BAD_FILE, "status byte"},
    {"a five-byte time",
     "4D 54 68 64 00 00 00 06 00 01 00 01 01 E0 4D 54 72 6B 00 00 00 06 FF FF FF FF FF 00",
     QF_ERR_BAD_FILE, "at most four bytes"},
  };
  for (size_t i = 0; i < N_ITEMS(cases); ++i) {
    uint8_t        bytes[MAX_BYTES];
    const size_t   length = parse_hex(cases[i].hex, bytes);
    QfScore*       score  = NULL;
    QfError        error  = {0};
    const QfStatus st     = qf_smf_read(bytes, length, &score, NULL, &error);
    if (st != cases[i].status || !strstr(error.text, cases[i].words)) {
      fail_msg("%s: status %d, \"%s\"", cases[i].label, (int)st, error.text);
    }
  }
}

static void
test_damaged_files_do_no_harm(void** const state)
{
  (void)state;
  size_t         length = 0U;
  uint8_t* const sample = read_sample(&length);
  Lcg            lcg    = {23};
  for (size_t i = 0; i < 3000U; ++i) {
    const size_t   cut  = i < length ? i : length;
    uint8_t* const copy = (uint8_t*)malloc(cut ? cut : 1U);
    memcpy(copy, sample, cut);
    for (uint32_t n = i < length ? 0U : 1U + draw(&lcg, 4); n > 0; --n) {
      copy[draw(&lcg, (uint32_t)cut)] = (uint8_t)draw(&lcg, 256);
    }
    QfScore*       score = NULL;
    QfError        error = {0};
    const QfStatus st    = qf_smf_read(copy, cut, &score, NULL, &error);
    assert_true(st ? error.text[0] != '\0' && !score : score != NULL);
    qf_score_free(score);
    free(copy);
  }
  free(sample);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_quantities_agree_with_the_specification),
    cmocka_unit_test(test_quantities_have_bounds),
    cmocka_unit_test(test_keys_agree_with_the_table),
    cmocka_unit_test(test_tempos_agree_with_the_table),
    cmocka_unit_test(test_metres_agree_with_the_specification),
    cmocka_unit_test(test_the_sample_is_read_whole),
    cmocka_unit_test(test_spelling_follows_the_signature),
    cmocka_unit_test(test_written_music_returns_exactly),
    cmocka_unit_test(test_textbooks_return_with_their_spelling),
    cmocka_unit_test(test_format_0_and_running_status),
    cmocka_unit_test(test_broken_files_say_what_is_wrong),
    cmocka_unit_test(test_damaged_files_do_no_harm),
  };
  return cmocka_run_group_tests_name("smf", tests, NULL, NULL);
}
