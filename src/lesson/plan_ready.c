// SPDX-License-Identifier: MIT
#include "quintfall/plan.h"

enum {
  MAX_ROWS = 24,
  BASS     = QF_VOICE_LOWEST,
  SOPRANO  = 0,
};

/// One step of a ready plan, short: what it leaves out is as the step's kind has it
typedef struct {
  QfStepKind    kind;
  const char*   title;   ///< Of a title
  QfPreludeKind prelude; ///< Of a prelude
  QfForwardKind forward; ///< Of a pass
  uint8_t       voice;   ///< Brought forward, or sung
  int           repeats; ///< Of a pass; 0 for once
  double        tempo;   ///< Factor of a pass; 0 for the written one
  double        seconds; ///< Of a silence, and between the repeats of a pass
} Row;

typedef struct {
  const char* name;
  const char* purpose;
  Row         rows[MAX_ROWS]; ///< As many as have a kind or are told apart by `n_rows`
  size_t      n_rows;
} ReadyPlan;

#define KEY(kind_)                                                                                 \
  {                                                                                                \
    .kind = QF_STEP_PRELUDE, .prelude = (kind_)                                                    \
  }
#define COUNT                                                                                      \
  {                                                                                                \
    .kind = QF_STEP_COUNT_IN                                                                       \
  }
#define TITLE(text_)                                                                               \
  {                                                                                                \
    .kind = QF_STEP_TITLE, .title = (text_)                                                        \
  }
#define WAIT(seconds_)                                                                             \
  {                                                                                                \
    .kind = QF_STEP_SILENCE, .seconds = (seconds_)                                                 \
  }
#define SING(voice_)                                                                               \
  {                                                                                                \
    .kind = QF_STEP_SUNG_GAP, .voice = (voice_)                                                    \
  }
#define WHOLE                                                                                      \
  {                                                                                                \
    .kind = QF_STEP_PASS, .forward = QF_FORWARD_ALL                                                \
  }
#define VOICE(voice_, times_, pause_)                                                              \
  {                                                                                                \
    .kind = QF_STEP_PASS, .forward = QF_FORWARD_VOICE, .voice = (voice_), .repeats = (times_),     \
    .seconds = (pause_)                                                                            \
  }
#define QUALITY(times_, pause_, tempo_)                                                            \
  {                                                                                                \
    .kind = QF_STEP_PASS, .forward = QF_FORWARD_QUALITY, .repeats = (times_), .seconds = (pause_), \
    .tempo = (tempo_)                                                                              \
  }

// Hearings and silences as classes commonly have them: the outer voices first, then the chords,
// half a minute to write. Common practice.
static const ReadyPlan ready_plans[] = {
  {.name    = "Plain dictation",
   .purpose = "The key, then the whole passage four times with half a minute to write after each.",
   .rows   = {KEY(QF_PRELUDE_CADENCE), COUNT, WHOLE, WAIT(30), COUNT, WHOLE, WAIT(30), COUNT, WHOLE,
              WAIT(30), COUNT, WHOLE, WAIT(15)},
   .n_rows = 13},
  {.name    = "Bass, soprano, quality",
   .purpose = "The bass forward twice, the soprano forward twice, then the chord qualities, and "
              "the whole at the end.",
   .rows    = {TITLE("The key"),
               KEY(QF_PRELUDE_ARPEGGIOS_DOM7),
               TITLE("Whole"),
               COUNT,
               WHOLE,
               WAIT(10),
               TITLE("Bass"),
               COUNT,
               VOICE(BASS, 2, 25),
               WAIT(25),
               TITLE("Soprano"),
               COUNT,
               VOICE(SOPRANO, 2, 25),
               WAIT(25),
               TITLE("Chord quality"),
               KEY(QF_PRELUDE_CADENCE),
               QUALITY(2, 25, 0.75),
               WAIT(25),
               TITLE("Whole again"),
               COUNT,
               WHOLE,
               WAIT(15)},
   .n_rows  = 22},
  {.name    = "Layer by layer, with singing",
   .purpose = "Each voice is heard forward, sung back and written: bass, soprano, then the inner "
              "voices.",
   .rows    = {KEY(QF_PRELUDE_SCALE),
               COUNT,
               WHOLE,
               WAIT(5),
               TITLE("Bass"),
               COUNT,
               VOICE(BASS, 1, 0),
               SING(BASS),
               WAIT(20),
               TITLE("Soprano"),
               COUNT,
               VOICE(SOPRANO, 1, 0),
               SING(SOPRANO),
               WAIT(20),
               TITLE("Alto"),
               COUNT,
               VOICE(1, 1, 0),
               SING(1),
               WAIT(20),
               TITLE("Tenor"),
               COUNT,
               VOICE(2, 1, 0),
               SING(2),
               WAIT(20)},
   .n_rows  = 24},
  {.name    = "Quick check",
   .purpose = "The key, the whole once, the chord qualities once, and the whole again.",
   .rows    = {KEY(QF_PRELUDE_CADENCE), WHOLE, WAIT(10), QUALITY(1, 0, 1.0), WAIT(10), WHOLE,
               WAIT(10)},
   .n_rows  = 7},
};

static const size_t n_ready_plans = sizeof(ready_plans) / sizeof(ready_plans[0]);

static QfPlanStep
step_of(const Row* const row)
{
  QfPlanStep step = qf_plan_step_default(row->kind);
  switch (row->kind) {
    case QF_STEP_PRELUDE:
      step.prelude.kind = row->prelude;
      break;
    case QF_STEP_PASS:
      step.pass.forward      = row->forward;
      step.pass.voices       = QF_VOICE_BIT(row->voice);
      step.pass.repeats      = row->repeats > 1 ? row->repeats : 1;
      step.pass.gap          = (QfLength){row->seconds, QF_UNIT_SECONDS};
      step.pass.tempo_factor = row->tempo > 0.0 ? row->tempo : 1.0;
      break;
    case QF_STEP_SILENCE:
      step.silence.length = (QfLength){row->seconds, QF_UNIT_SECONDS};
      break;
    case QF_STEP_SUNG_GAP:
      step.sung_gap.voice = row->voice;
      break;
    case QF_STEP_TITLE:
      for (size_t i = 0; row->title[i] && i + 1U < sizeof(step.title.text); ++i) {
        step.title.text[i] = row->title[i];
      }
      break;
    case QF_STEP_COUNT_IN:
    case QF_STEP_OTHER:
    case QF_STEP_N_KINDS:
      break;
  }
  return step;
}

size_t
qf_n_ready_plans(void)
{
  return n_ready_plans;
}

QfPlan*
qf_ready_plan_new(const size_t index)
{
  const ReadyPlan* const ready = &ready_plans[index];
  QfPlan* const          plan  = qf_plan_new(ready->name);
  for (size_t i = 0; plan && i < ready->n_rows; ++i) {
    if (qf_plan_insert_step(plan, SIZE_MAX, step_of(&ready->rows[i]))) {
      qf_plan_free(plan);
      return NULL;
    }
  }
  return plan;
}

const char*
qf_ready_plan_purpose(const size_t index)
{
  return ready_plans[index].purpose;
}
