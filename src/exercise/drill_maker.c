// SPDX-License-Identifier: MIT
#include "drill_maker.h"

#include "quintfall/writing.h"

#include <stdio.h>
#include <string.h>

enum {
  LEAST_BASS  = 43, ///< G2
  LEAST_UPPER = 53, ///< F3
  MAX_CHAIN   = 8,
  MINOR_FROM  = 2, ///< Level from which keys may be minor
  MOST_SIGNS  = 5,
  BASE_TEMPO  = 60,
};

QfKey
draw_drill_key(DrillMaker* const maker)
{
  const int level  = maker->drill->level;
  const int most   = level < MOST_SIGNS ? level : MOST_SIGNS;
  const int fifths = (int)random_below(&maker->random, (uint64_t)(2 * most + 1)) - most;
  const int modes  = level < MINOR_FROM ? 1 : 2;
  QfKey     key    = {{0, 0}, QF_MAJOR};
  qf_key_from_fifths(fifths, (QfMode)random_below(&maker->random, (uint64_t)modes), &key);
  return key;
}

/// An empty score of so many half notes
static QfStatus
new_score(DrillMaker* const maker, const size_t n_halves)
{
  QfMetre metre;
  qf_metre(4, 4, &metre);
  maker->drill->score =
    qf_score_new_satb(maker->drill->key, metre, QF_TIME_ZERO, (n_halves + 1U) / 2U);
  return maker->drill->score ? qf_score_set_tempo(maker->drill->score, BASE_TEMPO) : QF_ERR_NO_MEM;
}

/// The lowest pitch of a name that is not below a key
static QfPitch
pitch_from(const QfNoteName name, const int least_midi)
{
  QfPitch pitch = {name.letter, name.alter, 1};
  while (qf_pitch_midi(pitch) < least_midi) {
    ++pitch.octave;
  }
  return pitch;
}

QfStatus
drill_set_chord(DrillMaker* const maker, const QfChord chord)
{
  const int  size = qf_chord_kind_size(chord.kind);
  QfNoteName names[QF_CHORD_MAX_NOTES];
  for (int m = 0; m < size; ++m) {
    if (qf_chord_member(chord, m, &names[m])) {
      return QF_ERR_IMPOSSIBLE;
    }
  }

  // The bass, then the other members upwards; a triad has its root twice.
  QfPitch pitches[QF_SATB];
  int     above        = LEAST_UPPER;
  pitches[QF_SATB - 1] = pitch_from(names[chord.inversion], LEAST_BASS);
  for (int v = QF_SATB - 2, step = 1; v >= 0; --v, ++step) {
    const int  member      = (chord.inversion + step) % size;
    const bool is_doubling = size == 3 && step == 3;
    pitches[v]             = pitch_from(names[is_doubling ? 0 : member], above);
    above                  = qf_pitch_midi(pitches[v]) + 1;
  }

  QfStatus st = new_score(maker, 2);
  for (size_t v = 0; !st && v < QF_SATB; ++v) {
    st = qf_score_put_note(maker->drill->score, v, QF_TIME_ZERO, qf_time(1, 1), pitches[v],
                           QF_NO_NOTE, NULL);
  }
  maker->drill->asked_from = QF_TIME_ZERO;
  maker->drill->asked_to   = qf_time(1, 1);
  return st;
}

/// Write links in the best way; freely where common practice forbids all ways
static QfStatus
write_links(const QfLink* const links, const size_t n, QfWritings* const result)
{
  QfWriteOptions options = {.profile = QF_PROFILE_COMMON};
  QfStatus       st      = qf_write(links, n, options, result, NULL, NULL);
  if (st == QF_ERR_IMPOSSIBLE) {
    options.profile = QF_PROFILE_FREE;
    st              = qf_write(links, n, options, result, NULL, NULL);
  }
  return st;
}

QfStatus
drill_set_chain(DrillMaker* const        maker,
                const char* const* const numerals,
                const size_t             n,
                const size_t             asked)
{
  const QfKey  key      = maker->drill->key;
  const QfTime half     = qf_time(1, 2);
  QfWritings   writings = {0};
  QfLink       links[MAX_CHAIN];
  for (size_t i = 0; i < n; ++i) {
    links[i] = (QfLink){.key = key, .start = qf_time((int64_t)i, 2), .duration = half};
    if (qf_numeral_parse(numerals[i], key.mode, &links[i].numeral, NULL)) {
      return QF_ERR_IMPOSSIBLE;
    }
  }

  QfStatus st = write_links(links, n, &writings);
  st          = st ? st : new_score(maker, n);
  for (size_t i = 0; !st && i < n * QF_SATB; ++i) {
    st = qf_score_put_note(maker->drill->score, i % QF_SATB, links[i / QF_SATB].start, half,
                           writings.writings[0].pitches[i], QF_NO_NOTE, NULL);
  }
  qf_writings_clear(&writings);
  maker->drill->asked_from = qf_time((int64_t)asked, 2);
  maker->drill->asked_to   = qf_time((int64_t)asked + 1, 2);
  return st;
}

void
drill_set_choices(DrillMaker* const        maker,
                  const char* const* const texts,
                  const size_t             n,
                  const size_t             right,
                  const size_t             most)
{
  QfDrill* const drill                                = maker->drill;
  bool           is_offered[QF_DRILL_MAX_CHOICES * 4] = {false};
  size_t         n_offered                            = 1;
  is_offered[right]                                   = true;
  while (n_offered < most && n_offered < n) {
    const size_t i = random_below(&maker->random, n);
    n_offered += !is_offered[i];
    is_offered[i] = true;
  }

  drill->form      = QF_DRILL_ANSWER_CHOICE;
  drill->n_choices = 0;
  for (size_t i = 0; i < n; ++i) {
    if (is_offered[i]) {
      if (i == right) {
        drill->right = drill->n_choices;
      }
      snprintf(drill->choices[drill->n_choices++], QF_DRILL_CHOICE_SIZE, "%s", texts[i]);
    }
  }
}

void
drill_add_concept(DrillMaker* const maker, const char* const group, const char* const member)
{
  QfDrill* const drill = maker->drill;
  snprintf(drill->concepts[drill->n_concepts++], QF_DRILL_CONCEPT_SIZE, "%s/%s", group, member);
}

void
drill_name(const DrillMaker* const maker, const QfNoteName note, char buffer[DRILL_NAME_SIZE])
{
  qf_note_name_spell_out(note, maker->naming, buffer, DRILL_NAME_SIZE);
}

void
drill_name_chord(const DrillMaker* const maker,
                 const QfChord           chord,
                 char* const             buffer,
                 const size_t            size)
{
  size_t length = 0;
  for (int m = 0; m < qf_chord_kind_size(chord.kind) && length < size; ++m) {
    QfNoteName note;
    char       name[DRILL_NAME_SIZE];
    if (!qf_chord_member(chord, m, &note)) {
      drill_name(maker, note, name);
      length += (size_t)snprintf(buffer + length, size - length, "%s%s", m ? ", " : "", name);
    }
  }
}

bool
drill_chord_of(const DrillMaker* const maker,
               const char* const       numeral,
               QfNumeral* const        parsed,
               QfChord* const          chord)
{
  const QfKey key = maker->drill->key;
  return !qf_numeral_parse(numeral, key.mode, parsed, NULL) &&
         !qf_numeral_chord(parsed, key, chord, NULL);
}

void
drill_name_key(const DrillMaker* const maker, char buffer[DRILL_NAME_SIZE])
{
  char tonic[24];
  qf_note_name_spell_out(maker->drill->key.tonic, maker->naming, tonic, sizeof(tonic));
  snprintf(buffer, DRILL_NAME_SIZE, "%s %s", tonic,
           maker->drill->key.mode == QF_MAJOR ? "major" : "minor");
}
