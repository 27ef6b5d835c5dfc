// SPDX-License-Identifier: MIT
#include "smf_spell.h"

#include <math.h>
#include <stdlib.h>

enum {
  MAX_SOUNDING  = 64,
  CIRCLE        = 12,
  LOWEST_FIFTHS = -15, ///< F double flat ...
  TOP_FIFTHS    = 19,  ///< ... to B double sharp
};

// How much the signature counts against what was heard lately, and how slowly that fades. Chosen on
// scores of the open corpus (see tests/formats/test_smf.c), the best of twelve pairs.
static const double signature_weight = 0.3;
static const double memory           = 0.6;

/// What sounds at a moment, held notes too
typedef struct {
  QfTime ends[MAX_SOUNDING];
  int    fifths[MAX_SOUNDING];
  size_t n_notes;
} Sounding;

static int
compare_starts(const void* const left, const void* const right)
{
  const QfUnspelled* const a     = (const QfUnspelled*)left;
  const QfUnspelled* const b     = (const QfUnspelled*)right;
  const int                order = qf_time_compare(a->start, b->start);
  return order ? order : (a->midi > b->midi) - (a->midi < b->midi);
}

/// The one name of a key number among the twelve that begin at a place on the line
static int
fifths_within(const int midi, const int lowest)
{
  // Seven fifths up make a semitone, octaves aside.
  const int place = midi % CIRCLE * 7;
  return lowest + ((place - lowest) % CIRCLE + CIRCLE) % CIRCLE;
}

/// Middle of the twelve names at hand: C major has E flat to G sharp, A minor B flat to D sharp
static double
middle_of(const QfKey key)
{
  return qf_key_fifths(key) + (key.mode == QF_MINOR ? 3.5 : 2.5);
}

static void
drop_ended(Sounding* const sounding, const QfTime now)
{
  for (size_t i = sounding->n_notes; i > 0; --i) {
    if (qf_time_compare(sounding->ends[i - 1U], now) <= 0) {
      --sounding->n_notes;
      sounding->ends[i - 1U]   = sounding->ends[sounding->n_notes];
      sounding->fifths[i - 1U] = sounding->fifths[sounding->n_notes];
    }
  }
}

/// Mean square distances: among all that sounds, and of the new notes from the middle
static double
cost_of(const QfUnspelled* const notes,
        const size_t             n_notes,
        const Sounding* const    held,
        const int                lowest,
        const double             middle,
        double* const            mean)
{
  double sum         = 0.0;
  double sum_squares = 0.0;
  double distance    = 0.0;
  for (size_t i = 0; i < n_notes; ++i) {
    const int fifths = fifths_within(notes[i].midi, lowest);
    sum += fifths;
    sum_squares += (double)fifths * fifths;
    distance += (fifths - middle) * (fifths - middle);
  }
  for (size_t i = 0; i < held->n_notes; ++i) {
    sum += held->fifths[i];
    sum_squares += (double)held->fifths[i] * held->fifths[i];
  }
  const double count = (double)(n_notes + held->n_notes);
  *mean              = sum / count;
  return sum_squares / count - *mean * *mean + distance / (double)n_notes;
}

/// Spell notes that start together; gives the mean of all that sounds
static double
spell_group(QfUnspelled* const    notes,
            const size_t          n_notes,
            const Sounding* const held,
            const double          middle)
{
  double best_cost   = INFINITY;
  double best_mean   = middle;
  int    best_lowest = 0;
  for (int lowest = LOWEST_FIFTHS; lowest + CIRCLE - 1 <= TOP_FIFTHS; ++lowest) {
    double       mean = 0.0;
    const double cost = cost_of(notes, n_notes, held, lowest, middle, &mean);
    if (cost < best_cost - 1e-9) {
      best_cost   = cost;
      best_mean   = mean;
      best_lowest = lowest;
    }
  }
  for (size_t i = 0; i < n_notes; ++i) {
    notes[i].fifths = fifths_within(notes[i].midi, best_lowest);
  }
  return best_mean;
}

void
qf_smf_spell(QfUnspelled* const notes, const size_t n_notes, const QfScore* const score)
{
  qsort(notes, n_notes, sizeof(*notes), compare_starts);

  Sounding sounding = {.n_notes = 0U};
  double   recent   = middle_of(qf_score_signature_at(score, QF_TIME_ZERO));
  for (size_t i = 0; i < n_notes;) {
    size_t n_group = 1U;
    while (i + n_group < n_notes && !qf_time_compare(notes[i + n_group].start, notes[i].start)) {
      ++n_group;
    }
    drop_ended(&sounding, notes[i].start);

    const double signature = middle_of(qf_score_signature_at(score, notes[i].start));
    const double middle    = signature_weight * signature + (1.0 - signature_weight) * recent;
    const double mean      = spell_group(&notes[i], n_group, &sounding, middle);
    recent                 = memory * recent + (1.0 - memory) * mean;

    for (size_t j = i; j < i + n_group && sounding.n_notes < MAX_SOUNDING; ++j) {
      sounding.ends[sounding.n_notes]     = notes[j].end;
      sounding.fifths[sounding.n_notes++] = notes[j].fifths;
    }
    i += n_group;
  }
}

QfPitch
qf_smf_pitch(const int midi, const int fifths)
{
  QfNoteName name = {0, 0};
  qf_note_name_from_fifths(fifths, &name);
  QfPitch pitch = {name.letter, name.alter, 0};
  pitch.octave  = (int8_t)((midi - qf_pitch_midi(pitch)) / 12);
  return pitch;
}
