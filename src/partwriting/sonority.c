// SPDX-License-Identifier: MIT
#include "sonority.h"

enum { MEMBER_ROOT, MEMBER_THIRD, MEMBER_FIFTH, MEMBER_SEVENTH, MEMBER_NINTH };

enum { PERFECT_FIFTH = 7 };

/// Cost of doubling root, third and fifth of a triad, by inversion
typedef struct {
  int cost[3][3];
} Doubling;

// Rule: root position: the root, then the fifth, the third last (IBMT 6b; MT21C); first
// inversion: root or fifth before the bass (MT21C); six-four: the bass (MT21C, OMT).
static const Doubling plain_doubling = {{{0, 5, 3}, {0, 3, 1}, {8, 8, 0}}};

// Rule: diminished triads double the third, which is the bass of a 6/3 (MT21C).
static const Doubling diminished_doubling = {{{5, 0, 4}, {5, 0, 4}, {5, 0, 4}}};

// The raised fifth of an augmented triad wants to rise, so it is not doubled (all: altered tones).
static const Doubling augmented_doubling = {{{0, 5, COST_NEVER}, {0, 3, COST_NEVER}, {0, 5, 30}}};

static const Doubling*
doubling_of(const QfChordKind kind)
{
  return kind == QF_CHORD_DIMINISHED  ? &diminished_doubling
         : kind == QF_CHORD_AUGMENTED ? &augmented_doubling
                                      : &plain_doubling;
}

bool
is_augmented_sixth(const QfChordKind kind)
{
  return kind == QF_CHORD_ITALIAN || kind == QF_CHORD_FRENCH || kind == QF_CHORD_GERMAN ||
         kind == QF_CHORD_SWISS;
}

static bool
has_ninth(const QfChordKind kind)
{
  return kind == QF_CHORD_DOM9 || kind == QF_CHORD_DOM_MINOR9;
}

/// The member that is a leading tone, or -1
static int
leading_member(const QfChordKind kind, const int degree)
{
  // IV7 in minor has the sound of a dominant, but its third belongs to the rising scale.
  if (qf_chord_kind_is_dominant(kind) && kind != QF_CHORD_DOM7_SUS4 && degree != 4) {
    return MEMBER_THIRD;
  }
  if (degree == 5 && (kind == QF_CHORD_MAJOR || kind == QF_CHORD_AUGMENTED)) {
    return MEMBER_THIRD;
  }
  if (degree == 7 &&
      (kind == QF_CHORD_DIMINISHED || kind == QF_CHORD_HALF_DIM7 || kind == QF_CHORD_DIM7)) {
    return MEMBER_ROOT;
  }
  return -1;
}

static void
set_tendency(Tone* const tone, const Tendency tendency)
{
  tone->tendency = tendency;
  tone->doubling = COST_NEVER; // All: never the leading tone, the seventh or an altered tone
}

/// An augmented sixth opens outward to the octave, an Italian one doubles the tonic (OMT)
static void
set_augmented_sixth(Sonority* const sonority)
{
  static const QfInterval augmented_sixth = {5, 10};
  for (int low = 0; low < sonority->n_tones; ++low) {
    for (int high = 0; high < sonority->n_tones; ++high) {
      const QfInterval interval =
        qf_interval_between_names(sonority->tones[low].name, sonority->tones[high].name);
      if (interval.steps == augmented_sixth.steps &&
          interval.semitones == augmented_sixth.semitones) {
        set_tendency(&sonority->tones[low], TENDENCY_DOWN);
        set_tendency(&sonority->tones[high], TENDENCY_UP);
      }
    }
  }
}

static void
set_omissions(Sonority* const sonority, const QfChord chord, const int fifth)
{
  const int  size      = qf_chord_kind_size(chord.kind);
  const bool may_lack5 = fifth >= 0 && fifth != sonority->bass && !has_ninth(chord.kind) &&
                         qf_chord_kind_member(chord.kind, MEMBER_FIFTH).semitones == PERFECT_FIFTH;
  if (has_ninth(chord.kind)) { // Five tones in four voices: the fifth goes, or the root over it
    const int spare                 = fifth >= 0 && fifth != sonority->bass ? fifth : MEMBER_ROOT;
    sonority->tones[spare].omission = sonority->tones[spare].omission_lax = 0;
  } else if (may_lack5) {
    // Rule: only the fifth, and only in root position (IBMT 6b; AP guidelines 2015).
    sonority->tones[fifth].omission     = chord.inversion ? COST_NEVER : size > 3 ? 3 : 4;
    sonority->tones[fifth].omission_lax = chord.inversion ? 30 : sonority->tones[fifth].omission;
  }
}

static Sonority
plain_sonority(const QfChord chord, const int degree)
{
  const bool is_triad = chord.kind == QF_CHORD_MAJOR || chord.kind == QF_CHORD_MINOR ||
                        chord.kind == QF_CHORD_DIMINISHED || chord.kind == QF_CHORD_AUGMENTED;
  return (Sonority){.root      = chord.root,
                    .bass      = -1,
                    .third     = -1,
                    .fifth     = -1,
                    .seventh   = -1,
                    .leading   = -1,
                    .kind      = chord.kind,
                    .inversion = chord.inversion,
                    .is_triad  = is_triad,
                    .complete  = (uint8_t)qf_chord_kind_size(chord.kind),
                    .degree    = (int8_t)degree};
}

/// Remember the index of the tone about to be added by what it is in the chord
static void
note_member(Sonority* const sonority, const int member, const bool is_leading)
{
  const bool has_sixth     = is_augmented_sixth(sonority->kind);
  const bool has_seventh   = qf_chord_kind_has_seventh(sonority->kind) || has_ninth(sonority->kind);
  const bool is_real_third = qf_chord_kind_member(sonority->kind, member).steps == 2;
  if (member == MEMBER_THIRD && is_real_third && !has_sixth) {
    sonority->third = sonority->n_tones;
  } else if (member == MEMBER_FIFTH) {
    sonority->fifth = sonority->n_tones;
  } else if (member == MEMBER_SEVENTH && !has_sixth && has_seventh) {
    sonority->seventh = sonority->n_tones;
  }
  if (is_leading && !qf_note_name_transpose(sonority->tones[sonority->n_tones].name,
                                            (QfInterval){1, 1}, &sonority->tonic)) {
    sonority->leading = sonority->n_tones;
  }
}

/// Tones of a chord; `degree` is its root's degree in the key it belongs to
static QfStatus
sonority_of_chord(const QfChord chord, const int degree, Sonority* const result)
{
  Sonority        sonority = plain_sonority(chord, degree);
  const int       size     = qf_chord_kind_size(chord.kind);
  const int       leading  = leading_member(chord.kind, degree);
  const Doubling* doubling = doubling_of(chord.kind);
  const int       position = chord.inversion < 3 ? chord.inversion : 0;

  for (int member = 0; member < size; ++member) {
    if ((chord.omitted >> (unsigned)member) & 1U) {
      continue;
    }

    Tone*          tone = &sonority.tones[sonority.n_tones];
    const QfStatus st   = qf_chord_member(chord, member, &tone->name);
    if (st) {
      return st;
    }

    tone->member   = (int8_t)member;
    tone->omission = tone->omission_lax = COST_NEVER;
    tone->doubling                      = member < 3 ? doubling->cost[position][member] : 4;
    if (member == leading) {
      set_tendency(tone, TENDENCY_UP);
    } else if (member >= MEMBER_SEVENTH && !is_augmented_sixth(chord.kind) &&
               (qf_chord_kind_has_seventh(chord.kind) || has_ninth(chord.kind))) {
      set_tendency(tone, TENDENCY_DOWN);
    } else if (member == MEMBER_THIRD &&
               (chord.kind == QF_CHORD_SUS4 || chord.kind == QF_CHORD_DOM7_SUS4)) {
      set_tendency(tone, TENDENCY_DOWN);
    }
    if (member == chord.inversion) {
      sonority.bass = sonority.n_tones;
    }
    note_member(&sonority, member, member == leading);
    ++sonority.n_tones;
  }

  if (is_augmented_sixth(chord.kind)) {
    set_augmented_sixth(&sonority);
  }
  if (!chord.omitted) {
    set_omissions(&sonority, chord, sonority.fifth);
  }
  *result = sonority;
  return QF_OK;
}

/// The Neapolitan sixth doubles its bass (MT21C, OMT)
static void
set_neapolitan(Sonority* const sonority)
{
  for (int i = 0; i < sonority->n_tones; ++i) {
    sonority->tones[i].doubling = i == sonority->bass ? 0 : 6;
  }
}

/// Sixth and fourth of a cadential six-four fall to fifth and third (OMT, cadence types)
static void
set_cadential(Sonority* const sonority)
{
  for (int i = 0; i < sonority->n_tones; ++i) {
    if (i != sonority->bass) {
      sonority->tones[i].tendency = TENDENCY_DOWN;
      sonority->tones[i].is_free  = true;
    }
  }
}

QfStatus
sonority_of_numeral(const QfNumeral* const numeral,
                    const QfKey            key,
                    Sonority* const        result,
                    QfError* const         error)
{
  QfChord  chord = {0};
  QfStatus st    = qf_numeral_chord(numeral, key, &chord, error);
  if (st) {
    return st;
  }

  st = sonority_of_chord(chord, numeral->degree, result);
  if (st) {
    return qf_error_set(error, st, "a note of the chord needs more than four accidentals");
  }
  if (result->bass < 0) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE, "the chord leaves out the note of its bass");
  }

  result->form       = numeral->form;
  result->is_applied = numeral->n_targets > 0;
  if (numeral->form == QF_NUMERAL_NEAPOLITAN) {
    set_neapolitan(result);
  } else if (numeral->form == QF_NUMERAL_CADENTIAL) {
    set_cadential(result);
  }
  return QF_OK;
}

Sonority
sonority_of_pitches(const QfPitch* const pitches, const size_t n_pitches, const QfKey key)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  for (size_t i = 0; i < n_pitches; ++i) {
    notes[i] = qf_pitch_name(pitches[n_pitches - 1U - i]);
  }

  QfChord  chord    = {0};
  Sonority sonority = {0};
  if (qf_chord_detect(notes, n_pitches, &chord, 1)) {
    // Only a fifth on the key's own fifth degree is a dominant without its seventh saying so.
    int degree = 0;
    int alter  = 0;
    qf_key_degree_of(key, chord.root, &degree, &alter);
    const bool is_dim = chord.kind == QF_CHORD_DIMINISHED || chord.kind == QF_CHORD_DIM7;
    chord.omitted     = 0;
    if (!sonority_of_chord(chord, is_dim ? 7 : alter ? 0 : degree, &sonority)) {
      return sonority;
    }
  }

  sonority         = plain_sonority((QfChord){.root = notes[0]}, 0);
  sonority.n_tones = (int)n_pitches;
  sonority.bass    = 0;
  for (size_t i = 0; i < n_pitches; ++i) {
    sonority.tones[i].name = notes[i];
  }
  return sonority;
}
