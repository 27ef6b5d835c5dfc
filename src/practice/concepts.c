// SPDX-License-Identifier: MIT
#include "quintfall/practice.h"

#include "quintfall/chord.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/// How a concept is said
typedef struct {
  const char* concept;
  const char* words;
} Wording;

static const Wording concepts[] = {
  {"inversion/0", "root position"},
  {"inversion/1", "first inversion"},
  {"inversion/2", "second inversion"},
  {"inversion/3", "third inversion"},
  {"layer/bass", "the bass"},
  {"layer/soprano", "the soprano"},
  {"layer/inner", "the inner voices"},
  {"layer/quality", "chord qualities"},
  {"layer/numeral", "numerals"},
  {"layer/rhythm", "the rhythm"},
  {"resolution/leading-tone", "resolution of the leading tone"},
  {"resolution/seventh", "resolution of the seventh"},
  {"resolution/augmented-sixth", "resolution of the augmented sixth"},
  {"drill/quality", "drill: name the quality"},
  {"drill/function", "drill: name the function"},
  {"drill/target", "drill: find the applied target"},
  {"drill/circle", "drill: what broke the circle"},
  {"drill/resolution", "drill: sing the resolution"},
  {"drill/inversion", "drill: name the inversion"},
};

// What is said before the member of a group
static const Wording groups[] = {
  {"target/", "applied chords of "},
  {"function/", ""},
};

bool
qf_concept_is_valid(const char* const concept)
{
  const size_t length = strnlen(concept, QF_CONCEPT_SIZE);
  const size_t group  = strspn(concept, "abcdefghijklmnopqrstuvwxyz-");
  if (length == QF_CONCEPT_SIZE || !group || concept[group] != '/' || !concept[group + 1U]) {
    return false;
  }
  // What a table or a JSON text would have to escape is left out from the start.
  for (const char* c = concept; *c; ++c) {
    if (!isgraph((unsigned char)*c) || (unsigned char)*c > 0x7EU || strchr("\",\\", *c)) {
      return false;
    }
  }
  return true;
}

static bool
describe_quality(const char* const member, char* const buffer, const size_t size)
{
  for (int kind = 0; kind < QF_CHORD_N_KINDS; ++kind) {
    if (!strcmp(qf_chord_kind_id((QfChordKind)kind), member)) {
      snprintf(buffer, size, "%s", qf_chord_kind_name((QfChordKind)kind));
      return true;
    }
  }
  return false;
}

void
qf_concept_describe(const char* const concept, char* const buffer, const size_t size)
{
  static const char quality[] = "quality/";
  if (!strncmp(concept, quality, strlen(quality)) &&
      describe_quality(concept + strlen(quality), buffer, size)) {
    return;
  }
  for (size_t i = 0; i < sizeof(concepts) / sizeof(concepts[0]); ++i) {
    if (!strcmp(concept, concepts[i].concept)) {
      snprintf(buffer, size, "%s", concepts[i].words);
      return;
    }
  }
  for (size_t i = 0; i < sizeof(groups) / sizeof(groups[0]); ++i) {
    const size_t length = strlen(groups[i].concept);
    if (!strncmp(concept, groups[i].concept, length) && concept[length]) {
      snprintf(buffer, size, "%s%s", groups[i].words, concept + length);
      return;
    }
  }
  // A group this table does not know: the member, then the group
  const char* const slash = strchr(concept, '/');
  if (slash && slash[1]) {
    snprintf(buffer, size, "%s (%.*s)", slash + 1, (int)(slash - concept), concept);
  } else {
    snprintf(buffer, size, "%s", concept);
  }
}
