// SPDX-License-Identifier: MIT
// What a sheet has that is filled in by hand: the values of the notes to be heard, and places for
// what is asked about each chord.
#include "drawing.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CUE_SCALE 0.72 ///< From memory: cue notes are about three quarters of the size
#define CUE_STEM 2.3
#define CUE_TUPLET_SIZE 1.5
#define LABEL_SIZE 1.6
#define BLANK_DEPTH 0.5  ///< Of a line to write on, under the row's baseline
#define BLANK_GAP 1.2    ///< Between two such lines
#define WIDEST_BLANK 8.0 ///< A numeral with its figures, written by hand
#define LINE_WEIGHT 0.09

enum { LABEL_BYTES = 64 };

static bool
is_blank(const Engraving* const e, const QfBlank blank)
{
  return (e->options.blanks & (unsigned)blank) != 0U;
}

bool
engrave_is_filled_in(const Engraving* const e, const size_t row)
{
  return (row >= ROW_RHYTHM_ABOVE && row <= ROW_RHYTHM_LAST) || row == ROW_QUALITIES ||
         (row == ROW_NUMERALS && is_blank(e, QF_BLANK_NUMERALS));
}

static bool
is_asked(const Engraving* const e, const size_t voice)
{
  return (e->options.rhythm_voices >> voice & 1U) != 0U;
}

static bool
has_hidden_note(const Engraving* const e, const size_t voice)
{
  for (size_t i = e->first_mark[voice]; i < e->first_mark[voice + 1]; ++i) {
    if (engrave_is_note(&e->marks[i]) && !e->marks[i].is_shown) {
      return true;
    }
  }
  return false;
}

/// Whether two voices move alike from one mark of each on, before a column
static bool
is_same_from(const Engraving* const e, const size_t a, const size_t b, const size_t end_column)
{
  const size_t end_a = e->first_mark[e->marks[a].voice + 1];
  const size_t end_b = e->first_mark[e->marks[b].voice + 1];
  for (size_t i = 0;; ++i) {
    const bool a_ends = a + i == end_a || e->marks[a + i].column >= end_column;
    const bool b_ends = b + i == end_b || e->marks[b + i].column >= end_column;
    if (a_ends || b_ends) {
      return a_ends && b_ends;
    }

    const Mark* const one   = &e->marks[a + i];
    const Mark* const other = &e->marks[b + i];
    if (qf_time_compare(one->symbol.start, other->symbol.start) ||
        qf_time_compare(one->symbol.duration, other->symbol.duration) ||
        engrave_is_note(one) != engrave_is_note(other) || one->is_struck != other->is_struck) {
      return false;
    }
  }
}

/// Index of a voice's first mark at or after a column
static size_t
mark_from(const Engraving* const e, const size_t voice, const size_t column)
{
  size_t i = e->first_mark[voice];
  while (i < e->first_mark[voice + 1] && e->marks[i].column < column) {
    ++i;
  }
  return i;
}

static bool
is_same_rhythm(const Engraving* const e,
               const size_t           a,
               const size_t           b,
               const size_t           from,
               const size_t           end)
{
  const size_t mark_a = mark_from(e, a, from);
  const size_t mark_b = mark_from(e, b, from);
  const bool   has_a  = mark_a < e->first_mark[a + 1];
  const bool   has_b  = mark_b < e->first_mark[b + 1];
  return has_a && has_b ? is_same_from(e, mark_a, mark_b, end) : has_a == has_b;
}

/// Whose rhythm a row shows: a voice's name, or the initials of several
static void
write_voices(const Engraving* const e, const uint32_t voices, char* const label)
{
  size_t n = 0;
  label[0] = '\0';
  for (size_t v = 0; v < e->n_voices; ++v) {
    n += voices >> v & 1U;
  }
  for (size_t v = 0; v < e->n_voices; ++v) {
    const char* const name = qf_score_get_voice(e->score, v)->name;
    const size_t      used = strlen(label);
    if ((voices >> v & 1U) && name[0]) {
      snprintf(label + used, LABEL_BYTES - used, n > 1 ? "%.1s " : "%s", name);
    }
  }
}

static void
tag_rhythm(Engraving* const e, const size_t voice, const size_t row)
{
  for (size_t i = e->first_mark[voice]; i < e->first_mark[voice + 1]; ++i) {
    const Mark* const mark = &e->marks[i];
    const double      width =
      CUE_SCALE * (1.2 + (mark->symbol.value > 2 ? 0.8 : 0.0) + 0.65 * (double)mark->symbol.dots);
    engrave_add_tag(
      e, (Tag){.column = mark->column, .row = row, .mark = i, .width = width, .dx = 0.0});
  }
}

/// Voices that are asked and move alike share a row: the highest over the staves, others below
static void
tag_rhythms(Engraving* const e)
{
  uint32_t shared[QF_MAX_VOICES] = {0};
  for (size_t v = 0; v < e->n_voices; ++v) {
    if (!is_asked(e, v) || !has_hidden_note(e, v)) {
      continue;
    }
    size_t leader = 0;
    while (leader < v && !(shared[leader] && is_same_rhythm(e, leader, v, 0, e->n_columns))) {
      ++leader;
    }
    shared[leader] |= 1U << v;
  }

  size_t row = ROW_RHYTHM_ABOVE;
  for (size_t v = 0; v < e->n_voices; ++v) {
    if (!shared[v]) {
      continue;
    }
    if (row == ROW_RHYTHM_ABOVE && v > 0) {
      e->first_tag[++row] = e->n_tags; // The highest voice is not asked: nothing over the staves
    }
    if (row <= ROW_RHYTHM_LAST) {
      e->rhythms[row] = (Rhythm){.leader = v, .voices = shared[v]};
      tag_rhythm(e, v, row);
      e->first_tag[++row] = e->n_tags;
    }
  }
  for (; row <= ROW_RHYTHM_LAST; ++row) {
    e->first_tag[row + 1] = e->n_tags;
  }
}

void
engrave_tag_rhythms(Engraving* const e)
{
  e->first_tag[ROW_RHYTHM_ABOVE] = e->n_tags;
  if (is_blank(e, QF_BLANK_RHYTHM)) {
    tag_rhythms(e);
  } else {
    for (size_t row = ROW_RHYTHM_ABOVE; row <= ROW_RHYTHM_LAST; ++row) {
      e->first_tag[row + 1] = e->n_tags;
    }
  }
}

void
engrave_tag_blanks(Engraving* const e, const Row row)
{
  const bool is_quality = row == ROW_QUALITIES;
  if (!is_blank(e, is_quality ? QF_BLANK_QUALITIES : QF_BLANK_NUMERALS)) {
    return;
  }

  e->row_used[row] = true;
  const size_t n   = is_blank(e, QF_BLANK_PLACES) && e->labels ? qf_labels_n_links(e->labels) : 0;
  for (size_t i = 0; i < n; ++i) {
    const QfTime start = qf_labels_get_link(e->labels, i)->start;
    engrave_add_tag(e, (Tag){.column = engrave_column_at(e, start), .row = (size_t)row});
  }
}

void
engrave_share_rhythms(const Engraving* const e, System* const system)
{
  const BarBox* const last = &e->bars[system->first_bar + system->n_bars - 1];
  const size_t        from = e->bars[system->first_bar].first_column;
  const size_t        end  = last->first_column + last->n_columns;
  for (size_t row = ROW_RHYTHM_ABOVE; row <= ROW_RHYTHM_LAST; ++row) {
    const size_t leader = e->rhythms[row].leader;
    size_t       host   = ROW_RHYTHM_ABOVE;
    while (host < row && !(system->rhythm_voices[host] && e->row_used[row] &&
                           is_same_rhythm(e, e->rhythms[host].leader, leader, from, end))) {
      ++host;
    }
    system->rhythm_voices[host] |= e->row_used[row] ? e->rhythms[row].voices : 0U;
  }
}

bool
engrave_has_row(const Engraving* const e, const System* const system, const size_t row)
{
  const bool is_rhythm = row >= ROW_RHYTHM_ABOVE && row <= ROW_RHYTHM_LAST;
  return e->row_used[row] && !(is_rhythm && !system->rhythm_voices[row]);
}

static void
draw_cue_rest(Engraving* const e,
              const size_t     page,
              const int        value,
              const double     x,
              const double     y)
{
  if (value >= 2) {
    const int   last  = GLYPH_REST_128 - GLYPH_REST_4;
    const Glyph glyph = (Glyph)(GLYPH_REST_4 + (value - 2 < last ? value - 2 : last));
    const Box   box   = e->fonts.boxes[glyph];
    draw_scaled(e, page, glyph, CUE_SCALE, x, y - 0.4 - CUE_SCALE * (box.top + box.bottom) / 2.0);
    return;
  }
  // A whole rest hangs from its line, a half rest lies on it
  const double line = y - 0.6;
  const double edge = value < 1 ? line + 0.4 : line - 0.4;
  draw_line(e, page, x - 0.25, line, x + 1.1, line, LINE_WEIGHT);
  draw_rule(e, page, (Box){x, fmin(line, edge), x + 0.85, fmax(line, edge)}, INK_MAIN, QF_NO_NOTE);
}

static void
draw_cue_stem(Engraving* const e,
              const size_t     page,
              const int        value,
              const double     x,
              const double     y)
{
  const double half = STEM_THICKNESS * CUE_SCALE / 2.0;
  const double end  = y - CUE_STEM;
  draw_rule(e, page, (Box){x - half, end, x + half, y - 0.1}, INK_MAIN, QF_NO_NOTE);
  if (value > 2) {
    const int   most  = GLYPH_FLAG_5 - GLYPH_FLAG_1;
    const Glyph glyph = (Glyph)(GLYPH_FLAG_1 + (value - 3 < most ? value - 3 : most));
    draw_scaled(e, page, glyph, CUE_SCALE, x - half, end - e->fonts.boxes[glyph].top * CUE_SCALE);
  }
}

/// A tie from the symbol before, or from the left of a new system
static void
draw_cue_tie(Engraving* const    e,
             const System* const system,
             const Mark* const   mark,
             const double        x,
             const double        y)
{
  const Mark* const before  = mark - 1;
  const bool        is_here = engrave_system_of(e, before->column) == system;
  const double      from    = is_here ? e->columns[before->column].x + 0.8 : x - 1.6;
  draw_tie(e, system->page, from, y + 0.55, x + 0.2, y + 0.55, -0.45, QF_NO_NOTE);
}

static void
draw_cue(Engraving* const e, const Tag* const tag)
{
  const System* const system = engrave_system_of(e, tag->column);
  const Mark* const   mark   = &e->marks[tag->mark];
  const QfSymbol      symbol = mark->symbol;
  const double        x      = e->columns[tag->column].x;
  const double        y      = system->y + system->row_y[tag->row];
  const double        width  = CUE_SCALE * engrave_head_width(e, symbol.value);
  if (symbol.tuplet) {
    const char text[] = {(char)('0' + symbol.tuplet % 10), '\0'};
    draw_text(e, system->page, text, TEXT_ITALIC, CUE_TUPLET_SIZE, x + 0.5, y - CUE_STEM - 0.2,
              ALIGN_END);
  }
  for (int i = 0; i < symbol.dots; ++i) {
    draw_shape(e, system->page, SHAPE_DOT, x + width + 0.3 + 0.5 * i, y - 0.35, CUE_SCALE,
               QF_NO_NOTE);
  }
  if (!engrave_is_note(mark)) {
    draw_cue_rest(e, system->page, symbol.value, x, y);
    return;
  }

  const Glyph glyph = engrave_head_glyph(symbol.value);
  const Box   ink   = e->fonts.boxes[glyph];
  draw_scaled(e, system->page, glyph, CUE_SCALE, x, y - CUE_SCALE * (ink.top + ink.bottom) / 2.0);
  if (symbol.value > 0) {
    draw_cue_stem(e, system->page, symbol.value, x + width, y);
  }
  if (!mark->is_struck) {
    draw_cue_tie(e, system, mark, x, y);
  }
}

/// A line to write on, as long as its chord lasts on this system
static void
draw_place(Engraving* const e, const Tag* const tag)
{
  const System* const system = engrave_system_of(e, tag->column);
  const Tag* const    next   = tag + 1;
  const bool          follows =
    next < &e->tags[e->first_tag[tag->row + 1]] && engrave_system_of(e, next->column) == system;
  const double x     = e->columns[tag->column].x - 0.3;
  const double y     = system->y + system->row_y[tag->row] + BLANK_DEPTH;
  const double limit = (follows ? e->columns[next->column].x - 0.3 : system->x_end) - BLANK_GAP;
  draw_line(e, system->page, x, y, fmax(x + 1.0, fmin(limit, x + WIDEST_BLANK)), y, LINE_WEIGHT);
}

/// A line to write on through a whole system, where the places of the chords are asked too
static void
draw_long_places(Engraving* const e, const Row row)
{
  for (size_t i = 0; i < e->n_systems; ++i) {
    const System* const system = &e->systems[i];
    const double        x      = e->columns[e->bars[system->first_bar].first_column].x - 0.3;
    const double        y      = system->y + system->row_y[row] + BLANK_DEPTH;
    draw_line(e, system->page, x, y, system->x_end, y, LINE_WEIGHT);
  }
}

void
engrave_draw_blank(Engraving* const e, const Tag* const tag)
{
  if (tag->row > ROW_RHYTHM_LAST) {
    draw_place(e, tag);
  } else if (engrave_has_row(e, engrave_system_of(e, tag->column), tag->row)) {
    draw_cue(e, tag);
  }
}

/// At the left of a system; over the staves the number of a bar stands before it
static void
draw_row_label(Engraving* const e, const System* const system, const size_t row)
{
  char label[LABEL_BYTES] = "";
  if (row <= ROW_RHYTHM_LAST) {
    write_voices(e, system->rhythm_voices[row], label);
  } else {
    snprintf(label, sizeof(label), "%s", row == ROW_QUALITIES ? "Quality" : "Function");
  }

  const size_t column = e->bars[system->first_bar].first_column;
  const double x      = system->x + (row < ROW_RHYTHM_BELOW && system->first_bar ? 2.0 : 0.0);
  const double room   = e->columns[column].x - x - 0.8;
  const double width  = engrave_text_width(e, label, TEXT_ITALIC, LABEL_SIZE);
  const double size   = width > room && room > 0.0 ? LABEL_SIZE * room / width : LABEL_SIZE;
  draw_text(e, system->page, label, TEXT_ITALIC, size, x, system->y + system->row_y[row],
            ALIGN_START);
}

void
engrave_draw_worksheet(Engraving* const e)
{
  for (size_t row = 0; row < N_ROWS; ++row) {
    if (!e->row_used[row] || !engrave_is_filled_in(e, row)) {
      continue;
    }
    if (e->first_tag[row] == e->first_tag[row + 1]) {
      draw_long_places(e, (Row)row);
    }
    for (size_t i = 0; i < e->n_systems; ++i) {
      if (engrave_has_row(e, &e->systems[i], row)) {
        draw_row_label(e, &e->systems[i], row);
      }
    }
  }
}

double
engrave_name_height(const Engraving* const e)
{
  return is_blank(e, QF_BLANK_NAME) ? 4.2 : 0.0;
}

void
engrave_draw_name_lines(Engraving* const e)
{
  static const struct {
    const char* text;
    double      from; ///< Parts of the line's width
    double      to;
  } lines[] = {{"Name", 0.0, 0.62}, {"Date", 0.66, 1.0}};

  const double room = e->width - 2.0 * e->margin;
  const double y    = e->margin + 1.6;
  for (size_t i = 0; is_blank(e, QF_BLANK_NAME) && i < sizeof(lines) / sizeof(lines[0]); ++i) {
    const double x = e->margin + lines[i].from * room;
    const double width =
      draw_text(e, 0, lines[i].text, TEXT_PLAIN, NAME_LINE_SIZE, x, y, ALIGN_START);
    draw_line(e, 0, x + width + 0.6, y + 0.3, e->margin + lines[i].to * room, y + 0.3, LINE_WEIGHT);
  }
}
