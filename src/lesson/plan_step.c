// SPDX-License-Identifier: MIT
#include "quintfall/plan.h"

#include "plan_text.h"

#include "quintfall/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_REPEATS  = 20,
  MAX_BARS     = 8,
  MAX_PROGRAM  = 127,
  MAX_NUMBERED = 24, ///< Voices with a number of their own
};

static const char* const kind_names[QF_STEP_N_KINDS] = {
  [QF_STEP_PRELUDE] = "Key prelude", [QF_STEP_COUNT_IN] = "Count-in", [QF_STEP_PASS] = "Pass",
  [QF_STEP_SILENCE] = "Silence",     [QF_STEP_SUNG_GAP] = "Sung gap", [QF_STEP_TITLE] = "Title",
  [QF_STEP_OTHER] = "Unknown step",
};

static const char* const prelude_names[QF_PRELUDE_N_KINDS] = {
  [QF_PRELUDE_CADENCE]        = "cadence",
  [QF_PRELUDE_ARPEGGIOS]      = "arpeggios",
  [QF_PRELUDE_ARPEGGIOS_DOM7] = "arpeggios, dominant seventh",
  [QF_PRELUDE_SCALE]          = "scale",
  [QF_PRELUDE_DRONE]          = "drone",
  [QF_PRELUDE_OWN]            = "own pattern",
};

void
plan_text_copy(char* const target, const size_t size, const char* const source)
{
  size_t length = strnlen(source, size);
  if (length == size) {
    for (--length; length > 0 && ((unsigned char)source[length] & 0xC0U) == 0x80U; --length) {
    }
  }
  memmove(target, source, length);
  memset(target + length, 0, size - length);
}

QfPlanStep
qf_plan_step_default(const QfStepKind kind)
{
  const QfHearing hearing = qf_hearing_default();
  QfPlanStep      step    = {.kind = kind};
  switch (kind) {
    case QF_STEP_PRELUDE:
      step.prelude = (QfPreludeStep){.kind = QF_PRELUDE_CADENCE, .program = QF_PROGRAM_SAME};
      break;
    case QF_STEP_COUNT_IN:
      step.count_in = (QfCountInStep){1};
      break;
    case QF_STEP_PASS:
      step.pass = (QfPassStep){.forward         = QF_FORWARD_ALL,
                               .voices          = QF_VOICE_BIT(QF_VOICE_LOWEST),
                               .tempo_factor    = hearing.tempo_factor,
                               .from            = QF_TIME_ZERO,
                               .to              = QF_TIME_ZERO,
                               .repeats         = hearing.repeats,
                               .gap             = {hearing.gap_beats, QF_UNIT_BEATS},
                               .forward_gain_db = hearing.forward_gain_db,
                               .softening_db    = hearing.softening_db,
                               .lead_ms         = hearing.lead_ms,
                               .program         = QF_PROGRAM_SAME,
                               .forward_program = QF_PROGRAM_SAME};
      break;
    case QF_STEP_SILENCE:
      step.silence = (QfSilenceStep){{20.0, QF_UNIT_SECONDS}};
      break;
    case QF_STEP_SUNG_GAP:
      step.sung_gap = (QfSungGapStep){.voice        = QF_VOICE_LOWEST,
                                      .length       = {0.0, QF_UNIT_BEATS},
                                      .tempo_factor = 1.0,
                                      .from         = QF_TIME_ZERO,
                                      .to           = QF_TIME_ZERO};
      break;
    case QF_STEP_TITLE:
    case QF_STEP_OTHER:
    case QF_STEP_N_KINDS:
      break;
  }
  return step;
}

/// A number that is none becomes the lowest
static double
clamp(const double value, const double low, const double high)
{
  return isnan(value) || value < low ? low : value > high ? high : value;
}

static int
clamp_int(const int value, const int low, const int high)
{
  return value < low ? low : value > high ? high : value;
}

static QfLength
clamp_length(const QfLength length)
{
  return (QfLength){clamp(length.amount, 0.0, 600.0),
                    length.unit == QF_UNIT_SECONDS ? QF_UNIT_SECONDS : QF_UNIT_BEATS};
}

static QfTime
clamp_time(const QfTime time)
{
  return time.den <= 0 || time.num < 0 ? QF_TIME_ZERO : time;
}

static QfPreludeStep
clamp_prelude(const QfPreludeStep prelude)
{
  QfPreludeStep result = prelude;
  result.kind          = prelude.kind < QF_PRELUDE_N_KINDS ? prelude.kind : QF_PRELUDE_CADENCE;
  result.program       = clamp_int(prelude.program, QF_PROGRAM_SAME, MAX_PROGRAM);
  result.beats_per_minute =
    prelude.beats_per_minute > 0.0 ? clamp(prelude.beats_per_minute, 20.0, 300.0) : 0.0;
  plan_text_copy(result.pattern, sizeof(result.pattern), prelude.pattern);
  return result;
}

static QfPassStep
clamp_pass(const QfPassStep pass)
{
  const uint32_t known  = (QF_VOICE_BIT(MAX_NUMBERED) - 1U) | QF_VOICE_BIT(QF_VOICE_LOWEST);
  QfPassStep     result = pass;
  if (pass.forward != QF_FORWARD_VOICE && pass.forward != QF_FORWARD_QUALITY) {
    result.forward = QF_FORWARD_ALL;
  }
  result.voices          = pass.voices & known;
  result.tempo_factor    = clamp(pass.tempo_factor, 0.25, 2.0);
  result.from            = clamp_time(pass.from);
  result.to              = clamp_time(pass.to);
  result.repeats         = clamp_int(pass.repeats, 1, MAX_REPEATS);
  result.gap             = clamp_length(pass.gap);
  result.forward_gain_db = clamp(pass.forward_gain_db, 0.0, 9.0);
  result.softening_db    = clamp(pass.softening_db, 0.0, 30.0);
  result.lead_ms         = clamp(pass.lead_ms, 0.0, 80.0);
  result.program         = clamp_int(pass.program, QF_PROGRAM_SAME, MAX_PROGRAM);
  result.forward_program = clamp_int(pass.forward_program, QF_PROGRAM_SAME, MAX_PROGRAM);
  return result;
}

static QfSungGapStep
clamp_sung_gap(const QfSungGapStep gap)
{
  return (QfSungGapStep){.voice        = gap.voice < MAX_NUMBERED ? gap.voice : QF_VOICE_LOWEST,
                         .length       = clamp_length(gap.length),
                         .tempo_factor = clamp(gap.tempo_factor, 0.25, 2.0),
                         .from         = clamp_time(gap.from),
                         .to           = clamp_time(gap.to)};
}

static QfTitleStep
clamp_title(const QfTitleStep title)
{
  QfTitleStep result;
  plan_text_copy(result.text, sizeof(result.text), title.text);
  plan_text_copy(result.audio, sizeof(result.audio), title.audio);
  return result;
}

QfPlanStep
qf_plan_step_clamp(const QfPlanStep step)
{
  QfPlanStep result = {.kind = step.kind < QF_STEP_N_KINDS ? step.kind : QF_STEP_PASS};
  if (result.kind != step.kind) {
    return qf_plan_step_default(result.kind);
  }
  switch (step.kind) {
    case QF_STEP_PRELUDE:
      result.prelude = clamp_prelude(step.prelude);
      break;
    case QF_STEP_COUNT_IN:
      result.count_in.bars = clamp_int(step.count_in.bars, 1, MAX_BARS);
      break;
    case QF_STEP_PASS:
      result.pass = clamp_pass(step.pass);
      break;
    case QF_STEP_SILENCE:
      result.silence.length = clamp_length(step.silence.length);
      break;
    case QF_STEP_SUNG_GAP:
      result.sung_gap = clamp_sung_gap(step.sung_gap);
      break;
    case QF_STEP_TITLE:
      result.title = clamp_title(step.title);
      break;
    case QF_STEP_OTHER:
      plan_text_copy(result.other.word, sizeof(result.other.word), step.other.word);
      break;
    case QF_STEP_N_KINDS:
      break;
  }
  return result;
}

static bool
same_length(const QfLength a, const QfLength b)
{
  return a.amount == b.amount && a.unit == b.unit;
}

static bool
same_time(const QfTime a, const QfTime b)
{
  return !qf_time_compare(a, b);
}

static bool
same_pass(const QfPassStep* const a, const QfPassStep* const b)
{
  return a->forward == b->forward && a->voices == b->voices && a->is_spread == b->is_spread &&
         a->tempo_factor == b->tempo_factor && same_time(a->from, b->from) &&
         same_time(a->to, b->to) && a->repeats == b->repeats && same_length(a->gap, b->gap) &&
         a->forward_gain_db == b->forward_gain_db && a->softening_db == b->softening_db &&
         a->lead_ms == b->lead_ms && a->program == b->program &&
         a->forward_program == b->forward_program;
}

bool
qf_plan_step_equals(const QfPlanStep* const a, const QfPlanStep* const b)
{
  if (a->kind != b->kind) {
    return false;
  }
  switch (a->kind) {
    case QF_STEP_PRELUDE:
      return a->prelude.kind == b->prelude.kind &&
             a->prelude.beats_per_minute == b->prelude.beats_per_minute &&
             a->prelude.program == b->prelude.program &&
             !strcmp(a->prelude.pattern, b->prelude.pattern);
    case QF_STEP_COUNT_IN:
      return a->count_in.bars == b->count_in.bars;
    case QF_STEP_PASS:
      return same_pass(&a->pass, &b->pass);
    case QF_STEP_SILENCE:
      return same_length(a->silence.length, b->silence.length);
    case QF_STEP_SUNG_GAP:
      return a->sung_gap.voice == b->sung_gap.voice &&
             same_length(a->sung_gap.length, b->sung_gap.length) &&
             a->sung_gap.tempo_factor == b->sung_gap.tempo_factor &&
             same_time(a->sung_gap.from, b->sung_gap.from) &&
             same_time(a->sung_gap.to, b->sung_gap.to);
    case QF_STEP_TITLE:
      return !strcmp(a->title.text, b->title.text) && !strcmp(a->title.audio, b->title.audio);
    case QF_STEP_OTHER:
      return !strcmp(a->other.word, b->other.word);
    case QF_STEP_N_KINDS:
      break;
  }
  return true;
}

const char*
qf_step_kind_name(const QfStepKind kind)
{
  return kind < QF_STEP_N_KINDS ? kind_names[kind] : "";
}

const char*
qf_prelude_kind_name(const QfPreludeKind kind)
{
  return kind < QF_PRELUDE_N_KINDS ? prelude_names[kind] : "";
}

//
// In words
//

static void
add_length(QfText* const text, const QfLength length)
{
  qf_text_addf(text, length.unit == QF_UNIT_SECONDS ? "%g s" : "%g beats", length.amount);
}

static void
describe_pass(const QfPassStep* const pass, QfText* const text)
{
  if (pass->forward == QF_FORWARD_QUALITY) {
    qf_text_add(text, pass->is_spread ? "Chord quality, blocks then spread upwards"
                                      : "Chord quality, in blocks");
  } else if (pass->forward == QF_FORWARD_VOICE) {
    char voices[QF_VOICES_TEXT_SIZE];
    qf_voices_write(pass->voices, voices, sizeof(voices));
    voices[0] = (char)(voices[0] >= 'a' && voices[0] <= 'z' ? voices[0] - 'a' + 'A' : voices[0]);
    qf_text_addf(text, "%s forward", voices);
  } else {
    qf_text_add(text, "Whole and balanced");
  }
  if (pass->repeats > 1) {
    qf_text_addf(text, ", %d times", pass->repeats);
  }
  if (pass->tempo_factor != 1.0) {
    qf_text_addf(text, ", %.0f %% tempo", 100.0 * pass->tempo_factor);
  }
  if (pass->from.num > 0 || pass->to.num > 0) {
    qf_text_add(text, ", in part");
  }
}

static void
describe_sung_gap(const QfSungGapStep* const gap, QfText* const text)
{
  char voice[QF_VOICES_TEXT_SIZE];
  qf_voices_write(QF_VOICE_BIT(gap->voice), voice, sizeof(voice));
  qf_text_addf(text, "Sing the %s, ", voice);
  if (gap->length.amount > 0.0) {
    add_length(text, gap->length);
  } else {
    qf_text_add(text, "as long as it is");
  }
}

void
qf_plan_step_describe(const QfPlanStep* const step, char* const buffer, const size_t size)
{
  QfText text = {0};
  switch (step->kind) {
    case QF_STEP_PRELUDE:
      qf_text_addf(&text, "Key prelude: %s", qf_prelude_kind_name(step->prelude.kind));
      break;
    case QF_STEP_COUNT_IN:
      qf_text_addf(&text, step->count_in.bars == 1 ? "Count-in, %d bar" : "Count-in, %d bars",
                   step->count_in.bars);
      break;
    case QF_STEP_PASS:
      describe_pass(&step->pass, &text);
      break;
    case QF_STEP_SILENCE:
      qf_text_add(&text, "Silence, ");
      add_length(&text, step->silence.length);
      break;
    case QF_STEP_SUNG_GAP:
      describe_sung_gap(&step->sung_gap, &text);
      break;
    case QF_STEP_TITLE:
      qf_text_addf(&text, step->title.audio[0] ? "Title, spoken: %s" : "Title: %s",
                   step->title.text);
      break;
    case QF_STEP_OTHER:
      qf_text_addf(&text, "Unknown step \"%s\", left out", step->other.word);
      break;
    case QF_STEP_N_KINDS:
      break;
  }
  plan_text_copy(buffer, size, text.data ? text.data : "");
  qf_text_free(&text);
}
