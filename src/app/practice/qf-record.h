// SPDX-License-Identifier: MIT
#ifndef QF_RECORD_H
#define QF_RECORD_H

#include "quintfall/practice.h"

#include <glib.h>

G_BEGIN_DECLS

/**
   Open the user's practice record.

   @param[out] remark What the user should know (transfer full, g_free()), or NULL.
   @return NULL with a sentence in `error`.
*/
QfPractice*
qf_record_open(char** remark, QfError* error);

/**
   Record attempts as of now; their time is set here.

   @return What went wrong, a sentence (transfer full), or NULL.
*/
char*
qf_record_attempts(QfAttempt* attempts, size_t n_attempts);

/// Seconds since 1970
int64_t
qf_record_now(void);

G_END_DECLS

#endif // QF_RECORD_H
