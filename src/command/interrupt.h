// SPDX-License-Identifier: MIT
#ifndef QF_COMMAND_INTERRUPT_H
#define QF_COMMAND_INTERRUPT_H

#include <stdbool.h>

/// From now on the first interrupt (SIGINT, SIGTERM) only asks long work to stop, so that it takes
/// away what is half done; a second one ends the program at once, should something hang
void
catch_interrupts(void);

bool
is_interrupted(void);

#endif // QF_COMMAND_INTERRUPT_H
