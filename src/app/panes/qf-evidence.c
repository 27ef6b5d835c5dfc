// SPDX-License-Identifier: MIT
#include "qf-evidence.h"

#include "common/qf-names.h"
#include "page/qf-caret.h"

static char*
place_of(const QfScore* const score, const QfLabels* const labels, const size_t link)
{
  char place[64];
  qf_place_speak(score, qf_labels_get_link(labels, link)->start, place, sizeof(place));
  return g_strdup(place);
}

/// "Bar 1 beat 3 to bar 7 beat 1"
static char*
write_range(const QfScore* const  score,
            const QfLabels* const labels,
            const size_t          first,
            const size_t          last)
{
  g_autofree char* from = place_of(score, labels, first);
  g_autofree char* to   = place_of(score, labels, last);

  to[0] = g_ascii_tolower(to[0]);
  return first == last ? g_strdup(from) : g_strdup_printf("%s to %s", from, to);
}

static void
add_fact(QfEvidence* const evidence, const char* const text)
{
  if (text[0]) {
    g_ptr_array_add(evidence->facts, g_strdup(text));
  }
}

static void
explain_key(QfEvidence* const     evidence,
            const QfScore* const  score,
            const QfLabels* const labels,
            const size_t          index,
            const QfNamingKind    naming)
{
  const QfKeySpan* const span  = qf_labels_get_key_span(labels, index);
  g_autofree char*       range = write_range(score, labels, span->first, span->last);
  char                   key[QF_KEY_NAME_SIZE];

  qf_key_spell_out(span->key, naming, key, sizeof(key));
  evidence->heading = g_strdup_printf("Key of %s", key);
  evidence->summary = g_strdup_printf("%s, %g beats: %s.", range, span->beats,
                                      span->is_home           ? "the key of the whole"
                                      : span->is_tonicization ? "a tonicization"
                                                              : "a modulation");
  add_fact(evidence, span->reason);
  if (span->cadence != SIZE_MAX) {
    add_fact(evidence, qf_labels_get_cadence(labels, span->cadence)->reason);
  }
  if (!span->is_home) {
    add_fact(evidence, "How long a stretch must last to count as a modulation is a lesson "
                       "property.");
  }
}

static void
explain_cadence(QfEvidence* const     evidence,
                const QfScore* const  score,
                const QfLabels* const labels,
                const size_t          index,
                const QfNamingKind    naming)
{
  const QfCadence* const cadence = qf_labels_get_cadence(labels, index);
  char                   key[QF_KEY_NAME_SIZE];

  qf_key_spell_out(cadence->key, naming, key, sizeof(key));
  evidence->heading    = g_strdup_printf("%s in %s", qf_cadence_kind_name(cadence->kind), key);
  evidence->heading[0] = g_ascii_toupper(evidence->heading[0]);
  evidence->summary    = write_range(score, labels, cadence->from, cadence->arrival);
  add_fact(evidence, cadence->reason);
}

static void
explain_chain(QfEvidence* const     evidence,
              const QfScore* const  score,
              const QfLabels* const labels,
              const size_t          index)
{
  static const char* const facts[] = {
    [QF_CHAIN_APPLIED] = "Each is the dominant of the chord that follows.",
    [QF_CHAIN_FALLING] = "Each root falls by a fifth to the next.",
    [QF_CHAIN_RISING]  = "Each root rises by a fifth to the next.",
  };
  const QfChain* const chain = qf_labels_get_chain(labels, index);

  evidence->heading = g_strdup(chain->name);
  evidence->summary = write_range(score, labels, chain->first, MAX(chain->last, chain->goal));
  add_fact(evidence, facts[chain->kind]);
}

QfEvidence
qf_evidence_of(const QfScore* const  score,
               const QfLabels* const labels,
               const QfBracketKind   kind,
               const size_t          index,
               const QfNamingKind    naming)
{
  QfEvidence evidence = {NULL, NULL, g_ptr_array_new_with_free_func(g_free)};

  if (kind == QF_BRACKET_KEY) {
    explain_key(&evidence, score, labels, index, naming);
  } else if (kind == QF_BRACKET_CADENCE) {
    explain_cadence(&evidence, score, labels, index, naming);
  } else {
    explain_chain(&evidence, score, labels, index);
  }

  return evidence;
}

void
qf_evidence_clear(QfEvidence* const evidence)
{
  g_clear_pointer(&evidence->heading, g_free);
  g_clear_pointer(&evidence->summary, g_free);
  g_clear_pointer(&evidence->facts, g_ptr_array_unref);
}

size_t
qf_evidence_count(const QfLabels* const labels, const QfBracketKind kind)
{
  return kind == QF_BRACKET_KEY       ? qf_labels_n_key_spans(labels)
         : kind == QF_BRACKET_CADENCE ? qf_labels_n_cadences(labels)
                                      : qf_labels_n_chains(labels);
}

void
qf_evidence_get_range(const QfLabels* const labels,
                      const QfBracketKind   kind,
                      const size_t          index,
                      size_t* const         first,
                      size_t* const         last)
{
  if (kind == QF_BRACKET_KEY) {
    const QfKeySpan* const span = qf_labels_get_key_span(labels, index);
    *first                      = span->first;
    *last                       = span->last;
  } else if (kind == QF_BRACKET_CADENCE) {
    const QfCadence* const cadence = qf_labels_get_cadence(labels, index);
    *first                         = cadence->from;
    *last                          = cadence->arrival;
  } else {
    const QfChain* const chain = qf_labels_get_chain(labels, index);
    *first                     = chain->first;
    *last                      = MAX(chain->last, chain->goal);
  }
}
