// SPDX-License-Identifier: MIT
#include "reason.h"

#include "resolve.h"

#include <stdio.h>

enum { NAME_SIZE = 40 };

static void
write_degree(const QfKey        key,
             const int          degree,
             const int          alter,
             const QfNamingKind naming,
             char               text[NAME_SIZE])
{
  QfNoteName name = {0, 0};
  snprintf(text, NAME_SIZE, "?");
  if (!qf_key_degree(key, degree, alter, &name)) {
    qf_note_name_spell_out(name, naming, text, NAME_SIZE);
  }
}

/// The leading tone of a key and its tonic
static void
write_leading(const QfKey        key,
              const QfNamingKind naming,
              char               leading[NAME_SIZE],
              char               tonic[NAME_SIZE])
{
  write_degree(key, 7, key.mode == QF_MINOR, naming, leading);
  write_degree(key, 1, 0, naming, tonic);
}

/// The augmented sixth of a key, its lower and its upper note, and the dominant between them
static void
write_sixth(const QfKey        key,
            const QfNamingKind naming,
            char               low[NAME_SIZE],
            char               high[NAME_SIZE],
            char               dominant[NAME_SIZE])
{
  write_degree(key, 6, key.mode == QF_MINOR ? 0 : -1, naming, low);
  write_degree(key, 4, 1, naming, high);
  write_degree(key, 5, 0, naming, dominant);
}

static void
write_kept(const QfLink* const         from,
           const Expectation* const    expected,
           const QfContinuation* const to,
           const QfNamingKind          naming,
           char* const                 text,
           const size_t                size)
{
  char a[NAME_SIZE];
  char b[NAME_SIZE];
  char c[NAME_SIZE];

  if (expected->is_dominant) {
    write_leading(expected->target, naming, a, b);
    if (to->numeral.form == QF_NUMERAL_CADENTIAL) {
      snprintf(text, size, "The expected %s comes as the bass of the cadential six-four.", b);
    } else {
      snprintf(text, size, "The expected resolution: the leading tone %s goes to %s.", a, b);
    }
  } else if (from->numeral.form == QF_NUMERAL_CADENTIAL) {
    snprintf(text, size, "The sixth and the fourth over the bass fall to the dominant's tones.");
  } else if (from->numeral.form == QF_NUMERAL_NEAPOLITAN) {
    write_degree(expected->target, 2, -1, naming, a);
    write_degree(expected->target, 5, 0, naming, b);
    snprintf(text, size,
             "The lowered second degree %s has prepared the dominant on %s, and that comes.", a, b);
  } else {
    write_sixth(expected->target, naming, a, b, c);
    snprintf(text, size, "The augmented sixth %s\u2013%s opens to the dominant's %s.", a, b, c);
  }
}

/// What a chromatic chord, or the cadential six-four, is for; false for other chords
static bool
write_stock(const QfContinuation* const to,
            const QfKey                 key,
            const QfNamingKind          naming,
            char* const                 text,
            const size_t                size)
{
  const Expectation next = expectation_of(&to->numeral, key);
  char              a[NAME_SIZE];
  char              b[NAME_SIZE];
  char              c[NAME_SIZE];

  if (to->numeral.form == QF_NUMERAL_CADENTIAL) {
    write_degree(next.target, 5, 0, naming, a);
    snprintf(text, size, "Holds the dominant back over its own bass %s, and so announces it.", a);
    return true;
  }
  switch (to->stock) {
    case QF_STOCK_APPLIED:
      write_leading(next.target, naming, a, b);
      if (next.is_dominant) {
        snprintf(text, size, "Its leading tone %s makes %s sound like a goal.", a, b);
      } else {
        snprintf(text, size, "Belongs to the key in which %s is the tonic.", b);
      }
      return true;
    case QF_STOCK_MIXTURE:
      write_degree(key, 1, 0, naming, a);
      snprintf(text, size, "Borrowed from %s %s: the colour of the parallel key.", a,
               key.mode == QF_MAJOR ? "minor" : "major");
      return true;
    case QF_STOCK_NEAPOLITAN:
      write_degree(key, 2, -1, naming, a);
      write_degree(key, 5, 0, naming, b);
      snprintf(text, size,
               "A major triad on the lowered second degree %s, which prepares the dominant on %s.",
               a, b);
      return true;
    case QF_STOCK_AUGMENTED_SIXTH:
      write_sixth(key, naming, a, b, c);
      snprintf(text, size, "Its augmented sixth %s\u2013%s presses outwards to the dominant's %s.",
               a, b, c);
      return true;
    case QF_STOCK_DIATONIC:
    case QF_STOCK_N_KINDS:
      break;
  }
  return false;
}

// common practice: what the functions do to each other in a phrase.
static const char* const pairs[][3] = {
  [QF_FUNCTION_TONIC]       = {"The tonic goes on in another colour.",
                               "Leaves the tonic and prepares the dominant.",
                               "Goes from the tonic to the dominant at once."},
  [QF_FUNCTION_PREDOMINANT] = {"A plagal step: back to the tonic without the dominant.",
                               "The dominant goes on being prepared.",
                               "The dominant that was prepared comes."},
  [QF_FUNCTION_DOMINANT]    = {"Without a leading tone nothing presses: the line goes on.",
                               "Without a leading tone the dominant may step back.",
                               "The dominant wins its force."},
};

static bool
is_same_chord(const QfNumeral* const a, const QfNumeral* const b)
{
  return a->form == b->form && a->degree == b->degree && a->alter == b->alter &&
         a->n_targets == b->n_targets && a->n_targets == 0;
}

void
reason_write(const QfLink* const         from,
             const QfContinuation* const to,
             const QfNamingKind          naming,
             char* const                 text,
             const size_t                size)
{
  const Expectation expected = expectation_of(&from->numeral, from->key);
  const Expectation next     = expectation_of(&to->numeral, from->key);
  const QfFunction  here     = qf_numeral_function(&from->numeral);
  char              awaited[NAME_SIZE];
  char              goal[NAME_SIZE];
  char              root[NAME_SIZE];

  qf_note_name_spell_out(expected.root, naming, awaited, sizeof(awaited));
  qf_note_name_spell_out(next.root, naming, goal, sizeof(goal));
  qf_note_name_spell_out(to->chord.root, naming, root, sizeof(root));

  switch (to->resolution) {
    case QF_RESOLUTION_KEPT:
      write_kept(from, &expected, to, naming, text, size);
      return;
    case QF_RESOLUTION_CHAINED:
      snprintf(text, size,
               to->numeral.degree == 5
                 ? "%s comes as expected, but as a dominant seventh: now %s is expected."
                 : "A chord in the place of a dominant on %s comes: now %s is expected.",
               awaited, goal);
      return;
    case QF_RESOLUTION_DEFLECTED:
      snprintf(text, size, "Turns aside: %s was expected, and now %s is.", awaited, goal);
      return;
    case QF_RESOLUTION_DECEPTIVE:
      snprintf(text, size, "A deceptive turn: %s was expected, and a chord on %s comes.", awaited,
               root);
      return;
    case QF_RESOLUTION_PROLONGED:
      snprintf(text, size, "The same function goes on; %s is still expected.", awaited);
      return;
    case QF_RESOLUTION_NONE:
    case QF_RESOLUTION_OPEN:
      break;
  }

  if (is_same_chord(&from->numeral, &to->numeral)) {
    snprintf(text, size, "The same degree in another position or with another note.");
  } else if (!write_stock(to, from->key, naming, text, size)) {
    const bool is_inside = here == QF_FUNCTION_APPLIED || to->function == QF_FUNCTION_APPLIED;
    snprintf(text, size, "%s",
             is_inside ? "Returns from a degree's own key to the key of the passage."
                       : pairs[here][to->function]);
  }
}
