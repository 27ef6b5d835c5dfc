// SPDX-License-Identifier: MIT
#include "qf-sung-note.h"

enum {
  ANY_KEY = 69, ///< To compare with where nothing is expected
};

QfSungNote
qf_sung_note_of(const double hz, const QfSungOptions options)
{
  const QfPitchFrame frame = {.hz = hz, .confidence = 1.0};
  const int          key   = qf_sung_judge(frame, ANY_KEY, options).sung_key;
  const QfSung       sung  = qf_sung_judge(frame, key, options);
  return (QfSungNote){key, sung.cents, sung.kind == QF_SUNG_IN_TUNE};
}

bool
qf_sung_note_take(QfSungLine* const   line,
                  const QfPitchFrame  frame,
                  const QfSungOptions options,
                  QfSungNote* const   note)
{
  QfSung sung = {0};
  if (!qf_sung_line_take(line, frame, ANY_KEY, options, &sung)) {
    return false;
  }
  *note = qf_sung_note_of(line->settled_hz, options);
  return true;
}
