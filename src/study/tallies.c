// SPDX-License-Identifier: MIT
// What was right by concept, for the practice record.
#include "grade_impl.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static QfStatus
tally(QfGrade* const grade, const char* const concept, const bool is_right)
{
  size_t i = 0;
  while (i < grade->n_tallies && strcmp(grade->tallies[i].concept, concept)) {
    ++i;
  }
  if (i == grade->n_tallies) {
    QfTally* const grown =
      (QfTally*)realloc(grade->tallies, (grade->n_tallies + 1U) * sizeof(QfTally));
    if (!grown) {
      return QF_ERR_NO_MEM;
    }
    grade->tallies = grown;
    grown[i]       = (QfTally){0};
    snprintf(grown[i].concept, sizeof(grown[i].concept), "%s", concept);
    ++grade->n_tallies;
  }
  ++grade->tallies[i].asked;
  grade->tallies[i].right += is_right;
  return QF_OK;
}

static QfStatus
tally_named(QfGrade* const    grade,
            const char* const group,
            const char* const member,
            const bool        is_right)
{
  char concept[QF_CONCEPT_SIZE];
  return snprintf(concept, sizeof(concept), "%s/%s", group, member) < (int)sizeof(concept)
           ? tally(grade, concept, is_right)
           : QF_OK; // Nothing that fits no record is worth keeping
}

/// The degree a numeral is applied to: "V", "ii", "bVI"
static void
write_target(const QfTarget target, char* const buffer, const size_t size)
{
  static const char* const upper[] = {"?", "I", "II", "III", "IV", "V", "VI", "VII"};
  static const char* const lower[] = {"?", "i", "ii", "iii", "iv", "v", "vi", "vii"};

  const int degree = target.degree >= 1 && target.degree <= 7 ? target.degree : 0;
  snprintf(buffer, size, "%s%s",
           target.is_neapolitan ? ""
           : target.alter < 0   ? "b"
           : target.alter > 0   ? "#"
                                : "",
           target.is_neapolitan ? "N"
           : target.is_minor    ? lower[degree]
                                : upper[degree]);
}

static QfStatus
tally_numeral(const Marking* const marking, const QfVerdict* const verdict)
{
  QfGrade* const       grade    = marking->grade;
  const QfLabel* const link     = qf_labels_get_link(marking->labels, verdict->link);
  const unsigned       faults   = verdict->faults | verdict->following;
  const bool           is_there = verdict->kind != QF_VERDICT_MISSING;
  const bool           is_found = is_there && !(faults & BIT(QF_ASPECT_FUNCTION));
  char                 member[QF_NUMERAL_TEXT_SIZE];

  qf_numeral_write(&link->numeral, link->key.mode, member, sizeof(member));
  QfStatus st = tally_named(grade, "function", member, verdict->kind == QF_VERDICT_RIGHT);
  snprintf(member, sizeof(member), "%d", link->numeral.inversion);
  st =
    st ? st
       : tally_named(grade, "inversion", member, is_found && !(faults & BIT(QF_ASPECT_INVERSION)));
  if (!st && qf_numeral_is_applied_dominant(&link->numeral)) {
    write_target(link->numeral.targets[0], member, sizeof(member));
    st = tally_named(grade, "target", member, is_found && !(faults & BIT(QF_ASPECT_TARGET)));
  }
  return st;
}

static QfStatus
tally_quality(const Marking* const marking, const QfVerdict* const verdict)
{
  const QfLabel* const link = qf_labels_get_link(marking->labels, verdict->link);
  return tally_named(marking->grade, "quality", qf_chord_kind_id(link->chord.kind),
                     verdict->kind == QF_VERDICT_RIGHT);
}

typedef struct {
  int right;
  int asked;
} Count;

static QfStatus
tally_count(QfGrade* const grade, const char* const member, const Count count)
{
  QfStatus st = count.asked ? tally_named(grade, "layer", member, false) : QF_OK;
  if (!st && count.asked) {
    QfTally* const tally = &grade->tallies[grade->n_tallies - 1U];
    tally->right         = count.right;
    tally->asked         = count.asked;
  }
  return st;
}

QfStatus
make_tallies(const Marking* const marking)
{
  QfGrade* const grade                    = marking->grade;
  Count          layers[QF_LAYER_N_KINDS] = {{0, 0}};
  Count          rhythm                   = {0, 0};
  QfStatus       st                       = QF_OK;
  for (size_t i = 0; !st && i < grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &grade->verdicts[i];
    if (verdict->kind == QF_VERDICT_EXTRA) {
      continue;
    }
    ++layers[verdict->layer].asked;
    layers[verdict->layer].right += verdict->kind == QF_VERDICT_RIGHT;
    if (verdict->layer == QF_LAYER_NUMERAL) {
      st = tally_numeral(marking, verdict);
    } else if (verdict->layer == QF_LAYER_QUALITY) {
      st = tally_quality(marking, verdict);
    } else if (verdict->kind != QF_VERDICT_MISSING) {
      ++rhythm.asked;
      rhythm.right += !(verdict->faults & BIT(QF_ASPECT_RHYTHM));
    }
  }
  for (int l = 0; !st && l < QF_LAYER_N_KINDS; ++l) {
    st = tally_count(grade, qf_layer_id((QfLayer)l), layers[l]);
  }
  return st ? st : tally_count(grade, "rhythm", rhythm);
}
