// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_ALSA_QUIET_H
#define QF_SOUND_ALSA_QUIET_H

/// Keep the ALSA library from writing to the terminal; callers get messages instead
void
qf_alsa_be_quiet(void);

#endif // QF_SOUND_ALSA_QUIET_H
