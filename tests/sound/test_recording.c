// SPDX-License-Identifier: MIT
#include "passage.h"

#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

// Recordings are read by ffmpeg and ffprobe, which share nothing with how they
// were made: containers, tags, loudness by its ebur128 filter.

// Source: EBU R 128 (2020): -23.0 LUFS, tolerance 0.5 LU, -1 dBTP; from memory.
static const double tolerance_lu    = 0.5;
static const double highest_peak_db = -1.0;

static const char* const endings[] = {"wav", "flac", "ogg", "opus", "mp3"};

enum {
  N_ENDINGS = sizeof(endings) / sizeof(endings[0]),
};

/// A folder of the test's own
typedef struct {
  char path[64];
} Folder;

static int
make_folder(void** state)
{
  Folder* const folder = (Folder*)calloc(1, sizeof(Folder));
  if (!folder) {
    return -1;
  }

  snprintf(folder->path, sizeof(folder->path), "/tmp/quintfall-recording-XXXXXX");
  *state = folder;
  return mkdtemp(folder->path) ? 0 : -1;
}

static int
remove_folder(void** state)
{
  Folder* const folder    = (Folder*)*state;
  DIR* const    directory = opendir(folder->path);
  char          path[400];
  for (struct dirent* entry = directory ? readdir(directory) : NULL; entry;
       entry                = readdir(directory)) {
    snprintf(path, sizeof(path), "%s/%s", folder->path, entry->d_name);
    unlink(path);
  }
  closedir(directory);
  rmdir(folder->path);
  free(folder);
  return 0;
}

static void
need_tools(void)
{
  if (system("command -v ffmpeg >/dev/null && command -v ffprobe >/dev/null")) {
    print_message("install ffmpeg to check recordings from outside\n");
    skip();
  }
  if (!passage_has_soundfont()) {
    skip();
  }
}

/// What a command prints, cut to the buffer
static void
run(const char* const command, char* const buffer, const size_t size)
{
  FILE* const pipe = popen(command, "r");
  assert_non_null(pipe);
  const size_t n = fread(buffer, 1, size - 1U, pipe);
  buffer[n]      = '\0';
  while (fgetc(pipe) != EOF) {
  }
  assert_int_equal(pclose(pipe), 0);
}

/// The number behind the last place of a word
static double
number_after(const char* const text, const char* const word)
{
  const char* found = NULL;
  for (const char* at = strstr(text, word); at; at = strstr(at + 1, word)) {
    found = at;
  }
  if (!found) {
    fail_msg("no '%s' in: %s", word, text);
  }
  return strtod(found + strlen(word), NULL);
}

/// Integrated loudness and true peak
static void
measure(const char* const path, double* const lufs, double* const peak_db)
{
  char command[512];
  char text[8192];
  snprintf(command, sizeof(command),
           "ffmpeg -hide_banner -nostats -nostdin -i '%s' -af ebur128=peak=true "
           "-f null - 2>&1 | tail -n 15",
           path);
  run(command, text, sizeof(text));
  *lufs    = number_after(text, "I:");
  *peak_db = number_after(text, "Peak:");
}

static void
record(const QfEvents* const events, const QfRecording* const recording, const char* const path)
{
  QfError error = {0};
  if (qf_sound_render_file(events, (QfSoundSettings){0}, recording, path, NULL, NULL, &error)) {
    fail_msg("%s", error.text);
  }
}

/// Two chords with a long silence between them
static QfEvents
with_silence(void)
{
  QfEvents events = passage_chords(3, 0.9, -30.0);
  for (size_t i = 0; i < events.n_events; ++i) {
    events.events[i].at_s += events.events[i].at_s > 0.95 ? 6.0 : 0.0;
  }
  events.length_s += 6.0;
  return events;
}

/// Many voices of the horns, at the softest or loudest
static QfEvents
horns(const size_t n_voices, const double level_db)
{
  uint8_t keys[QF_MAX_VOICES];
  for (uint8_t voice = 0; voice < n_voices; ++voice) {
    keys[voice] = (uint8_t)(40 + 2 * voice);
  }

  QfHearing hearing = passage_hearing(level_db);
  hearing.program   = 61;
  return passage_chord(keys, n_voices, hearing, 2.0);
}

static void
test_all_recordings_are_equally_loud(void** state)
{
  need_tools();
  const Folder* const folder = (const Folder*)*state;
  QfEvents events[] = {passage_chords(6, 0.6, -20.0), with_silence(), horns(QF_MAX_VOICES, 0.0),
                       horns(1, -40.0)};
  for (size_t i = 0; i < sizeof(events) / sizeof(events[0]); ++i) {
    for (size_t n = 0; n < N_ENDINGS; ++n) {
      char   path[128];
      double lufs    = 0.0;
      double peak_db = 0.0;
      snprintf(path, sizeof(path), "%s/%zu.%s", folder->path, i, endings[n]);
      record(&events[i], NULL, path);
      measure(path, &lufs, &peak_db);
      print_message("passage %zu %s: %.1f LUFS, %.1f dBTP\n", i, endings[n], lufs, peak_db);
      assert_true(fabs(lufs - -23.0) <= tolerance_lu);
      assert_true(peak_db <= highest_peak_db);
    }
    qf_events_clear(&events[i]);
  }
}

static void
test_loud_recordings_keep_their_peaks(void** state)
{
  need_tools();
  const Folder* const folder    = (const Folder*)*state;
  const QfRecording   recording = {.loudness_lufs = -14.0};
  QfEvents            events    = with_silence();
  for (size_t n = 0; n < N_ENDINGS; ++n) {
    char   path[128];
    double lufs    = 0.0;
    double peak_db = 0.0;
    snprintf(path, sizeof(path), "%s/loud.%s", folder->path, endings[n]);
    record(&events, &recording, path);
    measure(path, &lufs, &peak_db);
    print_message("%s: %.1f LUFS, %.1f dBTP\n", endings[n], lufs, peak_db);
    assert_true(fabs(lufs - -14.0) <= tolerance_lu);
    assert_true(peak_db <= highest_peak_db);
  }
  qf_events_clear(&events);
}

static void
test_another_loudness_is_refused(void** state)
{
  const Folder* const folder    = (const Folder*)*state;
  static const double refused[] = {-31.0, -13.0, 3.0, NAN};
  QfEvents            events    = passage_chords(1, 0.1, -20.0);
  char                path[128];
  snprintf(path, sizeof(path), "%s/a.wav", folder->path);
  for (size_t i = 0; i < sizeof(refused) / sizeof(refused[0]); ++i) {
    const QfRecording recording = {.loudness_lufs = refused[i]};
    QfError           error     = {0};
    assert_int_equal(
      qf_sound_render_file(&events, (QfSoundSettings){0}, &recording, path, NULL, NULL, &error),
      QF_ERR_RANGE);
    assert_non_null(strstr(error.text, "-30"));
  }
  assert_int_not_equal(access(path, F_OK), 0);
  qf_events_clear(&events);
}

static void
test_silence_stays_silent(void** state)
{
  need_tools();
  const Folder* const folder = (const Folder*)*state;
  QfEvents            events = passage_chords(1, 0.5, -20.0);
  events.n_events            = 0;
  char path[128];
  char command[512];
  char text[4096];
  snprintf(path, sizeof(path), "%s/silent.flac", folder->path);
  record(&events, NULL, path);
  snprintf(command, sizeof(command),
           "ffmpeg -hide_banner -nostdin -i '%s' -af volumedetect -f null - 2>&1", path);
  run(command, text, sizeof(text));
  assert_true(number_after(text, "max_volume:") <= -90.0);
  qf_events_clear(&events);
}

static void
test_tags_and_containers_are_read_back(void** state)
{
  need_tools();
  typedef struct {
    const char* ending;
    const char* container;
    const char* codec;
  } Case;
  static const Case        cases[]    = {{"wav", "wav", "pcm_s16le"},
                                         {"flac", "flac", "flac"},
                                         {"ogg", "ogg", "vorbis"},
                                         {"opus", "ogg", "opus"},
                                         {"mp3", "mp3", "mp3"}};
  const Folder* const      folder     = (const Folder*)*state;
  const QfRecording        recording  = {.tags = {.title   = "Dominantseptakkorde, ge\xC3\xBC"
                                                                     "bt",
                                                  .artist  = "Harbour Hall Evening Choir",
                                                  .album   = "Lantern Walk",
                                                  .comment = "Bass forward",
                                                  .track   = 7}};
  static const char* const expected[] = {"=Dominantseptakkorde, ge\xC3\xBC"
                                         "bt\n",
                                         "=Harbour Hall Evening Choir\n", "=Lantern Walk\n",
                                         "=Bass forward\n", "track=7\n"};

  QfEvents events = passage_chords(2, 0.5, -20.0);
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char path[128];
    char command[512];
    char text[4096];
    snprintf(path, sizeof(path), "%s/tags.%s", folder->path, cases[i].ending);
    record(&events, &recording, path);
    snprintf(command, sizeof(command),
             "ffprobe -v error -show_entries "
             "format=format_name:stream=codec_name,channels:format_tags:stream_tags "
             "-of default=noprint_wrappers=1 '%s' | sed 's/^TAG://'",
             path);
    run(command, text, sizeof(text));

    char line[64];
    snprintf(line, sizeof(line), "format_name=%s\n", cases[i].container);
    assert_non_null(strstr(text, line));
    snprintf(line, sizeof(line), "codec_name=%s\n", cases[i].codec);
    assert_non_null(strstr(text, line));
    assert_non_null(strstr(text, "channels=2\n"));
    for (size_t n = 0; n < sizeof(expected) / sizeof(expected[0]); ++n) {
      if (!strcasestr(text, expected[n])) {
        fail_msg("%s lacks %s in: %s", cases[i].ending, expected[n], text);
      }
    }
  }
  qf_events_clear(&events);
}

/// All of a file (transfer full)
static char*
content(const char* const path, size_t* const size)
{
  FILE* const file = fopen(path, "rb");
  assert_non_null(file);
  fseek(file, 0, SEEK_END);
  *size            = (size_t)ftell(file);
  char* const text = (char*)malloc(*size);
  assert_non_null(text);
  rewind(file);
  assert_int_equal(fread(text, 1, *size, file), *size);
  fclose(file);
  return text;
}

static void
test_recording_twice_gives_the_same_samples(void** state)
{
  if (!passage_has_soundfont()) {
    skip();
  }
  const Folder* const folder = (const Folder*)*state;
  QfEvents            events = passage_chords(5, 0.37, -20.0);
  char*               texts[2];
  size_t              sizes[2];
  for (size_t i = 0; i < 2; ++i) {
    char path[128];
    snprintf(path, sizeof(path), "%s/%zu.wav", folder->path, i);
    record(&events, NULL, path);
    texts[i] = content(path, &sizes[i]);
  }
  assert_int_equal(sizes[0], sizes[1]);
  assert_memory_equal(texts[0], texts[1], sizes[0]);
  free(texts[0]);
  free(texts[1]);
  qf_events_clear(&events);
}

typedef struct {
  double last;
  int    n_calls;
} Watch;

static bool
watch_cb(const double done, void* const data)
{
  Watch* const watch = (Watch*)data;
  assert_true(done >= watch->last && done <= 1.0);
  watch->last = done;
  ++watch->n_calls;
  return true;
}

static void
test_progress_never_goes_back(void** state)
{
  if (!passage_has_soundfont()) {
    skip();
  }
  const Folder* const folder    = (const Folder*)*state;
  const QfRecording   recording = {.loudness_lufs = -14.0}; // Takes several tries
  QfEvents            events    = passage_chords(5, 0.5, -20.0);
  Watch               watch     = {0};
  char                path[128];
  snprintf(path, sizeof(path), "%s/a.ogg", folder->path);
  assert_int_equal(
    qf_sound_render_file(&events, (QfSoundSettings){0}, &recording, path, watch_cb, &watch, NULL),
    QF_OK);
  assert_true(watch.last == 1.0);
  assert_true(watch.n_calls > 10);
  qf_events_clear(&events);
}

#define TEST(func) cmocka_unit_test_setup_teardown(func, make_folder, remove_folder)

int
main(void)
{
  const struct CMUnitTest tests[] = {
    TEST(test_all_recordings_are_equally_loud),   TEST(test_loud_recordings_keep_their_peaks),
    TEST(test_another_loudness_is_refused),       TEST(test_silence_stays_silent),
    TEST(test_tags_and_containers_are_read_back), TEST(test_recording_twice_gives_the_same_samples),
    TEST(test_progress_never_goes_back),
  };
  return cmocka_run_group_tests_name("recording", tests, NULL, NULL);
}
