// SPDX-License-Identifier: MIT
#include "qf-explore-words.h"

#include "chain/qf-join.h"

#include <stdlib.h>

/// One word for what becomes of the expectation, or NULL
static const char*
word_of(const QfResolution resolution)
{
  return resolution == QF_RESOLUTION_NONE        ? NULL
         : resolution == QF_RESOLUTION_CHAINED   ? "chained"
         : resolution == QF_RESOLUTION_DEFLECTED ? "deflected"
                                                 : qf_resolution_name(resolution);
}

char*
qf_explore_dup_motion(const QfContinuation* const item)
{
  const QfLabel step = {.has_next = true, .is_known = true, .motion = item->motion};
  const QfJoin  join = qf_join_of(&step);
  char          motion[48];
  qf_root_motion_describe(item->motion, motion, sizeof(motion));

  const char* const word = word_of(item->resolution);
  return g_strdup_printf("%s %s%s%s", join.text, motion, word ? ", " : "", word ? word : "");
}

char*
qf_explore_dup_count(const QfContinuation* const item)
{
  const double percent = 100.0 * item->share;

  if (!item->count) {
    return g_strdup("Not in the corpus");
  }
  return g_strdup_printf("%u %s, %.*f\u202F%%", item->count, item->count == 1 ? "time" : "times",
                         percent < 1.0 ? 1 : 0, percent);
}

/// What there is to say against the voice leading, or how smooth it is
static char*
dup_smoothness(const QfContinuation* const item)
{
  if (!item->has_kept) {
    return g_strdup("does not fit the given notes");
  }
  if (item->cost < 0) {
    return g_strdup("breaks a rule of part-writing");
  }
  return g_strdup_printf("the voices move %d semitone%s in all", item->semitones,
                         item->semitones == 1 ? "" : "s");
}

char*
qf_explore_dup_spoken(const QfContinuation* const item, const QfMode mode)
{
  char             numeral[160];
  g_autofree char* motion = qf_explore_dup_motion(item);
  g_autofree char* count  = qf_explore_dup_count(item);
  g_autofree char* smooth = dup_smoothness(item);
  // The arrow of the sign is said by the words after it.
  const char* const words = strchr(motion, ' ');

  qf_numeral_speak(&item->numeral, mode, numeral, sizeof(numeral));
  return g_strdup_printf("%s, %s%s; %s; %s; %s", numeral, qf_function_name(item->function),
                         item->is_present ? ", follows now" : "", words ? words + 1 : motion, count,
                         smooth);
}

char*
qf_explore_dup_step(const QfPitch from, const QfPitch to)
{
  static const char* const sizes[] = {
    "chromatic semitone", "step", "third", "fourth", "fifth", "sixth", "seventh", "octave"};
  const QfInterval interval = qf_interval_between(from, to);
  const int        steps    = abs(interval.steps);
  const gboolean   is_up    = interval.steps > 0 || (!interval.steps && interval.semitones > 0);

  if (!interval.steps && !interval.semitones) {
    return g_strdup("stays");
  }
  return steps < (int)G_N_ELEMENTS(sizes)
           ? g_strdup_printf("%s %s %s", is_up ? "up" : "down", steps == 7 ? "an" : "a",
                             sizes[steps])
           : g_strdup_printf("%s more than an octave", is_up ? "up" : "down");
}

char*
qf_explore_dup_pitch(const QfPitch pitch, const QfNamingKind naming)
{
  char name[24];
  qf_note_name_spell_out(qf_pitch_name(pitch), naming, name, sizeof(name));
  return g_strdup_printf("%s%d", name, pitch.octave);
}

char*
qf_explore_dup_total(const QfContinuations* const found, const QfMode mode)
{
  const char* const keys = mode == QF_MAJOR ? "major" : "minor";

  if (!found->n_moves) {
    return g_strdup_printf("Nobody goes on from this chord in the %s keys of the corpus.", keys);
  }
  return found->n_leaving
           ? g_strdup_printf("Of %u moves from here in %s keys of the corpus, %u lead into another "
                             "key.",
                             found->n_moves, keys, found->n_leaving)
           : g_strdup_printf("%u move%s from here in %s keys of the corpus.", found->n_moves,
                             found->n_moves == 1 ? "" : "s", keys);
}
