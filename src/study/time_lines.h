// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STUDY_TIME_LINES_H
#define QUINTFALL_STUDY_TIME_LINES_H

#include "quintfall/grade.h"

/// A moment of the answer and the moment of the passage that it was meant for
typedef struct {
  QfTime written;
  QfTime asked;
} Moment;

/// What the grader's alignment says of one voice, or of the qualities or numerals
typedef struct {
  Moment* moments; ///< In order on both sides; owned
  size_t  n_moments;
} TimeLine;

enum {
  LINE_OF_QUALITIES = QF_MAX_VOICES,
  LINE_OF_NUMERALS,
  N_LINES,
};

typedef struct {
  TimeLine lines[N_LINES]; ///< By voice of the passage
} TimeLines;

QfStatus
time_lines_of(const QfVerdict* verdicts, size_t n_verdicts, TimeLines* result);

void
time_lines_clear(TimeLines* lines);

/// The line that a verdict belongs to
const TimeLine*
time_line_of(const TimeLines* lines, const QfVerdict* verdict);

/// True for a verdict on something that is there on both pages
bool
is_paired(const QfVerdict* verdict);

/**
   The time of the passage for one of the answer, or the other way round.

   Between two moments time runs evenly; before the first and after the last it
   keeps its distance from that, so that it may reach out of the passage.
*/
QfTime
time_line_asked(const TimeLine* line, QfTime written);

QfTime
time_line_written(const TimeLine* line, QfTime asked);

#endif // QUINTFALL_STUDY_TIME_LINES_H
