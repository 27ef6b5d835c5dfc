// SPDX-License-Identifier: MIT
#include "findings_text.h"

#include "json_out.h"

#include "quintfall/text.h"

#include <stdio.h>

/// Measure and beat as the messages write them
typedef struct {
  char measure[24];
  char beat[24];
} Place;

static Place
place_of(const QfScore* const score, const QfTime time)
{
  char  text[40];
  Place place = {"", ""};
  qf_score_write_place(score, time, text, sizeof(text)); // "m7a b3.5"
  sscanf(text, "m%23s b%23s", place.measure, place.beat);
  return place;
}

static const char*
voice_name(const QfScore* const score, const size_t voice)
{
  const char* const name = qf_score_get_voice(score, voice)->name;
  return *name ? name : "a voice";
}

static void
add_mend(QfText* const out, const QfScore* const score, const QfMend* const mend)
{
  for (size_t i = 0; i < mend->n_changes; ++i) {
    char                pitch[16];
    size_t              voice = 0;
    const QfNote* const note  = qf_score_find_note(score, mend->changes[i].note, &voice);
    const Place         place = place_of(score, note->start);
    qf_pitch_write(mend->changes[i].pitch, pitch, sizeof(pitch));
    qf_text_addf(out, "%s%s of measure %s beat %s to %s",
                 i ? ", " : "    mend: ", voice_name(score, voice), place.measure, place.beat,
                 pitch);
  }
  qf_text_add(out, mend->n_changes ? "\n" : "    no small mend\n");
}

char*
findings_to_lines(const Report* const report)
{
  QfText out = {0};
  for (size_t i = 0; i < report->findings->n_findings; ++i) {
    const QfFinding* const  finding = &report->findings->findings[i];
    const QfRuleText* const rule    = qf_rule_get_text(finding->rule);
    const Place             place   = place_of(report->score, finding->to);
    qf_text_addf(&out, "%s:%s:%s: %s: %s [%s]\n", report->name, place.measure, place.beat,
                 qf_severity_name(finding->severity), finding->text, rule->id);
    if (report->has_reasons) {
      qf_text_addf(&out, "    why: %s %s (%s)\n", rule->statement, rule->reason, rule->source);
    }
    if (report->mends) {
      add_mend(&out, report->score, &report->mends[i]);
    }
  }
  qf_text_addf(&out, "%zu errors, %zu warnings, %zu remarks (%s)\n",
               qf_findings_count(report->findings, QF_SEVERITY_ERROR),
               qf_findings_count(report->findings, QF_SEVERITY_WARNING),
               qf_findings_count(report->findings, QF_SEVERITY_INFO),
               qf_profile_name(report->profile));
  return qf_text_take(&out);
}

static void
add_pitch(json_object* const object, const char* const name, const QfPitch pitch)
{
  char text[16];
  qf_pitch_write(pitch, text, sizeof(text));
  json_add_text(object, name, text);
}

/// A note by its voice and start, as one would look it up
static json_object*
note_to_json(const QfScore* const score, const uint32_t id)
{
  size_t              voice  = 0;
  const QfNote* const note   = qf_score_find_note(score, id, &voice);
  json_object* const  object = json_object_new_object();
  json_object_object_add(object, "voice", json_object_new_int64((int64_t)voice));
  json_add_time(object, "start", note->start);
  add_pitch(object, "pitch", note->pitch);
  return object;
}

static json_object*
mend_to_json(const QfScore* const score, const QfMend* const mend)
{
  json_object* const changes = json_object_new_array();
  for (size_t i = 0; i < mend->n_changes; ++i) {
    json_object* const change = note_to_json(score, mend->changes[i].note);
    add_pitch(change, "to", mend->changes[i].pitch);
    json_object_array_add(changes, change);
  }
  return changes;
}

static json_object*
finding_to_json(const Report* const report, const size_t index)
{
  const QfFinding* const  finding = &report->findings->findings[index];
  const QfRuleText* const rule    = qf_rule_get_text(finding->rule);
  const Place             place   = place_of(report->score, finding->to);
  json_object* const      object  = json_object_new_object();
  json_add_text(object, "rule", rule->id);
  json_add_text(object, "severity", qf_severity_name(finding->severity));
  json_add_text(object, "measure", place.measure);
  json_add_text(object, "beat", place.beat);
  json_add_time(object, "from", finding->from);
  json_add_time(object, "to", finding->to);

  json_object* const voices = json_object_new_array();
  for (size_t i = 0; i < finding->n_voices; ++i) {
    json_object_array_add(voices, json_object_new_int(finding->voices[i]));
  }
  json_object_object_add(object, "voices", voices);

  json_object* const notes = json_object_new_array();
  for (size_t i = 0; i < finding->n_notes; ++i) {
    json_object_array_add(notes, note_to_json(report->score, finding->notes[i]));
  }
  json_object_object_add(object, "notes", notes);

  json_add_text(object, "text", finding->text);
  json_add_text(object, "statement", rule->statement);
  json_add_text(object, "reason", rule->reason);
  json_add_text(object, "source", rule->source);
  if (report->mends) {
    json_object_object_add(object, "mend", mend_to_json(report->score, &report->mends[index]));
  }
  return object;
}

char*
findings_to_json(const Report* const report)
{
  static const char* const names[] = {"", "info", "warning", "error"};

  json_object* const object = json_object_new_object();
  json_object* const counts = json_object_new_object();
  json_object* const list   = json_object_new_array();
  json_add_text(object, "profile", qf_profile_name(report->profile));
  for (int severity = QF_SEVERITY_ERROR; severity > QF_SEVERITY_OFF; --severity) {
    const size_t n = qf_findings_count(report->findings, (QfSeverity)severity);
    json_object_object_add(counts, names[severity], json_object_new_int64((int64_t)n));
  }
  json_object_object_add(object, "counts", counts);
  for (size_t i = 0; i < report->findings->n_findings; ++i) {
    json_object_array_add(list, finding_to_json(report, i));
  }
  json_object_object_add(object, "findings", list);

  return json_take_text(object);
}
