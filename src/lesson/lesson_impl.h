// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_IMPL_H
#define QUINTFALL_LESSON_IMPL_H

#include "lesson_state.h"

/// A state one can return to, and the edit that lies between
typedef struct {
  State*      state;
  const char* name;
} Step;

typedef struct {
  Step*  steps; ///< Owned; oldest first
  size_t n_steps;
  size_t capacity;
} Steps;

struct QfLessonImpl {
  State*       state;
  Steps        undo;
  Steps        redo;
  size_t       undo_size;  ///< Bytes held by the undo steps, about
  QfLabels*    labels;     ///< Of the state they were last asked for in, or NULL
  bool         has_labels; ///< They are those of `state`
  QfNamingKind naming;     ///< Of the labels' sentences
  uint64_t     revision;
  uint64_t     next_serial; ///< For the next state
  uint64_t     saved_serial;
  int          version; ///< Of the format it was read from
};

/// A lesson around its first state (takes it, also on failure); NULL if out of memory
QfLesson*
lesson_new_from_state(State* state);

/**
   The labels of a state, mostly one that is being edited.

   The lesson's labels are brought up to date with it, which costs little; they
   are brought back when they are next asked for.

   @return (transfer none, until the next change) NULL if out of memory.
*/
const QfLabels*
lesson_label_state(QfLesson* lesson, const State* state);

/**
   Begin an edit: give a copy of the state to change.

   @return #QF_OK, #QF_ERR_READ_ONLY or #QF_ERR_NO_MEM; then there is nothing to end.
*/
QfStatus
lesson_begin_edit(const QfLesson* lesson, State** copy, QfError* error);

/**
   End an edit: take the changed copy as the new state, or drop it.

   @param status What came of the change; anything but #QF_OK drops the copy.
   @param name Of the edit, static.
   @return `status`, or #QF_ERR_NO_MEM.
*/
QfStatus
lesson_end_edit(QfLesson* lesson, State* copy, const char* name, QfStatus status, QfError* error);

#endif // QUINTFALL_LESSON_IMPL_H
