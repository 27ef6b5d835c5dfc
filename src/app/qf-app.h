// SPDX-License-Identifier: MIT
#ifndef QF_APP_H
#define QF_APP_H

#define QF_APP_ID "app.quintfall.Quintfall"
#define QF_RESOURCE "/app/quintfall/Quintfall/"
#define QF_UI QF_RESOURCE "ui/"

#endif // QF_APP_H
