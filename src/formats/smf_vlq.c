// SPDX-License-Identifier: MIT
// Source: Standard MIDI Files 1.0, "Variable-length quantity".
#include "quintfall/formats.h"

enum {
  BITS_PER_BYTE = 7,
  MORE          = 0x80, ///< Set in every byte but the last
  MAX_BYTES     = 4,
};

size_t
qf_smf_write_vlq(const uint32_t value, uint8_t buffer[4])
{
  if (value >> (BITS_PER_BYTE * MAX_BYTES)) {
    return 0U;
  }

  size_t n_bytes = 1U;
  while (value >> (BITS_PER_BYTE * n_bytes)) {
    ++n_bytes;
  }
  for (size_t i = 0; i < n_bytes; ++i) {
    const uint32_t bits = (value >> (BITS_PER_BYTE * (n_bytes - 1U - i))) & (MORE - 1U);
    buffer[i]           = (uint8_t)(bits | (i + 1U < n_bytes ? MORE : 0U));
  }
  return n_bytes;
}

size_t
qf_smf_read_vlq(const uint8_t* const data, const size_t length, uint32_t* const value)
{
  uint32_t result = 0U;
  for (size_t i = 0; i < MAX_BYTES && i < length; ++i) {
    result = (result << BITS_PER_BYTE) | (data[i] & (MORE - 1U));
    if (!(data[i] & MORE)) {
      *value = result;
      return i + 1U;
    }
  }
  return 0U;
}
