// SPDX-License-Identifier: MIT
#include "audio_file.h"

#include "audio_kind.h"

#include "quintfall/text.h"

#include <ebur128.h>
#include <sndfile.h>

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
  CHUNK_FRAMES        = 4096,
  MAX_TEMPORARY_NAMES = 100,
};

// Of lossy formats, from 0 to 1.
static const double quality = 0.6;

struct QfAudioFileImpl {
  char*                path;      ///< Owned; where a symbolic link leads
  char*                temporary; ///< Owned
  const QfAudioFormat* format;
  int                  descriptor;
  SNDFILE*             file; ///< Owned, while it is written
};

static QfStatus
io_error(const char* const path, const int number, QfError* const error)
{
  const bool is_full = number == ENOSPC || number == EDQUOT;
  return qf_error_set(error, is_full ? QF_ERR_FULL : QF_ERR_IO, "could not write %s: %s", path,
                      strerror(number));
}

static QfStatus
other_error(const char* const path, const char* const reason, QfError* const error)
{
  return qf_error_set(error, QF_ERR_IO, "could not write %s: %s", path, reason);
}

/// What the system said, or else what the library says
static QfStatus
write_error(const QfAudioFile* const self, const int number, QfError* const error)
{
  return number ? io_error(self->path, number, error)
                : other_error(self->path, sf_strerror(self->file), error);
}

/// Make a file beside `path` that nobody else uses; `name` is (transfer full)
static int
open_temporary(const char* const path, char** const name, QfError* const error)
{
  for (int i = 0; i < MAX_TEMPORARY_NAMES; ++i) {
    QfText text = {0};
    qf_text_addf(&text, "%s.%ld-%d.part", path, (long)getpid(), i);
    *name = qf_text_take(&text);
    if (!*name) {
      qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
      return -1;
    }

    const int descriptor = open(*name, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (descriptor >= 0) {
      return descriptor;
    }

    const int number = errno;
    free(*name);
    *name = NULL;
    if (number != EEXIST) {
      io_error(path, number, error);
      return -1;
    }
  }

  other_error(path, "too many unfinished files of this name", error);
  return -1;
}

int
qf_audio_file_open_spool(const char* const path, QfError* const error)
{
  char*     name       = NULL;
  const int descriptor = open_temporary(path, &name, error);
  if (descriptor >= 0) {
    unlink(name);
  }
  free(name);
  return descriptor;
}

/// Where a recording goes: a symbolic link stays one, and what is no file is not replaced by one
static QfStatus
resolve(const char* const path, char** const target, QfError* const error)
{
  struct stat found;
  const bool  is_there = !stat(path, &found);
  if (is_there && !S_ISREG(found.st_mode)) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "could not write %s: it is a %s; a recording needs a file", path,
                        S_ISDIR(found.st_mode) ? "folder" : "device or pipe");
  }

  *target = is_there ? realpath(path, NULL) : strdup(path);
  return *target ? QF_OK : io_error(path, errno, error);
}

QfStatus
qf_audio_file_new(const char* const   path,
                  const QfAudioKind   kind,
                  QfAudioFile** const result,
                  QfError* const      error)
{
  QfAudioFile* const self = (QfAudioFile*)calloc(1, sizeof(QfAudioFile));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  self->format      = qf_audio_format(kind);
  self->descriptor  = -1;
  const QfStatus st = resolve(path, &self->path, error);
  if (!st) {
    self->descriptor = open_temporary(self->path, &self->temporary, error);
  }
  if (self->descriptor < 0) {
    qf_audio_file_free(self);
    return st ? st : QF_ERR_IO;
  }

  *result = self;
  return QF_OK;
}

void
qf_audio_file_free(QfAudioFile* const file)
{
  if (!file) {
    return;
  }

  if (file->file) {
    sf_close(file->file);
  }
  if (file->descriptor >= 0) {
    close(file->descriptor);
  }
  if (file->temporary) {
    unlink(file->temporary);
    free(file->temporary);
  }
  free(file->path);
  free(file);
}

/// Tags must come before the frames
static void
write_tags(SNDFILE* const file, const QfRecordingTags* const tags)
{
  char track[16] = "";
  if (tags->track > 0) {
    snprintf(track, sizeof(track), "%d", tags->track);
  }

  typedef struct {
    int         type;
    const char* text;
  } Tag;
  const Tag all[] = {
    {SF_STR_TITLE, tags->title},     {SF_STR_ARTIST, tags->artist}, {SF_STR_ALBUM, tags->album},
    {SF_STR_COMMENT, tags->comment}, {SF_STR_TRACKNUMBER, track},
  };
  for (size_t i = 0; i < sizeof(all) / sizeof(all[0]); ++i) {
    if (all[i].text && all[i].text[0]) {
      sf_set_string(file, all[i].type, all[i].text);
    }
  }
}

QfStatus
qf_audio_file_begin(QfAudioFile* const           file,
                    const QfRecordingTags* const tags,
                    QfError* const               error)
{
  if (ftruncate(file->descriptor, 0) || lseek(file->descriptor, 0, SEEK_SET) < 0) {
    return write_error(file, errno, error);
  }

  SF_INFO info = {
    .samplerate = file->format->sample_rate, .channels = 2, .format = file->format->format};
  errno      = 0;
  file->file = sf_open_fd(file->descriptor, SFM_WRITE, &info, SF_FALSE);
  if (!file->file) {
    return write_error(file, errno, error);
  }

  double wanted = quality;
  sf_command(file->file, SFC_SET_VBR_ENCODING_QUALITY, &wanted, sizeof(wanted));
  sf_command(file->file, SFC_SET_CLIPPING, NULL, SF_TRUE);
  write_tags(file->file, tags);
  return QF_OK;
}

QfStatus
qf_audio_file_write(QfAudioFile* const file,
                    const float* const frames,
                    const size_t       n_frames,
                    QfError* const     error)
{
  errno = 0;
  return sf_writef_float(file->file, frames, (sf_count_t)n_frames) == (sf_count_t)n_frames
           ? QF_OK
           : write_error(file, errno, error);
}

QfStatus
qf_audio_file_end(QfAudioFile* const file, QfError* const error)
{
  SNDFILE* const writing = file->file;
  file->file             = NULL;
  errno                  = 0;
  const int fault        = sf_close(writing);
  return fault ? (errno ? io_error(file->path, errno, error)
                        : other_error(file->path, sf_error_number(fault), error))
               : QF_OK;
}

/// Give a meter all frames of a file
static bool
meter_file(SNDFILE* const file, ebur128_state* const meter)
{
  float* const frames = (float*)calloc(CHUNK_FRAMES, 2U * sizeof(float));
  bool         is_ok  = frames;
  while (is_ok) {
    const sf_count_t n = sf_readf_float(file, frames, CHUNK_FRAMES);
    if (n <= 0) {
      break;
    }
    is_ok = !ebur128_add_frames_float(meter, frames, (size_t)n);
  }
  free(frames);
  return is_ok;
}

/// The higher side's true peak
static double
true_peak_db(ebur128_state* const meter)
{
  double highest = 0.0;
  for (unsigned side = 0; side < 2; ++side) {
    double peak = 0.0;
    ebur128_true_peak(meter, side, &peak);
    highest = fmax(highest, peak);
  }
  return 20.0 * log10(fmax(highest, 1e-9));
}

QfStatus
qf_audio_file_measure(const QfAudioFile* const file, QfMeasured* const result, QfError* const error)
{
  SF_INFO info = {0};
  if (lseek(file->descriptor, 0, SEEK_SET) < 0) {
    return write_error(file, errno, error);
  }

  SNDFILE* const reading = sf_open_fd(file->descriptor, SFM_READ, &info, SF_FALSE);
  if (!reading || info.channels != 2) {
    sf_close(reading);
    return other_error(file->path, "it can't be read back", error);
  }

  ebur128_state* meter =
    ebur128_init(2, (unsigned long)info.samplerate,
                 EBUR128_MODE_I | EBUR128_MODE_TRUE_PEAK | EBUR128_MODE_HISTOGRAM);
  const bool is_ok = meter && meter_file(reading, meter);
  if (is_ok) {
    ebur128_loudness_global(meter, &result->lufs);
    result->peak_db = true_peak_db(meter);
  }
  if (meter) {
    ebur128_destroy(&meter);
  }
  sf_close(reading);
  return is_ok ? QF_OK
               : qf_error_set(error, QF_ERR_NO_MEM, "out of memory while measuring %s", file->path);
}

QfStatus
qf_audio_file_commit(QfAudioFile* const file, QfError* const error)
{
  if (fsync(file->descriptor) || rename(file->temporary, file->path)) {
    return io_error(file->path, errno, error);
  }

  free(file->temporary);
  file->temporary = NULL;
  return QF_OK;
}
