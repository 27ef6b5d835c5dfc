// SPDX-License-Identifier: MIT
#include "labels_impl.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  LEAST_DOMINANTS = 2,                         // Dominants that make a chain
  LEAST_FIFTHS    = 3,                         // Motions by fifth that make a run
  LINK_SIZE       = QF_NUMERAL_TEXT_SIZE + 24, // A numeral, and its key
  ENDS_SIZE       = 84,
};

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

/// True for a dominant that points away from the key of the whole, whatever key it is written in
static bool
is_applied(const QfLabels* const labels, const size_t index)
{
  const int home = qf_note_name_fifths(labels->key.tonic);

  return !qf_roots_sound_alike(labels->links[index].target, home);
}

/// The dominant that a dominant leads to, over a plain chord on its root if there is one
static size_t
next_dominant(const QfLabels* const labels, const size_t index)
{
  const size_t        next = after_prolongation(labels, index);
  const QfResolution  came = labels->labels[next - 1].resolution;
  const QfLink* const goal = &labels->links[next];

  if (next >= labels->n_links) {
    return SIZE_MAX;
  }
  // A plain home dominant is where an applied one arrives, not a further link of a chain.
  const bool is_applied_triad = goal->is_dominant && is_applied(labels, next);

  if (came == QF_RESOLUTION_CHAINED || (came == QF_RESOLUTION_KEPT && is_applied_triad)) {
    return next;
  }

  // The plain chord of resolution may turn into the next dominant on the same root.
  size_t turn = next;

  while (turn + 1 < labels->n_links && labels->links[turn].root == goal->root &&
         !labels->links[turn].is_dominant) {
    ++turn;
  }

  const QfLink* const turned = &labels->links[turn];
  const bool          turns  = turned->is_dominant && turned->root == goal->root;

  return came == QF_RESOLUTION_KEPT && turns ? turn : SIZE_MAX;
}

static void
write_link(const QfLabels* const labels,
           const size_t          index,
           const bool            with_key,
           char* const           buffer,
           const size_t          size)
{
  const QfLabel* const label = &labels->labels[index];
  char                 text[QF_NUMERAL_TEXT_SIZE];
  char                 key[16];

  qf_numeral_write(&label->numeral, label->key.mode, text, sizeof(text));
  qf_key_write(label->key, key, sizeof(key));
  snprintf(buffer, size, "%s%s%s", text, with_key ? " in " : "", with_key ? key : "");
}

/// "from V7/iii to I", with keys where they differ
static void
write_ends(const QfLabels* const labels,
           const QfChain* const  chain,
           char* const           buffer,
           size_t                size)
{
  const bool is_one_key =
    qf_key_equals(labels->labels[chain->first].key, labels->labels[chain->goal].key);
  char from[LINK_SIZE];
  char to[LINK_SIZE];

  write_link(labels, chain->first, !is_one_key, from, sizeof(from));
  write_link(labels, chain->goal, !is_one_key, to, sizeof(to));
  snprintf(buffer, size, "from %.36s to %.36s", from, to);
}

typedef struct {
  size_t n_dominants;
  size_t n_applied;
  size_t n_sevenths;
  size_t n_on_root; ///< Those that are not leading-tone chords
  size_t n_turns;   ///< Plain chords between dominants
} ChainCount;

/// Count a dominant with its prolongations
static void
count_dominant(const QfLabels* const labels, const size_t index, ChainCount* const count)
{
  const QfLink* const link        = &labels->links[index];
  bool                has_seventh = false;

  for (size_t i = index; i < after_prolongation(labels, index); ++i) {
    has_seventh = has_seventh || qf_chord_kind_has_seventh(labels->labels[i].chord.kind);
  }

  ++count->n_dominants;
  count->n_applied += is_applied(labels, index);
  count->n_sevenths += has_seventh;
  count->n_on_root += link->root == link->dominant;
}

static void
name_applied(const QfLabels* const labels, QfChain* const chain, const ChainCount count)
{
  const bool  is_applied_named = count.n_applied >= LEAST_DOMINANTS;
  const bool  is_sevenths      = count.n_sevenths == count.n_dominants;
  const bool  is_leading       = count.n_on_root == 0;
  const char* noun             = is_sevenths ? "sevenths" : "dominants";
  char        ends[ENDS_SIZE];

  if (is_leading) {
    noun = is_sevenths ? "leading-tone sevenths" : "leading-tone chords";
  }

  write_ends(labels, chain, ends, sizeof(ends));
  if (is_applied_named) {
    snprintf(chain->name, sizeof(chain->name), "Chain of %u applied %s, falling by fifths, %s",
             (unsigned)count.n_applied, noun, ends);
  } else {
    snprintf(chain->name, sizeof(chain->name), "Chain of %u %s%s, falling by fifths, %s",
             (unsigned)count.n_dominants, is_sevenths && !is_leading ? "dominant " : "", noun,
             ends);
  }
}

static void
add_chain(QfLabels* const labels, const QfChain chain)
{
  labels->chains[labels->n_chains++] = chain;
}

/// Follow a chain of dominants; gives the index to go on from
static size_t
follow_dominants(QfLabels* const labels, const size_t first)
{
  ChainCount count = {0};
  size_t     last  = first;

  count_dominant(labels, first, &count);
  for (size_t next = next_dominant(labels, first); next != SIZE_MAX;
       next        = next_dominant(labels, next)) {
    count.n_turns += next > after_prolongation(labels, last);
    last = next;
    count_dominant(labels, last, &count);
  }

  const size_t goal       = after_prolongation(labels, last);
  const size_t end        = goal - 1;
  const bool   is_arrival = labels->labels[end].resolution == QF_RESOLUTION_KEPT ||
                          labels->labels[end].resolution == QF_RESOLUTION_DECEPTIVE;
  QfChain chain = {QF_CHAIN_APPLIED, first, end, is_arrival ? goal : end, ""};

  // With plain chords between, a single applied dominant is everyday harmony and no chain.
  if ((count.n_turns ? count.n_applied : count.n_dominants) >= LEAST_DOMINANTS) {
    name_applied(labels, &chain, count);
    add_chain(labels, chain);
    return goal;
  }
  return after_prolongation(labels, first);
}

static bool
is_covered(const QfLabels* const labels, const size_t first, const size_t last)
{
  for (size_t i = 0; i < labels->n_chains; ++i) {
    const QfChain* const chain = &labels->chains[i];

    if (chain->kind == QF_CHAIN_APPLIED && chain->first <= first && chain->goal >= last) {
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

static size_t
follow_fifths(QfLabels* const labels, const size_t first, const int direction)
{
  size_t n_motions = 0;
  size_t last      = first;
  size_t i         = first;

  for (; i + 1 < labels->n_links; ++i) {
    const int step = fifth_step(labels, i);

    if (step == direction) {
      ++n_motions;
      last = i + 1;
    } else if (step != 0) {
      break;
    }
  }

  if (n_motions >= LEAST_FIFTHS && !is_covered(labels, first, last)) {
    const bool is_falling = direction == 11;
    QfChain    chain = {is_falling ? QF_CHAIN_FALLING : QF_CHAIN_RISING, first, last, last, ""};
    char       ends[ENDS_SIZE];

    write_ends(labels, &chain, ends, sizeof(ends));
    snprintf(chain.name, sizeof(chain.name), "Run of %u roots, %s by fifths, %s",
             (unsigned)n_motions + 1U, is_falling ? "falling" : "rising", ends);
    add_chain(labels, chain);
  }
  return i;
}

QfStatus
qf_links_chain(const QfLabelling* const labelling, QfLabels* const labels)
{
  (void)labelling;
  labels->chains = (QfChain*)calloc(3 * labels->n_links + 1, sizeof(QfChain));
  if (!labels->chains) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < labels->n_links;) {
    i = labels->links[i].is_dominant ? follow_dominants(labels, i) : i + 1;
  }
  for (int direction = 1; direction <= 11; direction += 10) {
    for (size_t i = 0; i + 1 < labels->n_links;) {
      i = fifth_step(labels, i) == direction ? follow_fifths(labels, i, direction) : i + 1;
    }
  }
  return QF_OK;
}
