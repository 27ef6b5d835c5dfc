// SPDX-License-Identifier: MIT
#include "quintfall/harmonise.h"

#include "functions.h"
#include "sonority.h"

#include "quintfall/figured_bass.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_WORDS       = 48,
  N_RANKS         = 48, ///< Chains kept up to each chord, and written out at the end
  FUNCTION_WEIGHT = 3,  ///< Of a chain's cost against its writing
};

/// One of the best ways up to a chord
typedef struct {
  int     cost;
  uint8_t word; ///< Of the chord before
  uint8_t rank; ///< Among the ways up to that
} Step;

/// The best ways up to one word at one note
typedef struct {
  bool    fits;
  uint8_t n_steps;
  Step    steps[N_RANKS];
} Cell;

typedef struct {
  const QfGivenNote* notes;
  size_t             n_notes;
  QfHarmoniseOptions options;
  const Word*        words;
  size_t             n_words;
  QfNumeral          numerals[MAX_WORDS];
  Sonority           sonorities[MAX_WORDS];
  bool               is_known[MAX_WORDS];
  Cell (*cells)[MAX_WORDS]; ///< By note and word; owned
} Search;

/// A whole chain
typedef struct {
  int    cost;
  size_t word; ///< Of the last chord
  size_t rank;
} Chain;

static const char* const vocabulary_names[] = {"diatonic", "applied", "chromatic"};

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
has_figures(const Search* const      search,
            const Sonority* const    sonority,
            const QfGivenNote* const note)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n_notes = 0;
  if (qf_figured_bass_notes(qf_pitch_name(note->pitch), note->figures, search->options.key, notes,
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
fits(const Search* const search, const size_t word, const QfGivenNote* const note)
{
  const Sonority* const sonority = &search->sonorities[word];
  const QfNoteName      name     = qf_pitch_name(note->pitch);
  if (!search->is_known[word] || search->words[word].level > search->options.vocabulary) {
    return false;
  }
  if (!search->options.is_bass) {
    return has_note(sonority, name);
  }
  return qf_note_name_equals(sonority->tones[sonority->bass].name, name) &&
         (!note->is_figured || has_figures(search, sonority, note));
}

static void
prepare_words(Search* const search)
{
  search->words = function_words(search->options.key.mode, &search->n_words);
  for (size_t i = 0; i < search->n_words; ++i) {
    search->is_known[i] =
      !qf_numeral_parse(search->words[i].numeral, search->options.key.mode, &search->numerals[i],
                        NULL) &&
      !sonority_of_numeral(&search->numerals[i], search->options.key, &search->sonorities[i], NULL);
  }
}

/// Is the second note on a weaker beat than the first?
static bool
is_weaker(const Search* const search, const size_t from, const size_t to)
{
  const QfTime bar   = qf_metre_bar(search->options.metre);
  const QfTime first = search->notes[from].start;
  const QfTime then  = search->notes[to].start;
  return qf_metre_level(search->options.metre, qf_time_sub(then, qf_time_floor(then, bar))) >
         qf_metre_level(search->options.metre, qf_time_sub(first, qf_time_floor(first, bar)));
}

/// Put a way among the best of a cell
static void
insert_step(Cell* const cell, const Step step)
{
  size_t at = cell->n_steps;
  if (at == N_RANKS) {
    if (cell->steps[N_RANKS - 1].cost <= step.cost) {
      return;
    }
    --at;
  } else {
    ++cell->n_steps;
  }
  for (; at > 0 && cell->steps[at - 1U].cost > step.cost; --at) {
    cell->steps[at] = cell->steps[at - 1U];
  }
  cell->steps[at] = step;
}

static int
step_cost(const Search* const search, const size_t note, const size_t from, const size_t to)
{
  const Word* const before  = &search->words[from];
  const Word* const word    = &search->words[to];
  const bool        is_last = note + 1U == search->n_notes;
  int               cost    = function_step_cost(before, word, is_weaker(search, note - 1U, note));
  if (is_last || search->notes[note].ends_phrase) {
    cost += function_cadence_cost(before, word, is_last);
  }
  return cost;
}

static void
fill_cell(Search* const search, const size_t note, const size_t word)
{
  Cell* const cell = &search->cells[note][word];
  if (note == 0) {
    insert_step(cell,
                (Step){search->words[word].cost + function_start_cost(&search->words[word]), 0, 0});
    return;
  }
  for (size_t from = 0; from < search->n_words; ++from) {
    const Cell* const before = &search->cells[note - 1U][from];
    if (!before->fits) {
      continue;
    }
    const int cost = step_cost(search, note, from, word);
    for (uint8_t rank = 0; rank < before->n_steps; ++rank) {
      insert_step(cell, (Step){before->steps[rank].cost + cost, (uint8_t)from, rank});
    }
  }
}

static QfStatus
fill_cells(Search* const search, QfError* const error)
{
  for (size_t i = 0; i < search->n_notes; ++i) {
    bool is_any = false;
    for (size_t w = 0; w < search->n_words; ++w) {
      search->cells[i][w].fits = fits(search, w, &search->notes[i]);
      if (search->cells[i][w].fits) {
        fill_cell(search, i, w);
        is_any = true;
      }
    }
    if (!is_any) {
      char pitch[16];
      char key[16];
      qf_pitch_write(search->notes[i].pitch, pitch, sizeof(pitch));
      qf_key_write(search->options.key, key, sizeof(key));
      return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                          "no %s chord of %s fits note %zu (%s%s%s); try a wider vocabulary",
                          vocabulary_names[search->options.vocabulary], key, i + 1U, pitch,
                          search->notes[i].is_figured ? ":" : "",
                          search->notes[i].is_figured ? search->notes[i].figures : "");
    }
  }
  return QF_OK;
}

static int
compare_chains(const void* const a, const void* const b)
{
  const Chain* const first  = (const Chain*)a;
  const Chain* const second = (const Chain*)b;
  return first->cost != second->cost ? first->cost - second->cost
         : first->word != second->word
           ? (first->word > second->word ? 1 : -1)
           : (first->rank > second->rank) - (first->rank < second->rank);
}

static size_t
list_chains(const Search* const search, Chain chains[MAX_WORDS * N_RANKS])
{
  size_t n = 0;
  for (size_t w = 0; w < search->n_words; ++w) {
    const Cell* const cell = &search->cells[search->n_notes - 1U][w];
    for (size_t rank = 0; cell->fits && rank < cell->n_steps; ++rank) {
      chains[n++] = (Chain){cell->steps[rank].cost, w, rank};
    }
  }
  qsort(chains, n, sizeof(Chain), compare_chains);
  return n;
}

static void
trace_back(const Search* const search, const Chain* const chain, QfLink* const links)
{
  size_t word = chain->word;
  size_t rank = chain->rank;
  for (size_t i = search->n_notes; i > 0; --i) {
    const QfGivenNote* const note = &search->notes[i - 1U];
    const Step* const        step = &search->cells[i - 1U][word].steps[rank];
    links[i - 1U] =
      (QfLink){search->options.key, search->numerals[word], note->start, note->duration};
    word = step->word;
    rank = step->rank;
  }
}

/// Write one chain out with the line kept; #QF_ERR_IMPOSSIBLE if the profile does not allow it
static QfStatus
write_chain(const Search* const search,
            const Chain* const  chain,
            const QfKept* const kept,
            QfHarmony* const    result)
{
  const size_t         n        = search->n_notes;
  QfHarmony            harmony  = {.links    = (QfLink*)calloc(n, sizeof(QfLink)),
                                   .voicings = (QfVoicing*)calloc(n, sizeof(QfVoicing))};
  QfWritings           writings = {0};
  const QfWriteOptions options  = {.profile = search->options.profile, .kept = kept, .n_kept = n};
  QfStatus             st       = harmony.links && harmony.voicings ? QF_OK : QF_ERR_NO_MEM;
  if (!st) {
    trace_back(search, chain, harmony.links);
    st = qf_write(harmony.links, n, options, &writings, NULL, NULL);
  }
  if (st) {
    free(harmony.links);
    free(harmony.voicings);
    return st;
  }
  harmony.cost = FUNCTION_WEIGHT * chain->cost + writings.writings[0].cost;
  for (size_t i = 0; i < n; ++i) {
    memcpy(harmony.voicings[i].pitch, &writings.writings[0].pitches[i * QF_SATB],
           sizeof(harmony.voicings[i].pitch));
  }
  qf_writings_clear(&writings);
  *result = harmony;
  return QF_OK;
}

static int
compare_harmonies(const void* const a, const void* const b)
{
  const int first  = ((const QfHarmony*)a)->cost;
  const int second = ((const QfHarmony*)b)->cost;
  return (first > second) - (first < second);
}

static void
clear_after(QfHarmonies* const harmonies, const size_t n_left)
{
  for (size_t i = n_left; i < harmonies->n_harmonies; ++i) {
    free(harmonies->harmonies[i].links);
    free(harmonies->harmonies[i].voicings);
  }
  harmonies->n_harmonies = n_left < harmonies->n_harmonies ? n_left : harmonies->n_harmonies;
}

/// Do two chains differ in more than the position of chords?
static bool
have_other_roots(const QfHarmony* const a, const QfHarmony* const b, const size_t n_links)
{
  for (size_t i = 0; i < n_links; ++i) {
    const QfNumeral* const first  = &a->links[i].numeral;
    const QfNumeral* const second = &b->links[i].numeral;
    if (first->degree != second->degree || first->alter != second->alter ||
        first->form != second->form || first->n_targets != second->n_targets) {
      return true;
    }
  }
  return false;
}

/// Bring the best chains with other roots to the front; of the rest the best follow
static void
put_different_first(QfHarmonies* const harmonies, const size_t wanted)
{
  size_t n_chosen = 1;
  for (size_t i = 1; i < harmonies->n_harmonies && n_chosen < wanted; ++i) {
    const QfHarmony harmony = harmonies->harmonies[i];
    bool            is_new  = true;
    for (size_t k = 0; k < n_chosen; ++k) {
      is_new &= have_other_roots(&harmony, &harmonies->harmonies[k], harmonies->n_links);
    }
    if (is_new) {
      memmove(&harmonies->harmonies[n_chosen + 1U], &harmonies->harmonies[n_chosen],
              (i - n_chosen) * sizeof(QfHarmony));
      harmonies->harmonies[n_chosen++] = harmony;
    }
  }
}

static QfStatus
write_chains(const Search* const search, QfHarmonies* const result, QfError* const error)
{
  Chain* const  chains = (Chain*)calloc((size_t)MAX_WORDS * N_RANKS, sizeof(Chain));
  QfKept* const kept   = (QfKept*)calloc(search->n_notes, sizeof(QfKept));
  QfHarmonies   found  = {.n_links = search->n_notes};
  found.harmonies      = (QfHarmony*)calloc(N_RANKS, sizeof(QfHarmony));
  QfStatus st          = chains && kept && found.harmonies ? QF_OK : QF_ERR_NO_MEM;
  size_t   n_chains    = 0;
  if (!st) {
    n_chains = list_chains(search, chains);
    for (size_t i = 0; i < search->n_notes; ++i) {
      kept[i] = (QfKept){i, search->options.is_bass ? QF_SATB - 1U : 0U, search->notes[i].pitch};
    }
  }

  const size_t wanted = search->options.n_best;
  for (size_t i = 0; !st && i < n_chains && found.n_harmonies < N_RANKS; ++i) {
    const QfStatus written =
      write_chain(search, &chains[i], kept, &found.harmonies[found.n_harmonies]);
    st = written == QF_ERR_IMPOSSIBLE ? QF_OK : written;
    found.n_harmonies += written == QF_OK;
  }
  free(chains);
  free(kept);
  if (st || !found.n_harmonies) {
    qf_harmonies_clear(&found);
    return st ? qf_error_set(error, st, "out of memory")
              : qf_error_set(error, QF_ERR_IMPOSSIBLE,
                             "none of the likely chains can be written over this line without an "
                             "error; try a milder profile or a wider vocabulary");
  }
  qsort(found.harmonies, found.n_harmonies, sizeof(QfHarmony), compare_harmonies);
  put_different_first(&found, wanted);
  clear_after(&found, wanted);
  qsort(found.harmonies, found.n_harmonies, sizeof(QfHarmony), compare_harmonies);
  *result = found;
  return QF_OK;
}

QfStatus
qf_harmonise(const QfGivenNote* const notes,
             const size_t             n_notes,
             QfHarmoniseOptions       options,
             QfHarmonies* const       result,
             QfError* const           error)
{
  options.n_best = options.n_best ? options.n_best : 1U;
  if (!n_notes || n_notes > QF_HARMONISE_MAX_NOTES) {
    return qf_error_set(error, QF_ERR_RANGE, "a line to harmonise has 1 to %d notes",
                        QF_HARMONISE_MAX_NOTES);
  }
  if (options.n_best > QF_HARMONISE_MAX_BEST) {
    return qf_error_set(error, QF_ERR_RANGE, "at most %d chains can be asked for",
                        QF_HARMONISE_MAX_BEST);
  }

  Search* const search = (Search*)calloc(1, sizeof(Search));
  if (!search) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  search->notes   = notes;
  search->n_notes = n_notes;
  search->options = options;
  search->cells   = (Cell(*)[MAX_WORDS])calloc(n_notes, sizeof(*search->cells));
  prepare_words(search);
  QfStatus st =
    search->cells ? fill_cells(search, error) : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  st = st ? st : write_chains(search, result, error);
  free(search->cells);
  free(search);
  return st;
}

void
qf_harmonies_clear(QfHarmonies* const harmonies)
{
  clear_after(harmonies, 0);
  free(harmonies->harmonies);
  *harmonies = (QfHarmonies){0};
}

const char*
qf_vocabulary_name(const QfVocabulary vocabulary)
{
  return vocabulary_names[vocabulary];
}

QfStatus
qf_vocabulary_parse(const char* const text, QfVocabulary* const result, QfError* const error)
{
  for (int i = 0; i < QF_VOCABULARY_N_KINDS; ++i) {
    if (!strcmp(text, vocabulary_names[i])) {
      *result = (QfVocabulary)i;
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "a vocabulary is diatonic, applied or chromatic, not \"%s\"", text);
}
