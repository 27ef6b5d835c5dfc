// SPDX-License-Identifier: MIT
// Why points were lost, in words.
#include "grade_impl.h"

#include "quintfall/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char* const fault_words[QF_ASPECT_N_KINDS] = {
  [QF_ASPECT_PITCH]      = "another note",
  [QF_ASPECT_OCTAVE]     = "another octave",
  [QF_ASPECT_SPELLING]   = "the same sound under another name",
  [QF_ASPECT_ACCIDENTAL] = "another accidental",
  [QF_ASPECT_RHYTHM]     = "another time or length",
  [QF_ASPECT_QUALITY]    = "another quality",
  [QF_ASPECT_SEVENTH]    = "a seventh too many or forgotten",
  [QF_ASPECT_FUNCTION]   = "another function",
  [QF_ASPECT_INVERSION]  = "another inversion",
  [QF_ASPECT_TARGET]     = "another target of the applied chord",
};

/// Share of the worth that a fault costs
static double
share_of(const QfRubric* const rubric, const QfLayer layer, const int aspect)
{
  return rubric->layers[layer].losses[aspect];
}

void
price_verdict(const QfRubric* const rubric, QfVerdict* const verdict)
{
  const QfLayerRubric* const layer = &rubric->layers[verdict->layer];
  if (verdict->kind == QF_VERDICT_EXTRA) {
    verdict->points = -layer->worth * layer->extra;
    return;
  }
  verdict->possible = layer->worth;
  if (verdict->kind == QF_VERDICT_MISSING) {
    return;
  }

  // What the rubric asks nothing for is no fault but a difference.
  for (int a = 0; a < QF_ASPECT_N_KINDS; ++a) {
    const bool is_equal = a == QF_ASPECT_SPELLING && rubric->enharmonic_is_equal;
    if ((verdict->faults & BIT(a)) && (is_equal || share_of(rubric, verdict->layer, a) <= 0.0)) {
      verdict->faults &= ~BIT(a);
      verdict->following &= ~BIT(a);
      verdict->equal |= BIT(a);
    }
  }
  verdict->following &= verdict->faults;
  verdict->faults &= ~verdict->following;

  double loss = 0.0;
  for (int a = 0; a < QF_ASPECT_N_KINDS; ++a) {
    loss += verdict->faults & BIT(a) ? share_of(rubric, verdict->layer, a) : 0.0;
  }
  // A numeral tells its seventh and inversion by the same figures: only the dearer is charged.
  const unsigned figures = BIT(QF_ASPECT_SEVENTH) | BIT(QF_ASPECT_INVERSION);
  if (verdict->layer == QF_LAYER_NUMERAL && (verdict->faults & figures) == figures) {
    loss -= fmin(layer->losses[QF_ASPECT_SEVENTH], layer->losses[QF_ASPECT_INVERSION]);
  }
  verdict->points = layer->worth * (1.0 - fmin(loss, 1.0));
  verdict->kind   = loss <= 0.0              ? QF_VERDICT_RIGHT
                    : verdict->points > 1e-9 ? QF_VERDICT_PARTLY
                                             : QF_VERDICT_WRONG;
}

/// "the bass", "the quality"
static void
name_subject(const Marking* const   marking,
             const QfVerdict* const verdict,
             char* const            buffer,
             const size_t           size)
{
  switch (verdict->layer) {
    case QF_LAYER_QUALITY:
      snprintf(buffer, size, "chord quality");
      break;
    case QF_LAYER_NUMERAL:
      snprintf(buffer, size, "numeral");
      break;
    case QF_LAYER_INNER: {
      const char* const name = qf_score_get_voice(marking->score, verdict->voice)->name;
      if (name[0]) {
        snprintf(buffer, size, "%s", name);
      } else {
        snprintf(buffer, size, "voice %d", verdict->voice + 1);
      }
      break;
    }
    default:
      snprintf(buffer, size, "%s", qf_layer_name(verdict->layer));
      break;
  }
}

/// "another octave and another time or length"; gives the number of faults
static int
name_faults(const unsigned faults, char* const buffer, const size_t size)
{
  int    n_faults = 0;
  size_t length   = 0;
  buffer[0]       = '\0';
  for (int a = 0; a < QF_ASPECT_N_KINDS; ++a) {
    if ((faults & BIT(a)) && length < size) {
      const int added =
        snprintf(buffer + length, size - length, "%s%s", n_faults++ ? " and " : "", fault_words[a]);
      length += (size_t)added;
    }
  }
  return n_faults;
}

/// Take a reason for a verdict; NULL means that memory ran out
static QfStatus
keep_reason(QfGrade* const grade, QfVerdict* const verdict, char* const reason)
{
  char** const grown =
    reason ? (char**)realloc(grade->reasons, (grade->n_reasons + 1U) * sizeof(char*)) : NULL;
  if (!grown) {
    free(reason);
    return QF_ERR_NO_MEM;
  }
  grade->reasons                     = grown;
  grade->reasons[grade->n_reasons++] = reason;
  verdict->reason                    = reason;
  return QF_OK;
}

QfStatus
write_reason(const Marking* const marking,
             QfVerdict* const     verdict,
             const char* const    asked,
             const char* const    written)
{
  const bool is_extra = verdict->kind == QF_VERDICT_EXTRA;
  char       place[48];
  char       subject[QF_NAME_SIZE + 16];
  char       faults[160];
  char       follows[160];
  qf_score_write_place(is_extra && marking->given ? marking->given : marking->score, verdict->start,
                       place, sizeof(place));
  name_subject(marking, verdict, subject, sizeof(subject));
  const int    n_faults  = name_faults(verdict->faults, faults, sizeof(faults));
  const int    n_follows = name_faults(verdict->following, follows, sizeof(follows));
  const double lost      = verdict->possible - verdict->points;

  QfText text = {0};
  qf_text_addf(&text, "%s, %s: ", place, subject);
  if (!written) {
    qf_text_addf(&text, "%s is missing", asked);
  } else if (is_extra) {
    qf_text_addf(&text, "%s is too many", written);
  } else if (!strcmp(asked, written)) {
    qf_text_addf(&text, "%s is right but for %s", written, n_faults ? faults : follows);
  } else {
    qf_text_addf(&text, "%s was asked, %s is written", asked, written);
    if (n_faults) {
      qf_text_addf(&text, ": %s", faults);
    }
  }
  if (n_follows) {
    qf_text_addf(&text, "%s%s follows from an earlier error and is not charged again",
                 n_faults || written ? "; " : "", follows);
  }
  if (lost > 0.0) {
    qf_text_addf(&text, " (\u2212%.4g)", lost);
  }
  return keep_reason(marking->grade, verdict, qf_text_take(&text));
}
