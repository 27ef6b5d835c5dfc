// SPDX-License-Identifier: MIT
#ifndef QF_EXPLORE_WORDS_H
#define QF_EXPLORE_WORDS_H

#include "quintfall/explore.h"

#include <glib.h>

G_BEGIN_DECLS

/// "↓5 falling fifth, kept" (transfer full)
char*
qf_explore_dup_motion(const QfContinuation* item);

/// "172 times, 15 %", or "Not in the corpus" (transfer full)
char*
qf_explore_dup_count(const QfContinuation* item);

/// All of a row in one sentence, for readers of the screen (transfer full)
char*
qf_explore_dup_spoken(const QfContinuation* item, QfMode mode);

/// What a voice does: "stays", "up a step", "down a third" (transfer full)
char*
qf_explore_dup_step(QfPitch from, QfPitch to);

/// "G♯4" as the user names notes (transfer full)
char*
qf_explore_dup_pitch(QfPitch pitch, QfNamingKind naming);

/// "Of 1112 moves from here in major keys, 153 lead into another key." (transfer full)
char*
qf_explore_dup_total(const QfContinuations* found, QfMode mode);

G_END_DECLS

#endif // QF_EXPLORE_WORDS_H
