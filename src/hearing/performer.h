// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_PERFORMER_H
#define QF_HEARING_PERFORMER_H

#include "event_list.h"

#include "quintfall/slice.h"
#include "quintfall/text.h"

/// A plan on its way to becoming events
typedef struct {
  const QfScore*         score;
  const QfPlan*          plan;
  const QfPerformOptions options;
  size_t                 n_voices;
  QfSlices               slices; ///< Owned
  QfEventList            list;   ///< Owned
  QfPerformance          result; ///< Owned; its events come last
  size_t                 chord_capacity;
  QfText                 remarks;
  QfTime                 at_s;    ///< Reached so far
  QfTime                 heard_s; ///< Where what sounded last ends
  QfError*               error;
} QfPerformer;

/// Say what is wrong with a step; gives the status
QfStatus
qf_performer_fail(const QfPerformer* self, size_t step, QfStatus status, const char* reason);

/// Note that a step is left out, and why
void
qf_performer_remark(QfPerformer* self, const char* what, size_t step, const char* why);

/// Seconds reached so far
double
qf_performer_now(const QfPerformer* self);

/// Let time pass; what is heard rings until then
void
qf_performer_go_on(QfPerformer* self, QfTime seconds, bool is_heard);

/// The voice of a sung gap as an index in the score; #QF_NO_VOICE if it has none
uint8_t
qf_performer_sung_voice(const QfPerformer* self, const QfSungGapStep* gap);

// ---- the kinds of steps

QfStatus
qf_perform_prelude(QfPerformer* self, size_t step);

QfStatus
qf_perform_count_in(QfPerformer* self, size_t step);

QfStatus
qf_perform_pass(QfPerformer* self, size_t step, size_t hearing);

QfStatus
qf_perform_silence(QfPerformer* self, size_t step);

QfStatus
qf_perform_sung_gap(QfPerformer* self, size_t step);

QfStatus
qf_perform_title(QfPerformer* self, size_t step);

#endif // QF_HEARING_PERFORMER_H
