// SPDX-License-Identifier: MIT
#include "plan_json.h"

const char* const plan_step_words[QF_STEP_N_KINDS] = {
  [QF_STEP_PRELUDE] = "prelude", [QF_STEP_COUNT_IN] = "count-in", [QF_STEP_PASS] = "pass",
  [QF_STEP_SILENCE] = "silence", [QF_STEP_SUNG_GAP] = "sung-gap", [QF_STEP_TITLE] = "title",
};

const char* const plan_prelude_words[QF_PRELUDE_N_KINDS] = {
  [QF_PRELUDE_CADENCE]        = "cadence",
  [QF_PRELUDE_ARPEGGIOS]      = "arpeggios",
  [QF_PRELUDE_ARPEGGIOS_DOM7] = "arpeggios-dominant-seventh",
  [QF_PRELUDE_SCALE]          = "scale",
  [QF_PRELUDE_DRONE]          = "drone",
  [QF_PRELUDE_OWN]            = "own",
};

const char* const plan_forward_words[PLAN_N_FORWARD_WORDS] =
  {[QF_FORWARD_ALL] = "all", [QF_FORWARD_VOICE] = "voices", [QF_FORWARD_QUALITY] = "quality"};

const char* const plan_unit_words[PLAN_N_UNITS] =
  {[QF_UNIT_BEATS] = "beats", [QF_UNIT_SECONDS] = "seconds"};
