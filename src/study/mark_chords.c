// SPDX-License-Identifier: MIT
// Qualities and numerals: what is said of chords against the links of the labels.
#include "grade_impl.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

// Costs of the alignment, as for notes. Ours.
#define COST_SEVENTH 0.15
#define COST_QUALITY 0.7
#define COST_LESSER 0.2
#define COST_TARGET 0.35
#define COST_FUNCTION 0.8

/// A chord of either side
typedef struct {
  const QfLabel*       link;   ///< Of the solution
  const QfAnswerChord* answer; ///< Of the answer
  const QfKey*         next;   ///< Key of the next link
  size_t               index;  ///< Of the link
  TypedNumeral         typed;  ///< Of the answer, for numerals
  bool                 has_root;
  QfNoteName           root; ///< Of the answer's numeral in its own key
  QfTime               start;
  QfTime               end;
  double               start_s;
} Item;

typedef struct {
  const Marking* marking;
  QfLayer        layer;
  Item*          asked; ///< Owned
  size_t         n_asked;
  Item*          written; ///< Owned
  size_t         n_written;
} Sides;

static bool
has_layer(const QfAnswerChord* const chord, const QfLayer layer)
{
  return layer == QF_LAYER_QUALITY ? chord->has_kind : chord->numeral[0] != '\0';
}

static QfStatus
collect_asked(Sides* const sides)
{
  const QfLabels* const labels  = sides->marking->labels;
  const size_t          n_links = qf_labels_n_links(labels);
  sides->asked                  = (Item*)calloc(n_links + 1U, sizeof(Item));
  if (!sides->asked) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n_links; ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);
    const QfLabel* const next = i + 1U < n_links ? qf_labels_get_link(labels, i + 1U) : NULL;
    if (link->is_known) {
      sides->asked[sides->n_asked++] = (Item){.link    = link,
                                              .next    = next ? &next->key : NULL,
                                              .index   = i,
                                              .start   = link->start,
                                              .end     = link->end,
                                              .start_s = qf_time_to_double(link->start)};
    }
  }
  return QF_OK;
}

static void
read_root(Item* const item, const QfKey key)
{
  QfChord chord  = {0};
  item->typed    = read_typed(item->answer->numeral, item->answer->has_key, key);
  item->has_root = item->typed.is_read[key.mode] &&
                   !qf_numeral_chord(&item->typed.numerals[key.mode], key, &chord, NULL);
  item->root = chord.root;
}

static QfStatus
collect_written(Sides* const sides)
{
  const QfTry* const try      = sides->marking->try;
  const size_t       n_chords = try ? qf_try_n_chords(try) : 0;
  sides->written              = (Item*)calloc(n_chords + 1U, sizeof(Item));
  if (!sides->written) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n_chords; ++i) {
    const QfAnswerChord* const chord = qf_try_get_chord(try, i);
    if (!has_layer(chord, sides->layer)) {
      continue;
    }
    if (sides->n_written) {
      sides->written[sides->n_written - 1U].end = chord->start;
    }
    Item* const item = &sides->written[sides->n_written++];
    *item            = (Item){.answer  = chord,
                              .start   = chord->start,
                              .end     = qf_score_get_end(sides->marking->given),
                              .start_s = qf_time_to_double(chord->start)};
    if (sides->layer == QF_LAYER_NUMERAL) {
      read_root(item, chord->has_key ? chord->key : sides->marking->home);
    }
  }
  return QF_OK;
}

/// Faults of a written chord against an asked one
static NumeralFaults
compare(const Sides* const sides, const Item* const asked, const Item* const written)
{
  if (sides->layer == QF_LAYER_NUMERAL) {
    return compare_numeral(&sides->marking->grade->rubric, asked->link, asked->next,
                           &written->typed);
  }

  NumeralFaults result = {.faults  = compare_kinds(asked->link->chord.kind, written->answer->kind),
                          .is_read = true};
  QfChord       other  = asked->link->chord;
  other.kind           = written->answer->kind;
  other.inversion      = 0;
  QfChord root         = asked->link->chord;
  root.inversion       = 0;
  if (result.faults && sides->marking->grade->rubric.enharmonic_is_equal &&
      chords_sound_alike(root, other)) {
    result.equal  = result.faults;
    result.faults = 0;
  }
  return result;
}

/// How unlike two numerals are at a glance: alignment asks this of every pair
static double
numeral_cost(const Item* const asked, const Item* const written)
{
  const QfNumeral* const a = &asked->link->numeral;
  const QfNumeral* const b = &written->typed.numerals[asked->link->key.mode];
  if (!written->typed.is_read[asked->link->key.mode]) {
    return COST_FUNCTION;
  }
  if (a->form == QF_NUMERAL_CADENTIAL && b->inversion == 2) {
    return 0.0;
  }
  const bool is_same_target =
    a->n_targets == b->n_targets && (!a->n_targets || a->targets[0].degree == b->targets[0].degree);
  const bool is_same_kind = a->kind == b->kind && a->inversion == b->inversion;
  if (a->degree == b->degree) {
    return !is_same_target ? COST_TARGET : is_same_kind ? 0.0 : COST_LESSER;
  }
  return written->has_root && qf_note_name_equals(written->root, asked->link->chord.root)
           ? COST_TARGET
           : COST_FUNCTION;
}

static double
quality_cost(const Item* const asked, const Item* const written)
{
  const unsigned faults = compare_kinds(asked->link->chord.kind, written->answer->kind);
  return !faults ? 0.0 : faults & BIT(QF_ASPECT_SEVENTH) ? COST_SEVENTH : COST_QUALITY;
}

static double
chord_cost(const size_t a, const size_t b, const void* const data)
{
  const Sides* const sides   = (const Sides*)data;
  const Item* const  asked   = &sides->asked[a];
  const Item* const  written = &sides->written[b];
  return (sides->layer == QF_LAYER_QUALITY ? quality_cost(asked, written)
                                           : numeral_cost(asked, written)) +
         time_cost(asked->start_s, written->start_s);
}

/// What earlier chords have shown
typedef struct {
  Pace           pace;
  bool           is_paired;
  unsigned       faults;
  NumeralFaults  found;
  const QfLabel* link;
} Past;

/// True if the root moved as it should from the chord before, itself named wrongly
static bool
moved_rightly(const Past* const past, const QfLabel* const link, const NumeralFaults* const found)
{
  const unsigned names = BIT(QF_ASPECT_FUNCTION) | BIT(QF_ASPECT_TARGET);
  if (!past->is_paired || !(past->faults & names) || !past->found.has_chord || !found->has_chord) {
    return false;
  }
  const QfInterval asked   = qf_interval_between_names(past->link->chord.root, link->chord.root);
  const QfInterval written = qf_interval_between_names(past->found.chord.root, found->chord.root);
  return asked.steps == written.steps && asked.semitones == written.semitones;
}

/// Verdict of the bass at a time, or NULL
static const QfVerdict*
bass_verdict_at(const QfGrade* const grade, const QfTime start)
{
  for (size_t i = 0; i < grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &grade->verdicts[i];
    if (verdict->layer == QF_LAYER_BASS && verdict->answer_note &&
        qf_time_compare(verdict->answer_start, start) <= 0 &&
        qf_time_compare(start, verdict->answer_end) < 0) {
      return verdict;
    }
  }
  return NULL;
}

/// True if the bass was charged already and the numeral's inversion is what was written there
static bool
follows_bass(const Marking* const marking, const Item* const written, const QfChord chord)
{
  const unsigned         heard_wrongly = BIT(QF_ASPECT_PITCH) | BIT(QF_ASPECT_ACCIDENTAL);
  const QfVerdict* const verdict       = bass_verdict_at(marking->grade, written->start);
  if (!verdict || !((verdict->faults | verdict->following) & heard_wrongly)) {
    return false;
  }
  const QfNote* const note = qf_score_find_note(marking->given, verdict->answer_note, NULL);
  QfNoteName          bass = {0, 0};
  return note && !qf_chord_bass(chord, &bass) &&
         qf_note_name_equals(bass, qf_pitch_name(note->pitch));
}

/// True if the quality was charged already and the numeral only says the same
static bool
follows_quality(const Marking* const marking, const Item* const written, const QfChord chord)
{
  if (!written->answer->has_kind || written->answer->kind != chord.kind) {
    return false;
  }
  const QfVerdict* const verdict =
    qf_grade_verdict_of_chord(marking->grade, QF_LAYER_QUALITY, written->start);
  return verdict && verdict->points < verdict->possible;
}

static unsigned
following_faults(const Sides* const         sides,
                 const Past* const          past,
                 const Item* const          asked,
                 const Item* const          written,
                 const NumeralFaults* const found)
{
  const Marking* const marking = sides->marking;
  unsigned             result  = 0;
  if (sides->layer != QF_LAYER_NUMERAL || !found->has_chord) {
    return 0;
  }
  const unsigned names = BIT(QF_ASPECT_FUNCTION) | BIT(QF_ASPECT_TARGET);
  const unsigned kinds = BIT(QF_ASPECT_QUALITY) | BIT(QF_ASPECT_SEVENTH);
  if ((found->faults & names) && moved_rightly(past, asked->link, found)) {
    result |= names;
  }
  if ((found->faults & BIT(QF_ASPECT_INVERSION)) && follows_bass(marking, written, found->chord)) {
    result |= BIT(QF_ASPECT_INVERSION);
  }
  if ((found->faults & kinds) && follows_quality(marking, written, found->chord)) {
    result |= kinds;
  }
  return result & found->faults;
}

static void
name_chord(const Sides* const sides, const Item* const item, char* const buffer, const size_t size)
{
  if (sides->layer == QF_LAYER_QUALITY) {
    const QfChordKind kind = item->link ? item->link->chord.kind : item->answer->kind;
    snprintf(buffer, size, "%s", qf_chord_kind_name(kind));
    return;
  }

  const bool is_foreign =
    item->link ? !qf_key_equals(item->link->key, sides->marking->home) : item->answer->has_key;
  const QfKey key = item->link ? item->link->key : item->answer->key;
  char        text[QF_NUMERAL_TEXT_SIZE];
  char        name[16] = "";
  if (item->link) {
    qf_numeral_write(&item->link->numeral, key.mode, text, sizeof(text));
  } else {
    snprintf(text, sizeof(text), "%s", item->answer->numeral);
  }
  if (is_foreign) {
    qf_key_write_short(key, name, sizeof(name));
  }
  snprintf(buffer, size, "%s%s%s", name, is_foreign ? ": " : "", text);
}

static QfStatus
add_chord_verdict(const Sides* const sides,
                  QfVerdict          verdict,
                  const Item* const  asked,
                  const Item* const  written)
{
  const Marking* const marking = sides->marking;
  const Item* const    one     = asked ? asked : written;
  const Item* const    other   = written ? written : asked;
  char                 asked_name[128];
  char                 written_name[128];
  verdict.layer        = sides->layer;
  verdict.link         = asked ? asked->index : SIZE_MAX;
  verdict.start        = one->start;
  verdict.end          = one->end;
  verdict.answer_start = other->start;
  verdict.answer_end   = other->end;
  verdict.is_doubtful  = written && written->answer->is_doubtful;
  QfStatus st          = QF_OK;
  price_verdict(&marking->grade->rubric, &verdict);
  if (verdict.kind != QF_VERDICT_RIGHT || verdict.following) {
    name_chord(sides, one, asked_name, sizeof(asked_name));
    name_chord(sides, other, written_name, sizeof(written_name));
    st = write_reason(marking, &verdict, asked ? asked_name : NULL, written ? written_name : NULL);
  }
  return st ? st : add_verdict(marking->grade, verdict);
}

/// The chord that was asked with the quality that was written
static QfChord
quality_chord(const Item* const asked, const Item* const written)
{
  const QfChord root     = asked->link->chord;
  const bool    is_below = root.inversion < qf_chord_kind_size(written->answer->kind);
  return (QfChord){.kind      = written->answer->kind,
                   .root      = root.root,
                   .inversion = is_below ? root.inversion : (int8_t)0};
}

static QfStatus
mark_pair(const Sides* const sides,
          const Item* const  asked,
          const Item* const  written,
          Past* const        past)
{
  const bool          follows   = sides->marking->grade->rubric.follows_errors;
  const NumeralFaults found     = compare(sides, asked, written);
  bool                is_pushed = false;
  const bool          is_late =
    pace_is_fault(&past->pace, qf_time_sub(written->start, asked->start), QF_TIME_ZERO, &is_pushed);

  QfVerdict verdict = {
    .faults    = found.faults | (is_late ? BIT(QF_ASPECT_RHYTHM) : 0U),
    .equal     = found.equal,
    .following = follows ? following_faults(sides, past, asked, written, &found) : 0U,
  };
  verdict.has_chord = sides->layer == QF_LAYER_QUALITY || found.has_chord;
  verdict.chord   = sides->layer == QF_LAYER_QUALITY ? quality_chord(asked, written) : found.chord;
  past->is_paired = true;
  past->faults    = found.faults;
  past->found     = found;
  past->link      = asked->link;
  return add_chord_verdict(sides, verdict, asked, written);
}

static QfStatus
mark_alignment(const Sides* const sides, const Alignment* const alignment)
{
  Past     past = {.pace = {.shift = QF_TIME_ZERO}};
  QfStatus st   = QF_OK;
  for (size_t i = 0; !st && i < alignment->n_pairs; ++i) {
    const AlignPair   pair    = alignment->pairs[i];
    const Item* const asked   = pair.a == ALIGN_NONE ? NULL : &sides->asked[pair.a];
    const Item* const written = pair.b == ALIGN_NONE ? NULL : &sides->written[pair.b];
    if (asked && written) {
      st = mark_pair(sides, asked, written, &past);
      continue;
    }
    const QfVerdict verdict = {.kind = asked ? QF_VERDICT_MISSING : QF_VERDICT_EXTRA};
    st                      = add_chord_verdict(sides, verdict, asked, written);
    past.pace.after_gap     = true;
    past.is_paired          = false;
  }
  return st;
}

static QfStatus
mark_layer(const Marking* const marking, const QfLayer layer)
{
  Sides     sides     = {.marking = marking, .layer = layer};
  Alignment alignment = {0};
  QfStatus  st        = collect_asked(&sides);
  st                  = st ? st : collect_written(&sides);

  const AlignCosts costs = {chord_cost, &sides, ALIGN_GAP, ALIGN_GAP};
  st                     = st ? st : align(sides.n_asked, sides.n_written, costs, &alignment);
  st                     = st ? st : mark_alignment(&sides, &alignment);
  alignment_clear(&alignment);
  free(sides.asked);
  free(sides.written);
  return st;
}

QfStatus
mark_quality_layer(const Marking* const marking)
{
  return mark_layer(marking, QF_LAYER_QUALITY);
}

QfStatus
mark_numeral_layer(const Marking* const marking)
{
  return mark_layer(marking, QF_LAYER_NUMERAL);
}
