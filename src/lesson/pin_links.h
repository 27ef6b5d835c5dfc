// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_PIN_LINKS_H
#define QUINTFALL_LESSON_PIN_LINKS_H

#include "lesson_state.h"

/// Pin the links that the labels would read otherwise
QfStatus
pin_links(State* state, const QfLink* links, size_t n_links);

#endif // QUINTFALL_LESSON_PIN_LINKS_H
