// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STUDY_ANSWER_IMPL_H
#define QUINTFALL_STUDY_ANSWER_IMPL_H

#include "quintfall/answer.h"

#include <json-c/json.h>

#define ANSWER_FORMAT "quintfall-answer"

enum {
  ANSWER_VERSION    = 1,
  ANSWER_TITLE_SIZE = 1 << 16,
  MAX_CHORDS        = 10000,
  MAX_SCRATCHES     = 10000,
  MAX_TRY_NOTES     = 100000,
};

/// What is noted of one of the student's notes
typedef struct {
  uint32_t note;
  bool     is_doubtful;
  bool     is_degree_only;
} NoteMark;

struct QfTryImpl {
  char           at[QF_ANSWER_TIME_SIZE];
  const QfScore* frame; ///< The answer's
  QfScore*       score;
  NoteMark*      marks; ///< In order of identity
  size_t         n_marks;
  QfAnswerChord* chords;
  size_t         n_chords;
  QfScratch*     scratches;
  size_t         n_scratches;
};

/// A state of the last attempt one can return to, and the edit that lies between
typedef struct {
  QfTry*      try;
  const char* name;
} TryStep;

typedef struct {
  TryStep* steps; ///< Owned; oldest first
  size_t   n_steps;
} TrySteps;

struct QfAnswerImpl {
  char*        title;
  char         digest[QF_ANSWER_DIGEST_SIZE];
  char         student[QF_ANSWER_NAME_SIZE];
  char         student_id[QF_ANSWER_NAME_SIZE];
  QfStudy      study;
  QfKey        key;
  QfLesson*    frame;
  QfSlot*      slots[QF_MAX_VOICES];
  size_t       n_slots[QF_MAX_VOICES];
  QfTime*      spans;
  size_t       n_spans;
  char*        packed; ///< Or NULL
  QfTry*       tries[QF_MAX_ATTEMPTS];
  size_t       n_tries;
  QfHeard*     heard;
  size_t       n_heard;
  QfReply*     replies;
  size_t       n_replies;
  json_object* unknown; ///< As in a lesson
  TrySteps     undo;    ///< Of the last attempt
  TrySteps     redo;
  uint64_t     revision;
  uint64_t     saved_revision;
  int          version;
};

/// An answer with nothing in it; NULL if out of memory
QfAnswer*
answer_alloc(void);

/// An attempt with the given notes; NULL if out of memory
QfTry*
try_new(const QfScore* frame, const char* at);

/// NULL if out of memory
QfTry*
try_dup(const QfTry* try);

void
try_free(QfTry* try);

/// The mark of a note, or NULL
const NoteMark*
try_mark_of(const QfTry* try, uint32_t note);

/// Set the mark of a note; one that says nothing is taken away
QfStatus
try_set_mark(QfTry* try, NoteMark mark);

/// Put what is said of a chord in its place; one that says nothing is taken away
QfStatus
try_put_chord(QfTry* try, QfAnswerChord chord);

QfStatus
try_put_scratch(QfTry* try, QfScratch scratch);

/// Write a note that touches no given one; #QF_ERR_RANGE with what is wrong
QfStatus
try_put_note(QfTry* try, size_t voice, QfNote note, uint32_t* new_id, QfError* error);

/// Drop the marks of notes that are gone
void
try_prune(QfTry* try);

void
steps_clear(TrySteps* steps);

/// Append to an array that has `n` items (grown by one); NULL if out of memory
void*
grow(void* array, size_t n, size_t item_size);

/// True for "2026-03-09T18:30:00Z"
bool
is_time_of_day(const char* text);

/// Words of contours in files
extern const char* const contour_words[QF_CONTOUR_N_KINDS];

#endif // QUINTFALL_STUDY_ANSWER_IMPL_H
