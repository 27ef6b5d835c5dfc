// SPDX-License-Identifier: MIT
#include "voiced.h"

#include <stdlib.h>

enum {
  OCTAVE       = 12,
  WIDE_SPACING = OCTAVE + 4,
  SPARE_FIFTH  = 30,  ///< Price of leaving out a fifth that has no room
  WISH_FEE     = 500, ///< Price of a doubling that was wished for and is not there
};

/// A search over the voices, from the bass up
typedef struct {
  const Sonority* sonority;
  const Policy*   policy;
  const Wishes*   wishes;
  VoicedList*     list;
  QfPitch         pitch[MAX_PARTS];
  int8_t          tone[MAX_PARTS];
} Search;

Voiced
voiced_of(const QfPitch* const pitches, const size_t n_voices, const Sonority* const sonority)
{
  Voiced voiced          = {.cost = 0};
  voiced.sounds.n_voices = (uint8_t)n_voices;
  for (size_t i = 0; i < n_voices; ++i) {
    voiced.pitch[i] = pitches[i];
    sounds_set(&voiced.sounds, i, pitches[i], sonority);
  }
  return voiced;
}

static int
distance_outside(const int low, const int high, const int midi)
{
  return midi < low ? low - midi : midi > high ? midi - high : 0;
}

static int
omission_cost(const Search* const search, const int index)
{
  const Sonority* const sonority = search->sonority;
  const Tone* const     tone     = &sonority->tones[index];
  const bool            has_room = (size_t)sonority->n_tones <= search->policy->n_voices;
  if (!has_room && index == sonority->fifth && index != sonority->bass &&
      tone->tendency == TENDENCY_NONE) {
    return sonority->inversion ? SPARE_FIFTH : tone->omission;
  }
  return search->policy->is_wide ? tone->omission_lax : tone->omission;
}

static bool
is_wished(const Search* const search, const int tone)
{
  const int member = search->sonority->tones[tone].member;
  return member >= 0 && ((search->wishes->doubled >> (unsigned)member) & 1U);
}

/// Cost of doublings and omissions, #COST_NEVER or more if not allowed
static int
content_cost(const Search* const search)
{
  int cost = 0;
  for (int i = 0; i < search->sonority->n_tones; ++i) {
    int n_set = 0;
    for (size_t v = 0; v < search->policy->n_voices; ++v) {
      n_set += search->tone[v] == i;
    }
    if (n_set == 0) {
      cost += omission_cost(search, i);
    } else {
      cost += (n_set - 1) * search->sonority->tones[i].doubling + (n_set > 2 ? n_set - 2 : 0);
    }
    cost += n_set < 2 && is_wished(search, i) ? WISH_FEE : 0;
    if (cost >= COST_NEVER) {
      return COST_NEVER;
    }
  }
  return cost;
}

/// Cost of register and spacing: close upper voices in the middle of their ranges
static int
register_cost(const Search* const search, const Sounds* const sounds)
{
  int          cost = 0;
  const size_t bass = search->policy->n_voices - 1U;
  for (size_t v = 0; v <= bass; ++v) {
    int low  = 0;
    int high = 0;
    if (!search->wishes->kept[v]) {
      policy_range(search->policy, v, false, &low, &high);
      const int outer  = v == 0 || v == bass ? 4 : 3; // Inner three quarters sit well
      const int margin = high - low < 4 * outer ? (high - low) / 4 : outer;
      cost += distance_outside(low + margin, high - margin, sounds->midi[v]);
    }
  }
  const int upper_span = sounds->midi[0] - sounds->midi[bass - 1U];
  const int lower_span = sounds->midi[bass - 1U] - sounds->midi[bass];
  cost += upper_span > 15 ? (upper_span - 14) / 2 : 0;
  cost += lower_span > 17 ? (lower_span - 16) / 2 : 0;
  return cost;
}

static int
rule_cost(const Search* const search, const Sounds* const sounds)
{
  const ChordView chord = {search->sonority, sounds, NULL, search->wishes->is_first};
  Bill            bill  = bill_new(search->policy->profile, false);
  bill.ranged           = search->policy->ranged;
  judge_placing(sounds, &bill.sink);
  judge_content(&chord, &bill.sink);
  return bill.cost;
}

static QfStatus
add_voiced(Search* const search)
{
  const int content = content_cost(search);
  if (content >= COST_NEVER) {
    return QF_OK;
  }
  Voiced voiced = voiced_of(search->pitch, search->policy->n_voices, search->sonority);
  voiced.cost = content + rule_cost(search, &voiced.sounds) + register_cost(search, &voiced.sounds);
  if (voiced.cost >= COST_NEVER) {
    return QF_OK;
  }

  VoicedList* const list = search->list;
  if (list->n_voiced == list->capacity) {
    const size_t  capacity = list->capacity ? 2U * list->capacity : 64U;
    Voiced* const grown    = (Voiced*)realloc(list->voiced, capacity * sizeof(Voiced));
    if (!grown) {
      return QF_ERR_NO_MEM;
    }
    list->voiced   = grown;
    list->capacity = capacity;
  }
  list->voiced[list->n_voiced++] = voiced;
  return QF_OK;
}

/// At most an octave above the voice below; one hand spans an octave
static bool
fits_above(const Search* const search, const size_t voice, const int midi)
{
  const Policy* const policy = search->policy;
  const size_t        bass   = policy->n_voices - 1U;
  if (voice == bass) {
    return true;
  }
  const int below = qf_pitch_midi(search->pitch[voice + 1U]);
  const int limit = voice + 1U == bass ? 127 : policy->is_wide ? WIDE_SPACING : OCTAVE;
  if (midi < below || midi - below > limit) {
    return false;
  }
  return !policy->is_keyboard || voice + 1U == bass ||
         midi - qf_pitch_midi(search->pitch[bass - 1U]) <= OCTAVE;
}

static QfStatus
search_voice(Search* search, size_t voice);

static QfStatus
try_pitch(Search* const search, const size_t voice, const QfPitch pitch, const int tone)
{
  const int  midi = qf_pitch_midi(pitch);
  const bool is_kept =
    search->wishes->kept[voice] && qf_pitch_equals(*search->wishes->kept[voice], pitch);
  int low  = 0;
  int high = 0;
  policy_range(search->policy, voice, search->policy->is_wide, &low, &high);
  if ((search->wishes->kept[voice] && !is_kept) ||
      (!is_kept && distance_outside(low, high, midi)) || !fits_above(search, voice, midi)) {
    return QF_OK;
  }
  search->pitch[voice] = pitch;
  search->tone[voice]  = (int8_t)tone;
  return voice == 0 ? add_voiced(search) : search_voice(search, voice - 1U);
}

static QfStatus
search_voice(Search* const search, const size_t voice)
{
  const Sonority* const sonority = search->sonority;
  const bool            is_bass  = voice + 1U == search->policy->n_voices;
  for (int8_t octave = 0; octave < 9; ++octave) {
    for (int i = 0; i < sonority->n_tones; ++i) {
      if (is_bass && i != sonority->bass) {
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
            const Policy* const   policy,
            const Wishes* const   wishes,
            VoicedList* const     list)
{
  Search search = {.sonority = sonority, .policy = policy, .wishes = wishes, .list = list};
  return search_voice(&search, policy->n_voices - 1U);
}

void
voiced_list_clear(VoicedList* const list)
{
  free(list->voiced);
  *list = (VoicedList){0};
}
