// SPDX-License-Identifier: MIT
#include "quintfall/plan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  N_NUMBERED = 24,
  N_NAMED    = 3,
};

static const char* const upper_names[N_NAMED] = {"soprano", "alto", "tenor"};

static const char lowest_name[] = "bass";

QfStatus
qf_voice_parse(const char* const text, uint8_t* const voice, QfError* const error)
{
  static const char numbered[] = "voice ";

  if (!strcmp(text, lowest_name)) {
    *voice = QF_VOICE_LOWEST;
    return QF_OK;
  }
  for (uint8_t i = 0; i < N_NAMED; ++i) {
    if (!strcmp(text, upper_names[i])) {
      *voice = i;
      return QF_OK;
    }
  }
  if (!strncmp(text, numbered, sizeof(numbered) - 1U)) {
    const char* const digits = text + sizeof(numbered) - 1U;
    char*             end    = NULL;
    const long        number = strtol(digits, &end, 10);
    if (end != digits && !*end && number >= 1 && number <= N_NUMBERED) {
      *voice = (uint8_t)(number - 1);
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "\"%.40s\" is no voice; expected soprano, alto, tenor, bass, or \"voice 1\" "
                      "to \"voice %d\"",
                      text, N_NUMBERED);
}

void
qf_voice_write(const uint8_t voice, char* const buffer, const size_t size)
{
  if (voice == QF_VOICE_LOWEST) {
    snprintf(buffer, size, "%s", lowest_name);
  } else if (voice < N_NAMED) {
    snprintf(buffer, size, "%s", upper_names[voice]);
  } else {
    snprintf(buffer, size, "voice %d", voice + 1);
  }
}

void
qf_voices_write(const uint32_t voices, char* const buffer, const size_t size)
{
  size_t length = 0;
  snprintf(buffer, size, "no voice");
  for (uint8_t voice = 0; voice <= QF_VOICE_LOWEST && length < size; ++voice) {
    if (voices & QF_VOICE_BIT(voice)) {
      const bool is_last = !(voices & ~(QF_VOICE_BIT(voice) | (QF_VOICE_BIT(voice) - 1U)));
      char       name[16];
      qf_voice_write(voice, name, sizeof(name));
      const int n = snprintf(buffer + length, size - length, "%s%s",
                             !length   ? ""
                             : is_last ? " and "
                                       : ", ",
                             name);
      length += n > 0 ? (size_t)n : 0U;
    }
  }
}

uint32_t
qf_voices_resolve(const uint32_t voices, const size_t n_voices)
{
  const uint32_t present = n_voices < 32U ? QF_VOICE_BIT(n_voices) - 1U : UINT32_MAX;
  const uint32_t lowest =
    voices & QF_VOICE_BIT(QF_VOICE_LOWEST) && n_voices ? QF_VOICE_BIT(n_voices - 1U) : 0U;
  return ((voices & ~QF_VOICE_BIT(QF_VOICE_LOWEST)) & present) | lowest;
}
