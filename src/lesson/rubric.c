// SPDX-License-Identifier: MIT
#include "quintfall/rubric.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MAX_WORTH 100.0
#define MAX_OUT_OF 1000.0

typedef struct {
  const char* id;
  const char* name;
} AspectWords;

static const AspectWords aspect_words[QF_ASPECT_N_KINDS] = {
  [QF_ASPECT_PITCH]      = {"pitch", "pitch"},
  [QF_ASPECT_OCTAVE]     = {"octave", "octave"},
  [QF_ASPECT_SPELLING]   = {"spelling", "spelling"},
  [QF_ASPECT_ACCIDENTAL] = {"accidental", "accidental"},
  [QF_ASPECT_RHYTHM]     = {"rhythm", "rhythm"},
  [QF_ASPECT_QUALITY]    = {"quality", "quality"},
  [QF_ASPECT_SEVENTH]    = {"seventh", "seventh"},
  [QF_ASPECT_FUNCTION]   = {"function", "function"},
  [QF_ASPECT_INVERSION]  = {"inversion", "inversion"},
  [QF_ASPECT_TARGET]     = {"target", "applied target"},
};

#define NOTE_LOSSES                                                                                \
  {                                                                                                \
    [QF_ASPECT_PITCH] = 1.0, [QF_ASPECT_OCTAVE] = 0.25, [QF_ASPECT_SPELLING] = 0.25,               \
    [QF_ASPECT_ACCIDENTAL] = 0.5, [QF_ASPECT_RHYTHM] = 0.25,                                       \
  }

#define QUALITY_LOSSES                                                                             \
  {                                                                                                \
    [QF_ASPECT_QUALITY] = 1.0, [QF_ASPECT_SEVENTH] = 0.5, [QF_ASPECT_RHYTHM] = 0.25,               \
  }

#define NUMERAL_LOSSES                                                                             \
  {                                                                                                \
    [QF_ASPECT_FUNCTION] = 1.0, [QF_ASPECT_QUALITY] = 0.25, [QF_ASPECT_SEVENTH] = 0.25,            \
    [QF_ASPECT_INVERSION] = 0.25, [QF_ASPECT_TARGET] = 0.5, [QF_ASPECT_ACCIDENTAL] = 0.25,         \
    [QF_ASPECT_RHYTHM] = 0.25,                                                                     \
  }

// "Balanced" and "By ear, then by reason" are our own. "Outer voices and symbols, 24 points" is
// the published rubric of harmonic dictation: College Board, AP Music Theory scoring guidelines,
// 2016, 2019 and 2021 (16 outer-voice pitches and 8 chord symbols for eight chords).
static const QfRubric shipped[] = {
  {
    .name = "Balanced",
    .layers =
      {
        [QF_LAYER_BASS]    = {1.0, NOTE_LOSSES, 0.5},
        [QF_LAYER_SOPRANO] = {1.0, NOTE_LOSSES, 0.5},
        [QF_LAYER_QUALITY] = {1.0, QUALITY_LOSSES, 0.5},
        [QF_LAYER_NUMERAL] = {2.0, NUMERAL_LOSSES, 0.5},
        [QF_LAYER_INNER]   = {1.0, NOTE_LOSSES, 0.5},
      },
    .rounding          = QF_ROUNDING_NONE,
    .pass_percent      = 50.0,
    .n_grades          = 5,
    .grades            = {{90.0, "very good"},
                          {75.0, "good"},
                          {60.0, "fair"},
                          {50.0, "sufficient"},
                          {0.0, "to be practised"}},
    .six_four_is_equal = true,
    .key_is_free       = true,
    .follows_errors    = true,
  },
  {
    .name = "Outer voices and symbols, 24 points",
    .layers =
      {
        [QF_LAYER_BASS] =
          {1.0,
           {[QF_ASPECT_PITCH] = 1.0, [QF_ASPECT_SPELLING] = 1.0, [QF_ASPECT_ACCIDENTAL] = 1.0},
           0.0},
        [QF_LAYER_SOPRANO] = {1.0,
                              {[QF_ASPECT_PITCH]      = 1.0,
                               [QF_ASPECT_OCTAVE]     = 1.0,
                               [QF_ASPECT_SPELLING]   = 1.0,
                               [QF_ASPECT_ACCIDENTAL] = 1.0},
                              0.0},
        [QF_LAYER_NUMERAL] = {1.0,
                              {[QF_ASPECT_FUNCTION]   = 1.0,
                               [QF_ASPECT_ACCIDENTAL] = 1.0,
                               [QF_ASPECT_TARGET]     = 1.0,
                               [QF_ASPECT_SEVENTH]    = 0.5,
                               [QF_ASPECT_INVERSION]  = 0.5},
                              0.0},
      },
    .rounding          = QF_ROUNDING_SHORT_FULL,
    .pass_percent      = 50.0,
    .six_four_is_equal = true,
    .case_is_free      = true,
  },
  {
    .name = "By ear, then by reason",
    .layers =
      {
        [QF_LAYER_BASS]    = {2.0, NOTE_LOSSES, 0.25},
        [QF_LAYER_SOPRANO] = {2.0, NOTE_LOSSES, 0.25},
        [QF_LAYER_QUALITY] = {2.0, QUALITY_LOSSES, 0.25},
        [QF_LAYER_NUMERAL] = {1.0, NUMERAL_LOSSES, 0.25},
        [QF_LAYER_INNER]   = {0.5, NOTE_LOSSES, 0.25},
      },
    .rounding            = QF_ROUNDING_HALF_UP,
    .out_of              = 100.0,
    .pass_percent        = 50.0,
    .enharmonic_is_equal = true,
    .six_four_is_equal   = true,
    .degree_is_applied   = true,
    .key_is_free         = true,
    .follows_errors      = true,
  },
};

static const size_t n_shipped = sizeof(shipped) / sizeof(shipped[0]);

const char*
qf_aspect_name(const QfAspect aspect)
{
  return aspect_words[aspect].name;
}

const char*
qf_aspect_id(const QfAspect aspect)
{
  return aspect_words[aspect].id;
}

QfRubric
qf_rubric_default(void)
{
  return shipped[0];
}

size_t
qf_rubric_n_shipped(void)
{
  return n_shipped;
}

const QfRubric*
qf_rubric_get_shipped(const size_t index)
{
  return &shipped[index];
}

const QfRubric*
qf_rubric_find(const char* const name)
{
  for (size_t i = 0; i < n_shipped; ++i) {
    if (!strcmp(name, shipped[i].name)) {
      return &shipped[i];
    }
  }
  return NULL;
}

static bool
is_within(const double value, const double low, const double high)
{
  return value >= low && value <= high;
}

static QfStatus
check_layer(const QfLayerRubric* const rubric, const QfLayer layer, QfError* const error)
{
  if (!is_within(rubric->worth, 0.0, MAX_WORTH)) {
    return qf_error_set(error, QF_ERR_RANGE, "%s: a note or chord is worth 0 to 100 points",
                        qf_layer_id(layer));
  }
  bool is_share = is_within(rubric->extra, 0.0, 1.0);
  for (int i = 0; i < QF_ASPECT_N_KINDS; ++i) {
    is_share = is_share && is_within(rubric->losses[i], 0.0, 1.0);
  }
  return is_share
           ? QF_OK
           : qf_error_set(error, QF_ERR_RANGE, "%s: a fault costs a share of the worth, 0 to 1",
                          qf_layer_id(layer));
}

QfStatus
qf_rubric_check(const QfRubric* const rubric, QfError* const error)
{
  QfStatus st = QF_OK;
  for (int i = 0; !st && i < QF_LAYER_N_KINDS; ++i) {
    st = check_layer(&rubric->layers[i], (QfLayer)i, error);
  }
  if (st) {
    return st;
  }
  if (!is_within(rubric->out_of, 0.0, MAX_OUT_OF) || !is_within(rubric->pass_percent, 0.0, 100.0)) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "a result is out of 0 to 1000 points, and a pass mark 0 to 100 percent");
  }
  if ((unsigned)rubric->rounding >= QF_ROUNDING_N_KINDS ||
      rubric->n_grades > QF_RUBRIC_MAX_GRADES) {
    return qf_error_set(error, QF_ERR_RANGE, "a rubric has at most %d grades",
                        QF_RUBRIC_MAX_GRADES);
  }
  for (size_t i = 0; i < rubric->n_grades; ++i) {
    const double above = i ? rubric->grades[i - 1U].least : 100.0;
    const double least = rubric->grades[i].least;
    if (!is_within(least, 0.0, above) || (i && least >= above)) {
      return qf_error_set(error, QF_ERR_RANGE,
                          "grades go from the best down, each from a lower percentage on");
    }
  }
  return QF_OK;
}

const char*
qf_rubric_grade_of(const QfRubric* const rubric, const double percent)
{
  for (size_t i = 0; i < rubric->n_grades; ++i) {
    if (percent >= rubric->grades[i].least) {
      return rubric->grades[i].text;
    }
  }
  return "";
}

double
qf_rubric_round(const QfRubric* const rubric, const double points, const double possible)
{
  if (rubric->rounding == QF_ROUNDING_NONE) {
    return points;
  }
  // Sums of shares such as 0.1 may lie a hair below the half they stand for.
  const double rounded = floor(points + 0.5 + 1e-9);
  return rubric->rounding == QF_ROUNDING_SHORT_FULL && points < possible - 1e-9 &&
             rounded >= possible
           ? ceil(possible) - 1.0
           : rounded;
}
