// SPDX-License-Identifier: MIT
#ifndef QF_LESSON_ITEM_H
#define QF_LESSON_ITEM_H

#include "quintfall/lesson.h"

#include <gio/gio.h>

G_BEGIN_DECLS

/**
   The open lesson, where it is kept, and its recovery journal.

   Signals: "replaced" when another lesson was opened, "changed" after every
   edit, undo and redo, "saved" when it was written, "failed" with a sentence
   when an edit was refused.
*/
#define QF_TYPE_LESSON_ITEM (qf_lesson_item_get_type())
G_DECLARE_FINAL_TYPE(QfLessonItem, qf_lesson_item, QF, LESSON_ITEM, GObject)

QfLessonItem*
qf_lesson_item_new(void);

/**
   Open another lesson.

   @param lesson Taken.
   @param path Where it is kept, or NULL if it is not yet.
   @param is_recovered True for a journal: it counts as modified until it is saved.
*/
void
qf_lesson_item_take(QfLessonItem* self, QfLesson* lesson, const char* path, gboolean is_recovered);

/**
   Open a lesson that was read from a file of another format.

   @param lesson Taken.
   @param source The file, which lends its name to a lesson without a title.
*/
void
qf_lesson_item_import(QfLessonItem* self, QfLesson* lesson, const char* source);

/// Never NULL
QfLesson*
qf_lesson_item_get_lesson(const QfLessonItem* self);

const QfScore*
qf_lesson_item_get_score(const QfLessonItem* self);

/// Of the present state; NULL if memory ran out
const QfLabels*
qf_lesson_item_get_labels(const QfLessonItem* self);

/// Choose how the sentences about chords name notes, in this lesson and the next
void
qf_lesson_item_set_naming(QfLessonItem* self, QfNamingKind naming);

/// NULL for a lesson that was never saved
const char*
qf_lesson_item_get_path(const QfLessonItem* self);

/// Title, or the name of its file or source, or "Untitled lesson" (transfer full)
char*
qf_lesson_item_dup_title(const QfLessonItem* self);

gboolean
qf_lesson_item_is_modified(const QfLessonItem* self);

/// Tell what became of an edit; gives true if it was done
gboolean
qf_lesson_item_finish(QfLessonItem* self, QfStatus status, const QfError* error);

QfStatus
qf_lesson_item_save(QfLessonItem* self, const char* path, QfError* error);

/// Remove the journal: what is unsaved was given up on purpose
void
qf_lesson_item_drop_journal(QfLessonItem* self);

G_END_DECLS

#endif // QF_LESSON_ITEM_H
