// SPDX-License-Identifier: MIT
#include "functions.h"

#include <string.h>

enum {
  AWAY_FROM_GOAL  = 30,
  WEAK_SIX_FOUR   = 15,
  REPEATED        = 4,
  SAME_DEGREE     = 1,
  DECEPTIVE       = 3,
  TO_MEDIANT      = 8,
  ODD_START       = 6,
  PLAGAL          = 5,
  HALF            = 3,
  IMPERFECT       = 3,
  DECEPTIVE_CLOSE = 9,
  NO_CADENCE      = 25,
};

// common practice: plain triads and the dominant seventh before the rest.
static const Word major_words[] = {
  {"I", QF_VOCABULARY_DIATONIC, PART_TONIC, 0, NULL},
  {"I6", QF_VOCABULARY_DIATONIC, PART_TONIC, 1, NULL},
  {"vi", QF_VOCABULARY_DIATONIC, PART_TONIC, 2, NULL},
  {"iii", QF_VOCABULARY_DIATONIC, PART_TONIC, 6, "vi"},
  {"ii", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 2, NULL},
  {"ii6", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 1, NULL},
  {"ii7", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 3, NULL},
  {"ii65", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 2, NULL},
  {"IV", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 1, NULL},
  {"IV6", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 3, NULL},
  {"Cad64", QF_VOCABULARY_DIATONIC, PART_CADENTIAL, 1, "V"},
  {"V", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 0, NULL},
  {"V6", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 1, NULL},
  {"V7", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 1, NULL},
  {"V65", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 2, NULL},
  {"V43", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 3, "I"},
  {"V42", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 3, "I6"},
  {"viio6", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 3, "I"},
  {"vii/o7", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 5, "I"},
  {"V7/V", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "V"},
  {"V65/V", QF_VOCABULARY_APPLIED, PART_LEADING, 3, "V"},
  {"viio7/V", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "V"},
  {"V7/IV", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "IV"},
  {"V65/IV", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "IV"},
  {"V7/ii", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "ii"},
  {"V65/ii", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "ii"},
  {"V7/vi", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "vi"},
  {"V65/vi", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "vi"},
  {"iv", QF_VOCABULARY_CHROMATIC, PART_PREDOMINANT, 6, NULL},
  {"iv6", QF_VOCABULARY_CHROMATIC, PART_PREDOMINANT, 7, "V"},
  {"ii/o65", QF_VOCABULARY_CHROMATIC, PART_PREDOMINANT, 7, NULL},
  {"viio7", QF_VOCABULARY_CHROMATIC, PART_DOMINANT, 6, "I"},
  {"N6", QF_VOCABULARY_CHROMATIC, PART_LEADING, 7, "V"},
  {"It6", QF_VOCABULARY_CHROMATIC, PART_LEADING, 7, "V"},
  {"Fr43", QF_VOCABULARY_CHROMATIC, PART_LEADING, 7, "V"},
  {"Ger65", QF_VOCABULARY_CHROMATIC, PART_LEADING, 6, "Cad64"},
};

static const Word minor_words[] = {
  {"i", QF_VOCABULARY_DIATONIC, PART_TONIC, 0, NULL},
  {"i6", QF_VOCABULARY_DIATONIC, PART_TONIC, 1, NULL},
  {"VI", QF_VOCABULARY_DIATONIC, PART_TONIC, 2, NULL},
  {"III", QF_VOCABULARY_DIATONIC, PART_TONIC, 5, "VI"},
  {"iio6", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 1, NULL},
  {"ii/o7", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 4, NULL},
  {"ii/o65", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 2, NULL},
  {"iv", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 1, NULL},
  {"iv6", QF_VOCABULARY_DIATONIC, PART_PREDOMINANT, 3, NULL},
  {"Cad64", QF_VOCABULARY_DIATONIC, PART_CADENTIAL, 1, "V"},
  {"V", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 0, NULL},
  {"V6", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 1, NULL},
  {"V7", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 1, NULL},
  {"V65", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 2, NULL},
  {"V43", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 3, "i"},
  {"V42", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 3, "i6"},
  {"viio6", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 3, "i"},
  {"viio7", QF_VOCABULARY_DIATONIC, PART_DOMINANT, 3, "i"},
  {"VII", QF_VOCABULARY_DIATONIC, PART_LEADING, 5, "III"},
  {"V7/V", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "V"},
  {"V65/V", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "V"},
  {"viio7/V", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "V"},
  {"V7/iv", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "iv"},
  {"V65/iv", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "iv"},
  {"V7/III", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "III"},
  {"V65/III", QF_VOCABULARY_APPLIED, PART_LEADING, 4, "III"},
  {"V7/VI", QF_VOCABULARY_APPLIED, PART_LEADING, 5, "VI"},
  {"N6", QF_VOCABULARY_CHROMATIC, PART_LEADING, 5, "V"},
  {"It6", QF_VOCABULARY_CHROMATIC, PART_LEADING, 6, "V"},
  {"Fr43", QF_VOCABULARY_CHROMATIC, PART_LEADING, 6, "V"},
  {"Ger65", QF_VOCABULARY_CHROMATIC, PART_LEADING, 5, "Cad64"},
};

// common practice: tonic to anything, predominant to dominant, dominant to tonic.
static const int step_costs[PART_N_KINDS][PART_N_KINDS] = {
  [PART_TONIC] = {2, 0, 1, 3, 2},      [PART_PREDOMINANT] = {6, 2, 0, 0, 3},
  [PART_DOMINANT] = {0, 10, 2, 20, 8}, [PART_CADENTIAL] = {30, 30, 0, 30, 30},
  [PART_LEADING] = {0, 0, 0, 0, 0},
};

const Word*
function_words(const QfMode mode, size_t* const n_words)
{
  *n_words = mode == QF_MAJOR ? sizeof(major_words) / sizeof(major_words[0])
                              : sizeof(minor_words) / sizeof(minor_words[0]);
  return mode == QF_MAJOR ? major_words : minor_words;
}

/// A numeral without its figures
static size_t
head_length(const char* const numeral)
{
  return strcspn(numeral, "o/0123456789");
}

static bool
has_head(const Word* const word, const char* const head)
{
  const size_t length = head_length(word->numeral);
  return word->part != PART_LEADING && length == head_length(head) &&
         !strncmp(word->numeral, head, length);
}

/// A goal with figures is meant as it stands, one without in any inversion
static bool
is_goal(const Word* const word, const char* const goal)
{
  return goal[head_length(goal)] ? !strcmp(word->numeral, goal) : has_head(word, goal);
}

static bool
is_root_position(const Word* const word, const char* const head)
{
  const char* const figures = word->numeral + head_length(word->numeral);
  return has_head(word, head) && (!*figures || !strcmp(figures, "7"));
}

static bool
is_tonic(const Word* const word)
{
  return is_root_position(word, "I") || is_root_position(word, "i");
}

static bool
is_submediant(const Word* const word)
{
  return has_head(word, "vi") || has_head(word, "VI");
}

int
function_start_cost(const Word* const first)
{
  return is_tonic(first) ? 0 : has_head(first, "V") ? ODD_START / 2 : ODD_START;
}

int
function_step_cost(const Word* const from, const Word* const to, const bool is_weaker)
{
  int cost = to->cost + step_costs[from->part][to->part];
  if (from == to) {
    cost += REPEATED;
  } else if (has_head(from, to->numeral) && has_head(to, from->numeral)) {
    return to->cost + SAME_DEGREE;
  }
  if (from->goal && !is_goal(to, from->goal)) {
    cost += AWAY_FROM_GOAL;
  }
  if (from->part == PART_CADENTIAL && !is_weaker) {
    cost += WEAK_SIX_FOUR;
  }
  if (from->part == PART_DOMINANT && is_submediant(to)) {
    cost += DECEPTIVE;
  } else if (from->part == PART_DOMINANT && (has_head(to, "iii") || has_head(to, "III"))) {
    cost += TO_MEDIANT;
  }
  return cost;
}

int
function_cadence_cost(const Word* const from, const Word* const to, const bool is_last)
{
  const bool has_dominant = is_root_position(from, "V");
  if (is_tonic(to)) {
    return has_dominant                     ? 0
           : from->part == PART_DOMINANT    ? IMPERFECT
           : from->part == PART_PREDOMINANT ? PLAGAL
                                            : NO_CADENCE;
  }
  if (!is_last && !strcmp(to->numeral, "V")) {
    return HALF;
  }
  return has_dominant && is_submediant(to) ? DECEPTIVE_CLOSE + (is_last ? NO_CADENCE : 0)
                                           : NO_CADENCE + (is_last ? NO_CADENCE : 0);
}
