// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_H
#define QUINTFALL_ENGRAVE_H

#include "quintfall/label.h"
#include "quintfall/score.h"
#include "quintfall/solfege.h"

#include <cairo.h>

/// Text rows on a printed page: chord symbols over the staves, all others under them
typedef enum {
  QF_ROW_NUMERALS = 1U << 0U,
  QF_ROW_FIGURES  = 1U << 1U, ///< Figured bass
  QF_ROW_SYMBOLS  = 1U << 2U, ///< Chord symbols
  QF_ROW_SOLFEGE  = 1U << 3U, ///< Syllable of the top voice
  QF_ROW_DEGREES  = 1U << 4U, ///< Scale degree of the bass
  QF_ROW_KEYS     = 1U << 5U, ///< Key brackets under the numerals
} QfRow;

/// What a sheet to be filled in by hand has besides the notes that are shown
typedef enum {
  QF_BLANK_NAME      = 1U << 0U, ///< Lines for a name and a date at the top of the first page
  QF_BLANK_RHYTHM    = 1U << 1U, ///< The values of the notes that are hidden, without their pitches
  QF_BLANK_QUALITIES = 1U << 2U, ///< A row to write chord qualities in
  QF_BLANK_NUMERALS  = 1U << 3U, ///< A row to write functions in
  QF_BLANK_PLACES    = 1U << 4U, ///< These rows show where the labels' chords begin
} QfBlank;

typedef struct {
  double r, g, b, a;
} QfColour;

/// Ink and paper, so that dark and light views share one painter
typedef struct {
  QfColour ink;
  QfColour faint;   ///< Staff lines
  QfColour accent;  ///< Caret, selection
  QfColour playing; ///< Notes that sound now
} QfInks;

typedef struct {
  double        space;       ///< Distance of two staff lines, in units of the surface
  double        width;       ///< Of a system; 0 for one endless system (the window)
  double        page_height; ///< 0 for one endless page
  double        margin;
  unsigned      rows; ///< #QfRow bits; none in the window, whose chain is made of widgets
  QfSolfegeKind solfege;
  QfNamingKind  naming;
  bool          courtesy_across_voices;
  bool          has_title;      ///< Title and composer above the first system
  double        min_link_width; ///< Least distance of two links' starts, so widgets fit under them
  double        writing_room;   ///< Times the width of print, for notes by hand; then
                                ///< distances follow time alone and tell nothing of hidden values
  unsigned blanks;              ///< #QfBlank bits
  /// Voices whose values #QF_BLANK_RHYTHM shows, bit `1U << voice`. Voices that move alike share a
  /// row; of more than four different rhythms the lowest are left out.
  uint32_t rhythm_voices;
  bool (*is_shown)(uint32_t note, void* data); ///< NULL shows all; hidden notes leave space
  void* is_shown_data;
} QfEngraveOptions;

/// A laid-out passage; owns everything
typedef struct QfEngravingImpl QfEngraving;

/// What is to be marked when painting
typedef struct {
  QfInks   inks;
  bool     has_caret;
  size_t   caret_voice;
  QfTime   caret_time;
  int      caret_step;    ///< Staff step shown at the caret (qf_pitch_step()), or INT_MIN
  uint32_t selected_note; ///< Or #QF_NO_NOTE
  bool     has_selection; ///< A selected span of time
  QfTime   selection_start;
  QfTime   selection_end;
  bool     is_playing;
  QfTime   playing_time;
} QfMarks;

/// Something under a point
typedef struct {
  uint32_t note;  ///< Note hit, or #QF_NO_NOTE
  size_t   staff; ///< Nearest staff
  QfTime   time;  ///< Nearest time at which something starts (or a beat, in a gap)
  int      step;  ///< Staff step under the point in the staff's clef
} QfHit;

QfEngraveOptions
qf_engrave_options_screen(void);

/// A4 page in points
QfEngraveOptions
qf_engrave_options_page(void);

/// @param labels May be NULL: no rows then
QfStatus
qf_engraving_new(const QfScore*   score,
                 const QfLabels*  labels,
                 QfEngraveOptions options,
                 QfEngraving**    result,
                 QfError*         error);

void
qf_engraving_free(QfEngraving* engraving);

size_t
qf_engraving_n_pages(const QfEngraving* engraving);

void
qf_engraving_get_size(const QfEngraving* engraving, double* width, double* height);

void
qf_engraving_paint(const QfEngraving* engraving, size_t page, cairo_t* cr, const QfMarks* marks);

/// Where a time stands on the first page of an endless system
double
qf_engraving_x_of(const QfEngraving* engraving, QfTime time);

bool
qf_engraving_hit(const QfEngraving* engraving, double x, double y, QfHit* result);

/// Rectangle of a note on its page; false if it is not shown
bool
qf_engraving_note_box(const QfEngraving* engraving,
                      uint32_t           note,
                      double*            x,
                      double*            y,
                      double*            width,
                      double*            height);

/**
   Write every page, by the path's ending: .pdf holds all pages; .svg and .png (150 dots an
   inch) get a file a page, "sheet.png", "sheet-2.png" and so on.

   @return #QF_ERR_UNSUPPORTED for another ending, #QF_ERR_IO with what the system said.
*/
QfStatus
qf_engraving_export(const QfEngraving* engraving, const char* path, QfError* error);

/// Passages one below the other on the pages of one PDF: an answer key for a whole set
typedef struct QfBookletImpl QfBooklet;

/// A4 pages (transfer full); NULL if out of memory
QfBooklet*
qf_booklet_new(const char* title);

void
qf_booklet_free(QfBooklet* booklet);

/**
   Put a passage under the last one, or on a new page if it does not fit there.

   @param engraving Laid out with qf_engrave_options_page(), but for a `page_height` of 0; one
   taller than a page is made smaller. It is painted at once, and may be freed.
*/
QfStatus
qf_booklet_add(QfBooklet* booklet, const QfEngraving* engraving, QfError* error);

/// Finish the last page and write all as PDF, atomically; nothing can be added afterwards
QfStatus
qf_booklet_save(QfBooklet* booklet, const char* path, QfError* error);

#endif // QUINTFALL_ENGRAVE_H
