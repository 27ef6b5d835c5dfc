// SPDX-License-Identifier: MIT
#ifndef QF_WINDOW_PRIVATE_H
#define QF_WINDOW_PRIVATE_H

#include "chain/qf-circle-view.h"
#include "hearing/qf-hearing-bar.h"
#include "hearing/qf-plan-strip.h"
#include "input/qf-sing-strip.h"
#include "lesson/qf-export.h"
#include "lesson/qf-lesson-item.h"
#include "page/qf-caret.h"
#include "page/qf-passage-view.h"
#include "panes/qf-explore-pane.h"
#include "panes/qf-findings-pane.h"
#include "panes/qf-reasons-pane.h"
#include "qf-window.h"
#include "writing/qf-realise-bar.h"

#include "quintfall/sound.h"

G_BEGIN_DECLS

/// What to do once unsaved changes are dealt with
typedef void (*QfWindowThen)(QfWindow* self, const char* argument);

struct _QfWindow {
  AdwApplicationWindow parent_instance;

  // Template children
  AdwToastOverlay* toasts;
  AdwWindowTitle*  title;
  GtkWidget*       undo;
  GtkWidget*       redo;
  GtkRevealer*     notice;
  GtkLabel*        notice_text;
  AdwFlap*         flap;
  GtkWidget*       side;
  GtkStack*        side_stack;
  QfPassageView*   passage;
  QfCircleView*    circle;
  QfReasonsPane*   reasons;
  QfFindingsPane*  findings_pane;
  QfExplorePane*   explore;
  QfRealiseBar*    realise_bar;
  QfHearingBar*    hearing;
  QfPlanStrip*     strip;
  QfSingStrip*     sing;
  GtkLabel*        status;
  GtkRevealer*     progress;
  GtkLabel*        progress_text;
  GtkProgressBar*  progress_bar;
  GMenu*           recent_menu;

  // Owned
  QfPreferences* preferences;
  QfLessonItem*  item;
  QfPlayer*      player; ///< Made once the window is shown, or when needed before
  QfExport*      running_export;
  char*          then_argument;
  char*          soundfont;   ///< The player's, or NULL for the system's
  char*          driver;      ///< The player's, or NULL for the first that works
  QfFindings     findings;    ///< Of the lesson's state when it was last checked
  QfPerformance  performance; ///< What the player holds, but for its events

  AdwToast*    toast; ///< Last one shown, while it lives
  QfCaret      caret;
  QfWindowThen then;
  guint        hearing_timeout; ///< Pending write of the hearing plan into the lesson
  guint        player_idle;     ///< Pending making of the player
  guint        player_watch;    ///< Tells what befalls it
  guint        player_tick;
  guint        sing_timeout;    ///< Pending start of listening, after the first note
  guint        check_timeout;   ///< Pending check of the part-writing
  guint        explore_timeout; ///< Pending list of what could follow
  size_t       chosen_finding;  ///< Or SIZE_MAX

  // What is selected from the anchor to the caret, and how it was written anew
  gboolean has_anchor;
  QfTime   anchor;
  uint32_t kept_voices; ///< Bit v set: voice v stays as it is
  QfTime   way_start;   ///< Of the span written last
  QfTime   way_end;
  size_t   nth_way;      ///< 0 the best
  uint64_t way_revision; ///< Of the lesson right after it was written, or 0
  char*    way_found;    ///< Remarks on it, owned

  gboolean  has_passage_loaded; ///< The player holds the performance, not a single chord
  gboolean  is_plan_loaded;     ///< It is the hearing plan's
  double    resume_s;           ///< Where it goes on after a chord came between, or 0
  gboolean  resumes_plan;       ///< It is the plan that goes on, not the quick hearing
  QfTime    loaded_from;        ///< Where the quick hearing loaded last begins
  QfHearing heard;              ///< And how it sounds
  double    speed;              ///< Of the written tempo
  QfTime    loop_from;          ///< What is looped, if it ends after it begins
  QfTime    loop_to;
  QfTime    stepped_time; ///< Of the chord whose notes are stepped through
  uint64_t  stepped_revision;
  size_t    n_stepped; ///< Its notes, or 0 while none is
  size_t    step_said;
  guint     step_timeout;
  QfTime    sing_from; ///< What is listened for once the first note has died away
  QfTime    sing_to;
  size_t    sing_voice;
  size_t    sung_step; ///< Performed step whose gap was listened to, or SIZE_MAX
  gboolean  is_closing;
  uint64_t  loaded_revision;
};

// ---- qf-window.c

/// The link at the caret, or SIZE_MAX
size_t
qf_window_get_link(const QfWindow* self);

/// Put the caret somewhere and show everything that depends on it
void
qf_window_set_caret(QfWindow* self, size_t voice, QfTime time);

/// Show what is at the caret in all views
void
qf_window_show_caret(QfWindow* self);

/// Show the lesson's present state everywhere
void
qf_window_refresh(QfWindow* self);

void
qf_window_toast(QfWindow* self, const char* text);

/// A message that stays until it is closed
void
qf_window_notice(QfWindow* self, const char* text);

void
qf_window_set_enabled(QfWindow* self, const char* action, gboolean is_enabled);

/// True while Shift is down: a click selects up to where it goes
gboolean
qf_window_is_extending(QfWindow* self);

void
qf_window_set_state(QfWindow* self, const char* action, GVariant* state);

/// The key at a time: of the link there or before it, else the lesson's
QfKey
qf_window_key_at(const QfWindow* self, QfTime time);

// ---- one function for each file of actions

void
qf_window_add_open_actions(QfWindow* self);

void
qf_window_add_study_actions(QfWindow* self);

void
qf_window_add_midi_actions(QfWindow* self);

void
qf_window_add_sing_actions(QfWindow* self);

void
qf_window_add_save_actions(QfWindow* self);

void
qf_window_add_export_actions(QfWindow* self);

void
qf_window_add_note_actions(QfWindow* self);

void
qf_window_add_caret_actions(QfWindow* self);

void
qf_window_add_chord_actions(QfWindow* self);

void
qf_window_add_play_actions(QfWindow* self);

void
qf_window_add_sound_actions(QfWindow* self);

void
qf_window_add_hearing_actions(QfWindow* self);

void
qf_window_add_plan_actions(QfWindow* self);

void
qf_window_add_record_actions(QfWindow* self);

void
qf_window_add_view_actions(QfWindow* self);

void
qf_window_add_finding_actions(QfWindow* self);

void
qf_window_add_explore_actions(QfWindow* self);

void
qf_window_add_realise_actions(QfWindow* self);

void
qf_window_add_harmonise_actions(QfWindow* self);

// ---- qf-window-realise.c

/// Frame the notes that the student is given
void
qf_window_show_givens(QfWindow* self);

void
qf_window_add_given_actions(QfWindow* self);

/// The links from where the selection began, if it did, to the caret; false if there are none
gboolean
qf_window_find_links(const QfWindow* self, size_t* first, size_t* last);

/// Show which links are selected
void
qf_window_show_selection(QfWindow* self);

/// Select from where the selection began, or the caret, to a link
void
qf_window_extend_selection(QfWindow* self, size_t link);

/// Where the selected links begin and end; false, and nothing set, if there is no selection
gboolean
qf_window_get_selection(const QfWindow* self, QfTime* start, QfTime* end);

/// Keep no voices and select nothing: another lesson is open
void
qf_window_reset_ways(QfWindow* self);

/// Show the voices that can be kept
void
qf_window_show_voices(QfWindow* self);

// ---- qf-window-explore.c

/// List what could follow once the caret rests, if that is shown
void
qf_window_explore_later(QfWindow* self);

// ---- qf-window-findings.c

/// Check the part-writing once the edits pause
void
qf_window_check_later(QfWindow* self);

/// Free what was found
void
qf_window_drop_findings(QfWindow* self);

/// Forget what was found in another lesson, and show so
void
qf_window_forget_findings(QfWindow* self);

// ---- qf-window-export.c

/// Show the progress of the running export
void
qf_window_show_export(QfWindow* self, const char* path);

/// Told when the running export is over
void
qf_window_exported_cb(const char* path, const QfError* error, gpointer data);

/// Say why something could not be written
void
qf_window_show_export_error(QfWindow* self, const char* path, const QfError* error);

// ---- qf-window-save.c

/// Do something once unsaved changes were saved or given up; `argument` is copied
void
qf_window_guard(QfWindow* self, QfWindowThen then, const char* argument);

// ---- qf-window-open.c

/// Say why a file cannot be opened; the open lesson stays
void
qf_window_show_open_error(QfWindow* self, const char* name, const QfError* error);

void
qf_window_fill_recent(QfWindow* self);

// ---- qf-window-sound.c

/// Sound one note or chord briefly, unless the passage is playing
void
qf_window_sound_pitches(QfWindow* self, const QfPitch* pitches, size_t n_pitches, double seconds);

/// Sound a note that is asked for, whether or not notes are sounded as they are written
void
qf_window_give_pitch(QfWindow* self, QfPitch pitch, double seconds);

/// Sound chords one after another, at the level and with the instrument of the plan
void
qf_window_sound_voicings(QfWindow* self, const QfVoicing* voicings, size_t n_voicings);

/// Sound something that is not the passage, at the level and with the instrument of the plan
void
qf_window_sound_score(QfWindow* self, const QfScore* score);

// ---- qf-window-player.c

/// The player; NULL if out of memory
QfPlayer*
qf_window_get_player(QfWindow* self);

/// Make the player as soon as there is nothing more pressing
void
qf_window_prepare_player(QfWindow* self);

void
qf_window_drop_player(QfWindow* self);

/// Tell what befalls the player while it plays
void
qf_window_watch_player(QfWindow* self);

/// Play with the SoundFont and tuning that the preferences now say
void
qf_window_retune(QfWindow* self);

/// The lesson's key, for preludes and tunings
QfKey
qf_window_home_key(const QfWindow* self);

/// The tuning of the preferences, in the lesson's key
QfTuning
qf_window_get_tuning(const QfWindow* self);

// ---- qf-window-play.c

/// The hearing and level that the bar now says
QfHearing
qf_window_hearing_now(const QfWindow* self);

void
qf_window_stop(QfWindow* self);

/// Perform a plan and load it into the player; false, with a message, if that cannot be
gboolean
qf_window_load(QfWindow* self, const QfPlan* plan, gboolean is_lesson_plan);

/// Perform the bar's quick hearing from a time on, and load it
gboolean
qf_window_load_quick(QfWindow* self, QfTime from);

/// Let a quick hearing that plays sound as the bar now says, if it lasts alike
void
qf_window_hear_change(QfWindow* self);

/// Offer the instruments of the SoundFont in use in the bar
void
qf_window_offer_instruments(QfWindow* self);

/// Play what is loaded
void
qf_window_start(QfWindow* self);

void
qf_window_pause(QfWindow* self);

/// Put the marks where the sound is, or was paused; away if it is elsewhere
void
qf_window_show_place(QfWindow* self);

/// True if what the player holds is still what the lesson says
bool
qf_window_is_loaded(const QfWindow* self);

// ---- qf-window-sing.c

/// Listen while a plan's gap is for singing, if that is wanted
void
qf_window_follow_gap(QfWindow* self, gboolean is_playing);

/// Stop listening and hide the strip
void
qf_window_end_singing(QfWindow* self);

// ---- qf-window-plan.c

/// Say where in the plan the sound is, and how loud it is
void
qf_window_show_step(QfWindow* self, gboolean is_playing);

/// Hear a plan that is being edited from one of its steps on, or stop it
void
qf_window_hear_plan(QfWindow* self, const QfPlan* plan, guint64 step);

/// The plan is no longer edited
void
qf_window_end_hear_plan(QfWindow* self);

/// Go to another chord of what is playing; false if nothing is
gboolean
qf_window_step_performance(QfWindow* self, int by);

/// Go to the chord at the caret in the hearing that is loaded; false if another must be
gboolean
qf_window_seek_caret(QfWindow* self);

/// Loop what the loop actions say, now that something is loaded
void
qf_window_apply_loop(QfWindow* self);

// ---- qf-window-hearing.c

/// Write a pending change of the hearing plan into the lesson
void
qf_window_flush_hearing(QfWindow* self);

// ---- qf-window-chords.c

void
qf_window_place_numerals(QfWindow* self, const char* text);

// ---- qf-window-study.c

/// Open a task or an answer in a window of its own; false if the file is neither
gboolean
qf_window_try_answer(QfWindow* self, const char* path);

// ---- dialogs

void
qf_window_show_new_dialog(QfWindow* self);

void
qf_window_show_properties(QfWindow* self);

void
qf_window_show_plan_dialog(QfWindow* self);

void
qf_window_show_sound_dialog(QfWindow* self);

G_END_DECLS

#endif // QF_WINDOW_PRIVATE_H
