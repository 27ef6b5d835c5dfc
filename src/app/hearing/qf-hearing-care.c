// SPDX-License-Identifier: MIT
#include "qf-hearing-care.h"

// Source of the figures: WHO and ITU, Recommendation ITU-T H.870 (2018), modes 1 and 2; NIOSH,
// Criteria for a Recommended Standard, Occupational Noise Exposure (1998). Both as tabled in
// tests/data/references/hearing_dose.tsv.

const char*
qf_hearing_care_short(void)
{
  return "Quintfall starts quietly and cannot know how loud your headphones are. Start low, take "
         "breaks, and follow your institution’s guidance on listening. Published limits: Ctrl and "
         "comma.";
}

const char*
qf_hearing_care_long(void)
{
  return "Quintfall starts quietly, limits its peaks and rises gently, but it cannot know how "
         "loud your headphones are. Start low and raise the level only as far as you need; long "
         "practice on headphones adds up, so take breaks in quiet.\n\n"
         "Published limits for listening with personal devices: 80 dB(A) for 40 hours a week for "
         "adults, 75 dB(A) for 40 hours a week for children and other sensitive listeners. Every "
         "3 dB more halves the time: 83 dB(A) is reached in 20 hours, 86 dB(A) in 10. Source: "
         "World Health Organization and International Telecommunication Union, Recommendation "
         "ITU-T H.870.\n\n"
         "At work: 85 dB(A) over 8 hours a day, and half the time for every 3 dB more. Source: "
         "US National Institute for Occupational Safety and Health, recommended exposure limit."
         "\n\n"
         "If your ears ring or sounds seem dull afterwards, it was too much. Please follow your "
         "institution’s guidance on listening and hearing protection; it goes before what is "
         "said here.";
}
