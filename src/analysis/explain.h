// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_EXPLAIN_H
#define QUINTFALL_ANALYSIS_EXPLAIN_H

#include "labels_impl.h"

#include "quintfall/text.h"

enum { QF_NAME_ROOM = 40 }; ///< Bytes for the name of a note

/// A link being explained
typedef struct {
  const QfLabelling* labelling;
  const QfLabels*    labels;
  size_t             index;
  const QfLink*      link;
  const QfEntry*     entry;
  QfLabel*           label;
} QfCase;

/// Add a sentence to a label's reasons, while there is room; the text is used up
void
qf_case_add_reason(QfLabel* label, QfReasonKind kind, QfText* text);

/// Name of a note so many fifths above C
void
qf_case_fifths_name(const QfCase* c, int fifths, char* buffer);

void
qf_case_voice_name(const QfCase* c, size_t voice, char* buffer, size_t size);

/// Say how a note outside the chord comes and goes
void
qf_case_explain_foreign(const QfCase* c, const QfForeign* foreign);

/// Say where the leading tone should go, and whether it does
void
qf_case_explain_leading_tone(const QfCase* c);

/// The same for the seventh
void
qf_case_explain_seventh(const QfCase* c);

/// The same for an augmented sixth
void
qf_case_explain_augmented_sixth(const QfCase* c);

#endif // QUINTFALL_ANALYSIS_EXPLAIN_H
