// SPDX-License-Identifier: MIT
#include "limiter.h"
#include "ramp.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

// Source: -1 dBFS = 0.891251 of full scale, references.md "Check values".
static const float minus_1_dbfs = 0.891251F;

enum {
  RATE     = 48000,
  N_FRAMES = RATE / 2,
};

/// Sample of a signal at a frame
typedef float (*Signal)(size_t frame);

static float
noise(const size_t frame)
{
  // Numbers that look random: a multiplicative hash (Knuth, TAOCP 3, 6.4).
  const uint32_t hash = (uint32_t)(frame + 1U) * 2654435761U;
  return 20.0F * ((float)(hash >> 8U) / 8388608.0F - 1.0F);
}

static float
impulses(const size_t frame)
{
  return frame % 997 == 0 ? 30.0F : 0.01F;
}

static float
step(const size_t frame)
{
  return frame < 1000 ? 0.0F : 5.0F;
}

static float
fastest_wave(const size_t frame)
{
  return frame % 2 ? -3.0F : 3.0F;
}

static float
swelling_sine(const size_t frame)
{
  return (float)(sin((double)frame * 0.05) * (double)frame * 1e-3);
}

static void
test_nothing_passes_the_ceiling(void** state)
{
  (void)state;
  static const Signal signals[] = {noise, impulses, step, fastest_wave, swelling_sine};
  QfLimiter* const    limiter   = (QfLimiter*)malloc(sizeof(QfLimiter));
  assert_non_null(limiter);

  for (size_t i = 0; i < sizeof(signals) / sizeof(signals[0]); ++i) {
    float highest = 0.0F;
    qf_limiter_init(limiter, RATE, -1.0);
    for (size_t frame = 0; frame < N_FRAMES; ++frame) {
      float pair[2] = {signals[i](frame), -0.5F * signals[i](frame)};
      qf_limiter_process(limiter, pair, 1);
      highest = fmaxf(highest, fmaxf(fabsf(pair[0]), fabsf(pair[1])));
    }
    assert_true(highest <= minus_1_dbfs + 1e-6F);
    assert_true(highest > 0.5F); // It lowers, it doesn't mute
  }
  free(limiter);
}

static void
test_the_gain_moves_smoothly(void** state)
{
  (void)state;
  QfLimiter* const limiter = (QfLimiter*)malloc(sizeof(QfLimiter));
  assert_non_null(limiter);
  qf_limiter_init(limiter, RATE, -1.0);

  // A steady quiet side shows the gain that the other, loud side causes. Were the
  // peak only clipped, or the gain switched, it would jump by most of its height.
  float before = 0.1F;
  float least  = 0.1F;
  for (size_t frame = 0; frame < N_FRAMES; ++frame) {
    float pair[2] = {0.1F, frame >= 5000 && frame < 5010 ? 8.0F : 0.1F};
    qf_limiter_process(limiter, pair, 1);
    if (frame > 1000) {
      assert_true(fabsf(pair[0] - before) < 0.1F / 100.0F);
      least = fminf(least, pair[0]);
    }
    before = pair[0];
  }
  assert_true(least < 0.1F * 0.12F); // 8 has to become less than 0.9
  free(limiter);
}

static void
test_what_is_quiet_stays_as_it_is(void** state)
{
  (void)state;
  QfLimiter* const limiter = (QfLimiter*)malloc(sizeof(QfLimiter));
  assert_non_null(limiter);
  qf_limiter_init(limiter, RATE, -1.0);

  const size_t delay = qf_limiter_delay(limiter);
  for (size_t frame = 0; frame < N_FRAMES; ++frame) {
    float pair[2] = {noise(frame) / 25.0F, noise(frame + 7U) / 25.0F};
    qf_limiter_process(limiter, pair, 1);
    if (frame >= delay) {
      assert_true(fabsf(pair[0] - noise(frame - delay) / 25.0F) < 1e-6F);
      assert_true(fabsf(pair[1] - noise(frame - delay + 7U) / 25.0F) < 1e-6F);
    }
  }
  free(limiter);
}

static void
test_a_ramp_is_straight_and_ends_on_its_target(void** state)
{
  (void)state;
  QfRamp ramp = {0};
  qf_ramp_start(&ramp, 1.0F, 4);
  const float expected[] = {0.25F, 0.5F, 0.75F, 1.0F, 1.0F};
  for (size_t i = 0; i < 5; ++i) {
    assert_true(fabsf(qf_ramp_next(&ramp) - expected[i]) < 1e-6F);
  }

  qf_ramp_start(&ramp, 0.3F, 0);
  assert_true(qf_ramp_next(&ramp) == 0.3F);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_nothing_passes_the_ceiling),
    cmocka_unit_test(test_the_gain_moves_smoothly),
    cmocka_unit_test(test_what_is_quiet_stays_as_it_is),
    cmocka_unit_test(test_a_ramp_is_straight_and_ends_on_its_target),
  };
  return cmocka_run_group_tests_name("limiter", tests, NULL, NULL);
}
