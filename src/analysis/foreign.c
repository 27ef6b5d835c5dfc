// SPDX-License-Identifier: MIT
#include "labels_impl.h"

#include <stdlib.h>

enum {
  MAX_ORNAMENT = 3, // Notes that may come between a suspension and its resolution
};

/// A foreign note among its voice, repetitions of it taken together
typedef struct {
  const QfLabelling* labelling;
  const QfLabels*    labels;
  size_t             index; ///< Of the link to which it is foreign
  size_t             voice;
  size_t             at;    ///< Index of the note in its voice
  size_t             first; ///< Of the first repetition that is foreign as well
  size_t             last;  ///< Of the last
} Place;

bool
qf_link_has_pitch(const QfLabelling* const labelling, const QfLink* const link, const QfPitch pitch)
{
  const QfEntry* const entry  = qf_link_entry(labelling, link);
  const int            fifths = qf_note_name_fifths(qf_pitch_name(pitch));

  for (int m = 0; link->span.entry != QF_ENTRY_UNKNOWN && m < qf_chord_kind_size(entry->kind);
       ++m) {
    if (link->root + qf_member_fifths(entry->kind, m) == fifths) {
      return true;
    }
  }
  return false;
}

static const QfNote*
note_of(const Place* const place, const size_t index)
{
  const QfScore* const score = place->labelling->passage.score;

  return index < qf_score_n_notes(score, place->voice)
           ? qf_score_get_note(score, place->voice, index)
           : NULL;
}

static const QfNote*
note_before(const Place* const place, const size_t index)
{
  return index ? note_of(place, index - 1) : NULL;
}

static QfTime
end_of(const QfNote* const note)
{
  return qf_time_add(note->start, note->duration);
}

/// True if the note belongs to the chord of the link that holds a time
static bool
belongs_at(const Place* const place, const QfNote* const note, const QfTime time)
{
  const size_t link = qf_labels_link_at(place->labels, time);

  return link != SIZE_MAX &&
         qf_link_has_pitch(place->labelling, &place->labels->links[link], note->pitch);
}

/// True if the note is heard as a chord note after it was foreign here
static bool
belongs_later(const Place* const place, const QfNote* const note)
{
  for (size_t i = place->index + 1; i < place->labels->n_links; ++i) {
    if (qf_time_compare(place->labels->labels[i].start, end_of(note)) >= 0) {
      return false;
    }
    if (qf_link_has_pitch(place->labelling, &place->labels->links[i], note->pitch)) {
      return true;
    }
  }
  return false;
}

/// Take in the repetitions of the note that are foreign as well
static void
widen(Place* const place)
{
  place->first = place->at;
  place->last  = place->at;

  for (;;) {
    const QfNote* const here   = note_of(place, place->first);
    const QfNote* const before = note_before(place, place->first);

    if (qf_move_between(before, here) != QF_MOVE_SAME || belongs_at(place, before, before->start)) {
      break;
    }
    --place->first;
  }
  for (;;) {
    const QfNote* const here  = note_of(place, place->last);
    const QfNote* const after = note_of(place, place->last + 1);

    if (qf_move_between(here, after) != QF_MOVE_SAME || belongs_at(place, after, after->start)) {
      break;
    }
    ++place->last;
  }
}

/// Note in which the foreign one was a chord note before: itself if it is held, or NULL
static const QfNote*
preparation_of(const Place* const place)
{
  const QfNote* const note   = note_of(place, place->first);
  const QfNote* const before = note_before(place, place->first);
  const QfTime        start  = place->labels->labels[place->index].start;

  if (qf_time_compare(note->start, start) < 0 && belongs_at(place, note, note->start)) {
    return note;
  }
  return qf_move_between(before, note) == QF_MOVE_SAME ? before : NULL;
}

/// Resolution of a prepared note: the next note, or one that follows an ornament
static const QfNote*
resolution_of(const Place* const place)
{
  const QfNote* const note  = note_of(place, place->last);
  const QfNote*       after = note_of(place, place->last + 1);
  const QfMove        out   = qf_move_between(note, after);
  const QfTime        end   = place->labels->labels[place->index].end;

  if (out == QF_MOVE_UP || out == QF_MOVE_DOWN) {
    return after;
  }

  for (size_t i = 2; out == QF_MOVE_LEAP && i <= MAX_ORNAMENT; ++i) {
    after = note_of(place, place->last + i);
    if (!after || qf_time_compare(after->start, end) >= 0) {
      return NULL;
    }

    const QfInterval interval = qf_interval_between(note->pitch, after->pitch);

    if (interval.steps == -1 && belongs_at(place, after, after->start)) {
      return after;
    }
  }
  return NULL;
}

/// The slice in which the note begins to be foreign
static const QfSlice*
slice_of(const Place* const place)
{
  const QfNote* const note    = note_of(place, place->at);
  const QfTime        start   = place->labels->labels[place->index].start;
  const bool          is_held = qf_time_compare(note->start, start) < 0;

  return qf_passage_slice_at(&place->labelling->passage, is_held ? start : note->start);
}

/// 4 of "4-3": a second over the bass counts as a ninth where there is room below
static int
figure_of(const QfPitch bass, const QfPitch pitch)
{
  const int steps = qf_interval_between(bass, pitch).steps;

  return steps > 7 && steps % 7 == 1 ? 9 : steps % 7 + 1;
}

/// Figures of a suspension over a bass that stays
static void
figure(const Place* const place, const QfNote* const goal, QfForeign* const foreign)
{
  const QfNote* const  note  = note_of(place, place->at);
  const QfSlice* const here  = slice_of(place);
  const QfSlice* const there = qf_passage_slice_at(&place->labelling->passage, goal->start);

  if (here->notes[0].id == note->id ||
      !qf_pitch_equals(here->notes[0].pitch, there->notes[0].pitch)) {
    return;
  }
  foreign->figure = (int8_t)figure_of(here->notes[0].pitch, note->pitch);
  foreign->goal_figure =
    (int8_t)(foreign->figure + qf_interval_between(note->pitch, goal->pitch).steps);
}

/// Suspension, retardation or pedal: a note that was a chord note before
static bool
settle_prepared(const Place* const place, QfForeign* const foreign)
{
  const QfNote* const note        = note_of(place, place->last);
  const QfNote* const preparation = preparation_of(place);

  if (!preparation) {
    return false;
  }

  const QfNote* const goal  = belongs_later(place, note) ? NULL : resolution_of(place);
  const QfNote* const after = note_of(place, place->last + 1);

  if (goal) {
    const bool is_up = qf_interval_between(note->pitch, goal->pitch).semitones > 0;

    foreign->kind        = is_up ? QF_FOREIGN_RETARDATION : QF_FOREIGN_SUSPENSION;
    foreign->preparation = preparation->id;
    foreign->resolution  = goal->id;
    figure(place, goal, foreign);
    return true;
  }

  const bool is_repeated = qf_move_between(note, after) == QF_MOVE_SAME;
  const bool is_lowest   = slice_of(place)->notes[0].id == note_of(place, place->at)->id;

  foreign->kind =
    belongs_later(place, note) || is_repeated || is_lowest ? QF_FOREIGN_PEDAL : QF_FOREIGN_FREE;
  return true;
}

/// True for the first or the second of both neighbours of one note
static bool
is_double_neighbour(const Place* const place)
{
  const QfNote* const note = note_of(place, place->at);

  for (size_t second = 0; second < 2; ++second) {
    if (place->at < 1 + second) {
      continue;
    }

    const QfNote* const from  = note_of(place, place->at - 1 - second);
    const QfNote* const other = note_of(place, second ? place->at - 1 : place->at + 1);
    const QfNote* const to    = note_of(place, place->at + 2 - second);

    if (!other || !to || !qf_pitch_equals(from->pitch, to->pitch)) {
      continue;
    }

    const int a = qf_interval_between(from->pitch, note->pitch).steps;
    const int b = qf_interval_between(from->pitch, other->pitch).steps;

    if (abs(a) == 1 && a == -b) {
      return true;
    }
  }
  return false;
}

/// A note struck outside the chord, by how the voice comes and goes
static void
settle_struck(const Place* const place, QfForeign* const foreign)
{
  const QfNote* const note   = note_of(place, place->last);
  const QfNote* const before = note_before(place, place->first);
  const QfNote* const after  = note_of(place, place->last + 1);
  const QfMove        in     = qf_move_between(before, note_of(place, place->first));
  const QfMove        out    = qf_move_between(note, after);

  // What is repeated on now belongs to the chord: widen() has passed the others over.
  if (belongs_later(place, note) || out == QF_MOVE_SAME) {
    foreign->kind = QF_FOREIGN_ANTICIPATION;
    return;
  }

  foreign->kind =
    is_double_neighbour(place) ? QF_FOREIGN_NEIGHBOUR : qf_foreign_kind_struck(in, out);
  if (foreign->kind == QF_FOREIGN_APPOGGIATURA && after) {
    foreign->resolution = after->id;
  }
}

static size_t
index_in_voice(const QfScore* const score, const QfSounding* const sounding)
{
  size_t low  = 0;
  size_t high = qf_score_n_notes(score, sounding->voice);

  while (high - low > 1) {
    const size_t        middle = low + (high - low) / 2;
    const QfNote* const note   = qf_score_get_note(score, sounding->voice, middle);

    if (qf_time_compare(note->start, sounding->start) <= 0) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return low;
}

static bool
is_listed(const QfLabel* const label, const uint32_t id)
{
  for (size_t i = 0; i < label->n_foreign; ++i) {
    if (label->foreign[i].note == id) {
      return true;
    }
  }
  return false;
}

/// Rule: R. Hutchinson, Music Theory for the 21st-Century Classroom, "Non-chord tones"; Open Music
/// Theory, "Embellishing tones".
void
qf_link_find_foreign(const QfLabelling* const labelling, QfLabels* const labels, const size_t index)
{
  const QfPassage* const passage = &labelling->passage;
  const QfLink* const    link    = &labels->links[index];
  QfLabel* const         label   = &labels->labels[index];

  for (size_t c = link->span.first; label->is_known && c < link->span.end; ++c) {
    const QfSlice* const slice = &passage->slices.slices[passage->columns[c].slice];

    for (size_t i = 0; i < slice->n_notes && label->n_foreign < QF_LABEL_MAX_FOREIGN; ++i) {
      const QfSounding* const note = &slice->notes[i];

      if (qf_link_has_pitch(labelling, link, note->pitch) || is_listed(label, note->id)) {
        continue;
      }

      QfForeign* const foreign = &label->foreign[label->n_foreign++];
      Place            place   = {.labelling = labelling,
                                  .labels    = labels,
                                  .index     = index,
                                  .voice     = note->voice,
                                  .at        = index_in_voice(passage->score, note)};

      *foreign = (QfForeign){.note = note->id};
      widen(&place);
      if (!settle_prepared(&place, foreign)) {
        settle_struck(&place, foreign);
      }
    }
  }
}
