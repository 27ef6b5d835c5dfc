// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_DEVICE_H
#define QF_SOUND_DEVICE_H

#include "quintfall/status.h"

enum {
  QF_DEVICE_PERIOD    = 256, ///< Frames asked for at a time; little, so that a key is heard at once
  QF_DEVICE_N_PERIODS = 4,   ///< Periods the device may hold
};

/// An open sound device that asks for samples from a thread of its own
typedef struct QfDeviceImpl QfDevice;

/// Asked for the next frames; must neither wait nor allocate
typedef void (*QfDeviceFunc)(float* left, float* right, size_t n_frames, void* data);

/**
   Open a device and start asking for samples.

   @param driver Name of a FluidSynth audio driver; should it fail, or be NULL, the first that
   works.
   @param[out] device (transfer full)
   @return #QF_ERR_MISSING if there is none or it doesn't answer within seconds.
*/
QfStatus
qf_device_open(const char*  driver,
               int          sample_rate,
               QfDeviceFunc func,
               void*        data,
               QfDevice**   device,
               QfError*     error);

/// Stop asking and close; NULL is fine
void
qf_device_close(QfDevice* device);

#endif // QF_SOUND_DEVICE_H
