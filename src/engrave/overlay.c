// SPDX-License-Identifier: MIT
// An answer over its passage: which of both pages' notes are drawn, where, and with which sign.
#include "engraving.h"

#include <stdlib.h>

static size_t
n_asked(const Engraving* const e)
{
  return qf_score_n_voices(e->score);
}

static bool
is_answer_line(const Engraving* const e, const size_t line)
{
  return line >= n_asked(e);
}

/// Voice of the passage that a line belongs to, or SIZE_MAX
static size_t
voice_of(const Engraving* const e, const size_t line)
{
  return is_answer_line(e, line) ? qf_comparison_voice_of(e->overlay->comparison, line - n_asked(e))
                                 : line;
}

const QfScore*
overlay_page_of(const Engraving* const e, const size_t line, size_t* const voice)
{
  const QfScore* const written = qf_comparison_get_written(e->overlay->comparison);
  const bool           theirs  = is_answer_line(e, line);
  *voice                       = theirs ? line - n_asked(e) : line;
  return voice_of(e, line) == SIZE_MAX ? NULL : theirs ? written : e->score;
}

/// True if the other page's note is drawn in the place of this one
static bool
is_stood_for(const QfComparedNote* const note, const bool is_theirs)
{
  return is_theirs && note->kind == QF_COMPARED_SAME;
}

static bool
is_drawn(const QfComparedNote* const note, const bool is_theirs, const QfOverlayPages pages)
{
  switch (note->kind) {
    case QF_COMPARED_SAME:
      return true;
    case QF_COMPARED_EQUAL:
      return is_theirs == (pages != QF_OVERLAY_PASSAGE);
    case QF_COMPARED_DIFFERS:
      // Where only the time or octave is at fault, both would stand in the same place.
      if (note->is_alike && pages == QF_OVERLAY_BOTH) {
        return is_theirs;
      }
      break;
    default:
      break;
  }
  return pages == QF_OVERLAY_BOTH || is_theirs == (pages == QF_OVERLAY_THEIRS);
}

/// A voice that was left empty is shown as it is, without a mark on each of its notes
static bool
is_empty(const Engraving* const e, const size_t voice)
{
  const QfScore* const written = qf_comparison_get_written(e->overlay->comparison);
  for (size_t v = 0; written && v < qf_score_n_voices(written); ++v) {
    if (qf_comparison_voice_of(e->overlay->comparison, v) == voice) {
      return !qf_score_n_notes(written, v);
    }
  }
  return true;
}

static Sign
sign_of(const QfComparedNote* const note, const bool is_theirs, const QfOverlayOptions overlay)
{
  if (overlay.is_plain && !is_theirs) {
    return SIGN_NONE;
  }
  switch (note->kind) {
    case QF_COMPARED_DIFFERS:
      return is_theirs ? SIGN_RING : SIGN_OUTLINE;
    case QF_COMPARED_MISSING:
      return SIGN_DASHES;
    case QF_COMPARED_EXTRA:
      return SIGN_STRIKE;
    case QF_COMPARED_UNASKED:
      return !is_theirs && overlay.pages == QF_OVERLAY_BOTH ? SIGN_QUIET : SIGN_NONE;
    default:
      return SIGN_NONE;
  }
}

bool
overlay_dress(const Engraving* const e, const size_t line, Mark* const mark)
{
  const QfComparison* const c         = e->overlay->comparison;
  const QfOverlayOptions    options   = e->overlay->options;
  const bool                is_theirs = is_answer_line(e, line);
  const size_t              voice     = voice_of(e, line);
  const bool                is_hidden = (options.hidden_voices >> voice) & 1U;
  if (mark->symbol.note == QF_NO_NOTE) {
    mark->is_shown = !is_hidden;
    return !is_theirs;
  }

  const QfComparedNote* const note = qf_comparison_find_note(c, is_theirs, mark->symbol.note);
  if (!note || is_stood_for(note, is_theirs)) {
    return false;
  }
  mark->is_shown = !is_hidden && is_drawn(note, is_theirs, options.pages);
  mark->sign     = sign_of(note, is_theirs, options);
  if (mark->sign == SIGN_DASHES && is_empty(e, voice)) {
    mark->sign = SIGN_OUTLINE;
  }
  mark->is_beside =
    !is_theirs && options.pages == QF_OVERLAY_BOTH && note->other != QF_NO_NOTE && !note->is_alike;
  if (is_theirs) {
    mark->symbol.start = qf_comparison_place_of(c, voice, mark->symbol.start);
    mark->symbol.note |= QF_OVERLAY_THEIRS_BIT;
  }
  return true;
}

QfStatus
qf_overlay_new(const QfComparison* const comparison,
               const QfOverlayOptions    overlay,
               QfEngraveOptions          options,
               QfEngraving** const       result,
               QfError* const            error)
{
  const Overlay both = {comparison, overlay};
  options.rows       = 0;
  options.is_shown   = NULL;
  return engrave_make(qf_comparison_get_score(comparison), NULL, &both, options, result, error);
}

// ---- accidentals

/// Accidentals of one page, in order of the notes' identities
typedef struct {
  QfAccidentals list;
} PageSigns;

static int
compare_notes(const void* const a, const void* const b)
{
  const uint32_t x = ((const QfAccidental*)a)->note;
  const uint32_t y = ((const QfAccidental*)b)->note;
  return (x > y) - (x < y);
}

static QfStatus
find_signs(const Engraving* const e, const QfScore* const page, PageSigns* const result)
{
  const QfStatus st =
    page ? qf_accidentals_of(page, e->options.courtesy_across_voices, &result->list) : QF_OK;
  if (!st && result->list.n_accidentals) {
    qsort(result->list.accidentals, result->list.n_accidentals, sizeof(QfAccidental),
          compare_notes);
  }
  return st;
}

static QfAccidentalKind
sign_before(const PageSigns* const signs, const uint32_t note)
{
  const QfAccidental        key = {.note = note};
  const QfAccidental* const found =
    signs->list.n_accidentals
      ? (const QfAccidental*)bsearch(&key, signs->list.accidentals, signs->list.n_accidentals,
                                     sizeof(QfAccidental), compare_notes)
      : NULL;
  return found ? found->kind : QF_ACCIDENTAL_NONE;
}

/// What its own page says, and for a note of both pages what either says
static QfAccidentalKind
sign_on_pages(const Engraving* const e, const PageSigns pages[2], const Mark* const mark)
{
  const bool       is_theirs = mark->symbol.note & QF_OVERLAY_THEIRS_BIT;
  const uint32_t   note      = mark->symbol.note & ~QF_OVERLAY_THEIRS_BIT;
  QfAccidentalKind kind      = sign_before(&pages[is_theirs], note);
  if (!kind && !is_theirs) {
    const QfComparedNote* const item = qf_comparison_find_note(e->overlay->comparison, false, note);
    kind                             = item->kind == QF_COMPARED_SAME && item->other != QF_NO_NOTE
                                         ? sign_before(&pages[true], item->other)
                                         : kind;
  }
  return kind;
}

/// True if another note of the column stands in the same place with another accidental
static bool
is_contradicted(const Engraving* const e, const Mark* const mark)
{
  const Column* const column = &e->columns[mark->column];
  for (size_t i = 0; i < column->n_marks; ++i) {
    const Mark* const other = &e->marks[e->by_column[column->first_mark + i]];
    if (engrave_is_inked(other) && other->staff == mark->staff &&
        other->position == mark->position &&
        other->symbol.pitch.alter != mark->symbol.pitch.alter) {
      return true;
    }
  }
  return false;
}

/// A note of one page alone can't rely on what stands before it on the other
static bool
needs_sign(const Engraving* const e, const Mark* const mark)
{
  const QfKey key = qf_score_signature_at(e->score, e->bars[e->columns[mark->column].bar].start);
  const bool  is_alone = mark->sign != SIGN_NONE && mark->sign != SIGN_QUIET;
  return (is_alone &&
          mark->symbol.pitch.alter != qf_key_alter_of(key, mark->symbol.pitch.letter)) ||
         is_contradicted(e, mark);
}

QfStatus
overlay_accidentals(Engraving* const e)
{
  PageSigns pages[2] = {0};
  QfStatus  st       = find_signs(e, e->score, &pages[0]);
  st = st ? st : find_signs(e, qf_comparison_get_written(e->overlay->comparison), &pages[1]);
  for (size_t i = 0; !st && i < e->n_marks; ++i) {
    Mark* const mark = &e->marks[i];
    if (engrave_is_inked(mark) && mark->is_struck) {
      mark->accidental = sign_on_pages(e, pages, mark);
      mark->alter      = mark->symbol.pitch.alter;
      if (!mark->accidental && needs_sign(e, mark)) {
        mark->accidental = QF_ACCIDENTAL_NEEDED;
      }
    }
  }
  qf_accidentals_clear(&pages[0].list);
  qf_accidentals_clear(&pages[1].list);
  return st;
}
