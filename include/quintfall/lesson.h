// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_H
#define QUINTFALL_LESSON_H

#include "quintfall/hearing.h"
#include "quintfall/label.h"
#include "quintfall/plan.h"
#include "quintfall/question.h"
#include "quintfall/realise.h"
#include "quintfall/rubric.h"
#include "quintfall/rules.h"
#include "quintfall/score.h"
#include "quintfall/writing.h"

/**
   The document: a score, its declared key, pinned labels, givens, hearing, and
   the history of its edits.

   Every change is one named edit that can be undone; a failed edit changes
   nothing. Labels are derived, and kept until the next change.

   The settings of hearing.h belong to this layer; events.h performs them.
*/
typedef struct QfLessonImpl QfLesson;

/// What is shown of a note to the student
typedef enum {
  QF_GIVEN_NOTHING, ///< To be found
  QF_GIVEN_NOTE,    ///< Printed
} QfGiven;

/// An empty four-part lesson (transfer full; NULL if out of memory)
QfLesson*
qf_lesson_new(QfKey key, QfMetre metre, QfTime pickup, size_t n_bars);

/// A lesson around a score (takes the score, also on failure); the key is found
QfLesson*
qf_lesson_new_from_score(QfScore* score);

void
qf_lesson_free(QfLesson* lesson);

// ---- asking

const QfScore*
qf_lesson_get_score(const QfLesson* lesson);

/// Labels of the present state, made when first asked for, and after an edit brought up to date
/// (transfer none, until the next change)
const QfLabels*
qf_lesson_get_labels(QfLesson* lesson);

/// Choose how the labels' sentences name notes; no edit, not saved, English at first
void
qf_lesson_set_naming(QfLesson* lesson, QfNamingKind naming);

/// True if the key is declared, then set in `key`
bool
qf_lesson_get_key(const QfLesson* lesson, QfKey* key);

/// True if labels may look for keys that change; false keeps to one key
bool
qf_lesson_get_may_modulate(const QfLesson* lesson);

/// Thresholds between modulation and tonicization; what they mean is said in label.h
QfKeyThresholds
qf_lesson_get_key_thresholds(const QfLesson* lesson);

const char*
qf_lesson_get_notes_text(const QfLesson* lesson); ///< Teacher's remarks, UTF-8

QfHearing
qf_lesson_get_hearing(const QfLesson* lesson);

/// The hearing plan, or NULL if the lesson has none
const QfPlan*
qf_lesson_get_plan(const QfLesson* lesson);

bool
qf_lesson_is_given(const QfLesson* lesson, uint32_t note);

/// How it is set as a task
QfStudy
qf_lesson_get_study(const QfLesson* lesson);

const QfRubric*
qf_lesson_get_rubric(const QfLesson* lesson);

/// Leading questions in the order they are asked, dropped ones among them
size_t
qf_lesson_n_questions(const QfLesson* lesson);

const QfQuestion*
qf_lesson_get_question(const QfLesson* lesson, size_t index);

/// Index of the question of an identity, or SIZE_MAX
size_t
qf_lesson_find_question(const QfLesson* lesson, const char* id);

size_t
qf_lesson_n_pins(const QfLesson* lesson);

const QfPin*
qf_lesson_get_pin(const QfLesson* lesson, size_t index);

/// Grows with every change, undo and redo
uint64_t
qf_lesson_get_revision(const QfLesson* lesson);

/// True if the state differs from the one last saved or loaded
bool
qf_lesson_is_modified(const QfLesson* lesson);

/// True for a lesson of a newer format: every edit gives #QF_ERR_READ_ONLY
bool
qf_lesson_is_read_only(const QfLesson* lesson);

// ---- editing; each is one step of undo

QfStatus
qf_lesson_put_note(QfLesson* lesson,
                   size_t    voice,
                   QfTime    start,
                   QfTime    duration,
                   QfPitch   pitch,
                   uint32_t* new_id,
                   QfError*  error);

/**
   Write a note in each of several voices as one edit.

   @param pitches As many as there are voices, the highest first.
   @param is_put False for voices that are left as they are.
*/
QfStatus
qf_lesson_put_chord(QfLesson*      lesson,
                    QfTime         start,
                    QfTime         duration,
                    const QfPitch* pitches,
                    const bool*    is_put,
                    QfError*       error);

QfStatus
qf_lesson_set_pitch(QfLesson* lesson, uint32_t note, QfPitch pitch, QfError* error);

/// Give several notes other pitches as one edit, as a mend of the part-writing asks for
QfStatus
qf_lesson_set_pitches(QfLesson*         lesson,
                      const QfNewPitch* changes,
                      size_t            n_changes,
                      QfError*          error);

/// Move a note in time within its voice
QfStatus
qf_lesson_move_note(QfLesson* lesson, uint32_t note, QfTime start, QfError* error);

QfStatus
qf_lesson_set_duration(QfLesson* lesson, uint32_t note, QfTime duration, QfError* error);

QfStatus
qf_lesson_delete_note(QfLesson* lesson, uint32_t note, QfError* error);

/// Turn [start, end) to rest in all voices
QfStatus
qf_lesson_delete_span(QfLesson* lesson, QfTime start, QfTime end, QfError* error);

/// Move everything that begins in [start, end) by a time, all voices (whole chords)
QfStatus
qf_lesson_move_span(QfLesson* lesson, QfTime start, QfTime end, QfTime by, QfError* error);

/**
   Place a realised chord, connected to the chords before and after it.

   Writes one note in each of the first four voices from `start` for `duration`,
   and pins the numeral there if the labels would read it otherwise. Notes marked
   as given stay as they are, and the chord is written around them.
   @return #QF_ERR_IMPOSSIBLE with the smallest set of given notes that clash.
*/
QfStatus
qf_lesson_place_chord(QfLesson*        lesson,
                      QfTime           start,
                      QfTime           duration,
                      QfKey            key,
                      const QfNumeral* numeral,
                      QfError*         error);

/// Place several chords as one edit, realised together
QfStatus
qf_lesson_place_chords(QfLesson* lesson, const QfLink* links, size_t n_links, QfError* error);

/**
   Place chords as one edit that are written out already, such as a way found by
   qf_explore() or a chain of qf_harmonise().

   Given notes and those of kept voices stay, whatever the voicings have there.
   @param kept_voices Bit v set: voice v of the score stays as it is.
*/
QfStatus
qf_lesson_place_voicings(QfLesson*        lesson,
                         const QfLink*    links,
                         const QfVoicing* voicings,
                         size_t           n_links,
                         uint32_t         kept_voices,
                         QfError*         error);

/// How the selection is to be realised
typedef struct {
  QfProfile profile;
  uint32_t  kept_voices; ///< Bit v set: voice v of the score stays as it is
  size_t    nth;         ///< 0 is the best way, 1 the next best
} QfRealiseWishes;

/// Which of the ways was written
typedef struct {
  size_t n_ways;     ///< How many there are, #QF_WRITING_MAX_BEST at most
  int    cost;       ///< Of the one written, as qf_write() counts
  int    least_cost; ///< Of the best
} QfWays;

/**
   Write the voices of the labelled links in a span anew, one chord a link.

   Every link that sounds within [start, end) is rewritten whole, connected to the
   chords before and after. Notes marked as given and those of kept voices stay,
   whatever is between given notes of a voice is filled. Of what stays, the first
   note of its chord is what the chord is written around; a voice with none there
   does not count. The ways do not depend on the other notes of the span, so the
   next best is a call with the next `nth`.

   @param[out] ways If not NULL, what there is to choose from; finding that out takes
   longer than the best way alone.
   @return #QF_OK; #QF_ERR_RANGE if the span has no link or `nth` no way;
   #QF_ERR_UNSUPPORTED without a label, or unless there are three to five voices;
   #QF_ERR_IMPOSSIBLE with the notes that clash.
*/
QfStatus
qf_lesson_realise_span(QfLesson*       lesson,
                       QfTime          start,
                       QfTime          end,
                       QfRealiseWishes wishes,
                       QfWays*         ways,
                       QfError*        error);

QfStatus
qf_lesson_set_title(QfLesson* lesson, const char* title, QfError* error);

QfStatus
qf_lesson_set_composer(QfLesson* lesson, const char* composer, QfError* error);

QfStatus
qf_lesson_set_notes_text(QfLesson* lesson, const char* text, QfError* error);

/// Declare the key (also the signature at the start), or NULL to have it found
QfStatus
qf_lesson_set_key(QfLesson* lesson, const QfKey* key, QfError* error);

/// Say whether labels may look for keys that change; declaring a key turns it off at first
QfStatus
qf_lesson_set_may_modulate(QfLesson* lesson, bool may_modulate, QfError* error);

/// #QF_ERR_RANGE unless both are 0 to #QF_MAX_KEY_BEATS beats
QfStatus
qf_lesson_set_key_thresholds(QfLesson* lesson, QfKeyThresholds thresholds, QfError* error);

QfStatus
qf_lesson_set_metre(QfLesson* lesson, QfMetre metre, QfError* error);

QfStatus
qf_lesson_set_tempo(QfLesson* lesson, double quarters_per_minute, QfError* error);

QfStatus
qf_lesson_set_hearing(QfLesson* lesson, QfHearing hearing, QfError* error);

/// Keep a copy of a hearing plan in the lesson, or none for NULL
QfStatus
qf_lesson_set_plan(QfLesson* lesson, const QfPlan* plan, QfError* error);

/// Set or lift a fermata; #QF_ERR_RANGE if it is to be set where no note starts
QfStatus
qf_lesson_set_fermata(QfLesson* lesson, QfTime time, bool is_set, QfError* error);

QfStatus
qf_lesson_append_bar(QfLesson* lesson, QfError* error);

QfStatus
qf_lesson_remove_last_bar(QfLesson* lesson, QfError* error);

QfStatus
qf_lesson_set_given(QfLesson* lesson, uint32_t note, bool is_given, QfError* error);

/**
   Give notes or take them back, in one step to undo.

   @return #QF_ERR_RANGE, and nothing changed, if one of them is not in the lesson.
*/
QfStatus
qf_lesson_give_notes(QfLesson*       lesson,
                     const uint32_t* notes,
                     size_t          n_notes,
                     bool            is_given,
                     QfError*        error);

/// Give or take back all notes of a voice at once
QfStatus
qf_lesson_set_voice_given(QfLesson* lesson, size_t voice, bool is_given, QfError* error);

/// #QF_ERR_RANGE if a limit is outside 0 to 99
QfStatus
qf_lesson_set_study(QfLesson* lesson, QfStudy study, QfError* error);

/// #QF_ERR_RANGE as qf_rubric_check() says
QfStatus
qf_lesson_set_rubric(QfLesson* lesson, const QfRubric* rubric, QfError* error);

/// Replace all questions; #QF_ERR_RANGE if one is wrong or two have one identity
QfStatus
qf_lesson_set_questions(QfLesson*         lesson,
                        const QfQuestion* questions,
                        size_t            n_questions,
                        QfError*          error);

/**
   Replace the question that has the same identity, or append the teacher's own.

   The replaced one is marked as edited. One without an identity gets a new one
   and is marked as the teacher's own.
*/
QfStatus
qf_lesson_put_question(QfLesson* lesson, const QfQuestion* question, QfError* error);

/// Move a question to another place in the order
QfStatus
qf_lesson_move_question(QfLesson* lesson, size_t from, size_t to, QfError* error);

/// Drop a question or take it up again; the teacher's own is removed when dropped
QfStatus
qf_lesson_drop_question(QfLesson* lesson, size_t index, bool is_dropped, QfError* error);

QfStatus
qf_lesson_pin(QfLesson* lesson, QfPin pin, QfError* error);

/// Pin what several links are read as, as one edit
QfStatus
qf_lesson_pin_links(QfLesson* lesson, const QfLink* links, size_t n_links, QfError* error);

QfStatus
qf_lesson_unpin(QfLesson* lesson, QfTime start, QfError* error);

QfStatus
qf_lesson_transpose(QfLesson* lesson, QfInterval interval, QfError* error);

// ---- history

bool
qf_lesson_can_undo(const QfLesson* lesson);

bool
qf_lesson_can_redo(const QfLesson* lesson);

/// Name of the edit that would be undone, "Change a pitch", or NULL
const char*
qf_lesson_get_undo_name(const QfLesson* lesson);

const char*
qf_lesson_get_redo_name(const QfLesson* lesson);

/**
   Make the present state the first one: nothing to undo or redo, not modified.

   For a lesson that has just been built from something else, whose making is no
   edit of the user's.
*/
void
qf_lesson_forget_history(QfLesson* lesson);

/// #QF_ERR_IMPOSSIBLE if there is nothing to undo
QfStatus
qf_lesson_undo(QfLesson* lesson);

QfStatus
qf_lesson_redo(QfLesson* lesson);

// ---- files

/**
   Write the lesson as JSON (transfer full).

   The same state always gives the same bytes. Unknown members that were read
   are kept.
*/
QfStatus
qf_lesson_to_json(const QfLesson* lesson, char** json, QfError* error);

/// Read a lesson from JSON, migrating older versions; a newer one is read-only
QfStatus
qf_lesson_from_json(const char* json, size_t length, QfLesson** result, QfError* error);

/// Read a file
QfStatus
qf_lesson_load(const char* path, QfLesson** result, QfError* error);

/**
   Save atomically: temporary file in the same folder, fsync, rename.

   @return #QF_ERR_IO with what the system said; the old file is then untouched.
*/
QfStatus
qf_lesson_save(QfLesson* lesson, const char* path, QfError* error);

/// Write the recovery journal of a lesson (same format, atomic; does not count as saved)
QfStatus
qf_lesson_write_journal(const QfLesson* lesson, const char* path, QfError* error);

#endif // QUINTFALL_LESSON_H
