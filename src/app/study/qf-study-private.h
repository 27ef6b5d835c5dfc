// SPDX-License-Identifier: MIT
#ifndef QF_STUDY_PRIVATE_H
#define QF_STUDY_PRIVATE_H

#include "qf-compare-view.h"
#include "qf-question-pane.h"
#include "qf-result-pane.h"
#include "qf-study-sheet.h"
#include "qf-study-window.h"

#include "hearing/qf-hearing-bar.h"
#include "input/qf-sing-strip.h"
#include "page/qf-caret.h"

#include "quintfall/grade.h"
#include "quintfall/sound.h"

G_BEGIN_DECLS

/// What is to be heard of one page: a stretch of its score, all of it if that is empty, or a chord
typedef struct {
  const QfScore* score; ///< Lent
  QfTime         from;
  QfTime         to;
  gboolean       is_chord;
  QfChord        chord;
} QfToHear;

struct _QfStudyWindow {
  AdwApplicationWindow parent_instance;

  // Template children
  AdwToastOverlay*   toasts;
  AdwWindowTitle*    title;
  AdwFlap*           flap;
  GtkStack*          side_stack;
  GtkScrolledWindow* scroller;
  QfStudySheet*      sheet;
  GtkStack*          pages; ///< "write" or "compare"
  QfCompareView*     compare;
  GtkEntry*          note_entry;
  GtkToggleButton*   degrees_only;
  GtkToggleButton*   scratch_only;
  GtkLabel*          status;
  QfHearingBar*      hearing;
  QfSingStrip*       sing;
  QfQuestionPane*    questions;
  QfResultPane*      result;

  // Owned
  QfPreferences* preferences;
  QfAnswerItem*  item;
  QfPlayer*      player;
  QfGrade*       grade;      ///< Of the last attempt, or NULL while it is written
  QfComparison*  comparison; ///< Of the graded attempt with the passage, or NULL

  AdwToast* toast; ///< Last one shown, while it lives
  QfCaret   caret;
  double    zoom;
  QfTime    pass_start; ///< What the player holds begins here in the passage
  gboolean  hears_solution;
  gboolean  keeps_caret; ///< While a question is chosen by the caret
  guint     player_tick;
  guint     player_watch; ///< Tells what befalls the player
  guint     fit_idle;     ///< Pending layout in another height
  guint     second_half;  ///< Pending sound of the passage after the student's own
  guint     sing_timeout; ///< Pending start of listening, after the first note
  size_t    difference;   ///< The chosen one, or SIZE_MAX

  QfHeardPage heard; ///< What sounds of a comparison
  gboolean    heard_chord;
  QfToHear    to_hear[QF_HEARD_PASSAGE + 1]; ///< By page
};

// ---- qf-study-window.c

void
qf_study_toast(QfStudyWindow* self, const char* text);

/// Show the answer's present state everywhere
void
qf_study_refresh(QfStudyWindow* self);

void
qf_study_set_caret(QfStudyWindow* self, size_t voice, QfTime time);

/// True if the attempt can be changed; otherwise says why not
gboolean
qf_study_may_write(QfStudyWindow* self);

// ---- one function for each file of actions

void
qf_study_add_caret_actions(QfStudyWindow* self);

void
qf_study_add_note_actions(QfStudyWindow* self);

void
qf_study_add_chord_actions(QfStudyWindow* self);

void
qf_study_add_scratch_actions(QfStudyWindow* self);

void
qf_study_add_play_actions(QfStudyWindow* self);

void
qf_study_add_input_actions(QfStudyWindow* self);

void
qf_study_add_question_actions(QfStudyWindow* self);

void
qf_study_add_result_actions(QfStudyWindow* self);

void
qf_study_add_compare_actions(QfStudyWindow* self);

void
qf_study_add_hand_in_actions(QfStudyWindow* self);

// ---- qf-study-caret.c

/// What is written so far, or the frame before the first attempt
const QfScore*
qf_study_get_score(const QfStudyWindow* self);

/// Voice that a layer of notes is written in
size_t
qf_study_voice_of(const QfStudyWindow* self, QfLayer layer);

/// Start and length of the note that would be written at the caret
void
qf_study_place_at_caret(const QfStudyWindow* self, QfTime* start, QfTime* duration);

/// The next place to write at in the caret's voice, and the one before
QfTime
qf_study_next_stop(const QfStudyWindow* self, QfTime time);

QfTime
qf_study_previous_stop(const QfStudyWindow* self, QfTime time);

/// Where the caret goes once a note is written
QfTime
qf_study_stop_after(const QfStudyWindow* self, QfTime start, QfTime duration);

// ---- qf-study-scratch.c

/// Write typed notes from the caret on
void
qf_study_write_words(QfStudyWindow* self, const char* text);

// ---- qf-study-play.c

/// NULL if out of memory
QfPlayer*
qf_study_get_player(QfStudyWindow* self);

void
qf_study_stop(QfStudyWindow* self);

/// Sound a note to sing from, whether or not written notes are to be heard
void
qf_study_give_pitch(QfStudyWindow* self, QfPitch pitch, double seconds);

void
qf_study_sound_pitches(QfStudyWindow* self, const QfPitch* pitches, size_t n, double seconds);

/// Sound a stretch of any score, as the bar says but without prelude and repeats
gboolean
qf_study_sound_score(QfStudyWindow* self, const QfScore* score, QfTime from, QfTime to);

/// Sound a chord in close position
void
qf_study_sound_chord(QfStudyWindow* self, QfChord chord);

// ---- qf-study-compare.c

/// Lay the graded attempt over the passage
void
qf_study_show_comparison(QfStudyWindow* self);

/// Go back to the page that is written on
void
qf_study_end_comparison(QfStudyWindow* self);

/// Go to a difference: caret, reason and row of the result
void
qf_study_choose_difference(QfStudyWindow* self, size_t index);

/// Mark what sounds of a comparison
void
qf_study_show_heard(QfStudyWindow* self, gboolean is_playing, QfTime time);

// ---- qf-study-input.c

/// Stop listening and put the strip away
void
qf_study_end_singing(QfStudyWindow* self);

// ---- qf-study-result.c

/// Forget the grade, once something is written anew
void
qf_study_drop_grade(QfStudyWindow* self);

/// Rings around the notes in doubt
void
qf_study_show_doubts(QfStudyWindow* self);

G_END_DECLS

#endif // QF_STUDY_PRIVATE_H
