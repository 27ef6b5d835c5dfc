// SPDX-License-Identifier: MIT
#ifndef QF_EVIDENCE_H
#define QF_EVIDENCE_H

#include "chain/qf-bracket.h"

#include "quintfall/label.h"

G_BEGIN_DECLS

/// What speaks for a chain, a cadence or a stretch in one key
typedef struct {
  char*      heading; ///< Owned, as all below
  char*      summary;
  GPtrArray* facts; ///< Sentences
} QfEvidence;

/// (transfer full) `index` must be one of the labels'
QfEvidence
qf_evidence_of(const QfScore*  score,
               const QfLabels* labels,
               QfBracketKind   kind,
               size_t          index,
               QfNamingKind    naming);

void
qf_evidence_clear(QfEvidence* evidence);

/// Number of brackets of a kind in labels
size_t
qf_evidence_count(const QfLabels* labels, QfBracketKind kind);

/// First and last link that a bracket holds
void
qf_evidence_get_range(const QfLabels* labels,
                      QfBracketKind   kind,
                      size_t          index,
                      size_t*         first,
                      size_t*         last);

G_END_DECLS

#endif // QF_EVIDENCE_H
