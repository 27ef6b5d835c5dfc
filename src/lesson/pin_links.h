// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_PIN_LINKS_H
#define QUINTFALL_LESSON_PIN_LINKS_H

#include "lesson_impl.h"

/// Pin the links that the labels would read otherwise
QfStatus
pin_links(QfLesson* lesson, State* state, const QfLink* links, size_t n_links);

#endif // QUINTFALL_LESSON_PIN_LINKS_H
