// SPDX-License-Identifier: MIT
#include "grade_impl.h"

static bool
is_augmented_sixth(const QfChordKind kind)
{
  return kind == QF_CHORD_ITALIAN || kind == QF_CHORD_FRENCH || kind == QF_CHORD_GERMAN ||
         kind == QF_CHORD_SWISS;
}

static bool
has_same_triad(const QfChordKind a, const QfChordKind b)
{
  return qf_chord_kind_member(a, 1).semitones == qf_chord_kind_member(b, 1).semitones &&
         qf_chord_kind_member(a, 2).semitones == qf_chord_kind_member(b, 2).semitones;
}

unsigned
compare_kinds(const QfChordKind asked, const QfChordKind written)
{
  if (asked == written) {
    return 0;
  }
  const bool is_plain = !is_augmented_sixth(asked) && !is_augmented_sixth(written);
  const bool is_one_seventh =
    qf_chord_kind_has_seventh(asked) != qf_chord_kind_has_seventh(written);
  return is_plain && is_one_seventh && has_same_triad(asked, written) ? BIT(QF_ASPECT_SEVENTH)
                                                                      : BIT(QF_ASPECT_QUALITY);
}

static unsigned
pitch_classes(const QfChord chord)
{
  unsigned classes = 0;
  for (int m = 0; m < qf_chord_kind_size(chord.kind); ++m) {
    QfNoteName name = {0, 0};
    if (!qf_chord_member(chord, m, &name)) {
      classes |= BIT(qf_note_name_semitones(name));
    }
  }
  return classes;
}

bool
chords_sound_alike(const QfChord a, const QfChord b)
{
  QfNoteName bass_a = {0, 0};
  QfNoteName bass_b = {0, 0};
  return !qf_chord_bass(a, &bass_a) && !qf_chord_bass(b, &bass_b) &&
         qf_note_name_semitones(bass_a) == qf_note_name_semitones(bass_b) &&
         pitch_classes(a) == pitch_classes(b);
}

static bool
has_same_targets(const QfNumeral* const a, const QfNumeral* const b, const bool case_is_free)
{
  bool is_same = a->n_targets == b->n_targets;
  for (int i = 0; is_same && i < a->n_targets; ++i) {
    const QfTarget x = a->targets[i];
    const QfTarget y = b->targets[i];
    is_same = x.degree == y.degree && x.alter == y.alter && x.is_neapolitan == y.is_neapolitan &&
              (case_is_free || x.is_minor == y.is_minor);
  }
  return is_same;
}

/// The tonic chord over its fifth, as which a cadential six-four may be written
static bool
is_tonic_six_four(const QfNumeral* const numeral)
{
  return numeral->form == QF_NUMERAL_ROMAN && numeral->degree == 1 && numeral->alter == 0 &&
         numeral->inversion == 2 && !qf_chord_kind_has_seventh(numeral->kind);
}

/// V with the figures 6-4 over its bass, the books' other way to write it
static bool
is_dominant_six_four(const QfNumeral* const numeral)
{
  return numeral->form == QF_NUMERAL_ROMAN && numeral->degree == 5 && numeral->alter == 0 &&
         numeral->inversion == 2 && !qf_chord_kind_has_seventh(numeral->kind);
}

static bool
is_same_six_four(const QfNumeral* const a, const QfNumeral* const b)
{
  const bool is_a = a->form == QF_NUMERAL_CADENTIAL;
  const bool is_b = b->form == QF_NUMERAL_CADENTIAL;
  return (is_a && (is_tonic_six_four(b) || is_dominant_six_four(b))) ||
         (is_b && (is_tonic_six_four(a) || is_dominant_six_four(a)));
}

/// Two numerals in keys of their own
typedef struct {
  const QfNumeral* asked;
  QfChord          asked_chord;
  const QfNumeral* written;
  QfChord          written_chord;
} Two;

static unsigned
inversion_fault(const Two* const two)
{
  return two->asked->inversion == two->written->inversion ? 0U : BIT(QF_ASPECT_INVERSION);
}

/// Faults of numerals with the same head: quality, seventh, inversion
static unsigned
lesser_faults(const Two* const two)
{
  return compare_kinds(two->asked->kind, two->written->kind) | inversion_fault(two);
}

/// Compare numerals that stand in keys whose functions are the same
static unsigned
compare_heads(const QfRubric* const rubric, const Two* const two, unsigned* const equal)
{
  const QfNumeral* const asked   = two->asked;
  const QfNumeral* const written = two->written;
  const bool is_same_chord = qf_note_name_equals(two->asked_chord.root, two->written_chord.root) &&
                             two->asked_chord.kind == two->written_chord.kind;
  const bool is_same_target = has_same_targets(asked, written, rubric->case_is_free);

  if (is_same_target && is_same_six_four(asked, written)) {
    *equal |= rubric->six_four_is_equal ? BIT(QF_ASPECT_FUNCTION) : 0U;
    return rubric->six_four_is_equal ? 0U : BIT(QF_ASPECT_FUNCTION);
  }
  if (is_same_target && is_augmented_sixth(asked->kind) && is_augmented_sixth(written->kind)) {
    return asked->kind == written->kind ? 0U : BIT(QF_ASPECT_QUALITY);
  }
  if (is_same_target && is_same_chord) {
    return inversion_fault(two); // Also N6 as bII6
  }
  if (is_same_target && asked->degree == written->degree) {
    const unsigned signs = asked->alter == written->alter ? 0U : BIT(QF_ASPECT_ACCIDENTAL);
    return signs | lesser_faults(two);
  }
  if (!is_same_target && is_same_chord) {
    // II7 for V7/V: the same notes, with and without the word for what they do
    *equal |= rubric->degree_is_applied ? BIT(QF_ASPECT_TARGET) : 0U;
    return (rubric->degree_is_applied ? 0U : BIT(QF_ASPECT_TARGET)) | inversion_fault(two);
  }
  if (!is_same_target && asked->degree == written->degree && asked->alter == written->alter) {
    return BIT(QF_ASPECT_TARGET) | lesser_faults(two);
  }
  return BIT(QF_ASPECT_FUNCTION);
}

/// Share of the worth that faults of a numeral cost
static double
loss_of(const QfRubric* const rubric, const unsigned faults)
{
  double loss = 0.0;
  for (int a = 0; a < QF_ASPECT_N_KINDS; ++a) {
    loss += faults & BIT(a) ? rubric->layers[QF_LAYER_NUMERAL].losses[a] : 0.0;
  }
  return loss;
}

TypedNumeral
read_typed(const char* const text, const bool has_key, const QfKey key)
{
  TypedNumeral typed = {.has_key = has_key, .key = key};
  for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
    typed.is_read[mode] = !qf_numeral_parse(text, (QfMode)mode, &typed.numerals[mode], NULL);
  }
  return typed;
}

/// A key in which the typed numeral may be meant, and the numeral it is compared with
typedef struct {
  QfKey            written_key;
  QfKey            asked_key;
  const QfNumeral* asked;
} Reading;

/// Compare in one reading; false if the text is no numeral in it
static bool
compare_reading(const QfRubric* const     rubric,
                const Reading             reading,
                const TypedNumeral* const typed,
                NumeralFaults* const      result)
{
  const QfNumeral* const written = &typed->numerals[reading.written_key.mode];
  Two                    two     = {.asked = reading.asked, .written = written};
  *result                        = (NumeralFaults){.faults = BIT(QF_ASPECT_FUNCTION)};
  if (!typed->is_read[reading.written_key.mode]) {
    return false;
  }
  result->is_read = true;
  if (qf_numeral_chord(reading.asked, reading.asked_key, &two.asked_chord, NULL) ||
      qf_numeral_chord(written, reading.written_key, &two.written_chord, NULL)) {
    return true;
  }
  result->has_chord = true;
  result->chord     = two.written_chord;

  if (qf_key_equals(reading.asked_key, reading.written_key)) {
    result->faults = compare_heads(rubric, &two, &result->equal);
  } else if (qf_note_name_equals(two.asked_chord.root, two.written_chord.root) &&
             two.asked_chord.kind == two.written_chord.kind) {
    // The same chord, told in another key
    result->faults = (rubric->key_is_free ? 0U : BIT(QF_ASPECT_TARGET)) | inversion_fault(&two);
    result->equal  = rubric->key_is_free ? BIT(QF_ASPECT_TARGET) : 0U;
  }
  if (result->faults && rubric->enharmonic_is_equal &&
      chords_sound_alike(two.asked_chord, two.written_chord)) {
    result->equal |= BIT(QF_ASPECT_SPELLING);
    result->faults = 0;
  }
  if (rubric->case_is_free && (result->faults & BIT(QF_ASPECT_QUALITY))) {
    result->equal |= BIT(QF_ASPECT_QUALITY);
    result->faults &= ~BIT(QF_ASPECT_QUALITY);
  }
  return true;
}

NumeralFaults
compare_numeral(const QfRubric* const     rubric,
                const QfLabel* const      link,
                const QfKey* const        next,
                const TypedNumeral* const typed)
{
  // Without a key the text may mean the home key, or, where keys are free, the key of the moment.
  const bool    is_pivot    = link->is_pivot && next;
  const QfKey   other       = is_pivot ? *next : link->key;
  const bool    may_be_here = rubric->key_is_free && !typed->has_key;
  const Reading readings[]  = {
     {typed->key, link->key, &link->numeral},
     {link->key, link->key, &link->numeral},
     {typed->key, other, &link->pivot},
     {other, other, &link->pivot},
  };
  const bool is_open[] = {
    true,
    may_be_here && !qf_key_equals(typed->key, link->key),
    is_pivot,
    is_pivot && may_be_here && !qf_key_equals(typed->key, other),
  };

  NumeralFaults best = {.faults = BIT(QF_ASPECT_FUNCTION)};
  double        loss = QF_ASPECT_N_KINDS;
  for (size_t i = 0; i < sizeof(readings) / sizeof(readings[0]); ++i) {
    NumeralFaults found = {0};
    if (is_open[i] && compare_reading(rubric, readings[i], typed, &found) &&
        loss_of(rubric, found.faults) < loss) {
      best = found;
      loss = loss_of(rubric, found.faults);
    }
  }
  return best;
}
