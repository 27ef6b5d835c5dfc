// SPDX-License-Identifier: MIT
#include "quintfall/harmonise.h"

#include "given_line.h"
#include "optimum.h"

#include <stdlib.h>
#include <string.h>

static const char* const vocabulary_names[] = {"diatonic", "applied", "chromatic"};

/// Complain of a note in no chord of the vocabulary
static QfStatus
check_notes(const GivenLine* const line, const Stages* const stages, QfError* const error)
{
  for (size_t i = 0; i < line->n_notes; ++i) {
    const QfGivenNote* const note = &line->notes[i];
    if (!stages->stages[i].n_choices) {
      char pitch[16];
      char key[16];
      qf_pitch_write(note->pitch, pitch, sizeof(pitch));
      qf_key_write(line->options.key, key, sizeof(key));
      return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                          "no %s chord of %s fits note %zu (%s%s%s); try a wider vocabulary",
                          vocabulary_names[line->options.vocabulary], key, i + 1U, pitch,
                          note->is_figured ? ":" : "", note->is_figured ? note->figures : "");
    }
  }
  return QF_OK;
}

/// Say between which notes every way makes an error
static QfStatus
report_failure(const Failure* const failure, QfError* const error)
{
  if (!failure->has_voicing) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                        "no chord can be written to note %zu: it lies too high or too low",
                        failure->stage + 1U);
  }
  return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                      "no chords can be set to notes %zu and %zu without an error (most often: "
                      "%s); try a milder profile or a wider vocabulary",
                      failure->stage + 1U, failure->stage + 2U,
                      qf_rule_get_text(grade_get(failure->fault)->rule)->statement);
}

static QfStatus
copy_way(const GivenLine* const line,
         const Stages* const    stages,
         const Way* const       way,
         QfHarmony* const       result)
{
  const size_t n       = line->n_notes;
  QfHarmony    harmony = {.cost     = way->cost,
                          .links    = (QfLink*)calloc(n, sizeof(QfLink)),
                          .voicings = (QfVoicing*)calloc(n, sizeof(QfVoicing))};
  if (!harmony.links || !harmony.voicings) {
    free(harmony.links);
    free(harmony.voicings);
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n; ++i) {
    const Stage* const       stage = &stages->stages[i];
    const QfGivenNote* const note  = &line->notes[i];
    const size_t             word  = stage_choice(stage, way->voicings[i])->word;
    harmony.links[i] =
      (QfLink){line->options.key, line->numerals[word], note->start, note->duration};
    memcpy(harmony.voicings[i].pitch, stage->list.voiced[way->voicings[i]].pitch,
           sizeof(harmony.voicings[i].pitch));
  }
  *result = harmony;
  return QF_OK;
}

static QfStatus
copy_ways(const GivenLine* const line,
          const Stages* const    stages,
          const Ways* const      ways,
          QfHarmonies* const     result)
{
  QfHarmonies harmonies = {.n_links = line->n_notes};
  harmonies.harmonies   = (QfHarmony*)calloc(ways->n_ways + 1U, sizeof(QfHarmony));
  QfStatus st           = harmonies.harmonies ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < ways->n_ways; ++i) {
    st = copy_way(line, stages, &ways->ways[i], &harmonies.harmonies[i]);
    harmonies.n_harmonies += !st;
  }
  if (st) {
    qf_harmonies_clear(&harmonies);
  } else {
    *result = harmonies;
  }
  return st;
}

static QfStatus
find_ways(const GivenLine* const line,
          const Task* const      task,
          QfHarmonies* const     result,
          QfError* const         error)
{
  const Policy policy  = {.profile  = line->options.profile,
                          .n_voices = QF_SATB,
                          .is_wide  = line->options.profile == QF_PROFILE_FREE};
  Stages       stages  = {.policy = policy};
  Failure      failure = {0};
  Ways         ways    = {0};
  QfStatus     st      = stages_prepare(&stages, task, error);
  st                   = st ? st : check_notes(line, &stages, error);
  if (!st) {
    st = stages_list(&stages, policy);
    st = st ? st : stages_look_ahead(&stages, &failure);
    if (st == QF_ERR_IMPOSSIBLE) {
      report_failure(&failure, error);
    } else {
      st = st ? st : optimum_find(&stages, line->options.n_best, line->options.n_apart, &ways);
      st = st ? st : copy_ways(line, &stages, &ways, result);
      if (st) {
        qf_error_set(error, st, "out of memory");
      }
    }
  }
  ways_clear(&ways);
  stages_clear(&stages);
  return st;
}

static QfStatus
harmonise(const GivenLine* const line, QfHarmonies* const result, QfError* const error)
{
  QfKept* const kept        = (QfKept*)calloc(line->n_notes, sizeof(QfKept));
  bool* const   on_downbeat = (bool*)calloc(line->n_notes, sizeof(bool));
  QfStatus      st          = kept && on_downbeat ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < line->n_notes; ++i) {
    kept[i]        = (QfKept){i, line->options.is_bass ? QF_SATB - 1U : 0U, line->notes[i].pitch};
    on_downbeat[i] = given_line_on_downbeat(line, i);
  }
  const Task task = {.n_links     = line->n_notes,
                     .lexicon     = &line->lexicon,
                     .kept        = kept,
                     .n_kept      = line->n_notes,
                     .on_downbeat = on_downbeat};

  st = st ? qf_error_set(error, st, "out of memory") : find_ways(line, &task, result, error);
  free(kept);
  free(on_downbeat);
  return st;
}

QfStatus
qf_harmonise(const QfGivenNote* const notes,
             const size_t             n_notes,
             QfHarmoniseOptions       options,
             QfHarmonies* const       result,
             QfError* const           error)
{
  options.n_best = options.n_best ? options.n_best : 1U;
  if (!n_notes || n_notes > QF_HARMONISE_MAX_NOTES) {
    return qf_error_set(error, QF_ERR_RANGE, "a line to harmonise has 1 to %d notes",
                        QF_HARMONISE_MAX_NOTES);
  }
  if (options.n_best > QF_HARMONISE_MAX_BEST) {
    return qf_error_set(error, QF_ERR_RANGE, "at most %d chains can be asked for",
                        QF_HARMONISE_MAX_BEST);
  }

  if (options.n_apart > QF_HARMONISE_MAX_APART) {
    return qf_error_set(error, QF_ERR_RANGE, "chains can be asked to differ in at most %d chords",
                        QF_HARMONISE_MAX_APART);
  }
  options.n_apart = options.n_apart ? options.n_apart : 1U;

  GivenLine* const line = (GivenLine*)calloc(1, sizeof(GivenLine));
  if (!line) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  given_line_prepare(line, notes, n_notes, options);
  const QfStatus st = harmonise(line, result, error);
  free(line);
  return st;
}

void
qf_harmonies_clear(QfHarmonies* const harmonies)
{
  for (size_t i = 0; i < harmonies->n_harmonies; ++i) {
    free(harmonies->harmonies[i].links);
    free(harmonies->harmonies[i].voicings);
  }
  free(harmonies->harmonies);
  *harmonies = (QfHarmonies){0};
}

const char*
qf_vocabulary_name(const QfVocabulary vocabulary)
{
  return vocabulary_names[vocabulary];
}

QfStatus
qf_vocabulary_parse(const char* const text, QfVocabulary* const result, QfError* const error)
{
  for (int i = 0; i < QF_VOCABULARY_N_KINDS; ++i) {
    if (!strcmp(text, vocabulary_names[i])) {
      *result = (QfVocabulary)i;
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "a vocabulary is diatonic, applied or chromatic, not \"%s\"", text);
}
