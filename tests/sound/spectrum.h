// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_SPECTRUM_H
#define QUINTFALL_TESTS_SPECTRUM_H

#include <stddef.h>

/**
   Cents from a frequency to where the power around it lies in the spectrum.

   The spectrum is the mean of those of overlapping stretches under a Hann
   window (Welch 1967, "The use of fast Fourier transform for the estimation of
   power spectra"), as an instrument's tone changes while it sounds. Around the
   highest peak within a semitone the middle of the power is taken: a vibrato
   and an ensemble have no single peak, and of a single line it is the same.

   @param frames Interleaved left and right.
   @param[out] share Of the whole power, within 80 cents of the frequency; may be NULL.
*/
double
spectrum_cents(const float* frames, size_t n_frames, int sample_rate, double hz, double* share);

#endif // QUINTFALL_TESTS_SPECTRUM_H
