// SPDX-License-Identifier: MIT
#include "quintfall/pitch_in.h"

#include "alsa_quiet.h"

#include <alsa/asoundlib.h>
#include <aubio/aubio.h>

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

enum {
  RATE       = 44100,
  HOP        = 512,  ///< Frames between two pitches
  WINDOW     = 2048, ///< Nearly four periods of the lowest note of a bass, E2
  QUEUE_SIZE = 1024, ///< Twelve seconds
  LATENCY_US = 60000,
  WAIT_MS    = 100,
};

// Softer than this isn't looked at.
static const double silence_db = -70.0;
static const double lowest_db  = -120.0;

struct QfPitchInImpl {
  snd_pcm_t*     microphone; ///< Owned, or NULL
  aubio_pitch_t* tracker;    ///< Owned
  fvec_t*        hop;        ///< Owned
  fvec_t*        pitch;      ///< Owned
  unsigned       n_in_hop;
  uint64_t       n_heard; ///< Samples
  QfPitchFrame   frames[QUEUE_SIZE];
  atomic_uint    n_pushed;
  atomic_uint    n_popped;
  atomic_bool    is_listening;
  atomic_bool    quits;
  pthread_t      thread;
};

/// If nobody looks the latest are lost
static void
push(QfPitchIn* const self, const QfPitchFrame frame)
{
  const unsigned n_pushed = atomic_load_explicit(&self->n_pushed, memory_order_relaxed);
  const unsigned n_popped = atomic_load_explicit(&self->n_popped, memory_order_acquire);
  if (n_pushed - n_popped < QUEUE_SIZE) {
    self->frames[n_pushed % QUEUE_SIZE] = frame;
    atomic_store_explicit(&self->n_pushed, n_pushed + 1U, memory_order_release);
  }
}

bool
qf_pitch_in_poll(QfPitchIn* const pitch_in, QfPitchFrame* const frame)
{
  const unsigned n_popped = atomic_load_explicit(&pitch_in->n_popped, memory_order_relaxed);
  const unsigned n_pushed = atomic_load_explicit(&pitch_in->n_pushed, memory_order_acquire);
  if (n_popped == n_pushed) {
    return false;
  }

  *frame = pitch_in->frames[n_popped % QUEUE_SIZE];
  atomic_store_explicit(&pitch_in->n_popped, n_popped + 1U, memory_order_release);
  return true;
}

static double
level_db(const fvec_t* const samples)
{
  double sum = 0.0;
  for (uint_t i = 0; i < samples->length; ++i) {
    sum += (double)samples->data[i] * (double)samples->data[i];
  }
  return fmax(10.0 * log10(fmax(sum / samples->length, 1e-18)), lowest_db);
}

/// Look at a hop that is full
static void
follow(QfPitchIn* const self)
{
  aubio_pitch_do(self->tracker, self->hop, self->pitch);

  const double hz         = (double)fvec_get_sample(self->pitch, 0);
  const double confidence = (double)aubio_pitch_get_confidence(self->tracker);
  self->n_heard += HOP;
  push(self, (QfPitchFrame){
               .at_s       = fmax((double)self->n_heard - WINDOW / 2.0, 0.0) / RATE,
               .hz         = isfinite(hz) && hz > 0.0 ? hz : 0.0,
               .confidence = isfinite(confidence) ? fmin(fmax(confidence, 0.0), 1.0) : 0.0,
               .level_db   = level_db(self->hop),
             });
}

static void
hear(QfPitchIn* const self, const float sample)
{
  fvec_set_sample(self->hop, isfinite(sample) ? sample : 0.0F, self->n_in_hop++);
  if (self->n_in_hop == HOP) {
    self->n_in_hop = 0;
    follow(self);
  }
}

void
qf_pitch_in_feed(QfPitchIn* const pitch_in, const float* const samples, const size_t n_samples)
{
  for (size_t i = 0; !pitch_in->microphone && i < n_samples; ++i) {
    hear(pitch_in, samples[i]);
  }
}

/// Read what there is; false once the microphone is lost
static bool
read_some(QfPitchIn* const self)
{
  int16_t samples[HOP];
  if (snd_pcm_wait(self->microphone, WAIT_MS) == 0) {
    return true;
  }

  const snd_pcm_sframes_t n = snd_pcm_readi(self->microphone, samples, HOP);
  if (n < 0) {
    return n == -EAGAIN || !snd_pcm_recover(self->microphone, (int)n, 1);
  }
  for (snd_pcm_sframes_t i = 0; i < n; ++i) {
    hear(self, (float)samples[i] / 32768.0F);
  }
  memset(samples, 0, sizeof(samples));
  return true;
}

static void*
listen_on(void* const data)
{
  QfPitchIn* const self = (QfPitchIn*)data;
  while (!atomic_load(&self->quits) && read_some(self)) {
  }
  atomic_store(&self->is_listening, false);
  return NULL;
}

static QfStatus
open_microphone(QfPitchIn* const self, const char* const device, QfError* const error)
{
  qf_alsa_be_quiet();
  int st = snd_pcm_open(&self->microphone, device ? device : "default", SND_PCM_STREAM_CAPTURE, 0);
  if (st < 0) {
    self->microphone = NULL;
    return qf_error_set(error, QF_ERR_MISSING,
                        "no microphone could be opened (%s); plug one in, or allow its use",
                        snd_strerror(st));
  }

  st = snd_pcm_set_params(self->microphone, SND_PCM_FORMAT_S16, SND_PCM_ACCESS_RW_INTERLEAVED, 1,
                          RATE, 1, LATENCY_US);
  st = st < 0 ? st : snd_pcm_start(self->microphone);
  return st < 0
           ? qf_error_set(error, QF_ERR_MISSING,
                          "the microphone gives no sound (%s); choose another", snd_strerror(st))
           : QF_OK;
}

static void
say_nothing(const sint_t level, const char_t* const message, void* const data)
{
  (void)level;
  (void)message;
  (void)data;
}

static QfStatus
open_tracker(QfPitchIn* const self, QfError* const error)
{
  aubio_log_set_function(say_nothing, NULL);

  // Of aubio's methods the one within a cent of tones from E2 up; yinfft, its
  // default, was 52 cents off there, and tells no confidence.
  self->tracker = new_aubio_pitch("yinfast", WINDOW, HOP, RATE);
  self->hop     = new_fvec(HOP);
  self->pitch   = new_fvec(1);
  if (!self->tracker || !self->hop || !self->pitch) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while listening");
  }

  aubio_pitch_set_unit(self->tracker, "Hz");
  aubio_pitch_set_silence(self->tracker, (smpl_t)silence_db);
  return QF_OK;
}

static void
close_all(QfPitchIn* const self)
{
  if (self->microphone) {
    snd_pcm_close(self->microphone);
  }
  if (self->tracker) {
    del_aubio_pitch(self->tracker);
  }
  if (self->hop) {
    del_fvec(self->hop);
  }
  if (self->pitch) {
    del_fvec(self->pitch);
  }
  free(self);
}

QfStatus
qf_pitch_in_new(const char* const device, QfPitchIn** const result, QfError* const error)
{
  QfPitchIn* const self = (QfPitchIn*)calloc(1, sizeof(QfPitchIn));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while listening");
  }

  const bool is_fed = device && !strcmp(device, "null");
  QfStatus   st     = open_tracker(self, error);
  st                = st || is_fed ? st : open_microphone(self, device, error);
  atomic_store(&self->is_listening, true);
  if (!st && !is_fed && pthread_create(&self->thread, NULL, listen_on, self)) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "the system gave no thread for the microphone");
  }
  if (st) {
    close_all(self);
    return st;
  }

  *result = self;
  return QF_OK;
}

void
qf_pitch_in_free(QfPitchIn* const pitch_in)
{
  if (!pitch_in) {
    return;
  }

  if (pitch_in->microphone) {
    atomic_store(&pitch_in->quits, true);
    pthread_join(pitch_in->thread, NULL);
  }
  close_all(pitch_in);
}

bool
qf_pitch_in_is_listening(const QfPitchIn* const pitch_in)
{
  return atomic_load(&pitch_in->is_listening);
}

int
qf_pitch_in_get_rate(const QfPitchIn* const pitch_in)
{
  (void)pitch_in;
  return RATE;
}
