// SPDX-License-Identifier: MIT
#include "judge.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

QfStatus
links_of_labels(const QfLabels* const labels, QfLink** const result, size_t* const n_links)
{
  const size_t  n     = qf_labels_n_links(labels);
  QfLink* const links = (QfLink*)calloc(n + 1U, sizeof(QfLink));
  if (!links) {
    return QF_ERR_NO_MEM;
  }
  *n_links = 0;
  for (size_t i = 0; i < n; ++i) {
    const QfLabel* const label = qf_labels_get_link(labels, i);
    if (label->is_known) {
      links[(*n_links)++] =
        (QfLink){label->key, label->numeral, label->start, qf_time_sub(label->end, label->start)};
    }
  }
  *result = links;
  return QF_OK;
}

static void
add_voice_name(QfText* const text, const QfScore* const score, const size_t voice)
{
  const char* const name = qf_score_get_voice(score, voice)->name;
  if (*name) {
    qf_text_add(text, name);
  } else {
    qf_text_addf(text, "Voice %zu", voice + 1U);
  }
}

static void
add_subject(QfText* const text, const QfScore* const score, const QfFinding* const finding)
{
  for (size_t i = 0; i < finding->n_voices; ++i) {
    qf_text_add(text, i == 0 ? "" : i + 1U == finding->n_voices ? " and " : ", ");
    add_voice_name(text, score, finding->voices[i]);
  }
}

static void
add_pitches(QfText* const text, const Frame* const frame, const uint32_t parts)
{
  bool is_later = false;
  for (size_t v = 0; v < frame->sounds.n_voices; ++v) {
    if ((parts >> v) & 1U) {
      char pitch[16];
      qf_pitch_write(frame->pitches[v], pitch, sizeof(pitch));
      qf_text_addf(text, "%s%s", is_later ? " and " : "", pitch);
      is_later = true;
    }
  }
}

/// "Soprano and Tenor move in parallel octaves: A4 and A3, then B4 and B3."
static void
write_sentence(const Frames* const    frames,
               const Judgement* const judgement,
               const QfScore* const   score,
               QfFinding* const       finding)
{
  const Frame* const from = &frames->frames[judgement->from];
  const Frame* const to   = &frames->frames[judgement->to];
  QfText             text = {0};
  if (finding->n_voices) {
    add_subject(&text, score, finding);
  } else {
    char                numeral[QF_NUMERAL_TEXT_SIZE];
    const QfLink* const link = &frames->harmonies[to->link].link;
    qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
    qf_text_addf(&text, "The chord %s", numeral);
  }
  qf_text_addf(&text, " %s", grade_get(judgement->remark.grade)->clause);
  if (finding->n_voices) {
    qf_text_add(&text, ": ");
    if (judgement->from != judgement->to) {
      add_pitches(&text, from, judgement->remark.voices);
      qf_text_add(&text, ", then ");
    }
    add_pitches(&text, to, judgement->remark.voices);
  }
  qf_text_add(&text, ".");
  snprintf(finding->text, sizeof(finding->text), "%s", text.data ? text.data : "");
  qf_text_free(&text);
}

/// Add the notes of some parts, or of all if none is meant
static void
add_notes(QfFinding* const finding, const Frame* const frame, const uint32_t parts)
{
  for (size_t v = 0; v < frame->sounds.n_voices; ++v) {
    const uint32_t id       = frame->ids[v];
    bool           is_known = id == QF_NO_NOTE || (parts && !((parts >> v) & 1U));
    for (size_t k = 0; k < finding->n_notes; ++k) {
      is_known |= finding->notes[k] == id;
    }
    if (!is_known && finding->n_notes < QF_FINDING_MAX_NOTES) {
      finding->notes[finding->n_notes++] = id;
    }
  }
}

static QfFinding
finding_of(const Frames* const frames, const Judgement* const judgement, const QfScore* const score)
{
  const Frame* const from    = &frames->frames[judgement->from];
  const Frame* const to      = &frames->frames[judgement->to];
  QfFinding          finding = {.rule     = grade_get(judgement->remark.grade)->rule,
                                .severity = judgement->severity,
                                .from     = from->start,
                                .to       = to->start};
  for (size_t v = 0; v < frames->n_voices && finding.n_voices < QF_FINDING_MAX_VOICES; ++v) {
    if ((judgement->remark.voices >> v) & 1U) {
      finding.voices[finding.n_voices++] = frames->voices[v];
    }
  }
  if (finding.n_voices) {
    add_notes(&finding, from, judgement->remark.voices);
  }
  add_notes(&finding, to, judgement->remark.voices);
  write_sentence(frames, judgement, score, &finding);
  return finding;
}

/// By time, then by rule, then by voice
static int
compare_findings(const void* const a, const void* const b)
{
  const QfFinding* const first  = (const QfFinding*)a;
  const QfFinding* const second = (const QfFinding*)b;
  const int              to     = qf_time_compare(first->to, second->to);
  const int              from   = qf_time_compare(first->from, second->from);
  return to     ? to
         : from ? from
         : first->rule != second->rule
           ? (int)first->rule - (int)second->rule
           : memcmp(first->voices, second->voices, sizeof(first->voices));
}

QfStatus
qf_check_links(const QfScore* const score,
               const QfLink* const  links,
               const size_t         n_links,
               const QfProfile      profile,
               QfFindings* const    result,
               QfError* const       error)
{
  Frames         frames = {0};
  const QfStatus st     = frames_of(score, links, n_links, &frames);
  if (st) {
    return qf_error_set(error, st, "out of memory");
  }

  Judgements judgements = {0};
  judge_frames(&frames, profile, 0, frames.n_frames, &judgements);
  QfFinding* const findings = (QfFinding*)calloc(judgements.n_judgements + 1U, sizeof(QfFinding));
  const bool       is_done  = findings && !judgements.failed;
  if (is_done) {
    for (size_t i = 0; i < judgements.n_judgements; ++i) {
      findings[i] = finding_of(&frames, &judgements.judgements[i], score);
    }
    qsort(findings, judgements.n_judgements, sizeof(QfFinding), compare_findings);
    *result = (QfFindings){findings, judgements.n_judgements};
  } else {
    free(findings);
  }
  judgements_clear(&judgements);
  frames_clear(&frames);
  return is_done ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}

QfStatus
qf_check(const QfScore* const  score,
         const QfLabels* const labels,
         const QfProfile       profile,
         QfFindings* const     result,
         QfError* const        error)
{
  QfLink*        links   = NULL;
  size_t         n_links = 0;
  const QfStatus st      = links_of_labels(labels, &links, &n_links);
  if (st) {
    return qf_error_set(error, st, "out of memory");
  }
  const QfStatus checked = qf_check_links(score, links, n_links, profile, result, error);
  free(links);
  return checked;
}

void
qf_findings_clear(QfFindings* const findings)
{
  free(findings->findings);
  *findings = (QfFindings){0};
}

size_t
qf_findings_count(const QfFindings* const findings, const QfSeverity severity)
{
  size_t n = 0;
  for (size_t i = 0; i < findings->n_findings; ++i) {
    n += findings->findings[i].severity == severity;
  }
  return n;
}
