// SPDX-License-Identifier: MIT
#include "ornaments.h"

#include "verdict.h"

#include <stdlib.h>

/// A note that could be put in between two chords
typedef struct {
  QfForeignKind kind;
  size_t        link; ///< The first of the two chords
  size_t        voice;
  QfPitch       pitch;
} Ornament;

enum {
  TRIES_PER_NOTE = 3,
};

// common practice: nothing shorter than an eighth in a dictation.
static const QfTime shortest = {1, 8};

/// How long a note outside the chord may be within a chord, or zero if the chord is too short
static QfTime
ornament_length(const QfMetre metre, const QfTime duration)
{
  const QfTime beat = qf_metre_beat(metre);
  const QfTime two  = qf_time_mul(beat, qf_time(2, 1));
  const QfTime half = qf_time_mul(duration, qf_time(1, 2));
  const QfTime length =
    qf_time_compare(duration, two) >= 0 ? beat : qf_time_min(half, qf_time(1, 4));
  return qf_time_compare(length, shortest) < 0 ? QF_TIME_ZERO : length;
}

/// The note of the key on a staff step
static QfPitch
key_pitch(const QfKey key, const int step)
{
  const QfPitch plain = qf_pitch_from_step(step, 0);
  return qf_pitch_from_step(step, qf_key_alter_of(key, plain.letter));
}

/// The same, with the raised sixth and seventh degrees of a minor key that rises
static QfPitch
melodic_pitch(const QfKey key, const int step, const bool is_rising)
{
  const QfPitch pitch  = key_pitch(key, step);
  int           degree = 0;
  int           alter  = 0;
  qf_key_degree_of(key, qf_pitch_name(pitch), &degree, &alter);
  return key.mode == QF_MINOR && is_rising && degree >= 6
           ? qf_pitch_from_step(step, pitch.alter + 1)
           : pitch;
}

static void
add_candidate(const QfExerciseOptions* const options,
              const QfScore* const           score,
              const QfLink* const            links,
              const Ornament                 at,
              Ornament* const                list,
              size_t* const                  n)
{
  const QfNote* const a = qf_score_note_at(score, at.voice, links[at.link].start);
  const QfNote* const b = qf_score_note_at(score, at.voice, links[at.link + 1U].start);
  if (!a || !b) {
    return;
  }

  const QfKey key  = links[at.link].key;
  const int   from = qf_pitch_step(a->pitch);
  const int   to   = qf_pitch_step(b->pitch);
  Ornament    made = at;
  if (abs(to - from) == 2 && options->foreign & QF_EXERCISE_PASSING) {
    made.kind    = QF_FOREIGN_PASSING;
    made.pitch   = melodic_pitch(key, (from + to) / 2, to > from);
    list[(*n)++] = made;
  }
  if (qf_pitch_equals(a->pitch, b->pitch) && options->foreign & QF_EXERCISE_NEIGHBOUR) {
    made.kind    = QF_FOREIGN_NEIGHBOUR;
    made.pitch   = melodic_pitch(key, from + 1, false);
    list[(*n)++] = made;
    made.pitch   = melodic_pitch(key, from - 1, true);
    list[(*n)++] = made;
  }
  if (to == from - 1 && options->foreign & QF_EXERCISE_SUSPENSION) {
    made.kind    = QF_FOREIGN_SUSPENSION;
    made.pitch   = a->pitch;
    list[(*n)++] = made;
  }
}

/// Everything that could be put in, in drawn order
static size_t
list_candidates(const QfExerciseOptions* const options,
                const QfScore* const           score,
                const QfLink* const            links,
                const size_t                   n_links,
                QfRandom* const                random,
                Ornament* const                list)
{
  size_t n = 0;
  for (size_t link = 0; link + 1U < n_links; ++link) {
    for (size_t voice = 0; voice < QF_SATB; ++voice) {
      add_candidate(options, score, links, (Ornament){.link = link, .voice = voice}, list, &n);
    }
  }
  for (size_t i = n; i > 1; --i) {
    const size_t   other = random_below(random, i);
    const Ornament swap  = list[i - 1U];
    list[i - 1U]         = list[other];
    list[other]          = swap;
  }
  return n;
}

/// Write an ornament into a score; false if it has no room
static bool
write_ornament(QfScore* const      score,
               const QfMetre       metre,
               const QfLink* const links,
               const Ornament      ornament,
               uint32_t* const     note)
{
  const QfLink* const here = &links[ornament.link];
  const QfLink* const next = &links[ornament.link + 1U];
  const QfNote* const old  = qf_score_note_at(score, ornament.voice, here->start);
  if (ornament.kind == QF_FOREIGN_SUSPENSION) {
    const QfTime held = ornament_length(metre, next->duration);
    *note             = old->id;
    // Delayed on the stronger beat; the last note of the voice before it prepares.
    return held.num && qf_metre_level(metre, next->start) <= qf_metre_level(metre, here->start) &&
           qf_time_compare(held, old->duration) <= 0 &&
           !qf_score_put_note(score, ornament.voice, old->start, qf_time_add(old->duration, held),
                              old->pitch, old->id, NULL);
  }

  const QfTime length = ornament_length(metre, old->duration);
  return length.num && !qf_score_put_note(score, ornament.voice, qf_time_sub(next->start, length),
                                          length, ornament.pitch, QF_NO_NOTE, note);
}

/// True if the labels see the note as what it is meant to be
static bool
is_recognised(QfLesson* const lesson, const uint32_t note, const QfForeignKind kind)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const label = qf_labels_get_link(labels, i);
    for (size_t f = 0; f < label->n_foreign; ++f) {
      if (label->foreign[f].note == note) {
        return label->foreign[f].kind == kind;
      }
    }
  }
  return false;
}

/// Try an ornament; gives the lesson that has it (transfer full), or NULL
static QfLesson*
try_ornament(const QfMetre         metre,
             const QfLesson* const lesson,
             const QfLink* const   links,
             const size_t          n_links,
             const Ornament        ornament)
{
  QfScore* const score = qf_score_dup(qf_lesson_get_score(lesson));
  uint32_t       note  = QF_NO_NOTE;
  QfLesson*      tried = NULL;
  if (score && write_ornament(score, metre, links, ornament, &note)) {
    tried = lesson_of_score(score, links[0].key, qf_lesson_get_may_modulate(lesson));
  }
  qf_score_free(score);
  if (tried && judge_lesson(tried, links, n_links) == VERDICT_GOOD &&
      is_recognised(tried, note, ornament.kind)) {
    return tried;
  }
  qf_lesson_free(tried);
  return NULL;
}

QfStatus
add_ornaments(const QfExerciseOptions* const options,
              const QfMetre                  metre,
              const QfLink* const            links,
              const size_t                   n_links,
              QfRandom* const                random,
              QfLesson** const               lesson)
{
  // At most three ways between two chords in each voice.
  Ornament* const list = (Ornament*)calloc(n_links * QF_SATB * 3U, sizeof(Ornament));
  if (!list) {
    return QF_ERR_NO_MEM;
  }

  bool         is_taken[QF_EXERCISE_MAX_CHORDS + 1] = {false};
  size_t       n_put                                = 0;
  size_t       n_tries                              = 0;
  const size_t n =
    list_candidates(options, qf_lesson_get_score(*lesson), links, n_links, random, list);
  for (size_t i = 0;
       i < n && n_put < options->n_foreign && n_tries < TRIES_PER_NOTE * options->n_foreign; ++i) {
    // One at a time: two would have to be judged against each other.
    if (is_taken[list[i].link] || is_taken[list[i].link + 1U]) {
      continue;
    }
    ++n_tries;
    QfLesson* const tried = try_ornament(metre, *lesson, links, n_links, list[i]);
    if (tried) {
      qf_lesson_free(*lesson);
      *lesson                     = tried;
      is_taken[list[i].link]      = true;
      is_taken[list[i].link + 1U] = true;
      ++n_put;
    }
  }
  free(list);
  return QF_OK;
}
