// SPDX-License-Identifier: MIT
#include "quintfall/exercise.h"

#include "grammar.h"
#include "ornaments.h"
#include "verdict.h"

#include "quintfall/solfege.h"
#include "quintfall/writing.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_DRAWS      = 400,
  DRAWS_OF_SHAPE = 40, ///< With one metre, rhythm and modulation, before others are drawn
};

/// A chain that was drawn, before it is written
typedef struct {
  Shape    shape;
  KeyPlan  keys;
  unsigned uses;
  size_t   n_links;
  QfLink   links[QF_EXERCISE_MAX_CHORDS];
} Chain;

/// One of several bits, or 0 if there is none
static unsigned
draw_bit(const unsigned bits, QfRandom* const random)
{
  unsigned list[QF_USE_N_BITS];
  size_t   n = 0;
  for (unsigned i = 0; i < QF_USE_N_BITS; ++i) {
    if (bits & (1U << i)) {
      list[n++] = 1U << i;
    }
  }
  return n ? list[random_below(random, n)] : 0;
}

static bool
draw_chain(const QfExerciseOptions* const options,
           Grammar* const                 grammar,
           QfRandom* const                random,
           Chain* const                   chain)
{
  Slot slots[QF_EXERCISE_MAX_CHORDS];
  chain->keys             = draw_keys(options, chain->shape.modulation, random);
  chain->n_links          = rhythm_draw(&chain->shape, random, slots);
  const unsigned required = draw_bit(options->required, random);
  return grammar_draw(grammar, chain->keys, slots, chain->n_links, required, random, chain->links,
                      &chain->uses);
}

// Rule: IBMT 6b: a soprano sings from C4 to G5; the middle of that leaves room both ways.
static const int first_soprano_low  = 64;
static const int first_soprano_high = 76;

/// A soprano to begin with, so that not every exercise of a key begins alike
static bool
draw_first_soprano(const Chain* const chain, QfRandom* const random, QfKept* const kept)
{
  QfChord    chord;
  QfNoteName name;
  if (qf_numeral_chord(&chain->links[0].numeral, chain->keys.keys[0], &chord, NULL) ||
      qf_chord_member(chord, (int)random_below(random, 3), &name)) {
    return false;
  }
  for (int8_t octave = 4; octave <= 5; ++octave) {
    const QfPitch pitch = {name.letter, name.alter, octave};
    const int     midi  = qf_pitch_midi(pitch);
    if (midi >= first_soprano_low && midi <= first_soprano_high) {
      *kept = (QfKept){.link = 0, .voice = 0, .pitch = pitch};
      return true;
    }
  }
  return false;
}

/// Write a chain in the best way; #QF_ERR_IMPOSSIBLE if there is none without an error
static QfStatus
write_chain(const Chain* const chain, QfRandom* const random, QfScore** const result)
{
  QfKept         kept;
  QfWritings     writings = {0};
  QfWriteOptions options  = {.profile = QF_PROFILE_COMMON};
  if (draw_first_soprano(chain, random, &kept)) {
    options.kept   = &kept;
    options.n_kept = 1;
  }
  QfStatus st = qf_write(chain->links, chain->n_links, options, &writings, NULL, NULL);
  if (st) {
    return st;
  }

  QfScore* const score =
    qf_score_new_satb(chain->keys.keys[0], chain->shape.metre, QF_TIME_ZERO, 1);
  st = score ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < chain->n_links * QF_SATB; ++i) {
    const QfLink* const link = &chain->links[i / QF_SATB];
    st                       = qf_score_put_note(score, i % QF_SATB, link->start, link->duration,
                                                 writings.writings[0].pitches[i], QF_NO_NOTE, NULL);
  }
  qf_writings_clear(&writings);
  if (st) {
    qf_score_free(score);
    return st;
  }
  *result = score;
  return QF_OK;
}

/// Write, judge and adorn a chain; #QF_ERR_IMPOSSIBLE throws the draw away
static QfStatus
realise_chain(const QfExerciseOptions* const options,
              const Chain* const             chain,
              QfRandom* const                random,
              QfLesson** const               result)
{
  QfScore* score = NULL;
  QfStatus st    = write_chain(chain, random, &score);
  if (st) {
    return st;
  }
  QfLesson* lesson = lesson_of_score(score, chain->keys.keys[0], chain->keys.n_keys > 1);
  qf_score_free(score);
  if (!lesson) {
    return QF_ERR_NO_MEM;
  }

  const Verdict verdict = judge_lesson(lesson, chain->links, chain->n_links);
  st                    = verdict == VERDICT_GOOD     ? QF_OK
                          : verdict == VERDICT_NO_MEM ? QF_ERR_NO_MEM
                                                      : QF_ERR_IMPOSSIBLE;
  if (!st && options->foreign && options->n_foreign) {
    st = add_ornaments(options, chain->shape.metre, chain->links, chain->n_links, random, &lesson);
  }
  if (st) {
    qf_lesson_free(lesson);
    return st;
  }
  *result = lesson;
  return QF_OK;
}

/// Print notes of the solution on the student's sheet
static QfStatus
set_givens(QfLesson* const lesson, const QfExerciseGivens givens)
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  const bool           chord = givens == QF_GIVE_FIRST_CHORD;
  const bool           outer = givens == QF_GIVE_FIRST_OUTER;
  const size_t         bass  = QF_SATB - 1;
  QfStatus             st    = QF_OK;
  uint32_t             ids[QF_SATB];
  for (size_t v = 0; v < QF_SATB; ++v) {
    ids[v] = qf_score_get_note(score, v, 0)->id;
  }
  for (size_t v = 0; !st && v < QF_SATB; ++v) {
    const bool is_outer = v == 0 || v == bass;
    if ((givens == QF_GIVE_OUTER && is_outer) || (givens == QF_GIVE_BASS && v == bass)) {
      st = qf_lesson_set_voice_given(lesson, v, true, NULL);
    } else if (chord || (outer && is_outer)) {
      st = qf_lesson_set_given(lesson, ids[v], true, NULL);
    }
  }
  return st;
}

static void
write_title(const QfExerciseOptions* const options, const QfKey key, char* const title)
{
  char tonic[24];
  qf_note_name_spell_out(key.tonic, QF_NAMING_ENGLISH, tonic, sizeof(tonic));
  snprintf(title, QF_EXERCISE_TITLE_SIZE, "Level %d exercise in %s %s", options->level, tonic,
           key.mode == QF_MAJOR ? "major" : "minor");
}

/// 64-bit FNV-1a. Source: Fowler, Noll, Vo, published parameters (from memory).
static uint64_t
hash_text(uint64_t hash, const char* text)
{
  for (; *text; ++text) {
    hash = (hash ^ (unsigned char)*text) * UINT64_C(0x100000001B3);
  }
  return hash;
}

/// What makes an exercise itself, whatever its key
static uint64_t
fingerprint_of(const Chain* const chain)
{
  uint64_t hash = UINT64_C(0xCBF29CE484222325);
  char     text[QF_NUMERAL_TEXT_SIZE];
  qf_metre_write(chain->shape.metre, text, sizeof(text));
  hash = hash_text(hash, text);
  for (size_t i = 0; i < chain->n_links; ++i) {
    const QfLink* const link   = &chain->links[i];
    const int           fifths = qf_key_fifths(link->key) - qf_key_fifths(chain->keys.keys[0]);
    snprintf(text, sizeof(text), " %d%c ", fifths, link->key.mode == QF_MAJOR ? 'M' : 'm');
    hash = hash_text(hash, text);
    qf_numeral_write(&link->numeral, link->key.mode, text, sizeof(text));
    hash = hash_text(hash, text);
    qf_time_write(link->duration, text, sizeof(text));
    hash = hash_text(hash, text);
  }
  return hash;
}

/// Give the lesson the ready hearing plan of its level
static QfStatus
set_plan(QfLesson* const lesson, const int level)
{
  // The first levels are short enough to be taken down whole, the others by voices.
  enum { PLAIN, BY_VOICES, LAST_PLAIN_LEVEL = 2 };

  QfPlan* const  plan = qf_ready_plan_new(level <= LAST_PLAIN_LEVEL ? PLAIN : BY_VOICES);
  const QfStatus st   = plan ? qf_lesson_set_plan(lesson, plan, NULL) : QF_ERR_NO_MEM;
  qf_plan_free(plan);
  return st;
}

/// Give the lesson what it needs beside its notes
static QfStatus
finish_lesson(QfLesson* const lesson, const QfExerciseOptions* const options, const QfKey key)
{
  char title[QF_EXERCISE_TITLE_SIZE];
  write_title(options, key, title);

  QfStatus st = qf_lesson_set_title(lesson, title, NULL);
  st          = st ? st : qf_lesson_set_tempo(lesson, options->tempo, NULL);
  st          = st ? st : set_givens(lesson, options->givens);
  st          = st ? st : set_plan(lesson, options->level);
  qf_lesson_forget_history(lesson);
  return st;
}

/// Fill the result; takes the lesson, also on failure
static QfStatus
deliver(const QfExerciseOptions* const options,
        const Chain* const             chain,
        QfLesson* const                lesson,
        const size_t                   n_rejected,
        QfExercise* const              result)
{
  QfExercise made = {.lesson      = lesson,
                     .links       = (QfLink*)calloc(chain->n_links, sizeof(QfLink)),
                     .n_links     = chain->n_links,
                     .key         = chain->keys.keys[0],
                     .metre       = chain->shape.metre,
                     .rhythm      = chain->shape.rhythm,
                     .modulation  = chain->shape.modulation,
                     .level       = options->level,
                     .uses        = chain->uses,
                     .fingerprint = fingerprint_of(chain),
                     .n_rejected  = n_rejected};
  QfStatus   st   = made.links ? finish_lesson(lesson, options, made.key) : QF_ERR_NO_MEM;
  if (!st) {
    memcpy(made.links, chain->links, chain->n_links * sizeof(QfLink));
    st = qf_difficulty_of(lesson, &made.difficulty, NULL);
  }
  if (st) {
    qf_exercise_clear(&made);
    return st;
  }
  *result = made;
  return QF_OK;
}

QfStatus
qf_exercise_make(const QfExerciseOptions* const options,
                 QfExercise* const              result,
                 QfError* const                 error)
{
  QfStatus st = qf_exercise_options_check(options, error);
  if (st) {
    return st;
  }
  Grammar* const grammar = grammar_new(options);
  if (!grammar) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  QfRandom  random = random_new(random_seed(options->seed, (uint64_t)options->level));
  QfLesson* lesson = NULL;
  Chain     chain;
  size_t    n_draws = 0;
  st                = QF_ERR_IMPOSSIBLE;
  while (st == QF_ERR_IMPOSSIBLE && n_draws < MAX_DRAWS) {
    if (n_draws++ % DRAWS_OF_SHAPE == 0) {
      chain.shape = shape_draw(options, &random);
    }
    if (draw_chain(options, grammar, &random, &chain)) {
      st = realise_chain(options, &chain, &random, &lesson);
    }
  }
  grammar_free(grammar);
  if (!st) {
    st = deliver(options, &chain, lesson, n_draws - 1U, result);
  }
  if (st == QF_ERR_IMPOSSIBLE) {
    return qf_error_set(
      error, st,
      "no exercise could be made of this: %d draws gave none that reads as it was "
      "meant; allow more chords, keys or inversions",
      MAX_DRAWS);
  }
  return st ? qf_error_set(error, st, "out of memory") : QF_OK;
}

void
qf_exercise_clear(QfExercise* const exercise)
{
  qf_lesson_free(exercise->lesson);
  free(exercise->links);
  *exercise = (QfExercise){0};
}

bool
qf_exercise_labels_hold(QfExercise* const exercise, QfError* const error)
{
  const QfLabels* const labels = qf_lesson_get_labels(exercise->lesson);
  if (!labels) {
    qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    return false;
  }
  return labels_are_links(qf_lesson_get_score(exercise->lesson), labels, exercise->links,
                          exercise->n_links, error);
}
