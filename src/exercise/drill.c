// SPDX-License-Identifier: MIT
#include "quintfall/drill.h"

#include "drill_maker.h"

#include <string.h>

/// A kind of drill
typedef struct {
  const char* id;
  const char* name;
  QfStatus (*make)(DrillMaker* maker);
} DrillLine;

static const DrillLine lines[QF_DRILL_N_KINDS] = {
  [QF_DRILL_QUALITY]    = {"quality", "Name the quality", make_quality_drill},
  [QF_DRILL_FUNCTION]   = {"function", "Name the function", make_function_drill},
  [QF_DRILL_TARGET]     = {"target", "Find the applied target", make_target_drill},
  [QF_DRILL_CIRCLE]     = {"circle", "What broke the circle", make_circle_drill},
  [QF_DRILL_RESOLUTION] = {"resolution", "Sing the resolution", make_resolution_drill},
  [QF_DRILL_INVERSION]  = {"inversion", "Name the inversion", make_inversion_drill},
};

enum {
  MAX_DRAWS     = 200,
  TRIES_A_LEVEL = 150, ///< Drills looked at for one on a concept
  LEVELS_A_KIND = 16,  ///< Room for levels in the number that tells drills of one seed apart
  SEMITONES     = 12,
};

QfStatus
qf_drill_make(const QfDrillKind  kind,
              const int          level,
              const uint64_t     seed,
              const QfNamingKind naming,
              QfDrill* const     result,
              QfError* const     error)
{
  if ((unsigned)kind >= QF_DRILL_N_KINDS) {
    return qf_error_set(error, QF_ERR_RANGE, "there is no such drill");
  }

  const int      at     = level < 1 ? 1 : level > QF_DRILL_N_LEVELS ? QF_DRILL_N_LEVELS : level;
  const uint64_t number = (uint64_t)kind * LEVELS_A_KIND + (uint64_t)at;
  QfDrill        drill  = {0};
  DrillMaker     maker  = {&drill, random_new(random_seed(seed, number)), naming};
  QfStatus       st     = QF_ERR_IMPOSSIBLE;
  for (int i = 0; i < MAX_DRAWS && st == QF_ERR_IMPOSSIBLE; ++i) {
    qf_drill_clear(&drill);
    drill.kind  = kind;
    drill.level = at;
    drill.seed  = seed;
    drill_add_concept(&maker, "drill", lines[kind].id);
    st = lines[kind].make(&maker);
  }
  if (st) {
    qf_drill_clear(&drill);
    return qf_error_set(error, st,
                        st == QF_ERR_NO_MEM ? "out of memory" : "no drill of this kind was found");
  }
  *result = drill;
  return QF_OK;
}

static bool
has_concept(const QfDrill* const drill, const char* const concept)
{
  for (size_t i = 0; i < drill->n_concepts; ++i) {
    if (!strcmp(drill->concepts[i], concept)) {
      return true;
    }
  }
  return false;
}

/// The kind of drill that asks for the members of a concept's group
static QfStatus
kind_on(const char* const concept, QfDrillKind* const kind)
{
  static const char own[] = "drill/";
  if (!strncmp(concept, own, strlen(own))) {
    return qf_drill_kind_parse(concept + strlen(own), kind, NULL);
  }
  for (int i = 0; i < QF_DRILL_N_KINDS; ++i) {
    const size_t length = strlen(lines[i].id);
    if (!strncmp(lines[i].id, concept, length) && concept[length] == '/') {
      *kind = (QfDrillKind)i;
      return QF_OK;
    }
  }
  return QF_ERR_BAD_TEXT;
}

QfStatus
qf_drill_make_on(const char* const concept,
                 const int          level,
                 const uint64_t     seed,
                 const QfNamingKind naming,
                 QfDrill* const     result,
                 QfError* const     error)
{
  QfDrillKind kind = QF_DRILL_N_KINDS;
  if (!kind_on(concept, &kind)) {
    for (int at = level < 1 ? 1 : level; at <= QF_DRILL_N_LEVELS; ++at) {
      for (uint64_t i = 0; i < TRIES_A_LEVEL; ++i) {
        QfDrill        drill = {0};
        const QfStatus st    = qf_drill_make(kind, at, random_seed(seed, i), naming, &drill, error);
        if (st) {
          return st;
        }
        if (has_concept(&drill, concept)) {
          *result = drill;
          return QF_OK;
        }
        qf_drill_clear(&drill);
      }
    }
  }
  return qf_error_set(error, QF_ERR_IMPOSSIBLE, "no drill is about %.40s", concept);
}

void
qf_drill_clear(QfDrill* const drill)
{
  qf_score_free(drill->score);
  *drill = (QfDrill){0};
}

bool
qf_drill_accepts_pitch(const QfDrill* const drill, const QfPitch pitch)
{
  return drill->form == QF_DRILL_ANSWER_PITCH &&
         qf_note_name_equals(qf_pitch_name(pitch), qf_pitch_name(drill->pitch));
}

bool
qf_drill_accepts_key(const QfDrill* const drill, const int midi)
{
  return drill->form == QF_DRILL_ANSWER_PITCH &&
         (midi - qf_pitch_midi(drill->pitch)) % SEMITONES == 0;
}

const char*
qf_drill_kind_name(const QfDrillKind kind)
{
  return lines[kind].name;
}

const char*
qf_drill_kind_id(const QfDrillKind kind)
{
  return lines[kind].id;
}

QfStatus
qf_drill_kind_parse(const char* const text, QfDrillKind* const result, QfError* const error)
{
  for (int kind = 0; kind < QF_DRILL_N_KINDS; ++kind) {
    if (!strcmp(lines[kind].id, text)) {
      *result = (QfDrillKind)kind;
      return QF_OK;
    }
  }
  return qf_error_set(
    error, QF_ERR_BAD_TEXT,
    "\"%.40s\" is no drill; there are quality, function, target, circle, resolution "
    "and inversion",
    text);
}
