// SPDX-License-Identifier: MIT
#include "render.h"

#include "quintfall/text.h"

#include <sndfile.h>

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

enum {
  SAMPLE_RATE         = 44100,
  CHUNK_FRAMES        = 2048,
  MAX_TEMPORARY_NAMES = 100,
};

/// What a file's ending means
typedef struct {
  const char* ending;
  int         format;
} AudioFormat;

static const AudioFormat formats[] = {
  [QF_AUDIO_WAV]  = {".wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16},
  [QF_AUDIO_FLAC] = {".flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16},
  [QF_AUDIO_OGG]  = {".ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS},
};

enum {
  N_FORMATS = sizeof(formats) / sizeof(formats[0]),
};

/// A file being written; frames are gathered into chunks
typedef struct {
  const char* path;      ///< Lent
  char*       temporary; ///< Owned
  int         descriptor;
  SNDFILE*    file; ///< Owned
  size_t      n_frames;
  float       frames[2U * CHUNK_FRAMES];
} AudioFile;

static const AudioFormat*
format_of(const char* const path)
{
  const size_t length = strlen(path);
  for (size_t i = 0; i < N_FORMATS; ++i) {
    const size_t size = strlen(formats[i].ending);
    if (length > size && !strcasecmp(path + length - size, formats[i].ending)) {
      return &formats[i];
    }
  }
  return NULL;
}

static QfStatus
io_error(const char* const path, const char* const reason, QfError* const error)
{
  return qf_error_set(error, QF_ERR_IO, "could not write %s: %s", path, reason);
}

/// What the system said, or else what the library says
static QfStatus
write_error(const AudioFile* const self, const int number, QfError* const error)
{
  return io_error(self->path, number ? strerror(number) : sf_strerror(self->file), error);
}

/// Make a file beside `path` that nobody else uses
static QfStatus
open_temporary(AudioFile* const self, QfError* const error)
{
  for (int i = 0; i < MAX_TEMPORARY_NAMES; ++i) {
    QfText name = {0};
    qf_text_addf(&name, "%s.%ld-%d.part", self->path, (long)getpid(), i);
    self->temporary = qf_text_take(&name);
    if (!self->temporary) {
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    }

    self->descriptor = open(self->temporary, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (self->descriptor >= 0) {
      return QF_OK;
    }

    const int number = errno;
    free(self->temporary);
    self->temporary = NULL;
    if (number != EEXIST) {
      return io_error(self->path, strerror(number), error);
    }
  }

  return io_error(self->path, "too many unfinished files of this name", error);
}

static QfStatus
open_file(AudioFile* const self, const int format, QfError* const error)
{
  const QfStatus st = open_temporary(self, error);
  if (st) {
    return st;
  }

  SF_INFO info = {.samplerate = SAMPLE_RATE, .channels = 2, .format = format};
  errno        = 0;
  self->file   = sf_open_fd(self->descriptor, SFM_WRITE, &info, SF_FALSE);
  if (!self->file) {
    return write_error(self, errno, error);
  }

  double quality = 0.6; // Of lossy formats, from 0 to 1
  sf_command(self->file, SFC_SET_VBR_ENCODING_QUALITY, &quality, sizeof(quality));
  sf_command(self->file, SFC_SET_CLIPPING, NULL, SF_TRUE);
  return QF_OK;
}

static QfStatus
flush_chunk(AudioFile* const self, QfError* const error)
{
  const sf_count_t n_frames = (sf_count_t)self->n_frames;

  self->n_frames = 0;
  errno          = 0;
  return sf_writef_float(self->file, self->frames, n_frames) == n_frames
           ? QF_OK
           : write_error(self, errno, error);
}

static QfStatus
write_frames(const float* const frames,
             const size_t       n_frames,
             void* const        data,
             QfError* const     error)
{
  AudioFile* const self = (AudioFile*)data;
  if (self->n_frames + n_frames > CHUNK_FRAMES) {
    const QfStatus st = flush_chunk(self, error);
    if (st) {
      return st;
    }
  }

  memcpy(self->frames + 2U * self->n_frames, frames, 2U * n_frames * sizeof(float));
  self->n_frames += n_frames;
  return QF_OK;
}

/// Finish the file and give it its name
static QfStatus
commit(AudioFile* const self, QfError* const error)
{
  const QfStatus st = flush_chunk(self, error);
  if (st) {
    return st;
  }

  errno               = 0;
  SNDFILE* const file = self->file;
  self->file          = NULL;
  const int fault     = sf_close(file);
  if (fault) {
    return io_error(self->path, errno ? strerror(errno) : sf_error_number(fault), error);
  }
  if (fsync(self->descriptor) || rename(self->temporary, self->path)) {
    return io_error(self->path, strerror(errno), error);
  }

  free(self->temporary);
  self->temporary = NULL;
  return QF_OK;
}

/// Close everything; a file that got no name is removed
static void
close_file(AudioFile* const self)
{
  if (self->file) {
    sf_close(self->file);
  }
  if (self->descriptor >= 0) {
    close(self->descriptor);
  }
  if (self->temporary) {
    unlink(self->temporary);
    free(self->temporary);
  }
  free(self);
}

QfStatus
qf_sound_render_file(const QfEvents* const    events,
                     const QfSoundSettings    settings,
                     const QfRecording* const recording,
                     const char* const        path,
                     const QfProgressFunc     progress,
                     void* const              data,
                     QfError* const           error)
{
  (void)recording;
  const AudioFormat* const format = format_of(path);
  if (!format) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "%s has no ending of a sound file; expected .wav, .flac or .ogg", path);
  }

  AudioFile* const self = (AudioFile*)calloc(1, sizeof(AudioFile));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  self->path       = path;
  self->descriptor = -1;

  QfStatus st = open_file(self, format->format, error);
  if (!st) {
    const QfProgress told = {progress, data};
    st = qf_render(events, settings, SAMPLE_RATE, told, write_frames, self, error);
  }
  if (!st) {
    st = commit(self, error);
  }

  close_file(self);
  return st;
}
