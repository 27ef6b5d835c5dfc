// SPDX-License-Identifier: MIT
#include "interrupt.h"

#include <signal.h>
#include <stddef.h>

static volatile sig_atomic_t has_come = 0; // A signal has no other way to tell

static void
interrupt_cb(const int number)
{
  (void)number;
  has_come = 1;
}

void
catch_interrupts(void)
{
  struct sigaction action = {.sa_handler = interrupt_cb, .sa_flags = (int)SA_RESETHAND};
  sigaction(SIGINT, &action, NULL);
  sigaction(SIGTERM, &action, NULL);
}

bool
is_interrupted(void)
{
  return has_come;
}
