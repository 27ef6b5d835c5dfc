// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_REALISE_REQUEST_H
#define QUINTFALL_SRC_COMMAND_REALISE_REQUEST_H

#include "lines.h"
#include "options.h"

#include "quintfall/writing.h"

typedef struct {
  const char* chain;
  const char* output;
  const char* title;
  bool        has_key;
  QfKey       key;
  QfMetre     metre;
  Texts       kept;
  Texts       lines;
  Texts       doublings;
  Texts       ranges;
  bool        has_profile;
  QfProfile   profile;
  int         n_voices;
  bool        is_keyboard;
  bool        is_json;
  int         nth;
  int         n_best;
} RealiseOptions;

/// What the options say of the chain; voices are known by then
typedef struct {
  QfLinks      links;
  QfKept*      kept; ///< Owned
  size_t       n_kept;
  Line         lines[QF_WRITING_MAX_VOICES];
  bool         has_line[QF_WRITING_MAX_VOICES];
  QfDoubling   doublings[MAX_TEXTS];
  size_t       n_doublings;
  QfVoiceRange ranges[QF_WRITING_MAX_VOICES];
  size_t       n_ranges;
  bool*        on_downbeat; ///< Owned
} Request;

/// Read what the options say; complains itself, and is to be cleared in any case
QfExit
request_make(const RealiseOptions* options, Request* request);

void
request_clear(Request* request);

#endif // QUINTFALL_SRC_COMMAND_REALISE_REQUEST_H
