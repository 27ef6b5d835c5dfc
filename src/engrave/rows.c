// SPDX-License-Identifier: MIT
#include "drawing.h"

#include "quintfall/figured_bass.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NUMERAL_SIZE 2.45
#define STACK_SIZE 1.5
#define STACK_STEP 1.3
#define FIGURE_SIZE 1.95
#define FIGURE_STEP 1.9
#define SMALL_SIZE 1.95
#define SYMBOL_SIZE 2.0
#define KEY_SIZE 1.8
#define QUALITY_SIZE 1.7
#define ROW_NAME_SIZE 1.6
#define FRAME_PAD 0.4
#define STRIKE_THICKNESS 0.2
#define HALF_HEAD 0.6

void
engrave_add_tag(Engraving* const e, const Tag tag)
{
  if (engrave_reserve(e, (void**)&e->tags, &e->max_tags, e->n_tags, sizeof(Tag))) {
    e->tags[e->n_tags++] = tag;
    e->row_used[tag.row] = true;
  }
}

static void
copy_text(char* const to, const size_t size, const char* const from)
{
  snprintf(to, size, "%s", from);
}

/// The widest line of a stack, and how many it has
static double
stack_extent(const Engraving* const e, const char* const stack, const double size, size_t* const n)
{
  char   lines[STACK_BYTES];
  double width = 0.0;
  copy_text(lines, sizeof(lines), stack);
  *n          = 0;
  char* state = NULL;
  for (char* line = strtok_r(lines, "\n", &state); line; line = strtok_r(NULL, "\n", &state)) {
    width = fmax(width, engrave_text_width(e, line, TEXT_PLAIN, size));
    ++*n;
  }
  return width;
}

/// Text centred under the head
static Tag
centred(Tag tag, const double width)
{
  tag.width = width;
  tag.dx    = HALF_HEAD - width / 2.0;
  return tag;
}

void
engrave_measure_numeral(const Engraving* const e, Tag* const tag)
{
  size_t n = 0;
  copy_text(tag->stack, sizeof(tag->stack), tag->text.figures);
  tag->head_width  = engrave_text_width(e, tag->text.head, TEXT_PLAIN, NUMERAL_SIZE);
  tag->stack_width = stack_extent(e, tag->stack, STACK_SIZE, &n);
  tag->width       = tag->head_width + tag->stack_width + (n ? 0.15 : 0.0) +
               engrave_text_width(e, tag->text.tail, TEXT_PLAIN, NUMERAL_SIZE);
}

static void
tag_numeral(Engraving* const e, const QfLabel* const link, const size_t column)
{
  Tag tag = {.column = column, .row = ROW_NUMERALS};
  qf_numeral_parts(&link->numeral, link->key.mode, &tag.text);
  engrave_measure_numeral(e, &tag);
  engrave_add_tag(e, tag);
}

static void
tag_figures(Engraving* const e, const QfLabel* const link, const size_t column)
{
  Tag    tag = {.column = column, .row = ROW_FIGURES};
  size_t n   = 0;
  qf_figured_bass_write(link->chord, qf_score_signature_at(e->score, link->start), tag.stack,
                        sizeof(tag.stack));
  const double width = stack_extent(e, tag.stack, FIGURE_SIZE, &n);
  if (n) {
    engrave_add_tag(e, centred(tag, width));
  }
}

static void
tag_symbol(Engraving* const e, const QfLabel* const link, const size_t column)
{
  Tag tag = {.column = column, .row = ROW_SYMBOLS};
  qf_chord_write_symbol(link->chord, true, tag.text.head, sizeof(tag.text.head));
  tag.width = engrave_text_width(e, tag.text.head, TEXT_SANS, SYMBOL_SIZE);
  engrave_add_tag(e, tag);
}

static void
tag_links(Engraving* const e, void (*const tag)(Engraving*, const QfLabel*, size_t))
{
  const size_t n = e->labels ? qf_labels_n_links(e->labels) : 0;
  for (size_t i = 0; i < n; ++i) {
    const QfLabel* const link = qf_labels_get_link(e->labels, i);
    if (link->is_known) {
      tag(e, link, engrave_column_at(e, link->start));
    }
  }
}

static QfKey
key_at(const Engraving* const e, const QfTime time)
{
  const size_t link = e->labels ? qf_labels_link_at(e->labels, time) : NO_INDEX;
  return link != NO_INDEX ? qf_labels_get_link(e->labels, link)->key
                          : qf_score_signature_at(e->score, time);
}

/// A syllable or degree under each note of one voice
static void
tag_voice(Engraving* const e, const size_t voice, const Row row)
{
  for (size_t i = e->first_mark[voice]; i < e->first_mark[voice + 1]; ++i) {
    const Mark* const mark = &e->marks[i];
    if (!engrave_is_inked(mark) || !mark->is_struck) {
      continue;
    }
    const QfKey      key  = key_at(e, mark->symbol.start);
    const QfNoteName name = qf_pitch_name(mark->symbol.pitch);
    Tag              tag  = {.column = mark->column, .row = (size_t)row};
    if (row == ROW_SOLFEGE) {
      copy_text(tag.text.head, sizeof(tag.text.head), qf_solfege(name, key, e->options.solfege));
    } else {
      qf_scale_degree_write(name, key, true, tag.text.head, sizeof(tag.text.head));
    }
    const TextStyle style = row == ROW_SOLFEGE ? TEXT_ITALIC : TEXT_PLAIN;
    engrave_add_tag(e, centred(tag, engrave_text_width(e, tag.text.head, style, SMALL_SIZE)));
  }
}

static void
write_key(const Engraving* const e, const QfKey key, char* const buffer, const size_t size)
{
  char name[24];
  qf_note_name_spell_out(key.tonic, e->options.naming, name, sizeof(name));
  snprintf(buffer, size, "%s %s", name, key.mode == QF_MAJOR ? "major" : "minor");
}

static void
tag_keys(Engraving* const e)
{
  const size_t n = e->labels ? qf_labels_n_key_spans(e->labels) : 0;
  for (size_t i = 0; i < n; ++i) {
    const QfKeySpan* const span  = qf_labels_get_key_span(e->labels, i);
    const QfLabel* const   first = qf_labels_get_link(e->labels, span->first);
    const QfLabel* const   last  = qf_labels_get_link(e->labels, span->last);
    Tag                    tag   = {.column = engrave_column_at(e, first->start), .row = ROW_KEYS};
    size_t                 end   = tag.column;
    while (end + 1 < e->n_columns && qf_time_compare(e->columns[end + 1].time, last->end) < 0) {
      ++end;
    }
    tag.last_column = end;
    write_key(e, span->key, tag.text.head, sizeof(tag.text.head));
    tag.width = engrave_text_width(e, tag.text.head, TEXT_BOLD, KEY_SIZE);
    engrave_add_tag(e, tag);
  }
}

static bool
is_wanted(const Engraving* const e, const QfRow row)
{
  return (e->options.rows & (unsigned)row) != 0U;
}

QfStatus
engrave_make_tags(Engraving* const e)
{
  if (e->overlay) {
    overlay_make_tags(e);
    return e->failed ? QF_ERR_NO_MEM : QF_OK;
  }

  if (is_wanted(e, QF_ROW_SYMBOLS)) {
    tag_links(e, tag_symbol);
  }
  e->first_tag[ROW_QUALITY_NUMBERS] = e->n_tags;
  e->first_tag[ROW_THEIR_QUALITIES] = e->n_tags;
  e->first_tag[ROW_ASKED_QUALITIES] = e->n_tags;
  e->first_tag[ROW_NOTE_NUMBERS]    = e->n_tags;
  engrave_tag_rhythms(e);
  e->first_tag[ROW_SOLFEGE] = e->n_tags;
  if (is_wanted(e, QF_ROW_SOLFEGE) && e->n_voices) {
    tag_voice(e, 0, ROW_SOLFEGE);
  }
  e->first_tag[ROW_FIGURES] = e->n_tags;
  if (is_wanted(e, QF_ROW_FIGURES)) {
    tag_links(e, tag_figures);
  }
  e->first_tag[ROW_DEGREES] = e->n_tags;
  if (is_wanted(e, QF_ROW_DEGREES) && e->n_voices) {
    tag_voice(e, e->n_voices - 1, ROW_DEGREES);
  }
  e->first_tag[ROW_QUALITIES] = e->n_tags;
  engrave_tag_blanks(e, ROW_QUALITIES);
  e->first_tag[ROW_THEIR_NUMERALS] = e->n_tags;
  e->first_tag[ROW_NUMERALS]       = e->n_tags;
  engrave_tag_blanks(e, ROW_NUMERALS);
  if (is_wanted(e, QF_ROW_NUMERALS) && !e->row_used[ROW_NUMERALS]) {
    tag_links(e, tag_numeral);
  }
  e->first_tag[ROW_NUMERAL_NUMBERS] = e->n_tags;
  e->first_tag[ROW_KEYS]            = e->n_tags;
  if (is_wanted(e, QF_ROW_KEYS)) {
    tag_keys(e);
  }
  e->first_tag[N_ROWS] = e->n_tags;
  return e->failed ? QF_ERR_NO_MEM : QF_OK;
}

const System*
engrave_system_of(const Engraving* const e, const size_t column)
{
  return &e->systems[e->bars[e->columns[column].bar].system];
}

/// Lines of figures, the first on `y`
static void
draw_stack(Engraving* const  e,
           const size_t      page,
           const char* const stack,
           const double      size,
           const double      step,
           const double      x,
           const double      y)
{
  char  lines[STACK_BYTES];
  int   i     = 0;
  char* state = NULL;
  copy_text(lines, sizeof(lines), stack);
  for (char* line = strtok_r(lines, "\n", &state); line; line = strtok_r(NULL, "\n", &state)) {
    draw_text(e, page, line, TEXT_PLAIN, size, x, y + i * step, ALIGN_MIDDLE);
    ++i;
  }
}

static void
draw_numeral(Engraving* const e, const Tag* const tag)
{
  const System* const system = engrave_system_of(e, tag->column);
  const size_t        page   = system->page;
  const double        x      = e->columns[tag->column].x;
  const double        y      = system->y + system->row_y[tag->row];
  const bool          two    = strchr(tag->stack, '\n') != NULL;
  draw_text(e, page, tag->text.head, TEXT_PLAIN, NUMERAL_SIZE, x, y, ALIGN_START);
  draw_stack(e, page, tag->stack, STACK_SIZE, STACK_STEP,
             x + tag->head_width + 0.08 + tag->stack_width / 2.0, y - (two ? 1.1 : 0.8));
  draw_text(e, page, tag->text.tail, TEXT_PLAIN, NUMERAL_SIZE, x + tag->width, y, ALIGN_END);
}

/// Theory books put a caret over a scale degree
static void
draw_degree(Engraving* const e, const Tag* const tag)
{
  const System* const system = engrave_system_of(e, tag->column);
  const double        y      = system->y + system->row_y[ROW_DEGREES];
  const double        x      = e->columns[tag->column].x + tag->dx;
  const double        digit  = fonts_text_width(&e->fonts, "4", TEXT_PLAIN, SMALL_SIZE);
  const double        middle = x + tag->width - digit / 2.0;
  draw_text(e, system->page, tag->text.head, TEXT_PLAIN, SMALL_SIZE, x, y, ALIGN_START);
  draw_line(e, system->page, middle - 0.5, y - 1.55, middle, y - 2.0, 0.13);
  draw_line(e, system->page, middle, y - 2.0, middle + 0.5, y - 1.55, 0.13);
}

/// Where a key's line ends in a system: before the next key, or with the system
static double
key_line_end(const Engraving* const e, const Tag* const tag, const System* const system)
{
  const size_t next      = tag->last_column + 1;
  const bool   ends_here = engrave_system_of(e, tag->last_column) == system;
  return ends_here && next < e->n_columns && engrave_system_of(e, next) == system
           ? e->columns[next].x - 0.9
           : e->bars[system->first_bar + system->n_bars - 1].x_end;
}

/// A key's name with a line as far as the key lasts, taken up again on each further system
static void
draw_key(Engraving* const e, const Tag* const tag)
{
  const System* const first = engrave_system_of(e, tag->column);
  const System* const last  = engrave_system_of(e, tag->last_column);
  for (const System* system = first; system <= last; ++system) {
    const bool   is_first = system == first;
    const size_t column   = is_first ? tag->column : e->bars[system->first_bar].first_column;
    const double x        = e->columns[column].x;
    const double y        = system->y + system->row_y[ROW_KEYS];
    const double right    = key_line_end(e, tag, system);
    char         name[sizeof(tag->text.head) + 2];
    snprintf(name, sizeof(name), is_first ? "%s" : "(%s)", tag->text.head);
    const TextStyle style = is_first ? TEXT_BOLD : TEXT_PLAIN;
    const double    width = engrave_text_width(e, name, style, KEY_SIZE);
    const bool      fits  = is_first || x + width < right;
    const double    from  = fits ? x + width + 0.5 : x;
    if (fits) {
      draw_text(e, system->page, name, style, KEY_SIZE, x, y, ALIGN_START);
    }
    if (right > from + 0.5) {
      draw_line(e, system->page, from, y - 0.1, right, y - 0.1, 0.12);
    }
    if (system == last && right > from) {
      draw_line(e, system->page, right, y - 0.1, right, y - 1.1, 0.12);
    }
  }
}

/// What tells a quality or numeral of one page of an overlay from one of the other
static void
draw_sign_of_tag(Engraving* const e, const Tag* const tag)
{
  const System* const system = engrave_system_of(e, tag->column);
  const double        x      = e->columns[tag->column].x + tag->dx;
  const double        y      = system->y + system->row_y[tag->row];
  const bool          is_low = tag->row == ROW_THEIR_QUALITIES || tag->row == ROW_ASKED_QUALITIES;
  const Box           box    = {x - FRAME_PAD, y - (is_low ? 1.6 : 2.3), x + tag->width + FRAME_PAD,
                                y + (is_low ? 0.6 : 0.7)};
  if (tag->sign == SIGN_RING || tag->sign == SIGN_DASHES) {
    draw_frame(e, system->page, box, tag->sign == SIGN_DASHES);
  } else if (tag->sign == SIGN_STRIKE) {
    draw_line(e, system->page, box.left, box.bottom, box.right, box.top, STRIKE_THICKNESS);
  }
}

static void
draw_tag(Engraving* const e, const Tag* const tag)
{
  const System* const system = engrave_system_of(e, tag->column);
  const double        x      = e->columns[tag->column].x + tag->dx;
  const double        y      = system->y + system->row_y[tag->row];
  if (engrave_is_filled_in(e, tag->row)) {
    engrave_draw_blank(e, tag);
    return;
  }
  switch ((Row)tag->row) {
    case ROW_SYMBOLS:
      draw_text(e, system->page, tag->text.head, TEXT_SANS, SYMBOL_SIZE, x, y, ALIGN_START);
      break;
    case ROW_SOLFEGE:
      draw_text(e, system->page, tag->text.head, TEXT_ITALIC, SMALL_SIZE, x, y, ALIGN_START);
      break;
    case ROW_FIGURES:
      draw_stack(e, system->page, tag->stack, FIGURE_SIZE, FIGURE_STEP, x + tag->width / 2.0, y);
      break;
    case ROW_DEGREES:
      draw_degree(e, tag);
      break;
    case ROW_THEIR_NUMERALS:
    case ROW_NUMERALS:
      draw_numeral(e, tag);
      break;
    case ROW_THEIR_QUALITIES:
    case ROW_ASKED_QUALITIES:
      draw_text(e, system->page, tag->text.head, TEXT_SANS, QUALITY_SIZE, x, y, ALIGN_START);
      break;
    case ROW_QUALITY_NUMBERS:
    case ROW_NOTE_NUMBERS:
    case ROW_NUMERAL_NUMBERS:
      draw_text(e, system->page, tag->text.head, TEXT_BOLD, VERDICT_NUMBER_SIZE, x, y, ALIGN_START);
      break;
    case ROW_KEYS:
      draw_key(e, tag);
      break;
    default:
      break;
  }
}

/// Say before the rows of an overlay whose they are
static void
name_rows(Engraving* const e, const System* const system)
{
  static const struct {
    Row         row;
    const char* name;
  } names[] = {{ROW_THEIR_QUALITIES, "Answer"},
               {ROW_ASKED_QUALITIES, "Passage"},
               {ROW_THEIR_NUMERALS, "Answer"},
               {ROW_NUMERALS, "Passage"}};
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    if (e->row_used[names[i].row]) {
      draw_text(e, system->page, names[i].name, TEXT_ITALIC, ROW_NAME_SIZE, system->x,
                system->y + system->row_y[names[i].row], ALIGN_START);
    }
  }
}

void
engrave_draw_rows(Engraving* const e)
{
  for (size_t i = 0; i < e->n_tags; ++i) {
    e->pen = engrave_ink_of(e->tags[i].sign);
    draw_tag(e, &e->tags[i]);
    draw_sign_of_tag(e, &e->tags[i]);
  }
  e->pen = INK_QUIET;
  for (size_t i = 0; e->overlay && i < e->n_systems; ++i) {
    name_rows(e, &e->systems[i]);
  }
  e->pen = INK_MAIN;
}
