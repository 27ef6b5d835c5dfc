// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_FINDINGS_TEXT_H
#define QUINTFALL_SRC_COMMAND_FINDINGS_TEXT_H

#include "quintfall/rules.h"

/// What is to be told
typedef struct {
  const QfScore*    score;
  const QfFindings* findings;
  const QfMend*     mends; ///< One a finding, or NULL if none was looked for
  QfProfile         profile;
  bool              has_reasons; ///< Say in text as well why each matters
  const char*       name; ///< The file's
} Report;

/// `file:measure:beat: severity: sentence [rule]`, a line each, and their numbers (transfer full)
char*
findings_to_lines(const Report* report);

/// JSON: `{"profile", "counts", "findings": [...]}` (transfer full, or NULL)
char*
findings_to_json(const Report* report);

#endif // QUINTFALL_SRC_COMMAND_FINDINGS_TEXT_H
