// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_ENGRAVING_H
#define QUINTFALL_ENGRAVE_ENGRAVING_H

// The layout's own types. Every length is in staff spaces, y grows downwards; only painting,
// hit-testing and the public queries know the surface's units.

#include "fonts.h"

#include "quintfall/engrave.h"
#include "quintfall/overlay.h"
#include "quintfall/spelling.h"

#include <limits.h>

#define STAFF_HEIGHT 4.0
#define STEM_THICKNESS 0.12
#define LINE_THICKNESS 0.11
#define BAR_LINE_THICKNESS 0.16
#define BEAM_THICKNESS 0.5
#define BEAM_STEP 0.75
#define NAME_LINE_SIZE 2.1
#define VERDICT_NUMBER_SIZE 1.6 ///< Of what leads to a reason
#define NO_INDEX SIZE_MAX

enum {
  MAX_LINES        = 2 * QF_MAX_VOICES, ///< Voices of both pages of an overlay
  STACK_BYTES      = 48,
  MIDDLE_POSITION  = 4, ///< Half spaces above the bottom line
  TOP_POSITION     = 8,
  MAX_BEAM_MEMBERS = 64,
};

/// Rows of text and signs, from the top; those before the rhythms below stand above the staves
typedef enum {
  ROW_SYMBOLS,
  ROW_QUALITY_NUMBERS, ///< Of an overlay's verdicts
  ROW_THEIR_QUALITIES,
  ROW_ASKED_QUALITIES,
  ROW_NOTE_NUMBERS,
  ROW_RHYTHM_ABOVE,
  ROW_RHYTHM_BELOW,
  ROW_RHYTHM_LAST = ROW_RHYTHM_BELOW + 2,
  ROW_SOLFEGE,
  ROW_FIGURES,
  ROW_DEGREES,
  ROW_QUALITIES, ///< To be filled in
  ROW_THEIR_NUMERALS,
  ROW_NUMERALS,
  ROW_NUMERAL_NUMBERS,
  ROW_KEYS,
  N_ROWS,
} Row;

/// Voices that move alike throughout
typedef struct {
  size_t   leader; ///< The highest of them
  uint32_t voices; ///< Bit `1U << voice`
} Rhythm;

/// What tells a note of one page of an overlay from one of the other
typedef enum {
  SIGN_NONE,    ///< In ink, as everything outside an overlay
  SIGN_QUIET,   ///< In paler ink
  SIGN_RING,    ///< A ring around the head
  SIGN_OUTLINE, ///< The outline of a head
  SIGN_DASHES,  ///< An outline in a ring of dashes
  SIGN_STRIKE,  ///< A stroke through the head
} Sign;

/// One written note or rest on its staff
typedef struct {
  QfSymbol         symbol;
  size_t           column;
  size_t           beam;     ///< Index of its beam, or NO_INDEX
  int              position; ///< Half spaces above the bottom line; of a rest its centre
  double           dx;       ///< Head's left edge, from the column
  double           accidental_dx;
  double           dot_dx;
  int              dot_position;
  double           stem_end; ///< Below the staff's top line
  QfAccidentalKind accidental;
  uint8_t          voice;
  uint8_t          staff;
  int8_t           alter;
  int8_t           stem; ///< 1 up, -1 down, 0 none
  int8_t           side; ///< 1 upper voice, -1 lower voice, 0 alone on its staff
  bool             is_shown;
  bool             shares_head; ///< Another voice's mark is drawn for both
  bool             is_struck;   ///< First symbol of its note
  bool             is_beside;   ///< Stands to the right of all other heads of its column
  Sign             sign;
} Mark;

/// A time at which something is written, on all staves
typedef struct {
  QfTime time;
  size_t bar;
  size_t first_mark; ///< In `by_column`
  size_t n_marks;
  double natural; ///< Width to the next column (or bar line) that its durations ask for
  double rod;     ///< Width below which ink would touch
  double x;       ///< Left edge of undisplaced heads, on its page
} Column;

/// The ink of one column on one staff
typedef struct {
  double left;  ///< Left of the column, positive
  double right; ///< Right of the column
  double top;   ///< Below the staff's top line (negative above it)
  double bottom;
  bool   is_used;
} Cell;

/// What a bar needs besides its columns
typedef struct {
  QfTime start;
  QfTime end;
  size_t first_column;
  size_t n_columns;
  double lead;        ///< From the bar line to the first column, in mid-system
  double lead_first;  ///< The same without the change that a new system's head shows itself
  int    fifths;      ///< Signature in force
  int    cancelled;   ///< Signature before it, where it changes; otherwise equal to `fifths`
  bool   shows_metre; ///< Metre is new here
  double x;           ///< Its left bar line
  double x_end;       ///< Its right bar line
  size_t system;
} BarBox;

/// One line of bars
typedef struct {
  size_t   first_bar;
  size_t   n_bars;
  size_t   page;
  double   x;     ///< Left end of the staff lines
  double   x_end; ///< Right end
  double   header;
  double   y;                                  ///< Top line of the first staff
  double   staff_y[QF_MAX_STAVES];             ///< Top lines, from `y`
  double   top;                                ///< Highest ink, from `y` (negative)
  double   bottom;                             ///< Lowest ink, rows included
  double   row_y[N_ROWS];                      ///< Baselines from `y`
  size_t   figure_lines;                       ///< Most figures in a stack of the figured bass
  uint32_t rhythm_voices[ROW_RHYTHM_LAST + 1]; ///< Whose values a row shows here
} System;

/// Marks under one beam
typedef struct {
  size_t first; ///< Marks of one voice, contiguous
  size_t n;
} Beam;

/// A fermata on one staff
typedef struct {
  size_t  mark; ///< The note it stands over, or under
  uint8_t staff;
  bool    is_below;
  double  y; ///< Its edge next to the note, below the staff's top line
} Fermata;

/// A text under a column
typedef struct {
  size_t         column;
  size_t         row;                ///< A #Row
  size_t         last_column;        ///< Of a key span
  size_t         mark;               ///< Whose value it shows, in the rows of rhythm
  double         dx;                 ///< Its left end, from the column
  double         width;              ///< Of the whole
  double         head_width;         ///< Of the first part
  double         stack_width;        ///< Of the stacked figures
  char           stack[STACK_BYTES]; ///< Figures from the top
  QfNumeralParts text;               ///< Of a numeral; other texts stand in the head
  Sign           sign;
} Tag;

typedef enum { INK_MAIN, INK_FAINT, INK_QUIET, INK_DIFFERS } Ink;

typedef enum {
  ITEM_GLYPH, ///< A glyph of the music font, its origin at (x, y)
  ITEM_RULE,  ///< A filled upright rectangle
  ITEM_SHAPE, ///< One of shapes.h at (x, y)
  ITEM_BEAM,  ///< A parallelogram, its upper edge from (x, y) to (x2, y2)
  ITEM_TIE,   ///< A crescent from (x, y) to (x2, y2), bulging by `size`
  ITEM_LINE,  ///< A stroke from (x, y) to (x2, y2), `size` thick
  ITEM_TEXT,  ///< Text with its baseline's start at (x, y), `size` its em
  ITEM_RING,  ///< An upright ellipse that fills its box, drawn with a pen `size` thick
} ItemKind;

/// One thing to paint
typedef struct {
  ItemKind kind;
  int      what; ///< Glyph, shape or text style
  Ink      ink;
  bool     is_outline; ///< Of a glyph
  bool     is_dashed;  ///< Of a ring or line
  uint32_t note;       ///< Note it belongs to, or #QF_NO_NOTE
  double   x, y, x2, y2;
  double   size;
  double   stretch; ///< Of a glyph's width; a negative `size` turns it upside down
  size_t   text;    ///< Offset in the page's text
  Box      box;     ///< Everything it inks
} Item;

typedef struct {
  Item*  items;
  size_t n_items;
  size_t max_items;
  char*  text; ///< NUL-terminated strings, one after the other
  size_t n_text;
  size_t max_text;
} Page;

/// A head on paper
typedef struct {
  uint32_t note;
  size_t   page;
  Box      box;
  bool     is_first; ///< Where the note is struck, not a tied continuation
} HeadBox;

/// A note as it sounds, for marking what plays
typedef struct {
  uint32_t note;
  QfTime   start;
  QfTime   end;
} Span;

/// An answer to be laid over the passage; its voices follow those of the passage
typedef struct {
  const QfComparison* comparison;
  QfOverlayOptions    options;
} Overlay;

struct QfEngravingImpl {
  QfEngraveOptions options;
  Fonts            fonts;
  const QfScore*   score;   ///< While laying out only
  const QfLabels*  labels;  ///< While laying out only; may be NULL
  const Overlay*   overlay; ///< While laying out only; NULL for a passage alone
  Ink              pen;     ///< Of what is drawn in the main ink
  bool             failed;  ///< Out of memory

  double width;  ///< Of a page
  double height; ///< Of a page
  double margin;
  double line_width; ///< Of a system, 0 if endless
  double page_height;

  size_t  n_staves;
  size_t  n_voices;
  int     clef_base[QF_MAX_STAVES]; ///< Staff step of the bottom line
  QfClef  clefs[QF_MAX_STAVES];
  uint8_t voices_on[QF_MAX_STAVES];
  uint8_t staff_of[MAX_LINES];
  int8_t  side_of[MAX_LINES]; ///< 1 upper voice of a shared staff, -1 lower, 0 alone
  double  name_width;         ///< Room for staff names before the first system

  Mark*   marks; ///< Voice by voice, in order of time
  size_t  n_marks;
  size_t  first_mark[MAX_LINES + 1];
  size_t* by_column; ///< Indices of marks, column by column

  Column*  columns;
  size_t   n_columns;
  Cell*    cells; ///< n_columns * n_staves
  BarBox*  bars;
  size_t   n_bars;
  QfMetre* metres; ///< Of each bar
  System*  systems;
  size_t   n_systems;
  Beam*    beams;
  size_t   n_beams;
  Fermata* fermatas;
  size_t   n_fermatas;
  size_t   max_fermatas;
  Tag*     tags; ///< Row by row, in order of time
  size_t   n_tags;
  size_t   first_tag[N_ROWS + 1]; ///< Tags of a row are contiguous
  size_t   max_tags;
  bool     row_used[N_ROWS];
  Rhythm   rhythms[ROW_RHYTHM_LAST + 1]; ///< Of the rows that are used

  HeadBox* heads;
  size_t   n_heads;
  size_t   max_heads;
  Span*    spans;
  size_t   n_spans;
  Page*    pages;
  size_t   n_pages;
  char*    title;
  char*    composer;
};

typedef struct QfEngravingImpl Engraving;

/// Make room for one more element; sets `failed` and returns false without memory
bool
engrave_reserve(Engraving* e, void** data, size_t* capacity, size_t n, size_t element);

/// Distance of a position below the staff's top line
double
engrave_y_of(int position);

/// Width of a note value's head
double
engrave_head_width(const Engraving* e, int value);

Glyph
engrave_head_glyph(int value);

bool
engrave_is_note(const Mark* mark);

/// A note that is drawn
bool
engrave_is_inked(const Mark* mark);

// Overlays, in overlay.c

/// The score and voice whose notes stand on a line, or NULL for none
const QfScore*
overlay_page_of(const Engraving* e, size_t line, size_t* voice);

/// Give a fresh mark its place and sign; false for one that the other page stands for
bool
overlay_dress(const Engraving* e, size_t line, Mark* mark);

/// Signs that both pages need
QfStatus
overlay_accidentals(Engraving* e);

/// Rows of qualities and numerals
void
overlay_make_tags(Engraving* e);

// For all rows of text

void
engrave_add_tag(Engraving* e, Tag tag);

/// Widths of a numeral's parts
void
engrave_measure_numeral(const Engraving* e, Tag* tag);

/// Lay out a passage, with an answer over it unless `overlay` is NULL
QfStatus
engrave_make(const QfScore*   score,
             const QfLabels*  labels,
             const Overlay*   overlay,
             QfEngraveOptions options,
             QfEngraving**    result,
             QfError*         error);

/// The ink of a sign
Ink
engrave_ink_of(Sign sign);

/// Room that a sign takes on every side of a head
double
engrave_room_of(Sign sign);

// The steps of the layout, in their order; each fills what its comment names.

QfStatus
engrave_collect(Engraving* e); ///< marks, columns, bars, spans

QfStatus
engrave_accidental_kinds(Engraving* e); ///< accidental and alter of marks

QfStatus
engrave_group_beams(Engraving* e); ///< beams

void
engrave_direct_stems(Engraving* e); ///< stem, stem_end

void
engrave_place_rests(Engraving* e); ///< position of rests

void
engrave_place_heads(Engraving* e); ///< dx, shares_head, dots

void
engrave_place_accidentals(Engraving* e); ///< accidental_dx

void
engrave_place_beside(Engraving* e); ///< dx and the like of marks beside the others

QfStatus
engrave_make_tags(Engraving* e); ///< tags

void
engrave_add_tag(Engraving* e, Tag tag);

void
engrave_tag_rhythms(Engraving* e); ///< tags of the rows of rhythm

void
engrave_tag_blanks(Engraving* e, Row row); ///< tags of a row to be filled in

void
engrave_measure_cells(Engraving* e); ///< cells

void
engrave_place_fermatas(Engraving* e); ///< fermatas, and their room in cells

void
engrave_space(Engraving* e); ///< natural and rod of columns, lead of bars

QfStatus
engrave_break(Engraving* e); ///< systems, pages, every x and y

// Parts of drawing

void
engrave_draw_frame(Engraving* e, const System* system);
void
engrave_draw_marks(Engraving* e, const System* system);
void
engrave_draw_beams(Engraving* e);
void
engrave_draw_tuplets(Engraving* e);
void
engrave_draw_ties(Engraving* e);
void
engrave_draw_fermatas(Engraving* e);
void
engrave_draw_rows(Engraving* e);
/// A row of a worksheet, which shows nothing that is to be found
bool
engrave_is_filled_in(const Engraving* e, size_t row);

/// Put rows of rhythm together that are alike on one system: sets `rhythm_voices`
void
engrave_share_rhythms(const Engraving* e, System* system);

bool
engrave_has_row(const Engraving* e, const System* system, size_t row);

void
engrave_draw_blank(Engraving* e, const Tag* tag);
void
engrave_draw_worksheet(Engraving* e);
void
engrave_draw_name_lines(Engraving* e);

/// Height of the lines for name and date; 0 without them
double
engrave_name_height(const Engraving* e);

/// A head with the sign that tells its page, its left edge at `x` and its middle at `y`
void
engrave_draw_head(Engraving* e, size_t page, const Mark* mark, double x, double y);

/// Fit the stems of one beam to a line: sets every `stem_end`
void
engrave_fit_beam(Engraving* e, const Beam* beam);

/// Middle of a mark's stem, on the page
double
engrave_stem_x(const Engraving* e, const Mark* mark);

/// Top line of a staff, on its page
double
engrave_staff_y(const System* system, size_t staff);

/// Width of what an accidental takes, parentheses included
double
engrave_accidental_width(int alter, bool is_courtesy);

/// Where its ink lies around its head's middle, left edge at 0
Box
engrave_accidental_box(int alter, bool is_courtesy);

/// Number of naturals that cancel one signature before another
int
engrave_n_naturals(int cancelled, int fifths);

double
engrave_clef_width(const Engraving* e, QfClef clef);

/// Width of a signature with the naturals before it; 0 if nothing is written
double
engrave_signature_width(int cancelled, int fifths);

double
engrave_metre_width(const Engraving* e, QfMetre metre);

/// Width of clef, signature and metre at the head of a system
double
engrave_header_width(const Engraving* e, size_t bar, bool shows_metre);

/// Width of the signature and metre that announce a change after a system's end
double
engrave_warning_width(const Engraving* e, size_t next_bar);

const System*
engrave_system_of(const Engraving* e, size_t column);

/// Index of the column at or before a time
size_t
engrave_column_at(const Engraving* e, QfTime time);

#endif // QUINTFALL_ENGRAVE_ENGRAVING_H
