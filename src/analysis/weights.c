// SPDX-License-Identifier: MIT
#include "weights.h"

#include <stdlib.h>

static bool
is_dominant(const QfEntry* const entry)
{
  return entry->role == QF_ROLE_DOMINANT || entry->role == QF_ROLE_APPLIED;
}

static bool
is_leading_tone_chord(const QfEntry* const entry)
{
  return is_dominant(entry) && entry->root != entry->dominant;
}

static bool
is_seventh(const QfChordKind kind)
{
  return qf_chord_kind_has_seventh(kind) && qf_chord_kind_size(kind) == 4;
}

/// From a root to another, by fifths up (the line of fifths wraps after twelve)
static float
root_motion_cost(const int fifths)
{
  // Sixths up and thirds down are smooth, falling fifths smoothest. Rule: common practice.
  static const float costs[12] = {
    [0]  = 0.4F, // same root
    [1]  = 0.7F, // fifth up
    [2]  = 0.6F, // whole step up
    [3]  = 0.5F, // minor third down
    [4]  = 1.0F, // major third up
    [5]  = 1.0F, // semitone down
    [6]  = 0.8F, // tritone
    [7]  = 0.6F, // semitone up
    [8]  = 0.5F, // major third down
    [9]  = 1.0F, // minor third up
    [10] = 1.0F, // whole step down
    [11] = 0.3F, // fifth down
  };

  return costs[((fifths % 12) + 12) % 12];
}

/// A dominant, applied or not, and what follows it
static float
dominant_step(const QfEntry* const from, const QfEntry* const to)
{
  const bool is_applied = from->role == QF_ROLE_APPLIED;

  if (is_dominant(to) && to->target == from->target) {
    if (to->root == from->root) {
      // A seventh that joins its dominant is no new function, so the word costs nothing.
      return is_seventh(to->kind) ? -1.0F - to->prior : 0.9F;
    }
    return is_leading_tone_chord(from) ? 0.3F : 0.6F;
  }
  if (is_dominant(to) && to->dominant == from->target) {
    return is_applied ? 0.0F : 0.7F; // One dominant falls into the next
  }
  if (to->root == from->target && !is_dominant(to)) {
    return is_applied ? -0.8F : -0.5F;
  }
  if (to->role == QF_ROLE_CADENTIAL) {
    return from->target == 1 ? 0.1F : (is_applied ? 2.2F : 1.0F);
  }
  if (to->root == from->target + 3 || to->root == from->target - 4) {
    return is_applied ? 1.2F : 0.7F; // Deceptive: the sixth degree, natural or lowered
  }
  return is_applied ? 2.3F : 1.4F;
}

float
qf_weight_step(const QfEntry* const from, const QfEntry* const to)
{
  // A cadential six-four or an augmented sixth may belong to another degree than the tonic.
  const bool to_fifth   = is_dominant(to) && to->root == from->target + 1;
  const bool to_cadence = to->role == QF_ROLE_CADENTIAL && to->target == from->target;
  const bool to_leading = to->role == QF_ROLE_APPLIED && to->target == 1 && !from->target;

  if (from == to) {
    return 0.0F;
  }
  if (from->role == QF_ROLE_UNKNOWN || to->role == QF_ROLE_UNKNOWN) {
    return 1.0F;
  }

  if (is_dominant(to) && !is_dominant(from) && from->root == to->root &&
      from->kind == QF_CHORD_MAJOR && is_seventh(to->kind)) {
    return -0.3F - 0.75F * to->prior; // A seventh joins a plain chord and makes it lead on
  }

  switch (from->role) {
    case QF_ROLE_DOMINANT:
    case QF_ROLE_APPLIED:
      return dominant_step(from, to);
    case QF_ROLE_CADENTIAL:
      return to_fifth ? -0.3F : (to_leading ? 0.4F : 4.0F);
    case QF_ROLE_AUGMENTED_SIXTH:
      return (to_fifth || to_cadence) ? 0.0F : (to_leading ? 0.8F : 3.0F);
    case QF_ROLE_NEAPOLITAN:
      return (to_fifth || to_leading || to->role == QF_ROLE_CADENTIAL) ? 0.1F : 1.8F;
    default:
      break;
  }

  if (to->role == QF_ROLE_CADENTIAL) {
    return from->role == QF_ROLE_PREDOMINANT ? 0.2F : 0.6F;
  }
  if (to->role == QF_ROLE_APPLIED || to->role == QF_ROLE_AUGMENTED_SIXTH) {
    return 0.6F;
  }
  return root_motion_cost(to->root - from->root);
}

static bool
is_final(const QfEntry* const entry)
{
  return entry->role == QF_ROLE_TONIC || entry->role == QF_ROLE_UNKNOWN;
}

float
qf_weight_first(const QfEntry* const entry)
{
  return is_final(entry) ? 0.0F : (entry->role == QF_ROLE_DOMINANT ? 1.0F : 1.6F);
}

float
qf_weight_last(const QfEntry* const entry)
{
  return is_final(entry) ? 0.0F : (entry->role == QF_ROLE_DOMINANT ? 1.0F : 1.8F);
}

float
qf_weight_onset(const int level, const float block)
{
  static const float costs[] = {0.4F, 0.5F, 0.7F, 1.3F, 2.2F};
  const int          last    = (int)(sizeof(costs) / sizeof(costs[0])) - 1;

  return costs[level < last ? level : last] * (1.0F - 0.5F * block);
}

float
qf_weight_missing(const QfChordKind kind, const unsigned present)
{
  static const float triad[]   = {0.0F, 2.2F, 0.4F};
  static const float seventh[] = {0.0F, 2.4F, 0.5F, QF_WEIGHT_NEVER, QF_WEIGHT_NEVER};
  static const float tritone[] = {0.0F, 1.6F, 1.2F, QF_WEIGHT_NEVER};

  const int  size = qf_chord_kind_size(kind);
  const bool is_t = kind == QF_CHORD_DIMINISHED || kind == QF_CHORD_AUGMENTED ||
                    kind == QF_CHORD_HALF_DIM7 || kind == QF_CHORD_DIM7;
  const float* const table = is_t ? tritone : (size > 3 ? seventh : triad);
  float              sum   = 0.0F;

  if (!(present & 1U)) {
    return QF_WEIGHT_NEVER;
  }
  for (int m = 1; m < size; ++m) {
    if (!(present & (1U << (unsigned)m))) {
      sum += kind >= QF_CHORD_ITALIAN ? QF_WEIGHT_NEVER : table[m];
    }
  }
  return present == 1U ? sum + QF_WEIGHT_SOLITARY : sum;
}

float
qf_weight_absent(const int member, const bool is_first, const float block)
{
  static const float in_block[QF_CHORD_MAX_NOTES] = {7.0F, 2.0F, 0.2F, 3.0F, 3.0F};
  static const float at_first[QF_CHORD_MAX_NOTES] = {1.5F, 0.3F, 0.0F, 0.8F, 0.8F};

  return in_block[member] * block + (is_first ? at_first[member] * (1.0F - block) : 0.0F);
}

float
qf_weight_bass(const QfEntry* const entry, const int member)
{
  static const float triad[]     = {0.0F, 0.2F, 1.0F};
  static const float seventh[]   = {0.0F, 0.2F, 0.3F, 0.4F, QF_WEIGHT_NEVER};
  static const float cadential[] = {QF_WEIGHT_NEVER, QF_WEIGHT_NEVER, 0.0F};
  static const float sixth[]     = {2.5F, 0.0F, 2.5F, 2.5F};
  static const float french[]    = {2.5F, 2.5F, 0.0F, 2.5F};
  static const float neapoli[]   = {0.8F, 0.0F, 1.2F};

  if (member < 0) {
    return entry->role == QF_ROLE_CADENTIAL ? QF_WEIGHT_NEVER : 1.6F;
  }

  switch (entry->role) {
    case QF_ROLE_CADENTIAL:
      return cadential[member];
    case QF_ROLE_AUGMENTED_SIXTH:
      return entry->kind == QF_CHORD_FRENCH ? french[member] : sixth[member];
    case QF_ROLE_NEAPOLITAN:
      return neapoli[member];
    default:
      return qf_chord_kind_size(entry->kind) > 3 ? seventh[member] : triad[member];
  }
}

typedef struct {
  float weak;
  float strong;
  float beat;
} ForeignCost;

static const ForeignCost foreign_costs[QF_FOREIGN_N_KINDS] = {
  [QF_FOREIGN_PASSING] = {0.6F, 1.6F, 2.4F},      [QF_FOREIGN_NEIGHBOUR] = {0.6F, 1.8F, 2.4F},
  [QF_FOREIGN_SUSPENSION] = {1.0F, 0.8F, 1.6F},   [QF_FOREIGN_RETARDATION] = {1.6F, 1.4F, 2.4F},
  [QF_FOREIGN_ANTICIPATION] = {0.7F, 3.0F, 2.9F}, [QF_FOREIGN_APPOGGIATURA] = {1.8F, 2.2F, 2.9F},
  [QF_FOREIGN_ESCAPE] = {1.6F, 3.0F, 2.9F},       [QF_FOREIGN_PEDAL] = {2.5F, 2.5F, 2.4F},
  [QF_FOREIGN_FREE] = {4.0F, 4.5F, 3.2F},
};

float
qf_weight_foreign_start(const QfForeignKind kind, const bool is_weak, const float struck_share)
{
  const ForeignCost cost = foreign_costs[kind];

  // Where all voices strike together a chord is meant; an ornament moves against held notes.
  const float texture = struck_share <= 0.5F ? 1.0F : 1.0F + 2.6F * (struck_share - 0.5F);

  return (is_weak ? cost.weak : cost.strong) * texture;
}

float
qf_weight_foreign_beat(const QfForeignKind kind)
{
  return foreign_costs[kind].beat;
}

float
qf_weight_key_change(const size_t from, const size_t to, const size_t home)
{
  const int   fifths = abs((int)(to / 2) - (int)(from / 2));
  const float far    = fifths <= 1 ? 0.5F * (float)fifths : 0.5F + 0.6F * (float)(fifths - 1);
  const float cost   = 2.0F + (far < 3.5F ? far : 3.5F);

  // A declared key is left with less ease than it is regained.
  return cost + (from == home ? 2.5F : 0.0F) - (to == home ? 0.5F : 0.0F);
}

float
qf_weight_signature(const size_t key, const size_t signature)
{
  const int   fifths = abs((int)(key / 2) - (int)(signature / 2));
  const float far    = 0.8F * (float)fifths;

  return (far < 3.2F ? far : 3.2F) + (key % 2 == signature % 2 ? 0.0F : 0.4F);
}
