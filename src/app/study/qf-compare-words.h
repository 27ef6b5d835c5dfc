// SPDX-License-Identifier: MIT
#ifndef QF_COMPARE_WORDS_H
#define QF_COMPARE_WORDS_H

#include "quintfall/compare.h"

/**
   Say what a voice has at a place of the passage, on both pages.

   "Bar 2, beat 1, Bass: the answer has G 2, the passage has G 3". At least 280 bytes.
*/
void
qf_compare_describe(const QfComparison* comparison,
                    size_t              voice,
                    QfTime              place,
                    QfNamingKind        naming,
                    char*               buffer,
                    size_t              size);

/// "Alto", or "Voice 2" where it has no name
void
qf_compare_name_voice(const QfScore* score, size_t voice, char* buffer, size_t size);

/// A note of the answer at a place of the passage, or NULL
const QfNote*
qf_compare_written_at(const QfComparison* comparison, size_t voice, QfTime place);

#endif // QF_COMPARE_WORDS_H
