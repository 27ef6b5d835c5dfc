// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANSWER_H
#define QUINTFALL_ANSWER_H

#include "quintfall/lesson.h"

/**
   What a student writes: the frame that is seen, every attempt, what was heard
   when, and the lesson itself, packed.

   A new answer without attempts is a task to hand out. The packed lesson keeps
   the solution from a glance in a text editor; it is no lock: no key protects it,
   and whoever wants to can unpack it.

   Every change of the last attempt is one edit that can be undone; earlier
   attempts, hearings and replies are records and stay. Times of day are text as
   "2026-03-09T18:30:00Z" (ISO 8601, UTC): the caller has the clock.
*/
typedef struct QfAnswerImpl QfAnswer;

enum {
  QF_ANSWER_NAME_SIZE   = 128,
  QF_ANSWER_TIME_SIZE   = 24,
  QF_ANSWER_DIGEST_SIZE = 20,
  QF_MAX_HEARD          = 10000, ///< Hearings and replies that are kept
};

/// When a note of the solution sounds, if the task shows it
typedef struct {
  QfTime start;
  QfTime duration;
  bool   is_given;
} QfSlot;

/// What is said of the chord from a time on
typedef struct {
  QfTime      start;
  bool        has_kind;
  QfChordKind kind;
  char        numeral[QF_NUMERAL_TEXT_SIZE]; ///< As typed, or empty
  bool        has_key;                       ///< The numeral stands in `key`, not in the frame's
  QfKey       key;
  bool        is_doubtful;
} QfAnswerChord;

/// A shape noted before the pitches
typedef enum {
  QF_CONTOUR_NONE, ///< Only a degree
  QF_CONTOUR_SAME,
  QF_CONTOUR_STEP_UP,
  QF_CONTOUR_STEP_DOWN,
  QF_CONTOUR_LEAP_UP,
  QF_CONTOUR_LEAP_DOWN,
  QF_CONTOUR_N_KINDS
} QfContour;

/// A mark on the scratch line
typedef struct {
  uint8_t   voice;
  QfTime    start;
  QfContour contour;
  int8_t    degree; ///< 1-7, or 0 for a contour alone
  int8_t    alter;
} QfScratch;

/// One hearing of the solution
typedef struct {
  char      at[QF_ANSWER_TIME_SIZE];
  size_t    attempt; ///< Number of the attempt from 1, 0 before the first
  QfForward forward;
  double    tempo_factor;
  QfTime    from;
  QfTime    to;
} QfHeard;

/// A reply to a leading question
typedef struct {
  char   at[QF_ANSWER_TIME_SIZE];
  char   question[QF_QUESTION_ID_SIZE];
  char   text[QF_QUESTION_CHOICE_SIZE];
  bool   is_right;
  int8_t n_hints; ///< Seen before
} QfReply;

/// One try (transfer none, until the answer's next change)
typedef struct QfTryImpl QfTry;

// ---- making

/// A task made of a lesson: the frame, no attempt (transfer full)
QfStatus
qf_answer_new(QfLesson* lesson, QfAnswer** result, QfError* error);

void
qf_answer_free(QfAnswer* answer);

/// The lesson it was made of (transfer full): for hearing, questions and the result
QfStatus
qf_answer_unpack(const QfAnswer* answer, QfLesson** result, QfError* error);

/**
   Digest of what a lesson asks: bars, voices, notes, givens and pins, not its
   texts, hearing or rubric. 16 hexadecimal digits; it finds a mix-up, not a forgery.
*/
void
qf_lesson_digest(const QfLesson* lesson, char digest[QF_ANSWER_DIGEST_SIZE]);

// ---- asking

/// Of the lesson
const char*
qf_answer_get_title(const QfAnswer* answer);

const char*
qf_answer_get_digest(const QfAnswer* answer);

const char*
qf_answer_get_student(const QfAnswer* answer);

/// Number or other mark of the student, or empty
const char*
qf_answer_get_student_id(const QfAnswer* answer);

QfStudy
qf_answer_get_study(const QfAnswer* answer);

/// True if both belong to one task: made of the same lesson in the same state, asked alike
bool
qf_answer_is_same_task(const QfAnswer* a, const QfAnswer* b);

/// Bars, signatures, staves, voices and given notes
const QfScore*
qf_answer_get_frame(const QfAnswer* answer);

QfKey
qf_answer_get_key(const QfAnswer* answer);

/// Rhythm of a voice; 0 if it is not shown
size_t
qf_answer_n_slots(const QfAnswer* answer, size_t voice);

const QfSlot*
qf_answer_get_slot(const QfAnswer* answer, size_t voice, size_t index);

/// Starts of the chords; 0 if they are not shown
size_t
qf_answer_n_spans(const QfAnswer* answer);

QfTime
qf_answer_get_span(const QfAnswer* answer, size_t index);

size_t
qf_answer_n_attempts(const QfAnswer* answer);

const QfTry*
qf_answer_get_attempt(const QfAnswer* answer, size_t index);

/// When it was begun
const char*
qf_try_get_time(const QfTry* try);

/// The student's notes and the given ones, in the frame's bars and voices
const QfScore*
qf_try_get_score(const QfTry* try);

/// True for a note that the task gives, which no edit changes
bool
qf_try_is_given(const QfTry* try, uint32_t note);

bool
qf_try_is_doubtful(const QfTry* try, uint32_t note);

/// True for a note told by its degree only: it is graded in the octave nearest to the one asked
bool
qf_try_is_degree_only(const QfTry* try, uint32_t note);

/// In order of time
size_t
qf_try_n_chords(const QfTry* try);

const QfAnswerChord*
qf_try_get_chord(const QfTry* try, size_t index);

/// What was written at a time, or NULL
const QfAnswerChord*
qf_try_chord_at(const QfTry* try, QfTime start);

/// In order of time
size_t
qf_try_n_scratches(const QfTry* try);

const QfScratch*
qf_try_get_scratch(const QfTry* try, size_t index);

size_t
qf_answer_n_heard(const QfAnswer* answer);

const QfHeard*
qf_answer_get_heard(const QfAnswer* answer, size_t index);

/// Hearings that remain, or -1 if they are not limited
int
qf_answer_hearings_left(const QfAnswer* answer);

size_t
qf_answer_n_replies(const QfAnswer* answer);

const QfReply*
qf_answer_get_reply(const QfAnswer* answer, size_t index);

/// Grows with every change, undo and redo
uint64_t
qf_answer_get_revision(const QfAnswer* answer);

bool
qf_answer_is_modified(const QfAnswer* answer);

/// True for an answer of a newer format: every change gives #QF_ERR_READ_ONLY
bool
qf_answer_is_read_only(const QfAnswer* answer);

// ---- changing the last attempt, each one step of undo; #QF_ERR_IMPOSSIBLE without an attempt

/// Write a note; #QF_ERR_RANGE also where it would touch a given one
QfStatus
qf_answer_put_note(QfAnswer* answer,
                   size_t    voice,
                   QfTime    start,
                   QfTime    duration,
                   QfPitch   pitch,
                   uint32_t* new_id,
                   QfError*  error);

/// Write a note of which only the degree is known; its octave is near the voice's last note
QfStatus
qf_answer_put_degree(QfAnswer* answer,
                     size_t    voice,
                     QfTime    start,
                     QfTime    duration,
                     int       degree,
                     int       alter,
                     uint32_t* new_id,
                     QfError*  error);

/// Also makes its octave meant
QfStatus
qf_answer_set_pitch(QfAnswer* answer, uint32_t note, QfPitch pitch, QfError* error);

QfStatus
qf_answer_set_duration(QfAnswer* answer, uint32_t note, QfTime duration, QfError* error);

QfStatus
qf_answer_delete_note(QfAnswer* answer, uint32_t note, QfError* error);

QfStatus
qf_answer_set_note_doubt(QfAnswer* answer, uint32_t note, bool is_doubtful, QfError* error);

/// @param text As typed; empty takes it away
/// @param key The key it stands in, or NULL for the frame's
QfStatus
qf_answer_set_numeral(QfAnswer*    answer,
                      QfTime       start,
                      const char*  text,
                      const QfKey* key,
                      QfError*     error);

/// @param kind NULL takes it away
QfStatus
qf_answer_set_quality(QfAnswer* answer, QfTime start, const QfChordKind* kind, QfError* error);

QfStatus
qf_answer_set_chord_doubt(QfAnswer* answer, QfTime start, bool is_doubtful, QfError* error);

/// Put a mark on the scratch line, or replace the one there; none at all takes it away
QfStatus
qf_answer_put_scratch(QfAnswer* answer, QfScratch scratch, QfError* error);

bool
qf_answer_can_undo(const QfAnswer* answer);

bool
qf_answer_can_redo(const QfAnswer* answer);

const char*
qf_answer_get_undo_name(const QfAnswer* answer);

const char*
qf_answer_get_redo_name(const QfAnswer* answer);

/// #QF_ERR_IMPOSSIBLE if there is nothing to undo
QfStatus
qf_answer_undo(QfAnswer* answer);

QfStatus
qf_answer_redo(QfAnswer* answer);

// ---- what cannot be undone

QfStatus
qf_answer_set_student(QfAnswer* answer, const char* name, const char* id, QfError* error);

/**
   Begin another attempt; the one before is kept as it is.

   @param is_copied Begin with what the last one has.
   @return #QF_ERR_IMPOSSIBLE if the task allows no more.
*/
QfStatus
qf_answer_begin_attempt(QfAnswer* answer, const char* at, bool is_copied, QfError* error);

/// Count a hearing before it is played; #QF_ERR_IMPOSSIBLE if none is left
QfStatus
qf_answer_add_heard(QfAnswer*   answer,
                    const char* at,
                    QfHearing   hearing,
                    QfTime      from,
                    QfTime      to,
                    QfError*    error);

/// Record a reply to a leading question
QfStatus
qf_answer_add_reply(QfAnswer*   answer,
                    const char* at,
                    const char* question,
                    const char* text,
                    bool        is_right,
                    int         n_hints,
                    QfError*    error);

// ---- files, as those of lessons: atomic, unknown members kept, newer versions read-only

/// True if a text looks like an answer rather than a lesson, told by its format member
bool
qf_answer_is_answer(const char* json, size_t length);

QfStatus
qf_answer_to_json(const QfAnswer* answer, char** json, QfError* error);

QfStatus
qf_answer_from_json(const char* json, size_t length, QfAnswer** result, QfError* error);

QfStatus
qf_answer_load(const char* path, QfAnswer** result, QfError* error);

QfStatus
qf_answer_save(QfAnswer* answer, const char* path, QfError* error);

/// Write the recovery journal (same format, atomic; does not count as saved)
QfStatus
qf_answer_write_journal(const QfAnswer* answer, const char* path, QfError* error);

#endif // QUINTFALL_ANSWER_H
