// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_KEEPER_H
#define QF_SOUND_KEEPER_H

#include "device.h"

#include <stdbool.h>

/// How devices are opened and closed: qf_device_open() and _close(), or a test's
typedef struct {
  QfStatus (*open)(const char*  driver,
                   int          sample_rate,
                   QfDeviceFunc func,
                   void*        data,
                   QfDevice**   device,
                   QfError*     error);
  void (*close)(QfDevice* device);
} QfDeviceKind;

/// Who uses the device
typedef struct {
  QfDeviceFunc func; ///< Fills
  bool (*is_lost)(const void* data);
  void (*opened)(void* data); ///< A device came to life, or is about to
  void* data;
} QfDeviceUser;

/**
   Keeps a device open: one that was lost is closed and another looked for, by a
   thread of its own, as both can take long.
*/
typedef struct QfKeeperImpl QfKeeper;

/**
   Open a device now, and from then on whenever there is none.

   @param driver Copied; NULL for the first that works.
   @param[out] keeper (transfer full) Set unless #QF_ERR_NO_MEM is returned.
   @return What opening the first device gave.
*/
QfStatus
qf_keeper_new(QfDeviceKind kind,
              const char*  driver,
              int          sample_rate,
              QfDeviceUser user,
              QfKeeper**   keeper,
              QfError*     error);

/// Close the device; NULL is fine
void
qf_keeper_free(QfKeeper* keeper);

/// Close the device and open one through another driver; copied, NULL for the first that works
void
qf_keeper_set_driver(QfKeeper* keeper, const char* driver);

/// What happened since last asked, if anything
bool
qf_keeper_take_notice(QfKeeper* keeper, QfError* notice);

#endif // QF_SOUND_KEEPER_H
