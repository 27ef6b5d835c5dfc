// SPDX-License-Identifier: MIT
#ifndef QF_ANSWER_ITEM_H
#define QF_ANSWER_ITEM_H

#include "quintfall/answer.h"

#include <gio/gio.h>

G_BEGIN_DECLS

/**
   An answer being written, the lesson it was made of, and where it is kept.

   It is written to its file by itself soon after every change, so that nothing
   is lost. A task that was handed out is never written over: its answer gets a
   file of its own in the user's data folder.

   Signals: "changed" after every edit, undo and redo; "failed" with a sentence.
*/
#define QF_TYPE_ANSWER_ITEM (qf_answer_item_get_type())
G_DECLARE_FINAL_TYPE(QfAnswerItem, qf_answer_item, QF, ANSWER_ITEM, GObject)

/**
   @param answer Taken.
   @param path The file it was read from, or NULL.
   @return NULL with a message if its lesson cannot be unpacked; the answer is then freed.
*/
QfAnswerItem*
qf_answer_item_new(QfAnswer* answer, const char* path, QfError* error);

QfAnswer*
qf_answer_item_get_answer(const QfAnswerItem* self);

/// The lesson that is heard, asked about and graded by
QfLesson*
qf_answer_item_get_lesson(const QfAnswerItem* self);

/// The attempt being written, or NULL
const QfTry*
qf_answer_item_get_try(const QfAnswerItem* self);

/// Where it is kept
const char*
qf_answer_item_get_path(const QfAnswerItem* self);

/// Tell what became of a change; gives true if it was done
gboolean
qf_answer_item_finish(QfAnswerItem* self, QfStatus status, const QfError* error);

/// Write what is not written yet; gives false after "failed"
gboolean
qf_answer_item_flush(QfAnswerItem* self);

/// The present moment as answers write it (transfer full)
char*
qf_now_dup(void);

G_END_DECLS

#endif // QF_ANSWER_ITEM_H
