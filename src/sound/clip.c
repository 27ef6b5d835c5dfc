// SPDX-License-Identifier: MIT
#include "clip.h"

#include <ebur128.h>
#include <samplerate.h>
#include <sndfile.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  LONGEST_S    = 180,
  MIN_RATE     = 4000,
  MAX_RATE     = 384000,
  MAX_CHANNELS = 8,
};

// As loud as four voices of the piano at 0 dB, before the level is applied.
static const double loudness_lufs = -8.0;

// What hardly sounds isn't made loud.
static const double max_gain_db = 36.0;

static QfStatus
unreadable(const char* const path, const char* const reason, QfError* const error)
{
  return qf_error_set(error, QF_ERR_UNSUPPORTED,
                      "%s can't be read as audio (%s); choose a WAV, FLAC, Ogg, Opus or MP3 file",
                      path, reason);
}

static QfStatus
open_clip(const char* const path, SNDFILE** const file, SF_INFO* const info, QfError* const error)
{
  *info = (SF_INFO){0};
  *file = sf_open(path, SFM_READ, info);
  if (!*file) {
    const int fault = sf_error(NULL);
    return fault == SF_ERR_SYSTEM
             ? qf_error_set(error, QF_ERR_IO, "the clip %s can't be opened", path)
             : unreadable(path, sf_error_number(fault), error);
  }

  QfStatus st = QF_OK;
  if (info->channels < 1 || info->channels > MAX_CHANNELS || info->samplerate < MIN_RATE ||
      info->samplerate > MAX_RATE || info->frames <= 0) {
    st = unreadable(path, "its properties are out of range", error);
  } else if (info->frames > (sf_count_t)LONGEST_S * info->samplerate) {
    st = qf_error_set(error, QF_ERR_RANGE, "the clip %s lasts more than three minutes", path);
  }

  if (st) {
    sf_close(*file);
    *file = NULL;
  }
  return st;
}

QfStatus
qf_sound_clip_length(const char* const path, double* const length_s, QfError* const error)
{
  SNDFILE*       file = NULL;
  SF_INFO        info = {0};
  const QfStatus st   = open_clip(path, &file, &info, error);
  if (!st) {
    *length_s = (double)info.frames / info.samplerate;
    sf_close(file);
  }
  return st;
}

/// Read a file's frames, one channel on both sides, of several the first two
static float*
read_stereo(SNDFILE* const file, const SF_INFO* const info, size_t* const n_frames)
{
  const size_t n_channels = (size_t)info->channels;
  const size_t n          = (size_t)info->frames;
  float* const raw        = (float*)calloc(n, n_channels * sizeof(float));
  float* const stereo     = (float*)calloc(n, 2U * sizeof(float));
  if (raw && stereo) {
    const sf_count_t n_read = sf_readf_float(file, raw, info->frames);
    const size_t     right  = n_channels > 1 ? 1U : 0U;
    *n_frames               = n_read > 0 ? (size_t)n_read : 0U;
    for (size_t i = 0; i < *n_frames; ++i) {
      const float sides[2] = {raw[n_channels * i], raw[n_channels * i + right]};
      for (size_t side = 0; side < 2; ++side) {
        stereo[2U * i + side] = isfinite(sides[side]) ? sides[side] : 0.0F;
      }
    }
    free(raw);
    return stereo;
  }

  free(raw);
  free(stereo);
  return NULL;
}

/// Take frames at one rate, give back as many as last as long at another
static float*
resample(float* const frames, size_t* const n_frames, const int from, const int to)
{
  if (from == to) {
    return frames;
  }

  const double ratio   = (double)to / from;
  const size_t n_space = (size_t)ceil((double)*n_frames * ratio) + 16U;
  float* const result  = (float*)calloc(n_space, 2U * sizeof(float));
  SRC_DATA     work    = {.data_in       = frames,
                          .data_out      = result,
                          .input_frames  = (long)*n_frames,
                          .output_frames = (long)n_space,
                          .src_ratio     = ratio};
  const int    fault   = result ? src_simple(&work, SRC_SINC_FASTEST, 2) : 1;
  free(frames);
  if (fault) {
    free(result);
    return NULL;
  }

  *n_frames = (size_t)work.output_frames_gen;
  return result;
}

static void
make_usual_loudness(QfClip* const clip, const int sample_rate)
{
  double               measured = -HUGE_VAL;
  ebur128_state* const meter    = ebur128_init(2, (unsigned long)sample_rate, EBUR128_MODE_I);
  ebur128_state*       owned    = meter;
  if (meter && !ebur128_add_frames_float(meter, clip->frames, clip->n_frames)) {
    ebur128_loudness_global(meter, &measured);
  }
  if (owned) {
    ebur128_destroy(&owned);
  }
  if (!isfinite(measured)) {
    return; // Silent, or too short to be measured
  }

  const float gain = (float)pow(10.0, fmin(loudness_lufs - measured, max_gain_db) / 20.0);
  for (size_t i = 0; i < 2U * clip->n_frames; ++i) {
    clip->frames[i] *= gain;
  }
}

static QfStatus
read_clip(const char* const path, const int sample_rate, QfClip* const clip, QfError* const error)
{
  SNDFILE*       file = NULL;
  SF_INFO        info = {0};
  const QfStatus st   = open_clip(path, &file, &info, error);
  if (st) {
    return st;
  }

  clip->frames = read_stereo(file, &info, &clip->n_frames);
  sf_close(file);
  if (clip->frames) {
    clip->frames = resample(clip->frames, &clip->n_frames, info.samplerate, sample_rate);
  }
  if (!clip->frames) {
    clip->n_frames = 0;
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading %s", path);
  }

  make_usual_loudness(clip, sample_rate);
  return QF_OK;
}

QfStatus
qf_clips_read(const QfEvents* const events,
              const int             sample_rate,
              const bool            goes_on,
              QfClips* const        result,
              QfError* const        error)
{
  *result = (QfClips){0};
  if (events->n_clips == 0) {
    return QF_OK;
  }

  QfClips clips = {(QfClip*)calloc(events->n_clips, sizeof(QfClip)), events->n_clips};
  if (!clips.clips) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading clips");
  }

  QfStatus first = QF_OK;
  for (size_t i = 0; i < clips.n_clips && (goes_on || !first); ++i) {
    const QfStatus st =
      read_clip(events->clips[i], sample_rate, &clips.clips[i], first ? NULL : error);
    first = first ? first : st;
  }

  if (first && !goes_on) {
    qf_clips_clear(&clips);
  }
  *result = clips;
  return first;
}

void
qf_clips_clear(QfClips* const clips)
{
  for (size_t i = 0; i < clips->n_clips; ++i) {
    free(clips->clips[i].frames);
  }
  free(clips->clips);
  *clips = (QfClips){0};
}
