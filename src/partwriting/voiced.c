// SPDX-License-Identifier: MIT
#include "voiced.h"

#include <stdlib.h>

typedef struct {
  int16_t low;
  int16_t high;
} Range;

enum { SOPRANO, ALTO, TENOR, BASS, OCTAVE = 12 };

const uint8_t voice_pairs[N_PAIRS][2] = {{0, 1}, {0, 2}, {1, 2}, {1, 3}, {2, 3}, {0, 3}};

// Source: IBMT 6b, conservative ranges: C4-G5, G3-D5, C3-G4, E2-D4.
static const Range plain_ranges[QF_SATB] = {{60, 79}, {55, 74}, {48, 67}, {40, 62}};

// common practice: B3-A5, F3-E5, B2-A4, D2-E4.
static const Range wide_ranges[QF_SATB] = {{59, 81}, {53, 76}, {47, 69}, {38, 64}};

// Where a voice sits well: inner three quarters of its range.
static const Range easy_ranges[QF_SATB] = {{64, 76}, {58, 71}, {52, 65}, {43, 58}};

/// A search over the voices, from the bass up
typedef struct {
  const Sonority*       sonority;
  Strictness            strictness;
  const QfPitch* const* kept;
  VoicedList*           list;
  QfVoicing             voicing;
  int8_t                tone[QF_SATB];
} Search;

static PairClass
pair_class(const int steps, const int semitones)
{
  const int simple_steps     = steps % 7;
  const int simple_semitones = semitones % OCTAVE;

  return simple_steps == 0 && simple_semitones == 0   ? CLASS_OCTAVE
         : simple_steps == 4 && simple_semitones == 7 ? CLASS_FIFTH
         : simple_steps == 4 && simple_semitones == 6 ? CLASS_DIMINISHED_FIFTH
                                                      : CLASS_OTHER;
}

static int8_t
tone_of(const Sonority* const sonority, const QfPitch pitch)
{
  for (int i = 0; i < sonority->n_tones; ++i) {
    if (qf_note_name_equals(sonority->tones[i].name, qf_pitch_name(pitch))) {
      return (int8_t)i;
    }
  }
  return -1;
}

Voiced
voiced_of(const QfVoicing* const voicing, const Sonority* const sonority)
{
  Voiced voiced = {.voicing = *voicing};
  for (size_t i = 0; i < QF_SATB; ++i) {
    voiced.midi[i] = (int16_t)qf_pitch_midi(voicing->pitch[i]);
    voiced.step[i] = (int16_t)qf_pitch_step(voicing->pitch[i]);
    voiced.tone[i] = tone_of(sonority, voicing->pitch[i]);
  }
  for (size_t i = 0; i < N_PAIRS; ++i) {
    const uint8_t upper = voice_pairs[i][0];
    const uint8_t lower = voice_pairs[i][1];
    voiced.pairs[i]     = (int8_t)pair_class(voiced.step[upper] - voiced.step[lower],
                                             voiced.midi[upper] - voiced.midi[lower]);
  }
  return voiced;
}

static int
distance_outside(const Range range, const int midi)
{
  return midi < range.low ? range.low - midi : midi > range.high ? midi - range.high : 0;
}

/// Cost of doublings and omissions, #COST_NEVER or more if not allowed
static int
content_cost(const Search* const search)
{
  int cost = 0;
  for (int i = 0; i < search->sonority->n_tones; ++i) {
    const Tone* const tone  = &search->sonority->tones[i];
    int               n_set = 0;
    for (size_t v = 0; v < QF_SATB; ++v) {
      n_set += search->tone[v] == i;
    }
    if (n_set == 0) {
      cost += search->strictness == STRICTNESS_FULL ? tone->omission : tone->omission_lax;
    } else {
      cost += (n_set - 1) * tone->doubling + (n_set > 2 ? n_set - 2 : 0);
    }
    if (cost >= COST_NEVER) {
      return COST_NEVER;
    }
  }
  return cost;
}

/// Cost of register and spacing: close upper voices in the middle of their ranges
static int
sound_cost(const Voiced* const voiced, const QfPitch* const kept[QF_SATB])
{
  int cost = 0;
  for (size_t v = 0; v < QF_SATB; ++v) {
    if (!kept[v]) {
      cost += distance_outside(easy_ranges[v], voiced->midi[v]);
      cost += distance_outside(plain_ranges[v], voiced->midi[v]) ? 10 : 0;
    }
  }

  const int upper_span = voiced->midi[SOPRANO] - voiced->midi[TENOR];
  const int lower_span = voiced->midi[TENOR] - voiced->midi[BASS];
  const int unisons    = (voiced->midi[SOPRANO] == voiced->midi[ALTO]) +
                      (voiced->midi[ALTO] == voiced->midi[TENOR]) +
                      (voiced->midi[TENOR] == voiced->midi[BASS]);
  cost += upper_span > 15 ? (upper_span - 14) / 2 : 0;
  cost += lower_span > 17 ? (lower_span - 16) / 2 : 0;
  cost += 3 * unisons;

  // Rule: S-A and A-T at most an octave (MT21C, IBMT); wider comes only with relaxed rules.
  cost += voiced->midi[SOPRANO] - voiced->midi[ALTO] > OCTAVE ? 20 : 0;
  cost += voiced->midi[ALTO] - voiced->midi[TENOR] > OCTAVE ? 20 : 0;
  return cost;
}

static QfStatus
add_voiced(Search* const search)
{
  const int content = content_cost(search);
  if (content >= COST_NEVER) {
    return QF_OK;
  }

  VoicedList* const list = search->list;
  if (list->n_voiced == list->capacity) {
    const size_t  capacity = list->capacity ? 2U * list->capacity : 64U;
    Voiced* const voiced   = (Voiced*)realloc(list->voiced, capacity * sizeof(Voiced));
    if (!voiced) {
      return QF_ERR_NO_MEM;
    }
    list->voiced   = voiced;
    list->capacity = capacity;
  }

  Voiced voiced                  = voiced_of(&search->voicing, search->sonority);
  voiced.cost                    = content + sound_cost(&voiced, search->kept);
  list->voiced[list->n_voiced++] = voiced;
  return QF_OK;
}

static bool
fits_above(const Search* const search, const size_t voice, const int midi)
{
  if (voice == BASS) {
    return true;
  }

  const int below = qf_pitch_midi(search->voicing.pitch[voice + 1U]);
  const int limit = voice == TENOR                          ? 127
                    : search->strictness == STRICTNESS_FULL ? OCTAVE
                                                            : OCTAVE + 4;
  return midi >= below && midi - below <= limit;
}

static QfStatus
search_voice(Search* search, size_t voice);

static QfStatus
try_pitch(Search* const search, const size_t voice, const QfPitch pitch, const int tone)
{
  const int   midi = qf_pitch_midi(pitch);
  const Range range =
    search->strictness == STRICTNESS_FULL ? plain_ranges[voice] : wide_ranges[voice];
  const bool is_kept = search->kept[voice] && qf_pitch_equals(*search->kept[voice], pitch);
  if ((search->kept[voice] && !is_kept) || (!is_kept && distance_outside(range, midi)) ||
      !fits_above(search, voice, midi)) {
    return QF_OK;
  }

  search->voicing.pitch[voice] = pitch;
  search->tone[voice]          = (int8_t)tone;
  return voice == SOPRANO ? add_voiced(search) : search_voice(search, voice - 1U);
}

static QfStatus
search_voice(Search* const search, const size_t voice)
{
  const Sonority* const sonority = search->sonority;
  for (int8_t octave = 0; octave < 9; ++octave) {
    for (int i = 0; i < sonority->n_tones; ++i) {
      if (voice == BASS && i != sonority->bass) {
        continue;
      }

      const QfNoteName name  = sonority->tones[i].name;
      const QfPitch    pitch = {name.letter, name.alter, octave};
      const QfStatus   st    = try_pitch(search, voice, pitch, i);
      if (st) {
        return st;
      }
    }
  }
  return QF_OK;
}

QfStatus
voiced_list(const Sonority* const sonority,
            const Strictness      strictness,
            const QfPitch* const  kept[QF_SATB],
            VoicedList* const     list)
{
  Search search = {.sonority = sonority, .strictness = strictness, .kept = kept, .list = list};

  list->n_voiced = 0;
  return search_voice(&search, BASS);
}

void
voiced_list_clear(VoicedList* const list)
{
  free(list->voiced);
  *list = (VoicedList){0};
}
