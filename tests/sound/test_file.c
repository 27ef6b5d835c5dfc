// SPDX-License-Identifier: MIT
#include "passage.h"

#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <sndfile.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

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

  snprintf(folder->path, sizeof(folder->path), "/tmp/quintfall-sound-XXXXXX");
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

static int
count_files(const Folder* const folder)
{
  DIR* const directory = opendir(folder->path);
  int        n         = 0;
  assert_non_null(directory);
  for (struct dirent* entry = readdir(directory); entry; entry = readdir(directory)) {
    n += entry->d_name[0] != '.';
  }
  closedir(directory);
  return n;
}

static void
path_in(const Folder* const folder, const char* const name, char path[128])
{
  snprintf(path, 128, "%s/%s", folder->path, name);
}

static void
need_soundfont(void)
{
  if (!passage_has_soundfont()) {
    skip();
  }
}

static QfStatus
render_file(const QfEvents* const events, const char* const path, QfError* const error)
{
  return qf_sound_render_file(events, (QfSoundSettings){0}, NULL, path, NULL, NULL, error);
}

/// Peak of a whole file, read by libsndfile; sets its properties
static double
read_peak(const char* const path, SF_INFO* const info)
{
  *info               = (SF_INFO){0};
  SNDFILE* const file = sf_open(path, SFM_READ, info);
  if (!file) {
    fail_msg("%s: %s", path, sf_strerror(NULL));
  }

  float* const samples = (float*)calloc((size_t)(info->frames * info->channels), sizeof(float));
  assert_non_null(samples);
  assert_int_equal(sf_readf_float(file, samples, info->frames), info->frames);
  const double peak = passage_peak(samples, 0, (size_t)info->frames);
  free(samples);
  sf_close(file);
  return peak;
}

static void
test_each_ending_has_its_format(void** state)
{
  need_soundfont();
  const Folder* const folder = (const Folder*)*state;
  typedef struct {
    const char* name;
    int         format;
  } Case;
  static const Case cases[] = {{"a.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16},
                               {"B.WAV", SF_FORMAT_WAV | SF_FORMAT_PCM_16},
                               {"c.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16},
                               {"d.ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS},
                               {"e.opus", SF_FORMAT_OGG | SF_FORMAT_OPUS},
                               {"f.mp3", SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III}};

  QfEvents events = passage_chords(2, 0.4, 0.0);
  double   wav    = 0.0;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char    path[128];
    QfError error = {0};
    path_in(folder, cases[i].name, path);
    QfAudioKind kind = QF_AUDIO_N_KINDS;
    assert_int_equal(qf_audio_kind_of(path, &kind, &error), QF_OK);
    if (render_file(&events, path, &error)) {
      fail_msg("%s", error.text);
    }

    SF_INFO      info;
    const double peak = read_peak(path, &info);
    assert_int_equal(info.format, cases[i].format);
    assert_int_equal(info.channels, 2);
    assert_int_equal(info.samplerate, kind == QF_AUDIO_OPUS ? 48000 : 44100);
    assert_true(fabs((double)info.frames / info.samplerate - events.length_s) < 0.1);
    wav = i ? wav : peak;
    print_message("%s: peak %.2f dBFS, %ld frames\n", cases[i].name, 20.0 * log10(peak),
                  (long)info.frames);
    assert_true(peak > 0.02);
    assert_true(fabs(20.0 * log10(peak / wav)) < 1.5); // The same music
  }

  assert_int_equal(count_files(folder), 6); // Nothing unfinished is left
  qf_events_clear(&events);
}

static void
test_other_endings_are_refused(void** state)
{
  const Folder* const      folder  = (const Folder*)*state;
  static const char* const names[] = {"a.aiff", "a", "wav", ".wav.txt"};
  QfEvents                 events  = passage_chords(1, 0.1, -20.0);
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    char    path[128];
    QfError error = {0};
    path_in(folder, names[i], path);
    assert_int_equal(render_file(&events, path, &error), QF_ERR_UNSUPPORTED);
    assert_non_null(strstr(error.text, ".flac"));
  }
  assert_int_equal(count_files(folder), 0);
  qf_events_clear(&events);
}

static bool
stop_halfway_cb(const double done, void* const data)
{
  (void)data;
  return done < 0.5;
}

static void
test_cancelling_leaves_the_old_file(void** state)
{
  need_soundfont();
  const Folder* const folder = (const Folder*)*state;
  char                path[128];
  path_in(folder, "a.wav", path);
  FILE* const old = fopen(path, "w");
  assert_non_null(old);
  fputs("old", old);
  fclose(old);

  QfEvents events = passage_chords(8, 0.5, -20.0);
  assert_int_equal(
    qf_sound_render_file(&events, (QfSoundSettings){0}, NULL, path, stop_halfway_cb, NULL, NULL),
    QF_ERR_CANCELLED);
  qf_events_clear(&events);

  struct stat info;
  assert_int_equal(stat(path, &info), 0);
  assert_int_equal(info.st_size, 3);
  assert_int_equal(count_files(folder), 1);
}

static void
test_a_full_disk_is_told(void** state)
{
  need_soundfont();
  const Folder* const      folder  = (const Folder*)*state;
  static const char* const names[] = {"a.wav", "a.flac", "a.ogg", "a.mp3", "a.opus"};
  QfEvents                 events  = passage_chords(8, 0.5, -10.0);

  // A limit on the size of files stands in for the end of the disk.
  struct rlimit before;
  assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
  signal(SIGXFSZ, SIG_IGN);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &(struct rlimit){8192, before.rlim_max}), 0);
  QfStatus statuses[5];
  QfError  errors[5];
  for (size_t i = 0; i < 5; ++i) {
    char path[128];
    path_in(folder, names[i], path);
    statuses[i] = render_file(&events, path, &errors[i]);
  }
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);

  for (size_t i = 0; i < 5; ++i) {
    if (statuses[i] != QF_ERR_IO) {
      fail_msg("%s: %s", names[i], qf_status_text(statuses[i]));
    }
    assert_non_null(strstr(errors[i].text, names[i]));
    print_message("%s\n", errors[i].text);
  }
  assert_int_equal(count_files(folder), 0);
  qf_events_clear(&events);
}

static void
test_a_missing_folder_is_told(void** state)
{
  const Folder* const folder = (const Folder*)*state;
  QfEvents            events = passage_chords(1, 0.1, -20.0);
  char                path[128];
  QfError             error = {0};
  path_in(folder, "none/a.wav", path);
  assert_int_equal(render_file(&events, path, &error), QF_ERR_IO);
  assert_non_null(strstr(error.text, "none/a.wav"));
  qf_events_clear(&events);
}

#define TEST(func) cmocka_unit_test_setup_teardown(func, make_folder, remove_folder)

int
main(void)
{
  const struct CMUnitTest tests[] = {
    TEST(test_each_ending_has_its_format),     TEST(test_other_endings_are_refused),
    TEST(test_cancelling_leaves_the_old_file), TEST(test_a_full_disk_is_told),
    TEST(test_a_missing_folder_is_told),
  };
  return cmocka_run_group_tests_name("file", tests, NULL, NULL);
}
