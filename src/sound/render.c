// SPDX-License-Identifier: MIT
#include "render.h"

#include "engine.h"
#include "performer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  BLOCKS_A_REPORT = 256, ///< A third of a second of sound
  LONGEST_S       = 6 * 3600,
};

// Lets the last fade come to its end.
static const double margin_s = 0.03;

size_t
qf_render_n_frames(const QfEvents* const events, const int sample_rate)
{
  return (size_t)ceil((events->length_s + margin_s) * sample_rate);
}

static QfStatus
check_length(const QfEvents* const events, QfError* const error)
{
  return events->length_s >= 0.0 && events->length_s <= LONGEST_S
           ? QF_OK
           : qf_error_set(error, QF_ERR_RANGE, "the recording would last more than six hours");
}

static QfStatus
report(const QfProgress progress, const double done, QfError* const error)
{
  return !progress.func || progress.func(done, progress.data)
           ? QF_OK
           : qf_error_set(error, QF_ERR_CANCELLED, "rendering was cancelled");
}

/// Send what of a block lies after the limiter's delay and before the end
static QfStatus
send_block(const float* const block,
           const size_t       first,
           const size_t       n_skipped,
           const size_t       n_frames,
           const QfSinkFunc   sink,
           void* const        sink_data,
           QfError* const     error)
{
  const size_t begin = first < n_skipped ? n_skipped - first : 0U;
  const size_t left  = n_skipped + n_frames - first;
  const size_t end   = left < QF_ENGINE_BLOCK ? left : QF_ENGINE_BLOCK;

  return begin < end ? sink(block + 2U * begin, end - begin, sink_data, error) : QF_OK;
}

static QfStatus
perform(QfPerformer* const performer,
        const size_t       n_frames,
        const QfProgress   progress,
        const QfSinkFunc   sink,
        void* const        sink_data,
        QfError* const     error)
{
  const size_t n_skipped = qf_limiter_delay(&performer->limiter);
  const size_t n_total   = n_frames + n_skipped;
  float        block[2U * QF_ENGINE_BLOCK];
  QfStatus     st = QF_OK;

  for (size_t i = 0; !st && i * QF_ENGINE_BLOCK < n_total; ++i) {
    const size_t first = i * QF_ENGINE_BLOCK;
    if (i % BLOCKS_A_REPORT == 0) {
      st = report(progress, (double)first / (double)n_total, error);
    }
    if (!st) {
      qf_performer_step(performer, block);
      st = send_block(block, first, n_skipped, n_frames, sink, sink_data, error);
    }
  }

  return st ? st : report(progress, 1.0, error);
}

QfStatus
qf_render(const QfEvents* const events,
          const QfSoundSettings settings,
          const int             sample_rate,
          const QfProgress      progress,
          const QfSinkFunc      sink,
          void* const           sink_data,
          QfError* const        error)
{
  const QfStatus fault = check_length(events, error);
  if (fault) {
    return fault;
  }

  QfEngine*      engine = NULL;
  const QfStatus st     = qf_engine_new(settings.soundfont, sample_rate, &engine, error);
  if (st) {
    return st;
  }

  QfPerformer* const performer = (QfPerformer*)malloc(sizeof(QfPerformer));
  if (!performer) {
    qf_engine_free(engine);
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while rendering");
  }

  qf_performer_init(performer, engine, sample_rate, settings.level_db);
  qf_performer_load(performer, events);
  qf_performer_play(performer);
  const QfStatus done =
    perform(performer, qf_render_n_frames(events, sample_rate), progress, sink, sink_data, error);

  free(performer);
  qf_engine_free(engine);
  return done;
}

/// Samples in memory
typedef struct {
  float* samples; ///< Owned
  size_t n_frames;
} Memory;

static QfStatus
remember(const float* const frames, const size_t n_frames, void* const data, QfError* const error)
{
  (void)error;
  Memory* const memory = (Memory*)data;
  memcpy(memory->samples + 2U * memory->n_frames, frames, 2U * n_frames * sizeof(float));
  memory->n_frames += n_frames;
  return QF_OK;
}

QfStatus
qf_sound_render(const QfEvents* const events,
                const QfSoundSettings settings,
                const int             sample_rate,
                const QfProgressFunc  progress,
                void* const           data,
                float** const         samples,
                size_t* const         n_frames,
                QfError* const        error)
{
  const QfStatus fault = check_length(events, error);
  if (fault) {
    return fault;
  }

  const size_t n_wanted = qf_render_n_frames(events, sample_rate);
  Memory       memory   = {(float*)calloc(n_wanted, 2U * sizeof(float)), 0};
  if (!memory.samples) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory for %zu samples", n_wanted);
  }

  const QfProgress told = {progress, data};
  const QfStatus   st   = qf_render(events, settings, sample_rate, told, remember, &memory, error);
  if (st) {
    free(memory.samples);
    return st;
  }

  *samples  = memory.samples;
  *n_frames = memory.n_frames;
  return QF_OK;
}
