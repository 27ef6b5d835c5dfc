// SPDX-License-Identifier: MIT
#include "frame.h"

enum {
  LEVEL_OVER = -1, ///< Where an overlong bar begins its metre anew: nothing hides that
  LEVEL_BAR  = 0,
  LEVEL_HALF = 1,  ///< Middle of a bar of four or more even beats
  LEVEL_BEAT = 2,  ///< Any other beat; what is below a beat counts on from here
  LEVEL_NONE = 99, ///< Nothing lies inside a tick
};

Frame
qf_frame_of_metre(const QfMetre metre)
{
  Frame frame = {.n_groups = metre.n_groups, .unit = FRAME_WHOLE / metre.denominator};
  for (int i = 0; i < metre.n_groups; ++i) {
    frame.groups[i] = metre.groups[i];
    frame.total += metre.groups[i] * frame.unit;
  }
  return frame;
}

Frame
qf_frame_of_tuplet(const int64_t total)
{
  const int64_t unit = total & -total;
  return (Frame){.n_groups = 1, .groups = {(int)(total / unit)}, .unit = unit, .total = total};
}

bool
qf_frame_ticks(const QfTime time, int64_t* const ticks)
{
  if (time.den > FRAME_WHOLE || FRAME_WHOLE % time.den != 0) {
    return false;
  }
  *ticks = time.num * (FRAME_WHOLE / time.den);
  return true;
}

/// Beat that holds a position within the bar, and where that beat begins
static int
beat_of(const Frame* const frame, const int64_t position, int64_t* const start)
{
  int beat = 0;
  *start   = 0;
  while (beat + 1 < frame->n_groups && *start + frame->groups[beat] * frame->unit <= position) {
    *start += frame->groups[beat++] * frame->unit;
  }
  return beat;
}

/// Strength of the beat boundary at a position
static int
beat_level(const Frame* const frame, const int64_t position)
{
  const bool is_half =
    frame->n_groups >= 4 && frame->n_groups % 2 == 0 && 2 * position == frame->total;
  return is_half ? LEVEL_HALF : LEVEL_BEAT;
}

/// Level of a beat's units: a beat of one unit is the unit
static int
unit_level(const Frame* const frame, const int beat)
{
  return frame->groups[beat] == 1 ? LEVEL_BEAT : LEVEL_BEAT + 1;
}

static int
level_at(const Frame* const frame, const int64_t time)
{
  const int64_t position = time % frame->total;
  if (position == 0) {
    return LEVEL_BAR;
  }

  int64_t       start = 0;
  const int     beat  = beat_of(frame, position, &start);
  const int64_t past  = position - start;
  if (past == 0) {
    return beat_level(frame, position);
  }

  int level = unit_level(frame, beat);
  for (int64_t size = frame->unit; past % size != 0; size /= 2) {
    ++level;
  }
  return level;
}

/// Level of the strongest place strictly within a value
static int
strongest_inside(const Frame* const frame, const int64_t time, const int64_t ticks)
{
  const int64_t position = time % frame->total;
  const int64_t end      = position + ticks;
  if (end > frame->total) {
    return LEVEL_OVER;
  }

  int64_t start = 0;
  int     beat  = beat_of(frame, position, &start);
  int     best  = LEVEL_NONE;

  const int64_t first_beat_end = start + frame->groups[beat] * frame->unit;
  for (int64_t at = first_beat_end; at < end; at += frame->groups[++beat] * frame->unit) {
    best = beat_level(frame, at) < best ? beat_level(frame, at) : best;
  }
  if (best != LEVEL_NONE) {
    return best;
  }

  int level = unit_level(frame, beat);
  for (int64_t size = frame->unit; size > 0; size /= 2, ++level) {
    const int64_t next = start + ((position - start) / size + 1) * size;
    if (next < end) {
      return level;
    }
  }
  return LEVEL_NONE;
}

static bool
has_long_beats(const Frame* const frame)
{
  for (int i = 0; i < frame->n_groups; ++i) {
    if (frame->groups[i] > 1) {
      return true;
    }
  }
  return false;
}

/**
   Whether a value may hide a stronger place, being all of a note.

   An undotted one may that lies evenly around it (eighth, quarter, eighth), a
   dotted one that ends on a place stronger still (quarter, dotted half).
   Rule: common practice.
*/
static bool
is_syncopation(const Frame* const frame, const int64_t from, const FrameValue value)
{
  const int hidden = strongest_inside(frame, from, value.ticks);
  if (level_at(frame, from) != hidden + 1) {
    return false;
  }
  return value.dots == 0 ? level_at(frame, from + value.ticks / 2) == hidden
                         : level_at(frame, from + value.ticks) < hidden;
}

static bool
may_be_note(const Frame* const frame,
            const int64_t      from,
            const int64_t      to,
            const FrameValue   value,
            const bool         is_plain)
{
  const int  level    = level_at(frame, from);
  const int  hidden   = strongest_inside(frame, from, value.ticks);
  const bool is_whole = is_plain && from + value.ticks == to;
  const bool is_long  = has_long_beats(frame);

  // Two dots read well only below the half note and against plain beats
  if (value.dots == 2) {
    return is_whole && !is_long && value.ticks < FRAME_WHOLE / 2 && level <= hidden;
  }

  // Beats that are themselves divided are shown: only whole beats are joined
  if (is_long && hidden <= LEVEL_BEAT) {
    return level <= hidden && level_at(frame, from + value.ticks) <= LEVEL_BEAT;
  }
  return level <= hidden || (is_whole && is_syncopation(frame, from, value));
}

/// The first two thirds of a divided beat may be one rest, the last two may not
static bool
begins_divided_beat(const Frame* const frame, const int64_t from, const FrameValue value)
{
  int64_t       start    = 0;
  const int64_t position = from % frame->total;
  const int     beat     = beat_of(frame, position, &start);
  return frame->groups[beat] == 3 && position == start && value.dots == 0 &&
         value.ticks == 2 * frame->unit;
}

/// A rest never hides a place as strong as either of its ends
static bool
may_be_rest(const Frame* const frame, const int64_t from, const FrameValue value)
{
  const int hidden = strongest_inside(frame, from, value.ticks);
  return value.dots < 2 &&
         ((level_at(frame, from) < hidden && level_at(frame, from + value.ticks) < hidden) ||
          begins_divided_beat(frame, from, value));
}

/// Length of a value, or 0 if its last dot falls below a tick
static int64_t
ticks_of(const int value, const int dots)
{
  const int64_t plain = value < 0 ? FRAME_WHOLE << -value : FRAME_WHOLE >> value;
  if (plain % (1 << dots) != 0) {
    return 0;
  }
  return dots == 0 ? plain : dots == 1 ? plain * 3 / 2 : plain * 7 / 4;
}

FrameValue
qf_frame_note_value(const Frame* const frame,
                    const int64_t      from,
                    const int64_t      to,
                    const bool         is_plain)
{
  for (int value = MIN_NOTE_VALUE; value < MAX_NOTE_VALUE; ++value) {
    for (int dots = 2; dots >= 0; --dots) {
      const FrameValue v = {value, dots, ticks_of(value, dots)};
      if (v.ticks && v.ticks <= to - from && may_be_note(frame, from, to, v, is_plain)) {
        return v;
      }
    }
  }
  return (FrameValue){MAX_NOTE_VALUE, 0, 1};
}

FrameValue
qf_frame_rest_value(const Frame* const frame, const int64_t from, const int64_t to)
{
  for (int value = MIN_NOTE_VALUE; value < MAX_NOTE_VALUE; ++value) {
    for (int dots = 1; dots >= 0; --dots) {
      const FrameValue v = {value, dots, ticks_of(value, dots)};
      if (v.ticks && v.ticks <= to - from && may_be_rest(frame, from, v)) {
        return v;
      }
    }
  }
  return (FrameValue){MAX_NOTE_VALUE, 0, 1};
}
