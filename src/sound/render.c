// SPDX-License-Identifier: MIT
#include "render.h"

#include "engine.h"
#include "performer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  FRAMES_A_REPORT = 16384, ///< A third of a second of sound
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

/// Send what of a run of frames lies after the limiter's delay and before the end
static QfStatus
send_run(const float* const frames,
         const size_t       first,
         const size_t       n_run,
         const size_t       n_skipped,
         const size_t       n_frames,
         const QfSinkFunc   sink,
         void* const        sink_data,
         QfError* const     error)
{
  const size_t begin = first < n_skipped ? n_skipped - first : 0U;
  const size_t left  = n_skipped + n_frames - first;
  const size_t end   = left < n_run ? left : n_run;

  return begin < end ? sink(frames + 2U * begin, end - begin, sink_data, error) : QF_OK;
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
  float        frames[2U * QF_ENGINE_MAX_RUN];
  size_t       n_told = 0;
  QfStatus     st     = report(progress, 0.0, error);

  for (size_t first = 0; !st && first < n_total;) {
    const size_t n_run = qf_performer_step(performer, frames, QF_ENGINE_MAX_RUN);

    st = send_run(frames, first, n_run, n_skipped, n_frames, sink, sink_data, error);
    first += n_run;
    if (!st && first >= n_told + FRAMES_A_REPORT && first < n_total) {
      st     = report(progress, (double)first / (double)n_total, error);
      n_told = first;
    }
  }

  return st ? st : report(progress, 1.0, error);
}

/// Know how all instruments are out of tune before the first note
static QfStatus
tune_instruments(QfEngine* const engine, const QfEvents* const events, QfError* const error)
{
  QfPrograms programs = {false};
  qf_intonation_find_programs(events, programs);
  return qf_intonation_measure(qf_engine_get_intonation(engine), programs, error);
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

  QfClips  clips = {0};
  QfStatus st    = qf_clips_read(events, sample_rate, false, &clips, error);
  if (st) {
    return st;
  }

  QfPerformer* const performer = (QfPerformer*)malloc(sizeof(QfPerformer));
  QfEngine*          engine    = NULL;
  st = performer ? qf_engine_new(settings.soundfont, settings.tuning, sample_rate, &engine, error)
                 : qf_error_set(error, QF_ERR_NO_MEM, "out of memory while rendering");
  st = st ? st : tune_instruments(engine, events, error);
  if (!st) {
    qf_performer_init(performer, engine, sample_rate, settings.level_db);
    qf_performer_load(performer, events, &clips);
    qf_performer_play(performer);
    st =
      perform(performer, qf_render_n_frames(events, sample_rate), progress, sink, sink_data, error);
  }

  qf_engine_free(engine);
  free(performer);
  qf_clips_clear(&clips);
  return st;
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
