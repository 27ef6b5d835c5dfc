// SPDX-License-Identifier: MIT
#include "drill_maker.h"

#include <stdio.h>

enum {
  MOST_CHORDS = 6,
  MOST_STEPS  = 7,
};

/// Chords whose roots fall by fifths, each to the next
typedef struct {
  QfMode      mode;
  size_t      n;
  const char* numerals[MOST_STEPS];
} Circle;

// Facts of the trade: the diatonic circle without its diminished fifth, and the dominants over it.
static const Circle circles[] = {
  {QF_MAJOR, 6, {"iii", "vi", "ii", "V", "I", "IV"}},
  {QF_MINOR, 5, {"i", "iv", "VII", "III", "VI"}},
  {QF_MAJOR, 7, {"V7/iii", "V7/vi", "V7/ii", "V7/V", "V7", "V7/IV", "IV"}},
  {QF_MINOR, 5, {"V7/iv", "V7/VII", "V7/III", "V7/VI", "VI"}},
};

/// What a level draws from
typedef struct {
  size_t first; ///< Of the circles
  size_t last;
  size_t n_chords;
} CircleLevel;

static const CircleLevel levels[QF_DRILL_N_LEVELS] = {
  {0, 0, 4}, {0, 1, 4}, {2, 2, 4}, {2, 3, 4}, {2, 2, 6},
};

/// Go round the circle and break it once; gives the index of the chord that breaks it, or 0
static size_t
draw_path(DrillMaker* const maker, const Circle* const circle, const size_t n, const char** path)
{
  const size_t broken = 1U + random_below(&maker->random, n - 1U);
  const size_t start  = random_below(&maker->random, circle->n);
  const size_t jump   = random_below(&maker->random, circle->n);
  const size_t before = start + broken - 1U; // The last place before the jump
  if (before >= circle->n || jump + (n - broken) > circle->n || jump == before ||
      jump == before + 1U) {
    return 0;
  }
  for (size_t i = 0; i < n; ++i) {
    path[i] = circle->numerals[i < broken ? start + i : jump + i - broken];
  }
  return broken;
}

static bool
name_root(const DrillMaker* const maker, const char* const numeral, char buffer[DRILL_NAME_SIZE])
{
  QfNumeral parsed;
  QfChord   chord;
  if (!drill_chord_of(maker, numeral, &parsed, &chord)) {
    return false;
  }
  drill_name(maker, chord.root, buffer);
  return true;
}

/// Say what was expected and what came
static bool
explain(DrillMaker* const maker, const char* const* const path, const size_t broken)
{
  QfDrill* const drill = maker->drill;
  QfNumeral      numeral;
  QfChord        chord;
  QfNoteName     expected;
  char           from[DRILL_NAME_SIZE];
  char           to[DRILL_NAME_SIZE];
  char           name[DRILL_NAME_SIZE];
  if (!drill_chord_of(maker, path[broken - 1U], &numeral, &chord) ||
      qf_note_name_transpose(chord.root, (QfInterval){3, 5}, &expected) ||
      !name_root(maker, path[broken - 1U], from) || !name_root(maker, path[broken], to)) {
    return false;
  }
  drill_name(maker, expected, name);
  snprintf(drill->explanation, sizeof(drill->explanation),
           "After %s on %s the falling fifth would have led to %s, but chord %zu is %s on %s: it "
           "broke the circle.",
           path[broken - 1U], from, name, broken + 1U, path[broken], to);
  return true;
}

QfStatus
make_circle_drill(DrillMaker* const maker)
{
  static const char* const names[MOST_CHORDS - 1] = {"chord 2", "chord 3", "chord 4", "chord 5",
                                                     "chord 6"};
  QfDrill* const           drill                  = maker->drill;
  const CircleLevel* const level                  = &levels[drill->level - 1];
  const Circle* const      circle =
    &circles[level->first + random_below(&maker->random, level->last - level->first + 1U)];
  // The circle's mode with the drawn signature
  const QfKey drawn = draw_drill_key(maker);
  if (qf_key_from_fifths(qf_key_fifths(drawn), circle->mode, &drill->key)) {
    return QF_ERR_IMPOSSIBLE;
  }
  drill->has_prelude = true;

  const char*  path[MOST_CHORDS];
  const size_t broken = draw_path(maker, circle, level->n_chords, path);
  if (!broken || !explain(maker, path, broken)) {
    return QF_ERR_IMPOSSIBLE;
  }
  drill_set_choices(maker, names, level->n_chords - 1U, broken - 1U, level->n_chords - 1U);
  snprintf(drill->question, sizeof(drill->question),
           "The roots of these %zu chords fall by fifths, but once they do not. Which chord broke "
           "the circle?",
           level->n_chords);
  return drill_set_chain(maker, path, level->n_chords, broken);
}
