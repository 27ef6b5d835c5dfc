// SPDX-License-Identifier: MIT
#ifndef QF_JOURNAL_H
#define QF_JOURNAL_H

#include <glib.h>

G_BEGIN_DECLS

/**
   A fresh path for the journal of one document in the user's data folder,
   which is made (transfer full).

   The name holds the process, so that a journal whose process is gone is known
   to be left over.
*/
char*
qf_journal_path(void);

/// A journal that a process left behind when it ended too early, or NULL (transfer full)
char*
qf_journal_find_left_over(void);

void
qf_journal_remove(const char* path);

G_END_DECLS

#endif // QF_JOURNAL_H
