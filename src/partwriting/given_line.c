// SPDX-License-Identifier: MIT
#include "given_line.h"

#include "quintfall/figured_bass.h"

enum {
  FUNCTION_WEIGHT = 3, ///< Of a chain's cost against its writing
};

static bool
has_note(const Sonority* const sonority, const QfNoteName name)
{
  for (int i = 0; i < sonority->n_tones; ++i) {
    if (qf_note_name_equals(sonority->tones[i].name, name)) {
      return true;
    }
  }
  return false;
}

/// Do the figures ask for just the notes of the chord?
static bool
has_figures(const GivenLine* const   line,
            const Sonority* const    sonority,
            const QfGivenNote* const note)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n_notes = 0;
  if (qf_figured_bass_notes(qf_pitch_name(note->pitch), note->figures, line->options.key, notes,
                            &n_notes, NULL) ||
      n_notes != sonority->n_tones) {
    return false;
  }
  for (int i = 0; i < n_notes; ++i) {
    if (!has_note(sonority, notes[i])) {
      return false;
    }
  }
  return true;
}

static bool
fits(const Lexicon* const lexicon, const size_t link, const size_t word)
{
  const GivenLine* const   line     = (const GivenLine*)lexicon;
  const QfGivenNote* const note     = &line->notes[link];
  const Sonority* const    sonority = &line->sonorities[word];
  const QfNoteName         name     = qf_pitch_name(note->pitch);
  if (!line->is_known[word] || line->words[word].level > line->options.vocabulary) {
    return false;
  }
  if (!line->options.is_bass) {
    return has_note(sonority, name);
  }
  return qf_note_name_equals(sonority->tones[sonority->bass].name, name) &&
         (!note->is_figured || has_figures(line, sonority, note));
}

static QfTime
place_in_bar(const GivenLine* const line, const size_t note)
{
  const QfTime bar = qf_metre_bar(line->options.metre);
  const QfTime start =
    line->options.pickup.num > 0
      ? qf_time_add(line->notes[note].start, qf_time_sub(bar, line->options.pickup))
      : line->notes[note].start;
  return qf_time_sub(start, qf_time_floor(start, bar));
}

/// Is the second note on a weaker beat than the first?
static bool
is_weaker(const GivenLine* const line, const size_t from, const size_t to)
{
  const QfMetre metre = line->options.metre;
  return qf_metre_level(metre, place_in_bar(line, to)) >
         qf_metre_level(metre, place_in_bar(line, from));
}

static bool
ends_phrase(const GivenLine* const line, const size_t note)
{
  return note + 1U == line->n_notes || line->notes[note].ends_phrase;
}

static int
start_fee(const Lexicon* const lexicon, const size_t word)
{
  const Word* const first = &((const GivenLine*)lexicon)->words[word];
  return FUNCTION_WEIGHT * (first->cost + function_start_cost(first));
}

static int
step_fee(const Lexicon* const lexicon, const size_t link, const size_t from, const size_t to)
{
  const GivenLine* const line   = (const GivenLine*)lexicon;
  const Word* const      before = &line->words[from];
  const Word* const      word   = &line->words[to];
  const int              step = function_step_cost(before, word, is_weaker(line, link - 1U, link));
  const int              cadence =
    ends_phrase(line, link) ? function_cadence_cost(before, word, link + 1U == line->n_notes) : 0;
  return FUNCTION_WEIGHT * (step + cadence);
}

/// Chords on the same triad are one class: inversions and sevenths make no other chain
static uint8_t
class_of(const GivenLine* const line, const size_t word)
{
  const Sonority* const own = &line->sonorities[word];
  for (size_t i = 0; i < word; ++i) {
    const Sonority* const other   = &line->sonorities[i];
    bool                  is_same = line->is_known[i] && own->form == other->form &&
                   is_augmented_sixth(own->kind) == is_augmented_sixth(other->kind);
    for (int tone = 0; tone < 3; ++tone) {
      is_same &= qf_note_name_equals(own->tones[tone].name, other->tones[tone].name);
    }
    if (is_same) {
      return line->classes[i];
    }
  }
  return (uint8_t)word;
}

bool
given_line_on_downbeat(const GivenLine* const line, const size_t note)
{
  return place_in_bar(line, note).num == 0;
}

void
given_line_prepare(GivenLine* const         line,
                   const QfGivenNote* const notes,
                   const size_t             n_notes,
                   const QfHarmoniseOptions options)
{
  *line = (GivenLine){.notes = notes, .n_notes = n_notes, .options = options};

  const QfKey key = line->options.key;
  line->words     = function_words(key.mode, &line->lexicon.n_words);
  for (size_t i = 0; i < line->lexicon.n_words; ++i) {
    line->is_known[i] =
      !qf_numeral_parse(line->words[i].numeral, key.mode, &line->numerals[i], NULL) &&
      !sonority_of_numeral(&line->numerals[i], key, &line->sonorities[i], NULL);
    line->classes[i] = class_of(line, i);
  }
  line->lexicon.sonorities = line->sonorities;
  line->lexicon.classes    = line->classes;
  line->lexicon.fits       = fits;
  line->lexicon.start_fee  = start_fee;
  line->lexicon.step_fee   = step_fee;
}
