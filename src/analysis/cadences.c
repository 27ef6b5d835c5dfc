// SPDX-License-Identifier: MIT
#include "labels_impl.h"
#include "words.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>

enum {
  LONG_FACTOR  = 2, // An arrival is long if it lasts so many times the longest chord before it
  LONG_CONTEXT = 3, // Chords before it that are compared
  STRONG_LEVEL = 1, // Metrical level of a place where an arrival may be plain
  NAME_SIZE    = 40,
};

/// What speaks for the end of a phrase, strongest last
typedef enum {
  END_NONE,
  END_LONG,     ///< The arrival is long and strong
  END_SIX_FOUR, ///< A cadential six-four announces it
  END_REPEAT,   ///< A repeat sign
  END_REST,     ///< All voices rest
  END_PASSAGE,  ///< The last chord
  END_FERMATA,
} PhraseEnd;

/// A possible arrival
typedef struct {
  const QfLabelling* labelling;
  const QfLabels*    labels;
  size_t             first;   ///< First link of the arrival's harmony
  size_t             arrival; ///< Its last
  QfTime             at;      ///< Where the soprano is looked at
  PhraseEnd          end;
} Arrival;

static const QfLink*
link_of(const Arrival* const arrival, const size_t index)
{
  return &arrival->labels->links[index];
}

static QfTime
length_of(const QfLabel* const label)
{
  return qf_time_sub(label->end, label->start);
}

static bool
has_role(const Arrival* const arrival, const size_t index, const QfRole role)
{
  return qf_link_entry(arrival->labelling, link_of(arrival, index))->role == role;
}

/// True for a plain numeral of a degree of the key, not altered
static bool
is_degree(const Arrival* const arrival, const size_t index, const int degree)
{
  const QfNumeral* const numeral = &arrival->labels->labels[index].numeral;

  return arrival->labels->labels[index].is_known && numeral->form == QF_NUMERAL_ROMAN &&
         numeral->degree == degree && numeral->alter == 0 && numeral->n_targets == 0;
}

/// Dominant in root position, not a leading-tone chord
static bool
is_root_dominant(const Arrival* const arrival, const size_t index)
{
  const QfLink* const link = link_of(arrival, index);

  return link->is_dominant && link->root == link->dominant && link->inversion == 0;
}

/// True if the end of the phrase is only told by the arrival itself
static bool
is_weak_end(const Arrival* const arrival)
{
  return arrival->end == END_LONG || arrival->end == END_SIX_FOUR;
}

static bool
is_triad(const Arrival* const arrival, const size_t index)
{
  return !qf_chord_kind_has_seventh(arrival->labels->labels[index].chord.kind);
}

/// True for a chord that can be a goal: a consonant triad
static bool
is_goal(const Arrival* const arrival, const size_t index)
{
  const QfChordKind kind = arrival->labels->labels[index].chord.kind;

  return arrival->labels->labels[index].is_known &&
         (kind == QF_CHORD_MAJOR || kind == QF_CHORD_MINOR);
}

/// The highest chord note at the arrival, fifths above C; suspensions are waited for
static int
soprano_of(const Arrival* const arrival)
{
  const QfPassage* const passage = &arrival->labelling->passage;
  const QfTime           end     = arrival->labels->labels[arrival->arrival].end;
  const QfLink* const    link    = link_of(arrival, arrival->arrival);
  const QfSlice*         slice   = qf_passage_slice_at(passage, arrival->at);
  const QfPitch          top     = slice->notes[slice->n_notes - 1].pitch;
  const QfSlice* const   last    = &passage->slices.slices[passage->slices.n_slices - 1];

  for (; slice <= last && qf_time_compare(slice->start, end) < 0; ++slice) {
    const QfPitch pitch = slice->notes[slice->n_notes ? slice->n_notes - 1 : 0].pitch;

    if (slice->n_notes && qf_link_has_pitch(arrival->labelling, link, pitch)) {
      return qf_note_name_fifths(qf_pitch_name(pitch));
    }
  }
  return qf_note_name_fifths(qf_pitch_name(top));
}

static bool
is_strong(const Arrival* const arrival)
{
  const QfTime start = arrival->labels->labels[arrival->first].start;

  return qf_score_level_at(arrival->labelling->passage.score, start) <= STRONG_LEVEL;
}

/// True if the harmony of arrival outlasts the chords before it
static bool
is_long(const Arrival* const arrival)
{
  const QfLabel* const labels = arrival->labels->labels;
  const QfTime length = qf_time_sub(labels[arrival->arrival].end, labels[arrival->first].start);

  for (size_t i = 1; i <= LONG_CONTEXT; ++i) {
    if (arrival->first < i) {
      return false;
    }

    const QfTime before =
      qf_time_mul(length_of(&labels[arrival->first - i]), qf_time(LONG_FACTOR, 1));

    if (qf_time_compare(length, before) < 0) {
      return false;
    }
  }
  return true;
}

static bool
ends_with_repeat(const Arrival* const arrival)
{
  const QfScore* const score = arrival->labelling->passage.score;
  const QfLabel* const label = &arrival->labels->labels[arrival->arrival];
  const QfBar* const   bar   = qf_score_get_bar(score, qf_score_bar_at(score, label->start));

  return bar->ends_repeat && qf_time_compare(qf_time_add(bar->start, bar->length), label->end) <= 0;
}

static PhraseEnd
phrase_end(const Arrival* const arrival)
{
  const QfLabels* const labels = arrival->labels;
  const size_t          next   = arrival->arrival + 1;
  const size_t          first  = arrival->first;
  const bool            is_end = is_degree(arrival, first, 1) || is_degree(arrival, first, 6);

  if (next == labels->n_links) {
    return END_PASSAGE;
  }
  if (labels->links[next].is_after_rest) {
    return END_REST;
  }
  if (ends_with_repeat(arrival)) {
    return END_REPEAT;
  }
  if (is_end && first > 1 && is_root_dominant(arrival, first - 1) && is_strong(arrival) &&
      has_role(arrival, first - 2, QF_ROLE_CADENTIAL)) {
    return END_SIX_FOUR;
  }
  return is_strong(arrival) && is_long(arrival) ? END_LONG : END_NONE;
}

/// The key that a chord would be the tonic of; false if it has too many signs
static bool
key_on(const Arrival* const arrival, QfKey* const key)
{
  const QfChord chord = arrival->labels->labels[arrival->arrival].chord;
  const QfMode  mode  = chord.kind == QF_CHORD_MINOR ? QF_MINOR : QF_MAJOR;
  const int     tonic = qf_note_name_fifths(chord.root) - (mode == QF_MINOR ? 3 : 0);

  return !qf_key_from_fifths(tonic, mode, key);
}

/// Authentic cadence onto any degree, tonicized or the tonic itself
static bool
is_authentic(const Arrival* const arrival, QfCadence* const cadence)
{
  const QfLink* const from = link_of(arrival, cadence->from);
  const QfLink* const goal = link_of(arrival, arrival->first);

  if (!from->is_dominant || !qf_roots_sound_alike(from->target, goal->root) ||
      !is_goal(arrival, arrival->first) || goal->inversion == 2) {
    return false;
  }
  // The dominant prepared by its own dominant closes nothing yet, unless a key ends there.
  if ((is_degree(arrival, arrival->first, 5) && from->span.key == goal->span.key) ||
      (!is_degree(arrival, arrival->first, 1) && !key_on(arrival, &cadence->key))) {
    return false;
  }

  const bool is_rooted = is_root_dominant(arrival, cadence->from) && goal->inversion == 0;

  if (is_weak_end(arrival) && !is_rooted) {
    return false;
  }

  const bool is_perfect = is_rooted && link_of(arrival, arrival->arrival)->inversion == 0 &&
                          qf_roots_sound_alike(soprano_of(arrival), goal->root);

  cadence->kind = is_perfect ? QF_CADENCE_PERFECT : QF_CADENCE_IMPERFECT;
  return true;
}

/// Half cadences, the Phrygian one among them
static bool
is_half(const Arrival* const arrival, QfCadence* const cadence)
{
  const QfLabel* const from = &arrival->labels->labels[cadence->from];
  const QfLink* const  goal = link_of(arrival, arrival->arrival);

  if (!is_degree(arrival, arrival->arrival, 5) || goal->inversion != 0 ||
      !has_role(arrival, arrival->arrival, QF_ROLE_DOMINANT) ||
      !is_triad(arrival, arrival->arrival) || is_weak_end(arrival)) {
    return false;
  }

  const bool is_phrygian = from->key.mode == QF_MINOR && is_degree(arrival, cadence->from, 4) &&
                           from->chord.kind == QF_CHORD_MINOR && from->chord.inversion == 1;

  cadence->kind = is_phrygian ? QF_CADENCE_PHRYGIAN : QF_CADENCE_HALF;
  return true;
}

static bool
is_plagal(const Arrival* const arrival, QfCadence* const cadence)
{
  cadence->kind = QF_CADENCE_PLAGAL;
  return !is_weak_end(arrival) && is_degree(arrival, arrival->first, 1) &&
         is_goal(arrival, arrival->first) && link_of(arrival, arrival->first)->inversion == 0 &&
         is_degree(arrival, cadence->from, 4) && is_goal(arrival, cadence->from);
}

static bool
is_deceptive(const Arrival* const arrival, QfCadence* const cadence)
{
  cadence->kind = QF_CADENCE_DECEPTIVE;
  return is_degree(arrival, arrival->first, 6) && is_goal(arrival, arrival->first) &&
         link_of(arrival, arrival->first)->inversion == 0 && is_degree(arrival, cadence->from, 5) &&
         is_root_dominant(arrival, cadence->from);
}

/// "V7", with its key if that is not the arrival's
static void
add_chord(const Arrival* const arrival, const size_t index, QfText* const text)
{
  const QfLabel* const label = &arrival->labels->labels[index];
  char                 words[QF_NUMERAL_TEXT_SIZE];

  qf_numeral_write(&label->numeral, label->key.mode, words, sizeof(words));
  qf_text_add(text, words);
  if (!qf_key_equals(label->key, arrival->labels->labels[arrival->arrival].key)) {
    qf_word_key(label->key, arrival->labelling->options.naming, words, sizeof(words));
    qf_text_addf(text, " of %s", words);
  }
}

/// Why an authentic cadence is perfect, or is not
static void
add_closure(const Arrival* const arrival, const QfCadence* const cadence, QfText* const text)
{
  const bool is_rooted =
    is_root_dominant(arrival, cadence->from) && link_of(arrival, arrival->first)->inversion == 0;
  QfNoteName soprano = {0, 0};
  char       name[NAME_SIZE];

  if (qf_note_name_from_fifths(soprano_of(arrival), &soprano)) {
    return;
  }
  qf_word_note(soprano, arrival->labelling->options.naming, name, sizeof(name));
  qf_text_addf(text, "%s, the highest voice on %s", is_rooted ? " in root position" : "", name);
}

static void
write_reason(const Arrival* const arrival, QfCadence* const cadence)
{
  static const char* const ends[] = {
    [END_NONE]     = "",
    [END_LONG]     = "the arrival is long",
    [END_SIX_FOUR] = "a cadential six-four announces it",
    [END_REPEAT]   = "a repeat sign follows",
    [END_REST]     = "a rest follows",
    [END_PASSAGE]  = "the passage ends",
    [END_FERMATA]  = "a fermata ends the phrase",
  };

  const char* const name = qf_cadence_kind_name(cadence->kind);
  QfText            text = {0};
  char              key[48];

  qf_word_key(cadence->key, arrival->labelling->options.naming, key, sizeof(key));
  qf_text_addf(&text, "%s in %s: ", name, key);
  add_chord(arrival, cadence->from, &text);
  qf_text_add(&text, " leads to ");
  add_chord(arrival, arrival->arrival, &text);
  if (cadence->kind == QF_CADENCE_PERFECT || cadence->kind == QF_CADENCE_IMPERFECT) {
    add_closure(arrival, cadence, &text);
  }
  qf_text_addf(&text, "; %s.", ends[arrival->end]);
  snprintf(cadence->reason, sizeof(cadence->reason), "%s", text.data ? text.data : "");
  if (cadence->reason[0] >= 'a' && cadence->reason[0] <= 'z') {
    cadence->reason[0] = (char)(cadence->reason[0] - 'a' + 'A');
  }
  qf_text_free(&text);
}

/// First link of the harmony that holds on to a link, whatever its inversions
static size_t
first_of_harmony(const QfLabels* const labels, const size_t index)
{
  size_t first = index;

  while (first > 0 && !labels->links[first].is_after_rest &&
         labels->links[first - 1].root == labels->links[index].root &&
         labels->links[first - 1].span.key == labels->links[index].span.key &&
         labels->links[first - 1].is_dominant == labels->links[index].is_dominant) {
    --first;
  }
  return first;
}

/// Name the cadence onto an arrival, if it is one
static bool
name_cadence(const Arrival* const arrival, QfCadence* const cadence)
{
  static bool (*const tests[])(const Arrival*, QfCadence*) = {is_authentic, is_half, is_deceptive,
                                                              is_plagal};

  const size_t first = arrival->first;

  if (!first || link_of(arrival, first)->is_after_rest ||
      !arrival->labels->labels[first - 1].is_known) {
    return false;
  }

  *cadence = (QfCadence){.from    = first - 1,
                         .arrival = arrival->arrival,
                         .key     = arrival->labels->labels[arrival->arrival].key};
  for (size_t i = 0; i < sizeof(tests) / sizeof(tests[0]); ++i) {
    if (tests[i](arrival, cadence)) {
      write_reason(arrival, cadence);
      return true;
    }
  }
  return false;
}

/// The link in which a fermata's note comes to rest: a resolution that it waits for counts
static size_t
arrival_under(const QfLabels* const labels, const QfTime from, const QfTime to)
{
  const size_t at = qf_labels_link_at(labels, from);
  size_t       i  = at;

  while (i != SIZE_MAX && i + 1 < labels->n_links &&
         qf_time_compare(labels->labels[i + 1].start, to) < 0 &&
         labels->labels[i].resolution == QF_RESOLUTION_KEPT) {
    ++i;
  }
  return i;
}

/// End of the longest note that starts at a time
static QfTime
longest_end(const QfPassage* const passage, const QfTime time)
{
  const QfSlice* const slice = qf_passage_slice_at(passage, time);
  QfTime               end   = slice->end;

  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfTime other = qf_time_add(slice->notes[i].start, slice->notes[i].duration);

    end = slice->notes[i].is_struck && qf_time_compare(end, other) < 0 ? other : end;
  }
  return end;
}

/// Where a fermata stands over each link, if one does; negative times elsewhere
static void
place_fermatas(const QfLabelling* const labelling, const QfLabels* const labels, QfTime* const at)
{
  const QfScore* const score = labelling->passage.score;

  for (size_t i = 0; i < labels->n_links; ++i) {
    at[i] = qf_time(-1, 1);
  }
  for (size_t i = 0; i < qf_score_n_fermatas(score); ++i) {
    const QfTime time = qf_score_get_fermata(score, i);
    const size_t link = arrival_under(labels, time, longest_end(&labelling->passage, time));

    if (link != SIZE_MAX) {
      at[link] =
        qf_time_compare(time, labels->labels[link].start) < 0 ? labels->labels[link].start : time;
    }
  }
}

/// Source of the kinds: Open Music Theory, "Classical cadence types"; inverted and leading-tone
/// forms count as imperfect, as in R. Hutchinson, Music Theory for the 21st-Century Classroom,
/// "Cadences".
QfStatus
qf_links_find_cadences(const QfLabelling* const labelling, QfLabels* const labels)
{
  QfTime* const fermatas = (QfTime*)calloc(labels->n_links + 1, sizeof(QfTime));

  free(labels->cadences);
  labels->n_cadences = 0;
  labels->cadences   = (QfCadence*)calloc(labels->n_links + 1, sizeof(QfCadence));
  if (!fermatas || !labels->cadences) {
    free(fermatas);
    return QF_ERR_NO_MEM;
  }

  place_fermatas(labelling, labels, fermatas);
  for (size_t i = 1; i < labels->n_links; ++i) {
    const bool is_held = fermatas[i].num >= 0;
    Arrival    arrival = {.labelling = labelling,
                          .labels    = labels,
                          .first     = first_of_harmony(labels, i),
                          .arrival   = i,
                          .at        = is_held ? fermatas[i] : labels->labels[i].start};

    arrival.end = is_held ? END_FERMATA : phrase_end(&arrival);
    if (labels->labels[i].is_known && arrival.end != END_NONE &&
        name_cadence(&arrival, &labels->cadences[labels->n_cadences])) {
      ++labels->n_cadences;
    }
  }

  free(fermatas);
  return QF_OK;
}
