// SPDX-License-Identifier: MIT
// Bass, soprano and inner voices: notes against notes.
#include "grade_impl.h"

#include <stdio.h>
#include <stdlib.h>

/// A note with what the alignment asks of it again and again
typedef struct {
  const QfNote* note;
  int           step;
  int           midi;
  double        start_s; ///< In whole notes
  bool          is_degree_only;
} Item;

typedef struct {
  Item*  items; ///< Owned
  size_t n_items;
} Items;

/// Both sides of an alignment
typedef struct {
  const Items* asked;
  const Items* written;
} Sides;

// Costs of the alignment; what is less alike is more likely another note. Ours: chosen so that a
// wrong note at its time is one error, and a wrong note at another time is two.
#define COST_OCTAVE 0.15
#define COST_SPELLING 0.2
#define COST_ACCIDENTAL 0.3
#define COST_NEIGHBOUR 0.65
#define COST_OTHER 0.8

/// A note of which only the degree was told is meant in the octave nearest to the one asked
static Item
as_meant(const Item* const asked, Item written)
{
  const int up = written.is_degree_only ? asked->step - written.step : 0;
  // Whole octaves, rounded to the nearest: at most a fourth away
  const int octaves = (up >= 0 ? up + 3 : up - 3) / 7;
  written.step += 7 * octaves;
  written.midi += 12 * octaves;
  return written;
}

static double
pitch_cost(const Item* const a, const Item* const b)
{
  const int steps = abs(a->step - b->step);
  if (a->note->pitch.letter == b->note->pitch.letter) {
    const double octave = steps ? COST_OCTAVE : 0.0;
    return a->note->pitch.alter == b->note->pitch.alter ? octave : COST_ACCIDENTAL + octave;
  }
  if ((a->midi - b->midi) % 12 == 0) {
    return COST_SPELLING;
  }
  return steps == 1 ? COST_NEIGHBOUR : COST_OTHER;
}

static double
note_cost(const size_t a, const size_t b, const void* const data)
{
  const Sides* const sides = (const Sides*)data;
  const Item* const  x     = &sides->asked->items[a];
  const Item* const  y     = &sides->written->items[b];
  const double       time  = time_cost(x->start_s, y->start_s);
  if (time >= ALIGN_NEVER) {
    return time;
  }
  const Item meant = as_meant(x, *y);
  return pitch_cost(x, &meant) + time;
}

bool
voice_of_layer(const QfScore* const score,
               const QfLayer        layer,
               const size_t         index,
               size_t* const        voice)
{
  const size_t n_voices = qf_score_n_voices(score);
  switch (layer) {
    case QF_LAYER_SOPRANO:
      *voice = 0;
      return index == 0 && n_voices > 0;
    case QF_LAYER_BASS:
      *voice = n_voices - 1U;
      return index == 0 && n_voices > 1;
    default:
      *voice = index + 1U;
      return index + 2U < n_voices;
  }
}

static QfStatus
items_of(const Marking* const marking,
         const QfScore* const score,
         const size_t         voice,
         const bool           is_solution,
         Items* const         result)
{
  const size_t n_notes = qf_score_n_notes(score, voice);
  result->items        = (Item*)calloc(n_notes + 1U, sizeof(Item));
  if (!result->items) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n_notes; ++i) {
    const QfNote* const note     = qf_score_get_note(score, voice, i);
    const bool          is_given = is_solution ? qf_lesson_is_given(marking->lesson, note->id)
                                               : qf_try_is_given(marking->try, note->id);
    if (!is_given) {
      result->items[result->n_items++] =
        (Item){note, qf_pitch_step(note->pitch), qf_pitch_midi(note->pitch),
               qf_time_to_double(note->start),
               !is_solution && qf_try_is_degree_only(marking->try, note->id)};
    }
  }
  return QF_OK;
}

/// Differences of pitch as bits of aspects
static unsigned
pitch_faults(const Item* const asked, const Item* const written)
{
  const bool is_octave = asked->step != written->step;
  if (asked->note->pitch.letter == written->note->pitch.letter) {
    return (is_octave ? BIT(QF_ASPECT_OCTAVE) : 0U) |
           (asked->note->pitch.alter == written->note->pitch.alter ? 0U
                                                                   : BIT(QF_ASPECT_ACCIDENTAL));
  }
  if ((asked->midi - written->midi) % 12 == 0) {
    return BIT(QF_ASPECT_SPELLING) | (asked->midi != written->midi ? BIT(QF_ASPECT_OCTAVE) : 0U);
  }
  return BIT(QF_ASPECT_PITCH);
}

/// What earlier notes of the voice have shown
typedef struct {
  Pace     pace;
  bool     is_paired; ///< The note before was there on both sides
  unsigned faults;    ///< Of the note before, following ones among them
  int      steps;     ///< By which the note before was too high
  QfTime   length_error;
  size_t   bar;                           ///< Bar of the accidentals charged
  unsigned letters[2 * QF_MAX_ALTER + 1]; ///< By alteration written: bits of letters charged
} Past;

/// Which faults follow from errors that were charged before
static unsigned
following_faults(const Past* const past,
                 const Item* const asked,
                 const Item* const written,
                 const unsigned    faults,
                 const size_t      bar)
{
  const int      steps  = written->step - asked->step;
  unsigned       result = 0;
  const unsigned letter = BIT(written->note->pitch.letter);
  const int      alter  = written->note->pitch.alter + QF_MAX_ALTER;

  if (past->is_paired && past->steps == steps && steps != 0) {
    result |= faults & past->faults & (BIT(QF_ASPECT_OCTAVE) | BIT(QF_ASPECT_PITCH));
  }
  // An accidental holds for its bar, and so does the lack of it.
  if (past->bar == bar && (past->letters[alter] & letter)) {
    result |= faults & BIT(QF_ASPECT_ACCIDENTAL);
  }
  return result;
}

static void
remember(Past* const       past,
         const Item* const asked,
         const Item* const written,
         const unsigned    faults,
         const size_t      bar)
{
  past->is_paired    = true;
  past->faults       = faults;
  past->steps        = written->step - asked->step;
  past->length_error = qf_time_sub(written->note->duration, asked->note->duration);
  if (past->bar != bar) {
    past->bar = bar;
    for (int i = 0; i <= 2 * QF_MAX_ALTER; ++i) {
      past->letters[i] = 0;
    }
  }
  if (faults & BIT(QF_ASPECT_ACCIDENTAL)) {
    past->letters[written->note->pitch.alter + QF_MAX_ALTER] |= BIT(written->note->pitch.letter);
  }
}

static void
name_pitch(const Marking* const marking,
           const QfNote* const  note,
           char* const          buffer,
           const size_t         size)
{
  char name[40];
  qf_note_name_spell_out(qf_pitch_name(note->pitch), marking->naming, name, sizeof(name));
  snprintf(buffer, size, "%s%d", name, note->pitch.octave);
}

static QfStatus
add_note_verdict(const Marking* const marking,
                 QfVerdict            verdict,
                 const QfNote* const  asked,
                 const QfNote* const  written)
{
  const QfNote* const one   = asked ? asked : written;
  const QfNote* const other = written ? written : asked;
  char                asked_name[64];
  char                written_name[64];
  verdict.note         = asked ? asked->id : QF_NO_NOTE;
  verdict.answer_note  = written ? written->id : QF_NO_NOTE;
  verdict.link         = SIZE_MAX;
  verdict.start        = one->start;
  verdict.end          = qf_time_add(one->start, one->duration);
  verdict.answer_start = other->start;
  verdict.answer_end   = qf_time_add(other->start, other->duration);
  verdict.is_doubtful  = written && qf_try_is_doubtful(marking->try, written->id);
  QfStatus st          = QF_OK;
  price_verdict(&marking->grade->rubric, &verdict);
  if (verdict.kind != QF_VERDICT_RIGHT || verdict.following) {
    name_pitch(marking, one, asked_name, sizeof(asked_name));
    name_pitch(marking, other, written_name, sizeof(written_name));
    st = write_reason(marking, &verdict, asked ? asked_name : NULL, written ? written_name : NULL);
  }
  return st ? st : add_verdict(marking->grade, verdict);
}

static QfStatus
mark_pair(const Marking* const marking,
          const QfLayer        layer,
          const size_t         voice,
          const Item* const    asked,
          const Item* const    item,
          Past* const          past)
{
  const Item        meant     = as_meant(asked, *item);
  const Item* const written   = &meant;
  const bool        follows   = marking->grade->rubric.follows_errors;
  const size_t      bar       = qf_score_bar_at(marking->score, asked->note->start);
  const unsigned    faults    = pitch_faults(asked, written);
  unsigned          following = follows ? following_faults(past, asked, written, faults, bar) : 0U;

  const QfTime offset       = qf_time_sub(written->note->start, asked->note->start);
  bool         is_pushed    = false;
  const bool   is_displaced = pace_is_fault(
      &past->pace, offset, past->is_paired ? past->length_error : QF_TIME_ZERO, &is_pushed);
  const bool     is_longer = qf_time_compare(written->note->duration, asked->note->duration) != 0;
  const unsigned rhythm    = is_displaced || is_longer ? BIT(QF_ASPECT_RHYTHM) : 0U;
  if (follows && is_pushed && !is_longer) {
    following |= rhythm;
  }
  remember(past, asked, written, faults, bar);

  const QfVerdict verdict = {
    .layer = layer, .voice = (uint8_t)voice, .faults = faults | rhythm, .following = following};
  QfNote named       = *written->note;
  named.pitch.octave = (int8_t)(named.pitch.octave + (written->step - item->step) / 7);
  return add_note_verdict(marking, verdict, asked->note, &named);
}

static QfStatus
mark_alignment(const Marking* const   marking,
               const QfLayer          layer,
               const size_t           voice,
               const Sides* const     sides,
               const Alignment* const alignment)
{
  Past     past = {.pace = {.shift = QF_TIME_ZERO}, .length_error = QF_TIME_ZERO, .bar = SIZE_MAX};
  QfStatus st   = QF_OK;
  for (size_t i = 0; !st && i < alignment->n_pairs; ++i) {
    const AlignPair   pair    = alignment->pairs[i];
    const Item* const asked   = pair.a == ALIGN_NONE ? NULL : &sides->asked->items[pair.a];
    const Item* const written = pair.b == ALIGN_NONE ? NULL : &sides->written->items[pair.b];
    if (asked && written) {
      st = mark_pair(marking, layer, voice, asked, written, &past);
      continue;
    }
    const QfVerdict verdict = {.layer = layer,
                               .voice = (uint8_t)voice,
                               .kind  = asked ? QF_VERDICT_MISSING : QF_VERDICT_EXTRA};
    st                      = add_note_verdict(marking, verdict, asked ? asked->note : NULL,
                          written ? written->note : NULL);
    past.pace.after_gap     = true;
    past.is_paired          = false;
  }
  return st;
}

static QfStatus
mark_voice(const Marking* const marking, const QfLayer layer, const size_t index)
{
  size_t   voice   = 0;
  size_t   answer  = 0;
  Items    asked   = {0};
  Items    written = {0};
  QfStatus st      = QF_OK;
  if (!voice_of_layer(marking->score, layer, index, &voice)) {
    return QF_OK;
  }
  st = items_of(marking, marking->score, voice, true, &asked);
  if (!st && marking->given && voice_of_layer(marking->given, layer, index, &answer)) {
    st = items_of(marking, marking->given, answer, false, &written);
  }

  const Sides      sides     = {&asked, &written};
  const AlignCosts costs     = {note_cost, &sides, ALIGN_GAP, ALIGN_GAP};
  Alignment        alignment = {0};
  st                         = st ? st : align(asked.n_items, written.n_items, costs, &alignment);
  st                         = st ? st : mark_alignment(marking, layer, voice, &sides, &alignment);
  alignment_clear(&alignment);
  free(asked.items);
  free(written.items);
  return st;
}

QfStatus
mark_note_layer(const Marking* const marking, const QfLayer layer)
{
  const size_t n_voices = layer == QF_LAYER_INNER ? qf_score_n_voices(marking->score) : 1U;
  QfStatus     st       = QF_OK;
  for (size_t i = 0; !st && i < n_voices; ++i) {
    st = mark_voice(marking, layer, i);
  }
  return st;
}
