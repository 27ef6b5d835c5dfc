// SPDX-License-Identifier: MIT
#include "labels_impl.h"
#include "words.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  LEAST_DOMINANTS = 2, // Dominants that make a chain
  LEAST_FIFTHS    = 3, // Motions by fifth that make a run
  LEAST_NEW       = 2, // Those of them in no chain of dominants
};

static bool
has_seventh(const QfLabels* const labels, const size_t index)
{
  return qf_chord_kind_has_seventh(labels->labels[index].chord.kind);
}

/// Index after a link's prolongations: the first link with another function
static size_t
after_prolongation(const QfLabels* const labels, const size_t index)
{
  size_t i = index;

  while (i + 1 < labels->n_links && labels->labels[i].resolution == QF_RESOLUTION_PROLONGED) {
    ++i;
  }
  return i + 1;
}

/// True for a dominant written as applied
static bool
is_applied(const QfLabelling* const labelling, const QfLabels* const labels, const size_t index)
{
  return qf_link_entry(labelling, &labels->links[index])->role == QF_ROLE_APPLIED;
}

/// True for a dominant that points away from the key of the whole, whatever key it is written in
static bool
points_away(const QfLabels* const labels, const size_t index)
{
  const int home = qf_note_name_fifths(labels->key.tonic);

  return !qf_roots_sound_alike(labels->links[index].target, home);
}

/// The dominant that a dominant leads to, over a plain chord on its root if there is one
static size_t
next_dominant(const QfLabelling* const labelling, const QfLabels* const labels, const size_t index)
{
  const size_t        next = after_prolongation(labels, index);
  const QfResolution  came = labels->labels[next - 1].resolution;
  const QfLink* const goal = &labels->links[next];

  if (next >= labels->n_links || goal->is_after_rest) {
    return SIZE_MAX;
  }
  if (came == QF_RESOLUTION_CHAINED ||
      (came == QF_RESOLUTION_KEPT && goal->is_dominant && is_applied(labelling, labels, next))) {
    return next;
  }

  // The plain chord of resolution may turn into the next dominant seventh on the same root.
  size_t turn = next;

  while (turn + 1 < labels->n_links && labels->links[turn].root == goal->root &&
         !has_seventh(labels, turn)) {
    ++turn;
  }

  const QfLink* const turned = &labels->links[turn];
  const bool          turns  = turned->is_dominant && turned->root == goal->root && turn > next;

  return came == QF_RESOLUTION_KEPT && turns ? turn : SIZE_MAX;
}

static void
add_link(const QfLabelling* const labelling,
         const QfLabels* const    labels,
         const size_t             index,
         const bool               with_key,
         QfText* const            text)
{
  const QfLabel* const label = &labels->labels[index];
  char                 numeral[QF_NUMERAL_TEXT_SIZE];
  char                 key[48];

  qf_numeral_write(&label->numeral, label->key.mode, numeral, sizeof(numeral));
  qf_text_add(text, numeral);
  if (with_key) {
    qf_word_key(label->key, labelling->options.naming, key, sizeof(key));
    qf_text_addf(text, " in %s", key);
  }
}

/// "from V7/iii to I", with keys where they differ
static void
add_ends(const QfLabelling* const labelling,
         const QfLabels* const    labels,
         const size_t             first,
         const size_t             last,
         QfText* const            text)
{
  const bool is_one_key = qf_key_equals(labels->labels[first].key, labels->labels[last].key);

  qf_text_add(text, "from ");
  add_link(labelling, labels, first, !is_one_key, text);
  qf_text_add(text, " to ");
  add_link(labelling, labels, last, !is_one_key, text);
}

/// Make a text a chain's name, and free it
static void
set_name(QfChain* const chain, QfText* const text)
{
  snprintf(chain->name, sizeof(chain->name), "%s", text->data ? text->data : "");
  qf_text_free(text);
}

typedef struct {
  size_t n_dominants;
  size_t n_applied; ///< By their numerals
  size_t n_away;    ///< Those that point away from the key of the whole
  size_t n_sevenths;
  size_t n_on_root; ///< Those that are not leading-tone chords
  size_t n_turns;   ///< Plain chords between dominants
} ChainCount;

/// Count a dominant with its prolongations
static void
count_dominant(const QfLabelling* const labelling,
               const QfLabels* const    labels,
               const size_t             index,
               ChainCount* const        count)
{
  const QfLink* const link       = &labels->links[index];
  bool                is_seventh = false;

  for (size_t i = index; i < after_prolongation(labels, index); ++i) {
    is_seventh = is_seventh || has_seventh(labels, i);
  }

  ++count->n_dominants;
  count->n_away += points_away(labels, index);
  count->n_applied += is_applied(labelling, labels, index);
  count->n_sevenths += is_seventh;
  count->n_on_root += link->root == link->dominant;
}

/// "Chain of 5 dominant sevenths, 4 of them applied, falling by fifths, from V7/iii to I"
static void
name_chain(const QfLabelling* const labelling,
           const QfLabels* const    labels,
           QfChain* const           chain,
           const ChainCount         count)
{
  const bool  is_sevenths = count.n_sevenths == count.n_dominants;
  const bool  is_on_root  = count.n_on_root == count.n_dominants;
  const bool  is_all      = count.n_applied == count.n_dominants;
  const bool  is_kept     = labels->labels[chain->last].resolution == QF_RESOLUTION_KEPT;
  const char* noun        = is_on_root && is_sevenths ? "dominant sevenths" : "dominants";
  QfText      text        = {0};

  if (count.n_on_root == 0) {
    noun = is_sevenths ? "leading-tone sevenths" : "leading-tone chords";
  }

  qf_text_addf(&text, "Chain of %u %s%s", (unsigned)count.n_dominants, is_all ? "applied " : "",
               noun);
  if (count.n_applied && !is_all) {
    qf_text_addf(&text, ", %u of them applied", (unsigned)count.n_applied);
  }
  qf_text_add(&text, count.n_turns ? ", plain chords between" : "");
  // The roots of leading-tone chords do not fall by fifths.
  qf_text_add(&text, is_on_root ? ", falling by fifths, " : ", each leading to the next, ");
  add_ends(labelling, labels, chain->first, is_kept ? chain->goal : chain->last, &text);
  if (chain->goal != chain->last && !is_kept) {
    qf_text_add(&text, ", then deceptively to ");
    add_link(labelling, labels, chain->goal, false, &text);
  }
  set_name(chain, &text);
}

static void
add_chain(QfLabels* const labels, const QfChain chain)
{
  labels->chains[labels->n_chains++] = chain;
}

/// Follow a chain of dominants; gives the index to go on from
static size_t
follow_dominants(const QfLabelling* const labelling, QfLabels* const labels, const size_t first)
{
  ChainCount count = {0};
  size_t     last  = first;

  count_dominant(labelling, labels, first, &count);
  for (size_t next = next_dominant(labelling, labels, first); next != SIZE_MAX;
       next        = next_dominant(labelling, labels, next)) {
    count.n_turns += next > after_prolongation(labels, last);
    last = next;
    count_dominant(labelling, labels, last, &count);
  }

  const size_t goal       = after_prolongation(labels, last);
  const size_t end        = goal - 1;
  const bool   is_arrival = labels->labels[end].resolution == QF_RESOLUTION_KEPT ||
                          labels->labels[end].resolution == QF_RESOLUTION_DECEPTIVE;
  QfChain chain = {QF_CHAIN_APPLIED, first, end, is_arrival ? goal : end, ""};

  // With plain chords between, a single dominant of another degree is everyday harmony.
  if ((count.n_turns ? count.n_away : count.n_dominants) >= LEAST_DOMINANTS) {
    name_chain(labelling, labels, &chain, count);
    add_chain(labels, chain);
    return goal;
  }
  return after_prolongation(labels, first);
}

/// True if a chain of dominants holds the step from a link to the next
static bool
is_in_chain(const QfLabels* const labels, const size_t index)
{
  for (size_t i = 0; i < labels->n_chains; ++i) {
    const QfChain* const chain = &labels->chains[i];

    if (chain->kind == QF_CHAIN_APPLIED && chain->first <= index && index < chain->goal) {
      return true;
    }
  }
  return false;
}

/// 11 for a fifth down, 1 for a fifth up, 0 for the same root, otherwise -1
static int
fifth_step(const QfLabels* const labels, const size_t index)
{
  const QfLabel* const label = &labels->labels[index];

  if (!label->has_next) {
    return -1;
  }
  // Within a scale one of the seven fifths is diminished; by letter it is a fifth all the same.
  switch (label->motion.steps % 7) {
    case 0:
      return label->motion.semitones % 12 == 0 ? 0 : -1;
    case 3:
      return label->motion.semitones <= 6 ? 11 : -1;
    case 4:
      return label->motion.semitones >= 6 ? 1 : -1;
    default:
      return -1;
  }
}

/// True if all chords of a run belong to one key as they are
static bool
is_sequence(const QfLabels* const labels, const size_t first, const size_t last)
{
  for (size_t i = first; i <= last; ++i) {
    const QfNumeral* const numeral = &labels->labels[i].numeral;
    const bool             is_leading =
      labels->labels[i].key.mode == QF_MINOR && (numeral->degree == 7 || numeral->degree == 6);

    if (!qf_key_equals(labels->labels[i].key, labels->labels[first].key) || numeral->n_targets ||
        numeral->form != QF_NUMERAL_ROMAN || (numeral->alter && !is_leading)) {
      return false;
    }
  }
  return true;
}

static void
add_run(const QfLabelling* const labelling,
        QfLabels* const          labels,
        const size_t             first,
        const size_t             last,
        const unsigned           n_roots,
        const bool               is_falling)
{
  QfChain chain = {is_falling ? QF_CHAIN_FALLING : QF_CHAIN_RISING, first, last, last, ""};
  QfText  text  = {0};

  if (is_sequence(labels, first, last)) {
    qf_text_addf(&text, "%s-fifth sequence of %u chords, ", is_falling ? "Descending" : "Ascending",
                 n_roots);
  } else {
    qf_text_addf(&text, "Run of %u roots, %s by fifths, ", n_roots,
                 is_falling ? "falling" : "rising");
  }
  add_ends(labelling, labels, first, last, &text);
  set_name(&chain, &text);
  add_chain(labels, chain);
}

static size_t
follow_fifths(const QfLabelling* const labelling,
              QfLabels* const          labels,
              const size_t             first,
              const int                direction)
{
  size_t n_motions = 0;
  size_t n_new     = 0; // Those that are not part of a chain of dominants
  size_t last      = first;
  size_t i         = first;

  for (; i + 1 < labels->n_links; ++i) {
    const int step = fifth_step(labels, i);

    if (step == direction) {
      ++n_motions;
      n_new += !is_in_chain(labels, i);
      last = i + 1;
    } else if (step != 0) {
      break;
    }
  }

  if (n_motions >= LEAST_FIFTHS && n_new >= LEAST_NEW) {
    add_run(labelling, labels, first, last, (unsigned)n_motions + 1U, direction == 11);
  }
  return i;
}

QfStatus
qf_links_chain(const QfLabelling* const labelling, QfLabels* const labels)
{
  labels->chains = (QfChain*)calloc(3 * labels->n_links + 1, sizeof(QfChain));
  if (!labels->chains) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < labels->n_links;) {
    i = labels->links[i].is_dominant ? follow_dominants(labelling, labels, i) : i + 1;
  }
  for (int direction = 1; direction <= 11; direction += 10) {
    for (size_t i = 0; i + 1 < labels->n_links;) {
      i =
        fifth_step(labels, i) == direction ? follow_fifths(labelling, labels, i, direction) : i + 1;
    }
  }
  return QF_OK;
}
