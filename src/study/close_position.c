// SPDX-License-Identifier: MIT
#include "quintfall/grade.h"

enum {
  BASS_OCTAVE = 3,
};

size_t
qf_chord_close_position(const QfChord chord, QfPitch result[QF_CHORD_MAX_NOTES])
{
  const int size = qf_chord_kind_size(chord.kind);
  int       step = 7 * BASS_OCTAVE;
  for (int i = 0; i < size; ++i) {
    QfNoteName name = {0, 0};
    if (qf_chord_member(chord, (chord.inversion + i) % size, &name)) {
      return 0;
    }
    // The next staff step upwards that has this letter
    step += (name.letter - step % 7 + 7) % 7;
    result[i] = qf_pitch_from_step(step, name.alter);
    ++step;
  }
  return (size_t)size;
}
