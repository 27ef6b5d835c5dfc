// SPDX-License-Identifier: MIT
#include "drill_maker.h"

#include <stdio.h>
#include <string.h>

/// A numeral and the level that brings it
typedef struct {
  const char* numeral;
  int         level;
} NumeralLine;

static const NumeralLine major_functions[] = {
  {"IV", 1},   {"V", 1},     {"vi", 1},    {"ii", 2},     {"iii", 2},  {"I6", 2},
  {"V7", 2},   {"ii6", 3},   {"V6", 3},    {"V65", 3},    {"ii65", 3}, {"viio6", 3},
  {"V7/V", 4}, {"V7/IV", 4}, {"V7/ii", 4}, {"V7/vi", 4},  {"iv", 4},   {"viio7/V", 5},
  {"N6", 5},   {"Ger65", 5}, {"Fr43", 5},  {"ii/o65", 5}, {"bVI", 5},
};

static const NumeralLine minor_functions[] = {
  {"iv", 1},     {"V", 1},       {"VI", 1},   {"III", 2},   {"i6", 2},
  {"V7", 2},     {"iio6", 2},    {"VII", 3},  {"V6", 3},    {"V65", 3},
  {"ii/o65", 3}, {"viio7", 3},   {"V7/V", 4}, {"V7/iv", 4}, {"V7/III", 4},
  {"V7/VI", 4},  {"viio7/V", 5}, {"N6", 5},   {"Ger65", 5}, {"Fr43", 5},
};

enum {
  MOST_FUNCTIONS   = 24,
  FUNCTION_CHOICES = 6,
  N_TARGETS        = 5,
};

/// What comes before: the tonic of the mode
static const char*
tonic_of(const QfMode mode)
{
  return mode == QF_MAJOR ? "I" : "i";
}

/// Write "Its C♯ leads to D, the root of ii." for an applied chord
static void
explain_applied(const DrillMaker* const maker,
                const QfNumeral* const  numeral,
                const QfChord           chord,
                char* const             buffer,
                const size_t            size)
{
  // The leading tone is the third of a dominant, the root of a leading-tone chord.
  QfKey      target;
  QfNoteName leading;
  char       from[DRILL_NAME_SIZE];
  char       to[DRILL_NAME_SIZE];
  buffer[0] = '\0';
  if (qf_numeral_target_key(numeral, maker->drill->key, &target) ||
      qf_chord_member(chord, numeral->degree == 5 ? 1 : 0, &leading)) {
    return;
  }
  drill_name(maker, leading, from);
  drill_name(maker, target.tonic, to);
  snprintf(buffer, size, " Its %s is the leading tone of %s.", from, to);
}

/// The target as it is written after the slash
static void
write_target(const QfNumeral* const numeral, const QfMode mode, char* const buffer, size_t size)
{
  char text[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(numeral, mode, text, sizeof(text));
  const char* const slash = strrchr(text, '/');
  snprintf(buffer, size, "%s", slash ? slash + 1 : "");
}

static void
explain_function(DrillMaker* const      maker,
                 const char* const      text,
                 const QfNumeral* const numeral,
                 const QfChord          chord)
{
  QfDrill* const drill = maker->drill;
  char           key[DRILL_NAME_SIZE];
  char           notes[128];
  char           applied[160] = "";
  drill_name_key(maker, key);
  drill_name_chord(maker, chord, notes, sizeof(notes));
  if (numeral->n_targets) {
    char target[32];
    explain_applied(maker, numeral, chord, applied, sizeof(applied));
    write_target(numeral, drill->key.mode, target, sizeof(target));
    drill_add_concept(maker, "target", target);
  }
  snprintf(drill->explanation, sizeof(drill->explanation),
           "In %s, %s is %s, a chord of the family %s.%s", key, text, notes,
           qf_function_name(qf_numeral_function(numeral)), applied);
}

/// The functions of a mode, easiest first
static const NumeralLine*
functions_of(const QfMode mode, size_t* const n)
{
  const bool   is_major = mode == QF_MAJOR;
  const size_t n_major  = sizeof(major_functions) / sizeof(major_functions[0]);
  const size_t n_minor  = sizeof(minor_functions) / sizeof(minor_functions[0]);
  *n                    = is_major ? n_major : n_minor;
  return is_major ? major_functions : minor_functions;
}

QfStatus
make_function_drill(DrillMaker* const maker)
{
  QfDrill* const drill = maker->drill;
  drill->key           = draw_drill_key(maker);
  drill->has_prelude   = true;

  size_t                   n_lines = 0;
  const NumeralLine* const lines   = functions_of(drill->key.mode, &n_lines);
  const char*              pool[MOST_FUNCTIONS];
  size_t                   n = 0;
  for (size_t i = 0; i < n_lines; ++i) {
    if (lines[i].level <= drill->level) {
      pool[n++] = lines[i].numeral;
    }
  }

  const size_t right = random_below(&maker->random, n);
  QfNumeral    numeral;
  QfChord      chord;
  if (!drill_chord_of(maker, pool[right], &numeral, &chord)) {
    return QF_ERR_IMPOSSIBLE;
  }
  drill_set_choices(maker, pool, n, right, FUNCTION_CHOICES);
  drill_add_concept(maker, "function", pool[right]);
  explain_function(maker, pool[right], &numeral, chord);

  char key[DRILL_NAME_SIZE];
  drill_name_key(maker, key);
  snprintf(drill->question, sizeof(drill->question),
           "You hear the tonic of %s, then another chord. What is its function?", key);
  const char* const chain[] = {tonic_of(drill->key.mode), pool[right]};
  return drill_set_chain(maker, chain, 2, 1);
}

/// Degrees that can be tonicized. Rule: MT21C "Secondary Dominants"; OMT "Applied chords".
static const char* const targets[2][N_TARGETS] = {
  {"ii", "iii", "IV", "V", "vi"},
  {"III", "iv", "V", "VI", "VII"},
};

/// How a level asks for the target
typedef struct {
  const char* heads[5];
  size_t      n_heads;
  bool        resolves; ///< The goal is heard as well
} TargetLevel;

static const TargetLevel target_levels[QF_DRILL_N_LEVELS] = {
  {{"V7"}, 1, true},
  {{"V7", "V65"}, 2, true},
  {{"V7"}, 1, false},
  {{"V7", "V65", "V43", "V42"}, 4, false},
  {{"V7", "V65", "V43", "V42", "viio7"}, 5, false},
};

QfStatus
make_target_drill(DrillMaker* const maker)
{
  QfDrill* const drill = maker->drill;
  drill->key           = draw_drill_key(maker);
  drill->has_prelude   = true;

  const TargetLevel* const level   = &target_levels[drill->level - 1];
  const char* const* const degrees = targets[drill->key.mode];
  const size_t             right   = random_below(&maker->random, N_TARGETS);
  const char* const        head    = level->heads[random_below(&maker->random, level->n_heads)];
  char                     applied[QF_NUMERAL_TEXT_SIZE];
  QfNumeral                numeral;
  QfChord                  chord;
  snprintf(applied, sizeof(applied), "%s/%s", head, degrees[right]);
  if (!drill_chord_of(maker, applied, &numeral, &chord)) {
    return QF_ERR_IMPOSSIBLE;
  }
  drill_set_choices(maker, degrees, N_TARGETS, right, N_TARGETS);
  drill_add_concept(maker, "target", degrees[right]);

  char key[DRILL_NAME_SIZE];
  char notes[128];
  char reason[160];
  drill_name_key(maker, key);
  drill_name_chord(maker, chord, notes, sizeof(notes));
  explain_applied(maker, &numeral, chord, reason, sizeof(reason));
  snprintf(drill->question, sizeof(drill->question),
           "You hear the tonic of %s, then an applied chord%s. Which degree does it point at?", key,
           level->resolves ? " and its resolution" : "");
  snprintf(drill->explanation, sizeof(drill->explanation),
           "The chord is %s: %s.%s So it points at %s.", applied, notes, reason, degrees[right]);
  const char* const chain[] = {tonic_of(drill->key.mode), applied, degrees[right]};
  return drill_set_chain(maker, chain, level->resolves ? 3 : 2, 1);
}
