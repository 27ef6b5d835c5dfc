// SPDX-License-Identifier: MIT
#include "engraving.h"
#include "shapes.h"

#include <math.h>
#include <stdlib.h>

#define ACCIDENTAL_GAP 0.22 ///< Between an accidental and its head
#define COLUMN_GAP 0.14     ///< Between two accidentals
#define LEDGER_GAP 0.22     ///< More before a head with ledger lines

typedef struct {
  uint32_t note;
  uint8_t  kind;
  int8_t   alter;
} NoteSign;

static int
compare_signs(const void* const a, const void* const b)
{
  const uint32_t x = ((const NoteSign*)a)->note;
  const uint32_t y = ((const NoteSign*)b)->note;
  return (x > y) - (x < y);
}

/// A copy of the score without what is hidden, so that no sign depends on a note nobody sees
static QfStatus
visible_score(const Engraving* const e, QfScore** const result)
{
  QfScore* const copy = qf_score_dup(e->score);
  if (!copy) {
    return QF_ERR_NO_MEM;
  }

  for (size_t v = 0; v < e->n_voices; ++v) {
    for (size_t i = 0; i < qf_score_n_notes(e->score, v); ++i) {
      const QfNote* const note = qf_score_get_note(e->score, v, i);
      const QfTime        end  = qf_time_add(note->start, note->duration);
      const bool          seen = e->options.is_shown(note->id, e->options.is_shown_data);
      const QfStatus      st   = seen ? QF_OK : qf_score_erase(copy, v, note->start, end);
      if (st) {
        qf_score_free(copy);
        return st;
      }
    }
  }
  *result = copy;
  return QF_OK;
}

static QfStatus
find_accidentals(const Engraving* const e, QfAccidentals* const list)
{
  QfScore* visible = NULL;
  QfStatus st      = e->options.is_shown ? visible_score(e, &visible) : QF_OK;
  if (!st) {
    st = qf_accidentals_of(visible ? visible : e->score, e->options.courtesy_across_voices, list);
  }
  qf_score_free(visible);
  return st;
}

QfStatus
engrave_accidental_kinds(Engraving* const e)
{
  if (e->overlay) {
    return overlay_accidentals(e);
  }

  QfAccidentals  list = {0};
  const QfStatus st   = find_accidentals(e, &list);
  if (st) {
    return st;
  }

  NoteSign* const signs = (NoteSign*)calloc(list.n_accidentals + 1, sizeof(NoteSign));
  if (!signs) {
    qf_accidentals_clear(&list);
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < list.n_accidentals; ++i) {
    const QfAccidental* const from = &list.accidentals[i];
    signs[i]                       = (NoteSign){from->note, (uint8_t)from->kind, from->alter};
  }
  qsort(signs, list.n_accidentals, sizeof(NoteSign), compare_signs);

  for (size_t i = 0; i < e->n_marks; ++i) {
    Mark* const           mark = &e->marks[i];
    const NoteSign        key  = {.note = mark->symbol.note};
    const NoteSign* const sign =
      engrave_is_inked(mark) && mark->is_struck
        ? (const NoteSign*)bsearch(&key, signs, list.n_accidentals, sizeof(NoteSign), compare_signs)
        : NULL;
    mark->accidental = sign ? (QfAccidentalKind)sign->kind : QF_ACCIDENTAL_NONE;
    mark->alter      = sign ? sign->alter : 0;
  }
  free(signs);
  qf_accidentals_clear(&list);
  return QF_OK;
}

/// Width of the signs alone: three sharps are a sharp and a double sharp, flats are repeated
static double
signs_width(const int alter)
{
  const double flat = 0.78;
  switch (alter) {
    case 0:
      return 0.70;
    case 1:
      return 0.98;
    case 2:
      return 1.0;
    case 3:
      return 2.1;
    case 4:
      return 2.1;
    default:
      return 0.88 + flat * (-alter - 1);
  }
}

double
engrave_accidental_width(const int alter, const bool is_courtesy)
{
  return signs_width(alter) + (is_courtesy ? 1.1 : 0.0);
}

Box
engrave_accidental_box(const int alter, const bool is_courtesy)
{
  const Box    flat   = shape_box(SHAPE_FLAT);
  const Box    sharp  = shape_box(SHAPE_SHARP);
  const Box    paren  = shape_box(SHAPE_PAREN_OPEN);
  const Box    cross  = shape_box(SHAPE_DOUBLE_SHARP);
  const Box    sign   = alter < 0 ? flat : (alter == 2 || alter == 4) ? cross : sharp;
  const double top    = is_courtesy ? fmin(sign.top, paren.top) : sign.top;
  const double bottom = is_courtesy ? fmax(sign.bottom, paren.bottom) : sign.bottom;
  return (Box){0.0, top, engrave_accidental_width(alter, is_courtesy), bottom};
}

static bool
boxes_meet(const Box a, const Box b)
{
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/// The head's ink from the column and the staff's top line, with the gap an accidental keeps
static Box
head_zone(const Engraving* const e, const Mark* const mark)
{
  const double y         = engrave_y_of(mark->position);
  const bool   is_ledger = mark->position > TOP_POSITION + 1 || mark->position < -1;
  const double ledge     = is_ledger ? LEDGER_GAP : 0.0;
  const double gap       = ACCIDENTAL_GAP + fmax(ledge, engrave_room_of(mark->sign));
  return (Box){mark->dx - gap, y - 0.5, mark->dx + engrave_head_width(e, mark->symbol.value),
               y + 0.5};
}

/// Move a sign left until it meets neither head nor sign
static Box
settle(Box box, const Box* const zones, const size_t n_zones)
{
  const double width = box.right - box.left;
  for (size_t i = 0; i < n_zones; ++i) {
    if (boxes_meet(box, zones[i])) {
      box.right = zones[i].left;
      box.left  = box.right - width;
      i         = (size_t)-1; // start over: the new place may meet an earlier zone
    }
  }
  return box;
}

static int
compare_height(const void* const a, const void* const b)
{
  const Mark* const x = *(Mark* const*)a;
  const Mark* const y = *(Mark* const*)b;
  return (y->position > x->position) - (y->position < x->position);
}

/// Highest, lowest, second highest and so on: the outer signs stand next to their heads
static void
place_signs(const Engraving* const e,
            Mark** const           signed_marks,
            const size_t           n_signs,
            Box* const             zones,
            size_t                 n_zones)
{
  qsort(signed_marks, n_signs, sizeof(Mark*), compare_height);
  size_t top    = 0;
  size_t bottom = n_signs;
  for (size_t i = 0; i < n_signs; ++i) {
    Mark* const  mark     = signed_marks[i % 2 ? --bottom : top++];
    const bool   courtesy = mark->accidental == QF_ACCIDENTAL_COURTESY;
    const Box    sign     = engrave_accidental_box(mark->alter, courtesy);
    const double y        = engrave_y_of(mark->position);
    const double right    = head_zone(e, mark).left;
    const Box    box =
      settle((Box){right - sign.right, y + sign.top, right, y + sign.bottom}, zones, n_zones);
    mark->accidental_dx = box.left;
    zones[n_zones++]    = (Box){box.left - COLUMN_GAP, box.top, box.right, box.bottom};
  }
}

static void
place_group(Engraving* const    e,
            const Column* const column,
            const size_t        staff,
            const bool          is_beside)
{
  Box    zones[2 * MAX_LINES];
  Mark*  marks[MAX_LINES];
  size_t n_zones = 0;
  size_t n_marks = 0;
  for (size_t i = 0; i < column->n_marks; ++i) {
    Mark* const mark = &e->marks[e->by_column[column->first_mark + i]];
    if (mark->staff != staff || mark->is_beside != is_beside || !engrave_is_inked(mark)) {
      continue;
    }
    zones[n_zones++] = head_zone(e, mark);
    if (mark->shares_head) {
      mark->accidental = QF_ACCIDENTAL_NONE;
    }
    if (mark->accidental) {
      marks[n_marks++] = mark;
    }
  }
  place_signs(e, marks, n_marks, zones, n_zones);
}

void
engrave_place_accidentals(Engraving* const e)
{
  for (size_t c = 0; c < e->n_columns; ++c) {
    for (size_t s = 0; s < e->n_staves; ++s) {
      place_group(e, &e->columns[c], s, false);
      place_group(e, &e->columns[c], s, true);
    }
  }
}
