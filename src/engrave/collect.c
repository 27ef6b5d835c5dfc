// SPDX-License-Identifier: MIT
#include "engraving.h"

#include <stdlib.h>
#include <string.h>

/// Staff step of each clef's bottom line. Rule: common practice.
static const int clef_bases[QF_CLEF_N_KINDS] = {
  [QF_CLEF_TREBLE]   = 30, // E4
  [QF_CLEF_BASS]     = 18, // G2
  [QF_CLEF_ALTO]     = 24, // F3
  [QF_CLEF_TENOR]    = 22, // D3
  [QF_CLEF_TREBLE_8] = 23, // E3
};

bool
engrave_reserve(Engraving* const e,
                void** const     data,
                size_t* const    capacity,
                const size_t     n,
                const size_t     element)
{
  if (n < *capacity) {
    return true;
  }

  const size_t wanted = *capacity ? *capacity * 2 : 64;
  void* const  grown  = realloc(*data, wanted * element);
  if (!grown) {
    e->failed = true;
    return false;
  }
  *data     = grown;
  *capacity = wanted;
  return true;
}

double
engrave_y_of(const int position)
{
  return (TOP_POSITION - position) / 2.0;
}

bool
engrave_is_note(const Mark* const mark)
{
  return mark->symbol.note != QF_NO_NOTE;
}

bool
engrave_is_inked(const Mark* const mark)
{
  return mark->is_shown && engrave_is_note(mark);
}

/// +1 for the upper voices of a shared staff, -1 for the lower, 0 for a voice alone
static int8_t
side_of(const Engraving* const e, const size_t voice)
{
  const unsigned on_staff = e->voices_on[e->staff_of[voice]];
  if (on_staff < 2) {
    return 0;
  }

  unsigned above = 0;
  for (size_t v = 0; v < voice; ++v) {
    above += e->staff_of[v] == e->staff_of[voice];
  }
  return above < (on_staff + 1) / 2 ? 1 : -1;
}

/// The answer's voices, each on the staff and side of the voice it was meant for
static void
collect_answer_lines(Engraving* const e)
{
  const size_t         n_asked = e->n_voices;
  const QfScore* const written = qf_comparison_get_written(e->overlay->comparison);
  const size_t         n       = written ? qf_score_n_voices(written) : 0;
  for (size_t v = 0; v < n; ++v) {
    const size_t voice = qf_comparison_voice_of(e->overlay->comparison, v);
    if (voice != SIZE_MAX) {
      e->staff_of[n_asked + v] = e->staff_of[voice];
      e->side_of[n_asked + v]  = e->side_of[voice];
    }
  }
  e->n_voices += n;
}

static QfStatus
collect_staves(Engraving* const e)
{
  e->n_staves = qf_score_n_staves(e->score);
  e->n_voices = qf_score_n_voices(e->score);
  for (size_t s = 0; s < e->n_staves; ++s) {
    e->clefs[s]     = qf_score_get_staff(e->score, s)->clef;
    e->clef_base[s] = clef_bases[e->clefs[s]];
  }
  for (size_t v = 0; v < e->n_voices; ++v) {
    e->staff_of[v] = qf_score_get_voice(e->score, v)->staff;
    ++e->voices_on[e->staff_of[v]];
  }
  for (size_t v = 0; v < e->n_voices; ++v) {
    e->side_of[v] = side_of(e, v);
  }
  if (e->overlay) {
    collect_answer_lines(e);
  }
  return QF_OK;
}

static QfStatus
collect_bars(Engraving* const e)
{
  e->n_bars = qf_score_n_bars(e->score);
  e->bars   = (BarBox*)calloc(e->n_bars + 1, sizeof(BarBox));
  e->metres = (QfMetre*)calloc(e->n_bars + 1, sizeof(QfMetre));
  if (!e->bars || !e->metres) {
    return QF_ERR_NO_MEM;
  }

  for (size_t b = 0; b < e->n_bars; ++b) {
    const QfBar* const bar    = qf_score_get_bar(e->score, b);
    const int          fifths = qf_key_fifths(qf_score_signature_at(e->score, bar->start));
    e->metres[b]              = bar->metre;
    e->bars[b].start          = bar->start;
    e->bars[b].end            = qf_time_add(bar->start, bar->length);
    e->bars[b].fifths         = fifths;
    e->bars[b].cancelled      = b ? e->bars[b - 1].fifths : fifths;
    e->bars[b].shows_metre    = !b || !qf_metre_equals(e->metres[b - 1], bar->metre);
  }
  return QF_OK;
}

static bool
is_note_shown(const Engraving* const e, const uint32_t note)
{
  return !e->options.is_shown || e->options.is_shown(note, e->options.is_shown_data);
}

static QfStatus
collect_marks(Engraving* const e)
{
  QfSymbols lists[MAX_LINES] = {0};
  QfStatus  st               = QF_OK;
  size_t    n                = 0;
  for (size_t v = 0; !st && v < e->n_voices; ++v) {
    size_t               voice = v;
    const QfScore* const page  = e->overlay ? overlay_page_of(e, v, &voice) : e->score;
    st                         = page ? qf_symbols_of(page, voice, &lists[v]) : QF_OK;
    n += lists[v].n_symbols;
  }

  e->marks = st ? NULL : (Mark*)calloc(n + 1, sizeof(Mark));
  if (!st && !e->marks) {
    st = QF_ERR_NO_MEM;
  }

  for (size_t v = 0; !st && v < e->n_voices; ++v) {
    const int8_t  side  = e->side_of[v];
    const uint8_t staff = e->staff_of[v];
    uint32_t      last  = QF_NO_NOTE;
    e->first_mark[v]    = e->n_marks;
    for (size_t i = 0; i < lists[v].n_symbols; ++i) {
      const QfSymbol* const symbol = &lists[v].symbols[i];
      const bool            note   = symbol->note != QF_NO_NOTE;
      const int   position         = note ? qf_pitch_step(symbol->pitch) - e->clef_base[staff] : 4;
      Mark* const mark             = &e->marks[e->n_marks];
      *mark                        = (Mark){.symbol    = *symbol,
                                            .beam      = NO_INDEX,
                                            .position  = position,
                                            .voice     = (uint8_t)v,
                                            .staff     = staff,
                                            .side      = side,
                                            .is_shown  = !note || is_note_shown(e, symbol->note),
                                            .is_struck = symbol->note != last};
      last                         = symbol->note;
      e->n_marks += !e->overlay || overlay_dress(e, v, mark);
    }
  }
  e->first_mark[e->n_voices] = e->n_marks;

  for (size_t v = 0; v < e->n_voices; ++v) {
    qf_symbols_clear(&lists[v]);
  }
  return st;
}

static int
compare_times(const void* const a, const void* const b)
{
  return qf_time_compare(*(const QfTime*)a, *(const QfTime*)b);
}

/// Every time at which a symbol or a bar starts, sorted, once each
static QfTime*
distinct_times(const Engraving* const e, size_t* const n_times)
{
  const QfComparison* const both     = e->overlay ? e->overlay->comparison : NULL;
  const size_t              n_chords = both ? qf_comparison_n_chords(both) : 0;
  const size_t              n        = e->n_marks + e->n_bars + n_chords;
  QfTime* const             times    = (QfTime*)calloc(n + 1, sizeof(QfTime));
  if (!times) {
    return NULL;
  }

  for (size_t i = 0; i < e->n_marks; ++i) {
    times[i] = e->marks[i].symbol.start;
  }
  for (size_t b = 0; b < e->n_bars; ++b) {
    times[e->n_marks + b] = e->bars[b].start;
  }
  for (size_t i = 0; i < n_chords; ++i) {
    times[e->n_marks + e->n_bars + i] = qf_comparison_get_chord(both, i)->place;
  }
  qsort(times, n, sizeof(QfTime), compare_times);

  size_t n_kept = 0;
  for (size_t i = 0; i < n; ++i) {
    if (!n_kept || qf_time_compare(times[n_kept - 1], times[i])) {
      times[n_kept++] = times[i];
    }
  }
  *n_times = n_kept;
  return times;
}

static void
assign_columns_to_bars(Engraving* const e)
{
  size_t bar = 0;
  for (size_t c = 0; c < e->n_columns; ++c) {
    while (bar + 1 < e->n_bars &&
           qf_time_compare(e->bars[bar + 1].start, e->columns[c].time) <= 0) {
      ++bar;
    }
    e->columns[c].bar = bar;
    if (!e->bars[bar].n_columns++) {
      e->bars[bar].first_column = c;
    }
  }
}

/// Marks of a voice are in order of time, so one walk finds all their columns
static void
assign_marks_to_columns(Engraving* const e)
{
  for (size_t v = 0; v < e->n_voices; ++v) {
    size_t column = 0;
    for (size_t i = e->first_mark[v]; i < e->first_mark[v + 1]; ++i) {
      while (qf_time_compare(e->columns[column].time, e->marks[i].symbol.start) < 0) {
        ++column;
      }
      e->marks[i].column = column;
      ++e->columns[column].n_marks;
    }
  }

  size_t n = 0;
  for (size_t c = 0; c < e->n_columns; ++c) {
    e->columns[c].first_mark = n;
    n += e->columns[c].n_marks;
    e->columns[c].n_marks = 0;
  }
  for (size_t i = 0; i < e->n_marks; ++i) {
    Column* const column                                 = &e->columns[e->marks[i].column];
    e->by_column[column->first_mark + column->n_marks++] = i;
  }
}

static QfStatus
collect_columns(Engraving* const e)
{
  QfTime* const times = distinct_times(e, &e->n_columns);
  e->columns          = (Column*)calloc(e->n_columns + 1, sizeof(Column));
  e->by_column        = (size_t*)calloc(e->n_marks + 1, sizeof(size_t));
  if (!times || !e->columns || !e->by_column) {
    free(times);
    return QF_ERR_NO_MEM;
  }

  for (size_t c = 0; c < e->n_columns; ++c) {
    e->columns[c].time = times[c];
  }
  free(times);
  assign_columns_to_bars(e);
  assign_marks_to_columns(e);
  return QF_OK;
}

static QfStatus
collect_spans(Engraving* const e)
{
  const size_t n_voices = qf_score_n_voices(e->score);
  size_t       n        = 0;
  for (size_t v = 0; v < n_voices; ++v) {
    n += qf_score_n_notes(e->score, v);
  }
  e->spans = (Span*)calloc(n + 1, sizeof(Span));
  if (!e->spans) {
    return QF_ERR_NO_MEM;
  }

  // Which page of an overlay sounds is not known, so that no note of it is marked.
  for (size_t v = 0; !e->overlay && v < n_voices; ++v) {
    for (size_t i = 0; i < qf_score_n_notes(e->score, v); ++i) {
      const QfNote* const note = qf_score_get_note(e->score, v, i);
      e->spans[e->n_spans++] =
        (Span){note->id, note->start, qf_time_add(note->start, note->duration)};
    }
  }
  return QF_OK;
}

/// The rests of a bar tell about a hidden voice, so they go with its notes
static void
hide_rests_of_hidden_voices(Engraving* const e)
{
  for (size_t v = 0; v < e->n_voices; ++v) {
    const size_t end     = e->first_mark[v + 1];
    bool         has_any = false;
    bool         is_seen = false;
    for (size_t i = e->first_mark[v]; i < end; ++i) {
      has_any = has_any || engrave_is_note(&e->marks[i]);
      is_seen = is_seen || engrave_is_inked(&e->marks[i]);
    }

    for (size_t i = e->first_mark[v]; i < end;) {
      const size_t bar    = e->columns[e->marks[i].column].bar;
      const size_t first  = i;
      bool         hidden = has_any && !is_seen;
      for (; i < end && e->columns[e->marks[i].column].bar == bar; ++i) {
        hidden = hidden || !e->marks[i].is_shown;
      }
      for (size_t j = first; hidden && j < i; ++j) {
        e->marks[j].is_shown = e->marks[j].is_shown && engrave_is_note(&e->marks[j]);
      }
    }
  }
}

QfStatus
engrave_collect(Engraving* const e)
{
  static QfStatus (*const steps[])(Engraving*) = {collect_staves, collect_bars, collect_marks,
                                                  collect_columns, collect_spans};
  for (size_t i = 0; i < sizeof(steps) / sizeof(steps[0]); ++i) {
    const QfStatus st = steps[i](e);
    if (st) {
      return st;
    }
  }
  if (e->options.is_shown || e->overlay) {
    hide_rests_of_hidden_voices(e);
  }
  return QF_OK;
}

size_t
engrave_column_at(const Engraving* const e, const QfTime time)
{
  size_t low  = 0;
  size_t high = e->n_columns;
  while (low + 1 < high) {
    const size_t middle = low + (high - low) / 2;
    if (qf_time_compare(e->columns[middle].time, time) <= 0) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return low;
}
