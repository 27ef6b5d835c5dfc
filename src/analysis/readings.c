// SPDX-License-Identifier: MIT
#include "labels_impl.h"
#include "weights.h"
#include "words.h"

#include "quintfall/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum {
  ROOT_BIT          = 29, // The note C in a mask of notes
  MAX_FOREIGN_NAMES = 2,  // A reading with more notes outside its chord is not worth naming
};

#define LEAST_SCORE 0.001 ///< Of a reading worth offering, relative to the chosen one

typedef struct {
  QfSpan span;
  float  cost;
} Other;

typedef struct {
  Other  others[QF_LABEL_MAX_READINGS];
  size_t n_others;
} Ranking;

static float
cost_in_place(const QfLabelling* const labelling,
              const QfLabels* const    labels,
              const size_t             index,
              const QfSpan             span)
{
  const QfPassage* const      passage = &labelling->passage;
  const QfSearchGivens* const givens  = &labelling->givens;
  const QfSpan* const         before  = index ? &labels->links[index - 1].span : NULL;
  const bool                  is_last = index + 1 == labels->n_links;

  return qf_link_cost(passage, givens, before, span) + qf_span_cost(passage, givens, span) +
         (is_last ? qf_last_cost(passage, givens, span.key, span.entry)
                  : qf_link_cost(passage, givens, &span, labels->links[index + 1].span));
}

static void
rank(Ranking* const ranking, const Other other)
{
  size_t i = ranking->n_others;

  if (i == QF_LABEL_MAX_READINGS && ranking->others[i - 1].cost <= other.cost) {
    return;
  }
  i = i < QF_LABEL_MAX_READINGS ? ranking->n_others++ : i - 1;
  for (; i > 0 && ranking->others[i - 1].cost > other.cost; --i) {
    ranking->others[i] = ranking->others[i - 1];
  }
  ranking->others[i] = other;
}

static uint64_t
sounding_mask(const QfPassage* const passage, const QfSpan span)
{
  uint64_t mask = 0;

  for (size_t c = span.first; c < span.end; ++c) {
    mask |= passage->columns[c].mask;
  }
  return mask;
}

static uint64_t
chord_mask(const int root, const QfChordKind kind)
{
  uint64_t mask = 0;

  for (int m = 0; m < qf_chord_kind_size(kind); ++m) {
    mask |= qf_note_bit(root + qf_member_fifths(kind, m));
  }
  return mask;
}

static void
rank_chord(const QfLabelling* const labelling,
           const QfLabels* const    labels,
           const size_t             index,
           const size_t             key,
           const int                root,
           const QfChordKind        kind,
           Ranking* const           ranking)
{
  const QfVocabulary* const vocabulary = &labelling->vocabularies[key % 2];
  QfSpan                    span       = labels->links[index].span;
  const QfSpan              chosen     = span;

  span.key = key;
  for (const uint16_t* e = qf_vocabulary_find(vocabulary, root - qf_tonic_of(key), kind); *e; ++e) {
    span.entry = *e;
    if (span.key == chosen.key && span.entry == chosen.entry) {
      continue;
    }

    const float cost = cost_in_place(labelling, labels, index, span);

    if (cost < QF_WEIGHT_NEVER / 2) {
      rank(ranking, (Other){span, cost});
    }
  }
}

/// Keys worth a reading: the link's own, its neighbours', and the dominant's and relative's
static size_t
keys_to_try(const QfLabelling* const labelling,
            const QfLabels* const    labels,
            const size_t             index,
            size_t                   keys[6])
{
  const size_t own          = labels->links[index].span.key;
  const size_t candidates[] = {
    index ? labels->links[index - 1].span.key : own,
    index + 1 < labels->n_links ? labels->links[index + 1].span.key : own,
    own ^ 1U,
    own + 2,
    own - 2,
  };
  size_t n = 0;

  keys[n++] = own;
  for (size_t i = 0; i < sizeof(candidates) / sizeof(candidates[0]); ++i) {
    bool is_new = candidates[i] < QF_N_KEYS && labelling->options.may_modulate;

    for (size_t k = 0; k < n; ++k) {
      is_new = is_new && keys[k] != candidates[i];
    }
    if (is_new) {
      keys[n++] = candidates[i];
    }
  }
  return n;
}

/// True for a quality that a numeral of either mode has
static bool
is_in_use(const QfLabelling* const labelling, const int kind)
{
  return labelling->vocabularies[QF_MAJOR].has_kind[kind] ||
         labelling->vocabularies[QF_MINOR].has_kind[kind];
}

static void
rank_all(const QfLabelling* const labelling,
         const QfLabels* const    labels,
         const size_t             index,
         Ranking* const           ranking)
{
  const QfSpan   span  = labels->links[index].span;
  const uint64_t heard = sounding_mask(&labelling->passage, span);
  size_t         keys[6];
  const size_t   n_keys = keys_to_try(labelling, labels, index, keys);

  uint64_t masks[QF_CHORD_N_KINDS];

  // Of every quality on the note of ROOT_BIT, to be moved to the others.
  for (int kind = 0; kind < QF_CHORD_N_KINDS; ++kind) {
    masks[kind] = is_in_use(labelling, kind)
                    ? chord_mask(ROOT_BIT + QF_FIFTHS_OF_LOWEST, (QfChordKind)kind)
                    : 0;
  }

  for (int bit = 0; bit < 64; ++bit) {
    for (int kind = 0; (heard >> (unsigned)bit & 1U) && kind < QF_CHORD_N_KINDS; ++kind) {
      const int      up      = bit - ROOT_BIT;
      const uint64_t mask    = up < 0 ? masks[kind] >> (unsigned)-up : masks[kind] << (unsigned)up;
      const int      outside = __builtin_popcountll(heard & ~mask);

      if (outside > MAX_FOREIGN_NAMES || __builtin_popcountll(heard & mask) < 2) {
        continue;
      }
      for (size_t k = 0; k < n_keys; ++k) {
        rank_chord(labelling, labels, index, keys[k], bit + QF_FIFTHS_OF_LOWEST, (QfChordKind)kind,
                   ranking);
      }
    }
  }
}

/// "; F, to which it points, follows" and the like
static void
add_pointing(const QfLabelling* const labelling,
             const QfLabels* const    labels,
             const size_t             index,
             const QfSpan             span,
             QfText* const            text)
{
  const QfEntry* const entry   = &labelling->vocabularies[span.key % 2].entries[span.entry];
  const bool           is_last = index + 1 == labels->n_links;
  QfNoteName           target  = {0, 0};
  char                 name[40];

  if ((entry->role != QF_ROLE_DOMINANT && entry->role != QF_ROLE_APPLIED) ||
      qf_note_name_from_fifths(qf_tonic_of(span.key) + entry->target, &target)) {
    return;
  }

  qf_word_note(target, labelling->options.naming, name, sizeof(name));
  const bool comes = !is_last && qf_roots_sound_alike(labels->links[index + 1].root,
                                                      qf_tonic_of(span.key) + entry->target);

  qf_text_addf(text, "; it points to %s, which %s", name, comes ? "follows" : "does not follow");
}

static void
write_reason(const QfLabelling* const labelling,
             const QfLabels* const    labels,
             const size_t             index,
             const QfSpan             span,
             QfReading* const         reading)
{
  const QfLink* const  link  = &labels->links[index];
  const QfEntry* const entry = &labelling->vocabularies[span.key % 2].entries[span.entry];
  const int            root  = qf_tonic_of(span.key) + entry->root;
  const uint64_t       heard = sounding_mask(&labelling->passage, span);
  const uint64_t       mask  = chord_mask(root, entry->kind);
  QfNoteName           name  = {0, 0};
  QfText               text  = {0};
  char                 words[120];

  qf_note_name_from_fifths(root, &name);
  if (link->root == root && qf_link_entry(labelling, link)->kind == entry->kind) {
    qf_text_add(&text, "The same notes");
  } else {
    qf_word_note(name, labelling->options.naming, words, sizeof(words));
    const char* const kind = qf_chord_kind_name(entry->kind);

    qf_text_addf(&text, "%s as root of %s %s", words, qf_word_article(kind), kind);
  }
  if (span.key != link->span.key) {
    qf_word_key(qf_key_of_index(span.key), labelling->options.naming, words, sizeof(words));
    qf_text_addf(&text, " in %s", words);
  }

  if (heard & ~mask) {
    qf_word_notes_of_mask(heard & ~mask, labelling->options.naming, words, sizeof(words));
    qf_text_addf(&text, ", with %s outside the chord", words);
  }
  if (mask & ~heard) {
    qf_word_notes_of_mask(mask & ~heard, labelling->options.naming, words, sizeof(words));
    qf_text_addf(&text, ", without %s", words);
  }
  add_pointing(labelling, labels, index, span, &text);
  qf_text_add(&text, ".");
  snprintf(reading->text, sizeof(reading->text), "%s", text.data ? text.data : "");
  qf_text_free(&text);
}

static void
fill_reading(const QfLabelling* const labelling,
             const QfLabels* const    labels,
             const size_t             index,
             const Other              other,
             const float              chosen,
             QfReading* const         reading)
{
  const QfEntry* const entry =
    &labelling->vocabularies[other.span.key % 2].entries[other.span.entry];
  const int   root = qf_tonic_of(other.span.key) + entry->root;
  const QfFit fit =
    qf_fit_of(&labelling->passage, other.span.first, other.span.end, root, entry->kind);
  const float worse = other.cost > chosen ? other.cost - chosen : 0.0F;

  reading->key               = qf_key_of_index(other.span.key);
  reading->numeral           = entry->numeral;
  reading->numeral.inversion = (int8_t)(fit.bass < 0 ? 0 : fit.bass);
  reading->score             = exp(-0.5 * (double)worse);
  write_reason(labelling, labels, index, other.span, reading);
}

void
qf_link_compare(const QfLabelling* const labelling, QfLabels* const labels, const size_t index)
{
  QfLabel* const label   = &labels->labels[index];
  Ranking        ranking = {.n_others = 0};
  double         sum     = 1.0;

  rank_all(labelling, labels, index, &ranking);
  if (!label->is_known) {
    return;
  }

  const float chosen = cost_in_place(labelling, labels, index, labels->links[index].span);

  for (size_t i = 0; i < ranking.n_others; ++i) {
    QfReading* const reading = &label->readings[label->n_readings];

    fill_reading(labelling, labels, index, ranking.others[i], chosen, reading);
    // The best come first: none after this one is better.
    if (reading->score < LEAST_SCORE) {
      memset(reading, 0, sizeof(*reading));
      break;
    }
    sum += reading->score;
    ++label->n_readings;
  }
  label->sureness = 1.0 / sum;
}
