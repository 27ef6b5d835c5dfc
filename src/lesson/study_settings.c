// SPDX-License-Identifier: MIT
#include "quintfall/study.h"

#include <string.h>

typedef struct {
  const char* id;
  const char* name;
} LayerWords;

static const LayerWords layer_words[QF_LAYER_N_KINDS] = {
  [QF_LAYER_BASS]    = {"bass", "bass"},
  [QF_LAYER_SOPRANO] = {"soprano", "soprano"},
  [QF_LAYER_QUALITY] = {"quality", "chord qualities"},
  [QF_LAYER_NUMERAL] = {"numeral", "numerals"},
  [QF_LAYER_INNER]   = {"inner", "inner voices"},
};

QfStudy
qf_study_default(void)
{
  return (QfStudy){.layers        = QF_ALL_LAYERS,
                   .shows_rhythm  = true,
                   .shows_spans   = true,
                   .has_questions = true,
                   .shows_result  = true};
}

const char*
qf_layer_name(const QfLayer layer)
{
  return layer_words[layer].name;
}

const char*
qf_layer_id(const QfLayer layer)
{
  return layer_words[layer].id;
}

QfStatus
qf_layer_parse(const char* const text, QfLayer* const result, QfError* const error)
{
  for (int i = 0; i < QF_LAYER_N_KINDS; ++i) {
    if (!strcmp(text, layer_words[i].id)) {
      *result = (QfLayer)i;
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "\"%.40s\" is no layer; expected bass, soprano, quality, numeral or inner",
                      text);
}
