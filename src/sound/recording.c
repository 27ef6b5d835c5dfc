// SPDX-License-Identifier: MIT
#include "audio_file.h"
#include "audio_kind.h"
#include "limiter.h"
#include "render.h"

#include <ebur128.h>

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

// Rendered once, into a file without a name, as floats and so softly that nothing
// is limited; then made as loud as it should be and coded, and what was coded is
// decoded and measured again, until it fits. Reading back costs a tenth of
// rendering twice, and takes no memory.

enum {
  CHUNK_FRAMES = 4096,
  MAX_TRIES    = 8,
};

// Source: EBU R 128 (2020): maximum true peak level -1 dBTP; from memory.
static const double highest_peak_db = -1.0;

// Samples stay this far under that, for the peaks between them.
static const double first_margin_db = 0.4;

// Nearer than this nobody hears a difference. R 128 itself accepts 0.5.
static const double tolerance_lu = 0.2;

// What hardly sounds isn't made loud.
static const double max_gain_db = 80.0;

// Where the limiter takes loudness away, at most so much is added to make up for
// it; more would only flatten the sound.
static const double max_makeup_db = 6.0;

// The softest level there is.
static const double spool_level_db = -40.0;

// Share of rendering in the progress.
static const double render_share = 0.6;

/// The floats on their way
typedef struct {
  const char*    path; ///< Lent
  int            descriptor;
  size_t         n_frames;
  size_t         n_in_chunk;
  float          chunk[2U * CHUNK_FRAMES];
  ebur128_state* meter; ///< Owned
} Spool;

/// How the floats become a recording
typedef struct {
  double gain_db;
  double max_gain_db;
  double ceiling_db;
} Mastering;

/// Somebody who is told of a part of the way
typedef struct {
  QfProgress told;
  double     from;
  double     to;
} Part;

static bool
tell_part(const double done, void* const data)
{
  const Part* const part = (const Part*)data;
  return !part->told.func ||
         part->told.func(part->from + (part->to - part->from) * done, part->told.data);
}

static QfStatus
spool_error(const Spool* const self, QfError* const error)
{
  return qf_error_set(error, QF_ERR_IO, "could not write %s: %s", self->path,
                      errno ? strerror(errno) : "the disk took no more");
}

static QfStatus
flush_spool(Spool* const self, QfError* const error)
{
  const char* bytes  = (const char*)self->chunk;
  size_t      n_left = 2U * self->n_in_chunk * sizeof(float);
  while (n_left > 0) {
    errno                   = 0;
    const ssize_t n_written = write(self->descriptor, bytes, n_left);
    if (n_written <= 0 && errno != EINTR) {
      return spool_error(self, error);
    }
    bytes += n_written > 0 ? n_written : 0;
    n_left -= n_written > 0 ? (size_t)n_written : 0U;
  }

  self->n_frames += self->n_in_chunk;
  if (ebur128_add_frames_float(self->meter, self->chunk, self->n_in_chunk)) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while measuring");
  }
  self->n_in_chunk = 0;
  return QF_OK;
}

static QfStatus
spool_frames(const float* const frames,
             const size_t       n_frames,
             void* const        data,
             QfError* const     error)
{
  Spool* const self = (Spool*)data;
  if (self->n_in_chunk + n_frames > CHUNK_FRAMES) {
    const QfStatus st = flush_spool(self, error);
    if (st) {
      return st;
    }
  }

  memcpy(self->chunk + 2U * self->n_in_chunk, frames, 2U * n_frames * sizeof(float));
  self->n_in_chunk += n_frames;
  return QF_OK;
}

/// Read the next frames back; returns how many, or 0 at the end
static size_t
read_spool(Spool* const self)
{
  const size_t n_wanted = sizeof(self->chunk);
  size_t       n_read   = 0;
  while (n_read < n_wanted) {
    const ssize_t n = read(self->descriptor, (char*)self->chunk + n_read, n_wanted - n_read);
    if (n == 0 || (n < 0 && errno != EINTR)) {
      break;
    }
    n_read += n > 0 ? (size_t)n : 0U;
  }
  return n_read / (2U * sizeof(float));
}

/// Write the file once
static QfStatus
master(Spool* const             spool,
       QfAudioFile* const       file,
       QfLimiter* const         limiter,
       const Mastering          mastering,
       const int                sample_rate,
       const QfRecording* const recording,
       Part* const              part,
       QfError* const           error)
{
  const float gain      = (float)pow(10.0, mastering.gain_db / 20.0);
  size_t      n_skipped = 0;
  size_t      n_done    = 0;
  qf_limiter_init(limiter, sample_rate, mastering.ceiling_db);
  const size_t delay = qf_limiter_delay(limiter);

  QfStatus st = qf_audio_file_begin(file, &recording->tags, error);
  if (!st && lseek(spool->descriptor, 0, SEEK_SET) < 0) {
    st = spool_error(spool, error);
  }

  while (!st && n_done < spool->n_frames) {
    size_t n = read_spool(spool);
    if (n == 0) { // Silence brings out what the limiter still holds
      n = CHUNK_FRAMES;
      memset(spool->chunk, 0, sizeof(spool->chunk));
    }
    for (size_t i = 0; i < 2U * n; ++i) {
      spool->chunk[i] *= gain;
    }
    qf_limiter_process(limiter, spool->chunk, n);

    const size_t n_skip  = delay - n_skipped < n ? delay - n_skipped : n;
    const size_t n_left  = spool->n_frames - n_done;
    const size_t n_given = n - n_skip < n_left ? n - n_skip : n_left;
    st = n_given ? qf_audio_file_write(file, spool->chunk + 2U * n_skip, n_given, error) : QF_OK;
    n_skipped += n_skip;
    n_done += n_given;
    if (!st && !tell_part((double)n_done / (double)spool->n_frames, part)) {
      st = qf_error_set(error, QF_ERR_CANCELLED, "rendering was cancelled");
    }
  }

  return st ? st : qf_audio_file_end(file, error);
}

/// What to do otherwise next time; false if it fits
static bool
correct(Mastering* const mastering, const QfMeasured measured, const double wanted_lufs)
{
  const double excess_db = measured.peak_db - highest_peak_db;
  const double off_lu    = wanted_lufs - measured.lufs;
  const double gain_db   = fmin(mastering->gain_db + off_lu, mastering->max_gain_db);
  const bool   is_off    = isfinite(off_lu) && fabs(off_lu) > tolerance_lu &&
                      fabs(gain_db - mastering->gain_db) > tolerance_lu / 4.0;
  if (excess_db > 0.0) {
    mastering->ceiling_db -= excess_db + 0.1;
  }
  if (is_off) {
    mastering->gain_db = gain_db;
  }
  return excess_db > 0.0 || is_off;
}

/// Write, measure and correct until it fits
static QfStatus
master_until_it_fits(Spool* const             spool,
                     QfAudioFile* const       file,
                     const int                sample_rate,
                     const QfRecording* const recording,
                     const QfProgress         told,
                     QfError* const           error)
{
  const double wanted   = recording->loudness_lufs;
  double       measured = -HUGE_VAL;
  ebur128_loudness_global(spool->meter, &measured);

  const double gain_db   = isfinite(measured) ? fmin(wanted - measured, max_gain_db) : 0.0;
  Mastering    mastering = {gain_db, gain_db + max_makeup_db, highest_peak_db - first_margin_db};

  QfLimiter* const limiter = (QfLimiter*)malloc(sizeof(QfLimiter));
  if (!limiter) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while rendering");
  }

  QfStatus st       = QF_OK;
  bool     is_right = false;
  double   from     = render_share;
  for (int i = 0; !st && !is_right && i < MAX_TRIES; ++i) {
    Part part = {told, from, from + (1.0 - from) / 2.0};
    st        = master(spool, file, limiter, mastering, sample_rate, recording, &part, error);
    from      = part.to;

    QfMeasured result = {0};
    st                = st ? st : qf_audio_file_measure(file, &result, error);
    is_right          = !st && !correct(&mastering, result, wanted);
    if (!st && !is_right && i + 1 == MAX_TRIES && result.peak_db > highest_peak_db) {
      st = qf_error_set(error, QF_ERR_IMPOSSIBLE,
                        "the recording can't be brought to %.1f LUFS; choose less", wanted);
    }
  }

  free(limiter);
  return st;
}

static QfStatus
spool_and_master(const QfEvents* const    events,
                 QfSoundSettings          settings,
                 const QfRecording* const recording,
                 const QfAudioKind        kind,
                 const QfProgress         told,
                 Spool* const             spool,
                 QfAudioFile* const       file,
                 QfError* const           error)
{
  const int        sample_rate = qf_audio_format(kind)->sample_rate;
  Part             part        = {told, 0.0, render_share};
  const QfProgress rendering   = {tell_part, &part};

  settings.level_db = spool_level_db;

  QfStatus st = qf_render(events, settings, sample_rate, rendering, spool_frames, spool, error);
  st          = st ? st : flush_spool(spool, error);
  st          = st ? st : master_until_it_fits(spool, file, sample_rate, recording, told, error);
  st          = st ? st : qf_audio_file_commit(file, error);
  if (!st && told.func) {
    told.func(1.0, told.data); // Too late to be cancelled
  }
  return st;
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
  QfRecording wanted = recording ? *recording : (QfRecording){0};
  QfAudioKind kind   = QF_AUDIO_WAV;
  QfStatus    st     = qf_audio_kind_of(path, &kind, error);
  if (st) {
    return st;
  }

  wanted.loudness_lufs = wanted.loudness_lufs == 0.0 ? QF_USUAL_LOUDNESS : wanted.loudness_lufs;
  if (!(wanted.loudness_lufs >= QF_LOWEST_LOUDNESS &&
        wanted.loudness_lufs <= QF_HIGHEST_LOUDNESS)) {
    return qf_error_set(error, QF_ERR_RANGE, "%g is no loudness for a recording; expected %g to %g",
                        wanted.loudness_lufs, QF_LOWEST_LOUDNESS, QF_HIGHEST_LOUDNESS);
  }

  QfAudioFile* file = NULL;
  st                = qf_audio_file_new(path, kind, &file, error);
  if (st) {
    return st;
  }

  Spool* const spool = (Spool*)calloc(1, sizeof(Spool));
  if (spool) {
    spool->path       = path;
    spool->descriptor = qf_audio_file_open_spool(path, error);
    spool->meter      = ebur128_init(2, (unsigned long)qf_audio_format(kind)->sample_rate,
                                     EBUR128_MODE_I | EBUR128_MODE_HISTOGRAM);
  }
  if (!spool || !spool->meter) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while rendering");
  } else if (spool->descriptor < 0) {
    st = QF_ERR_IO;
  } else {
    const QfProgress told = {progress, data};
    st = spool_and_master(events, settings, &wanted, kind, told, spool, file, error);
  }

  if (spool && spool->meter) {
    ebur128_destroy(&spool->meter);
  }
  if (spool && spool->descriptor >= 0) {
    close(spool->descriptor);
  }
  free(spool);
  qf_audio_file_free(file);
  return st;
}
