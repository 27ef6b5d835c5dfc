// SPDX-License-Identifier: MIT
#include "lead.h"

#include "quintfall/writing.h"

#include <stdio.h>
#include <stdlib.h>

enum { MAX_CHAIN = 3 };

/// Two or three links of which some voicings stand
typedef struct {
  QfLink links[MAX_CHAIN];
  QfKept kept[MAX_CHAIN * QF_SATB];
  size_t n_links;
  size_t n_kept;
} Chain;

static void
add_link(Chain* const chain, const QfKey key, const QfNumeral* const numeral)
{
  // All in one bar, so that nothing is said of bar lines, which are not known here.
  static const QfTime length     = {1, 4};
  const QfTime        start      = {(int64_t)chain->n_links, 4};
  chain->links[chain->n_links++] = (QfLink){key, *numeral, start, length};
}

/// Keep all notes of the link added last
static void
keep(Chain* const chain, const QfVoicing* const voicing)
{
  for (size_t v = 0; v < QF_SATB; ++v) {
    chain->kept[chain->n_kept++] = (QfKept){chain->n_links - 1U, v, voicing->pitch[v]};
  }
}

static QfStatus
write_chain(const Chain* const chain,
            const QfProfile    profile,
            const size_t       wanted,
            QfVoicing* const   voicing,
            int* const         cost)
{
  const QfWriteOptions options = {
    .profile = profile, .kept = chain->kept, .n_kept = chain->n_kept, .n_best = 1};
  QfWritings     writings = {0};
  const QfStatus st       = qf_write(chain->links, chain->n_links, options, &writings, NULL, NULL);
  if (!st) {
    for (size_t v = 0; voicing && v < QF_SATB; ++v) {
      voicing->pitch[v] = writings.writings[0].pitches[wanted * QF_SATB + v];
    }
    *cost = writings.writings[0].cost;
    qf_writings_clear(&writings);
  }
  return st;
}

/// Keep the notes that stay in the link added last
static void
keep_some(Chain* const chain, const QfExploreFrom* const from)
{
  for (size_t i = 0; i < from->n_kept && i < QF_SATB; ++i) {
    chain->kept[chain->n_kept]        = from->kept[i];
    chain->kept[chain->n_kept++].link = chain->n_links - 1U;
  }
}

static bool
has_after(const QfExploreFrom* const from)
{
  return from->after && from->after_voicing;
}

/// The best voicing the profile allows, joined to what stays after it if that can be
static QfStatus
find_voicing(const QfExploreFrom* const from,
             const QfVoicing* const     voicing,
             const bool                 has_kept,
             QfContinuation* const      to)
{
  Chain chain = {0};
  int   cost  = 0;
  add_link(&chain, from->link.key, &from->link.numeral);
  keep(&chain, voicing);
  add_link(&chain, from->link.key, &to->numeral);
  if (has_kept) {
    keep_some(&chain, from);
  }

  Chain longer = chain;
  if (has_after(from)) {
    add_link(&longer, from->after->key, &from->after->numeral);
    keep(&longer, from->after_voicing);
  }

  QfStatus st = QF_ERR_IMPOSSIBLE;
  if (has_after(from)) {
    st = write_chain(&longer, from->profile, 1, &to->voicing, &cost);
  }
  if (st == QF_ERR_IMPOSSIBLE) {
    st = write_chain(&chain, from->profile, 1, &to->voicing, &cost);
  }
  if (st == QF_ERR_IMPOSSIBLE) {
    Chain alone = {0};
    add_link(&alone, from->link.key, &to->numeral);
    if (has_kept) {
      keep_some(&alone, from);
    }
    const QfRealiseOptions options = {.before = voicing,
                                      .after  = has_after(from) ? from->after_voicing : NULL,
                                      .kept   = alone.kept,
                                      .n_kept = alone.n_kept};
    st                             = qf_realise(alone.links, 1, options, &to->voicing, NULL);
  }
  return st;
}

/// What the step costs beyond the chord it leaves; -1 if the profile forbids it
static QfStatus
count_cost(const QfExploreFrom* const from,
           const QfVoicing* const     voicing,
           QfContinuation* const      to)
{
  Chain chain = {0};
  int   alone = 0;
  int   both  = 0;

  add_link(&chain, from->link.key, &from->link.numeral);
  keep(&chain, voicing);
  QfStatus st = write_chain(&chain, from->profile, 0, NULL, &alone);
  add_link(&chain, from->link.key, &to->numeral);
  keep(&chain, &to->voicing);
  st       = st ? st : write_chain(&chain, from->profile, 0, NULL, &both);
  to->cost = st ? -1 : both - alone;
  return st == QF_ERR_IMPOSSIBLE ? QF_OK : st;
}

static void
count_motion(const QfVoicing* const voicing, QfContinuation* const to)
{
  to->semitones = 0;
  for (size_t v = 0; v < QF_SATB; ++v) {
    to->semitones += abs(qf_pitch_midi(to->voicing.pitch[v]) - qf_pitch_midi(voicing->pitch[v]));
  }
}

/// Remarks on the new chord and on the step to it
static void
take_findings(const QfFindings* const findings, const QfTime start, QfContinuation* const to)
{
  QfSeverity gravest = QF_SEVERITY_OFF;

  for (size_t i = 0; i < findings->n_findings; ++i) {
    const QfFinding* const finding = &findings->findings[i];
    if (qf_time_compare(finding->to, start)) {
      continue;
    }
    to->n_errors += finding->severity == QF_SEVERITY_ERROR;
    to->n_warnings += finding->severity == QF_SEVERITY_WARNING;
    if (finding->severity > gravest) {
      gravest = finding->severity;
      snprintf(to->finding, sizeof(to->finding), "%s", finding->text);
    }
  }
}

static QfStatus
find_faults(const QfExploreFrom* const from,
            const QfVoicing* const     voicing,
            QfContinuation* const      to)
{
  Chain chain = {0};
  add_link(&chain, from->link.key, &from->link.numeral);
  add_link(&chain, from->link.key, &to->numeral);

  QfMetre metre = {0};
  qf_metre(4, 4, &metre);
  const QfVoicing voicings[] = {*voicing, to->voicing};
  QfScore* const  score      = qf_score_new_satb(from->link.key, metre, QF_TIME_ZERO, 1);
  QfFindings      findings   = {0};
  QfStatus        st         = score ? QF_OK : QF_ERR_NO_MEM;
  st = st ? st : qf_realise_into(score, chain.links, chain.n_links, voicings);
  st = st ? st : qf_check_links(score, chain.links, chain.n_links, from->profile, &findings, NULL);
  if (!st) {
    take_findings(&findings, chain.links[1].start, to);
  }
  qf_findings_clear(&findings);
  qf_score_free(score);
  return st;
}

QfStatus
lead_into(const QfExploreFrom* const from, const QfVoicing* const voicing, QfContinuation* const to)
{
  QfStatus st  = find_voicing(from, voicing, true, to);
  to->has_kept = !st;
  if (st == QF_ERR_IMPOSSIBLE && from->n_kept) {
    st = find_voicing(from, voicing, false, to);
  }
  st = st ? st : count_cost(from, voicing, to);
  st = st ? st : find_faults(from, voicing, to);
  if (!st) {
    count_motion(voicing, to);
  }
  return st;
}

QfStatus
lead_start(const QfExploreFrom* const from, QfVoicing* const voicing, QfError* const error)
{
  return qf_realise(&from->link, 1, (QfRealiseOptions){0}, voicing, error);
}
