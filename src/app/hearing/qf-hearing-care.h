// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_CARE_H
#define QF_HEARING_CARE_H

/// Advice on listening, short enough for a notice
const char*
qf_hearing_care_short(void);

/// The same with the published figures and where they come from
const char*
qf_hearing_care_long(void);

#endif // QF_HEARING_CARE_H
