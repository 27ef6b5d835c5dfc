// SPDX-License-Identifier: MIT
#ifndef QF_ANSWER_FILE_H
#define QF_ANSWER_FILE_H

#include "quintfall/answer.h"

#include <gio/gio.h>

G_BEGIN_DECLS

/**
   The file an answer is kept in, written as promptly as the disk allows.

   A change is written in the next idle moment, by a thread, so that typing never
   waits for the disk. One write runs at a time; what changed meanwhile follows
   at once. Nothing older ever replaces something newer.

   Signals: "failed" with a sentence, whenever a write did.
*/
#define QF_TYPE_ANSWER_FILE (qf_answer_file_get_type())
G_DECLARE_FINAL_TYPE(QfAnswerFile, qf_answer_file, QF, ANSWER_FILE, GObject)

/// @param answer Must live until qf_answer_file_flush() has been called for the last time.
QfAnswerFile*
qf_answer_file_new(QfAnswer* answer, const char* path);

const char*
qf_answer_file_get_path(const QfAnswerFile* self);

/// Write soon what changed
void
qf_answer_file_touch(QfAnswerFile* self);

/// Write now what is not written yet; gives false after "failed"
gboolean
qf_answer_file_flush(QfAnswerFile* self);

/// Forget the answer, which is about to go; what is not written yet is lost
void
qf_answer_file_close(QfAnswerFile* self);

G_END_DECLS

#endif // QF_ANSWER_FILE_H
