// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_DOCUMENT_ROMANTEXT_LESSON_H
#define QUINTFALL_SRC_DOCUMENT_ROMANTEXT_LESSON_H

#include "quintfall/formats.h"
#include "quintfall/lesson.h"

/**
   Make a lesson of an analysis: its chords realised in four parts, its numerals pinned.

   Of a pivot's two readings the later one is kept. A chord lasts until the next.
   @return #QF_ERR_BAD_FILE for an analysis without chords or out of order.
*/
QfStatus
lesson_from_romantext(const QfRomanText* roman, QfLesson** result, QfError* error);

#endif // QUINTFALL_SRC_DOCUMENT_ROMANTEXT_LESSON_H
