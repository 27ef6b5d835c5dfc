// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

#include "channels.h"
#include "clock.h"
#include "event_list.h"
#include "lead_in.h"
#include "passage.h"
#include "stretch.h"

#include "quintfall/text.h"

#include <stdlib.h>
#include <string.h>

// Time for the last notes to die away.
static const QfTime release_s = {3, 2};

// A breath after a spoken title.
static const QfTime breath_s = {1, 2};

/// A plan on its way to becoming events
typedef struct {
  const QfScore*         score;
  const QfPlan*          plan;
  const QfPerformOptions options;
  size_t                 n_voices;
  QfSlices               slices; ///< Owned
  QfEventList            list;   ///< Owned
  QfPerformance          result; ///< Owned; its events come last
  size_t                 chord_capacity;
  QfText                 remarks;
  QfTime                 at_s;    ///< Reached so far
  QfTime                 heard_s; ///< Where what sounded last ends
  QfError*               error;
} Performer;

static QfStatus
fail_step(const Performer* const self,
          const size_t           step,
          const QfStatus         status,
          const char* const      reason)
{
  return qf_error_set(self->error, status, "step %zu of the hearing plan: %s", step + 1U, reason);
}

static double
now(const Performer* const self)
{
  return qf_time_to_double(self->at_s);
}

/// Let time pass; what is heard rings until then
static void
go_on(Performer* const self, const QfTime seconds, const bool is_heard)
{
  self->at_s = qf_time_add(self->at_s, seconds);
  if (is_heard) {
    self->heard_s = self->at_s;
  }
}

//
// Steps
//

/// Middle of what is heard in a stretch, as a MIDI key
static double
centre_of(const Performer* const self, const QfStretch* const stretch)
{
  int lowest  = 127;
  int highest = 0;
  for (size_t voice = 0; voice < self->n_voices; ++voice) {
    for (size_t i = 0; i < qf_score_n_notes(self->score, voice); ++i) {
      const QfNote* const note = qf_score_get_note(self->score, voice, i);
      const int           midi = qf_pitch_midi(note->pitch);
      const QfTime        end  = qf_time_add(note->start, note->duration);
      if (qf_time_compare(note->start, stretch->to) < 0 &&
          qf_time_compare(end, stretch->from) > 0) {
        lowest  = midi < lowest ? midi : lowest;
        highest = midi > highest ? midi : highest;
      }
    }
  }
  return lowest <= highest ? (lowest + highest) / 2.0 : 60.0;
}

static QfStatus
perform_prelude(Performer* const self, const size_t step)
{
  const QfPreludeStep* const prelude = &qf_plan_get_step(self->plan, step)->prelude;
  const QfStretch            stretch = qf_stretch_of(self->score, self->plan, step);
  const QfKey                key     = self->options.key;
  const int                  program =
    prelude->program == QF_PROGRAM_SAME ? self->options.program : prelude->program;
  const bool has_own_tempo = prelude->beats_per_minute > 0.0;

  QfPattern      pattern;
  QfError        fault = {0};
  const QfStatus st    = qf_pattern_parse(
       qf_prelude_pattern(prelude->kind, key.mode, prelude->pattern), &pattern, &fault);
  if (st) {
    return fail_step(self, step, st, fault.text);
  }

  const QfTime beat = has_own_tempo
                        ? qf_time_div(qf_time(60, 1), qf_exact(prelude->beats_per_minute))
                        : qf_prelude_beat(qf_stretch_beat(&stretch));

  // A beat of the prelude is a quarter of four-four, whatever the passage is in.
  QfPerformedStep* const record = &self->result.steps[self->result.n_steps];
  record->seconds_per_whole     = 4.0 * qf_time_to_double(beat);
  qf_metre(4, 4, &record->metre);

  qf_event_list_add_mark(&self->list, now(self), QF_NOT_IN_SCORE);
  go_on(self,
        qf_prelude_add(&self->list, &pattern, key, centre_of(self, &stretch), self->at_s, beat,
                       program),
        true);
  return QF_OK;
}

static QfStatus
perform_count_in(Performer* const self, const size_t step)
{
  const QfStretch stretch = qf_stretch_of(self->score, self->plan, step);
  qf_event_list_add_mark(&self->list, now(self), QF_NOT_IN_SCORE);
  go_on(self,
        qf_count_in_add(&self->list, qf_plan_get_step(self->plan, step)->count_in.bars,
                        stretch.metre, stretch.position, self->at_s, stretch.seconds_per_whole),
        true);
  return QF_OK;
}

static void
add_chord(Performer* const self, const QfChordMoment chord)
{
  QfPerformance* const result = &self->result;
  if (result->n_chords == self->chord_capacity) {
    const size_t         capacity = self->chord_capacity ? self->chord_capacity * 2U : 64U;
    QfChordMoment* const chords =
      (QfChordMoment*)realloc(result->chords, capacity * sizeof(QfChordMoment));
    if (!chords) {
      self->list.failed = true;
      return;
    }
    result->chords       = chords;
    self->chord_capacity = capacity;
  }
  result->chords[result->n_chords++] = chord;
}

/// Note the chords of one time through, to step to
static void
add_chords(Performer* const self, const QfStretch* const stretch, const size_t hearing)
{
  const QfLabels* const labels  = self->options.labels;
  const size_t          n_links = labels ? qf_labels_n_links(labels) : self->slices.n_slices;
  for (size_t i = 0; i < n_links; ++i) {
    const QfSlice* const slice = labels ? NULL : &self->slices.slices[i];
    const QfLabel* const label = labels ? qf_labels_get_link(labels, i) : NULL;
    const QfTime         start = label ? label->start : slice->start;
    const QfTime         end   = label ? label->end : slice->end;
    const QfTime         first = qf_time_max(start, stretch->from);
    if ((label || slice->n_notes) && qf_time_compare(first, qf_time_min(end, stretch->to)) < 0) {
      const double at_s =
        qf_moment(self->at_s, qf_time_sub(first, stretch->from), stretch->seconds_per_whole);
      add_chord(self, (QfChordMoment){at_s, first, hearing, i});
    }
  }
}

static QfStatus
perform_pass(Performer* const self, const size_t step, const size_t hearing)
{
  const QfPassStep* const pass    = &qf_plan_get_step(self->plan, step)->pass;
  const bool              chooses = pass->forward == QF_FORWARD_VOICE;
  const uint32_t          forward = chooses ? qf_voices_resolve(pass->voices, self->n_voices) : 0U;
  if (chooses && !forward) {
    return fail_step(self, step, QF_ERR_RANGE, "the voice to bring forward does not exist");
  }

  QfPart parts[QF_MAX_VOICES];
  qf_parts_of(pass, forward, self->options.program, self->n_voices, parts);
  qf_passage_add_setups(&self->list, parts, self->n_voices, now(self));

  const QfStretch stretch = qf_stretch_of(self->score, self->plan, step);
  const QfTime    length  = qf_stretch_length(&stretch);
  const QfTime    gap     = qf_stretch_seconds(&stretch, pass->gap);
  for (int i = 0; i < pass->repeats && !self->list.failed; ++i) {
    if (i > 0 && gap.num > 0) {
      qf_event_list_add_mark(&self->list, now(self), QF_NOT_IN_SCORE);
      go_on(self, gap, false);
    }
    add_chords(self, &stretch, hearing);
    qf_passage_add(&self->list, &(QfPassage){
                                  .score             = self->score,
                                  .slices            = &self->slices,
                                  .parts             = parts,
                                  .from              = stretch.from,
                                  .to                = stretch.to,
                                  .start_s           = self->at_s,
                                  .seconds_per_whole = stretch.seconds_per_whole,
                                  .is_in_blocks      = pass->forward == QF_FORWARD_QUALITY,
                                  .is_spread         = pass->is_spread,
                                });
    go_on(self, length, true);
  }
  return QF_OK;
}

static QfStatus
perform_silence(Performer* const self, const size_t step)
{
  const QfStretch stretch = qf_stretch_of(self->score, self->plan, step);
  qf_event_list_add_mark(&self->list, now(self), QF_NOT_IN_SCORE);
  go_on(self, qf_stretch_seconds(&stretch, qf_plan_get_step(self->plan, step)->silence.length),
        false);
  return QF_OK;
}

/// The voice of a sung gap as an index in the score; #QF_NO_VOICE if it has none
static uint8_t
sung_voice(const Performer* const self, const QfSungGapStep* const gap)
{
  const uint32_t bits = qf_voices_resolve(QF_VOICE_BIT(gap->voice), self->n_voices);
  return bits ? (uint8_t)__builtin_ctz(bits) : QF_NO_VOICE;
}

/// First note of a voice that begins in a stretch, or NULL
static const QfNote*
first_note(const Performer* const self, const uint8_t voice, const QfStretch* const stretch)
{
  for (size_t i = 0; i < qf_score_n_notes(self->score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(self->score, voice, i);
    if (qf_time_compare(note->start, stretch->from) >= 0 &&
        qf_time_compare(note->start, stretch->to) < 0) {
      return note;
    }
  }
  return NULL;
}

static QfStatus
perform_sung_gap(Performer* const self, const size_t step)
{
  const QfSungGapStep* const gap     = &qf_plan_get_step(self->plan, step)->sung_gap;
  const QfStretch            stretch = qf_stretch_of(self->score, self->plan, step);
  const uint8_t              voice   = sung_voice(self, gap);
  if (voice == QF_NO_VOICE) {
    return fail_step(self, step, QF_ERR_RANGE, "the voice to be sung does not exist");
  }

  const QfTime whole = qf_stretch_length(&stretch);
  const QfTime length =
    gap->length.amount > 0.0 ? qf_stretch_seconds(&stretch, gap->length) : whole;

  const QfNote* const note = first_note(self, voice, &stretch);
  qf_event_list_add_mark(&self->list, now(self), QF_NOT_IN_SCORE);
  if (note) {
    QfPart           parts[QF_MAX_VOICES];
    const QfPlanStep plain = qf_plan_step_default(QF_STEP_PASS);
    const QfTime     sound = qf_time_min(qf_stretch_beat(&stretch), length);
    qf_parts_of(&plain.pass, 0U, self->options.program, self->n_voices, parts);
    qf_passage_add_setups(&self->list, &parts[voice], 1U, now(self));
    qf_event_list_add_note(
      &self->list, (QfSoundedNote){.start_s    = now(self),
                                   .end_s      = qf_time_to_double(qf_time_add(self->at_s, sound)),
                                   .channel    = parts[voice].channel,
                                   .key        = (uint8_t)qf_pitch_midi(note->pitch),
                                   .velocity   = parts[voice].velocity,
                                   .voice      = voice,
                                   .score_time = QF_NOT_IN_SCORE});
    self->heard_s = qf_time_add(self->at_s, sound);
  }
  go_on(self, length, false);
  return QF_OK;
}

/// Path of a spoken title (transfer full), or NULL if out of memory
static char*
clip_path(const Performer* const self, const char* const audio)
{
  QfText path = {0};
  if (audio[0] != '/' && self->options.folder && self->options.folder[0]) {
    qf_text_addf(&path, "%s/", self->options.folder);
  }
  qf_text_add(&path, audio);
  return qf_text_take(&path);
}

/// Keep a path for the events (takes it); gives its index, or SIZE_MAX
static size_t
keep_clip(Performer* const self, char* const path)
{
  QfEvents* const events = &self->result.events;
  char** const    clips  = (char**)realloc(events->clips, (events->n_clips + 1U) * sizeof(char*));
  if (!clips) {
    free(path);
    self->list.failed = true;
    return SIZE_MAX;
  }
  events->clips          = clips;
  clips[events->n_clips] = path;
  return events->n_clips++;
}

static QfStatus
perform_title(Performer* const self, const size_t step)
{
  const QfTitleStep* const title = &qf_plan_get_step(self->plan, step)->title;
  if (!title->audio[0] || !self->options.clip_length) {
    return QF_OK;
  }

  char* const path = clip_path(self, title->audio);
  if (!path) {
    return QF_ERR_NO_MEM;
  }
  double  length_s = 0.0;
  QfError error    = {0};
  if (self->options.clip_length(path, &length_s, &error)) {
    qf_text_addf(&self->remarks, "%sthe spoken title of step %zu is left out: %s",
                 self->remarks.length ? "\n" : "", step + 1U,
                 error.text[0] ? error.text : "it cannot be played");
    free(path);
    return QF_OK;
  }

  const size_t clip = keep_clip(self, path);
  if (clip != SIZE_MAX) {
    qf_event_list_add_mark(&self->list, now(self), QF_NOT_IN_SCORE);
    qf_event_list_add_clip(&self->list, now(self), clip);
    go_on(self, qf_exact(length_s), true);
    go_on(self, breath_s, false);
  }
  return QF_OK;
}

static QfStatus
perform_kind(Performer* const self, const size_t step, const size_t hearing)
{
  switch (qf_plan_get_step(self->plan, step)->kind) {
    case QF_STEP_PRELUDE:
      return perform_prelude(self, step);
    case QF_STEP_COUNT_IN:
      return perform_count_in(self, step);
    case QF_STEP_PASS:
      return perform_pass(self, step, hearing);
    case QF_STEP_SILENCE:
      return perform_silence(self, step);
    case QF_STEP_SUNG_GAP:
      return perform_sung_gap(self, step);
    case QF_STEP_TITLE:
      return perform_title(self, step);
    case QF_STEP_N_KINDS:
      break;
  }
  return QF_OK;
}

static QfStatus
perform_step(Performer* const self, const size_t step, const size_t hearing)
{
  const QfPlanStep* const plan_step = qf_plan_get_step(self->plan, step);
  const QfStretch         stretch   = qf_stretch_of(self->score, self->plan, step);
  QfPerformedStep* const  record    = &self->result.steps[self->result.n_steps];

  *record = (QfPerformedStep){
    .step              = step,
    .hearing           = hearing,
    .kind              = plan_step->kind,
    .start_s           = now(self),
    .seconds_per_whole = qf_time_to_double(stretch.seconds_per_whole),
    .metre             = stretch.metre,
    .from              = stretch.from,
    .to                = stretch.to,
    .voice =
      plan_step->kind == QF_STEP_SUNG_GAP ? sung_voice(self, &plan_step->sung_gap) : QF_NO_VOICE,
  };
  self->list.step   = (uint8_t)step;
  const QfStatus st = perform_kind(self, step, hearing);
  record->end_s     = now(self);
  ++self->result.n_steps;
  return st;
}

//
// The whole
//

/// Take a step into the chapter of its hearing
static void
add_to_chapter(Performer* const self, QfChapter* const chapter, const QfPerformedStep* const record)
{
  const QfPlanStep* const step = qf_plan_get_step(self->plan, record->step);
  if (record->kind == QF_STEP_TITLE && step->title.text[0]) {
    memcpy(chapter->title, step->title.text, sizeof(step->title.text));
  }
  if (record->kind == QF_STEP_PASS) {
    chapter->pass_s = record->start_s;
    chapter->step   = record->step;
    if (!chapter->title[0]) {
      qf_plan_step_describe(step, chapter->title, sizeof(chapter->title));
    }
  }
}

static QfStatus
find_chapters(Performer* const self, const double length_s)
{
  QfPerformance* const result = &self->result;
  const size_t         n_max  = result->n_steps ? result->n_steps : 1U;
  result->chapters            = (QfChapter*)calloc(n_max, sizeof(QfChapter));
  if (!result->chapters) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < result->n_steps; ++i) {
    const QfPerformedStep* const record = &result->steps[i];
    if (!i || record->hearing != result->steps[i - 1U].hearing) {
      result->chapters[result->n_chapters++] = (QfChapter){.start_s = record->start_s};
    }
    QfChapter* const chapter = &result->chapters[result->n_chapters - 1U];
    add_to_chapter(self, chapter, record);
    chapter->end_s = i + 1U == result->n_steps ? length_s : record->end_s;
  }
  return QF_OK;
}

static QfStatus
perform_steps(Performer* const self)
{
  const QfPerformOptions* const options = &self->options;
  const size_t                  n_steps = qf_plan_n_steps(self->plan);
  const size_t                  n_known = qf_plan_n_hearings(self->plan);
  if (options->hearing != QF_ALL_HEARINGS && options->hearing >= (n_known ? n_known : 1U)) {
    return qf_error_set(self->error, QF_ERR_RANGE, "hearing %zu does not exist; the plan has %zu",
                        options->hearing + 1U, n_known);
  }

  self->result.steps = (QfPerformedStep*)calloc(n_steps + 1U, sizeof(QfPerformedStep));
  QfStatus st        = self->result.steps ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < n_steps; ++i) {
    const size_t hearing = qf_plan_hearing_of(self->plan, i);
    if (options->hearing == QF_ALL_HEARINGS || options->hearing == hearing) {
      st = perform_step(self, i, hearing);
    }
  }
  return st;
}

/// End the events: what sounds last dies away
static QfStatus
finish(Performer* const self)
{
  QfEvents* const events   = &self->result.events;
  char** const    clips    = events->clips;
  const size_t    n_clips  = events->n_clips;
  const QfTime    end      = qf_time_max(self->at_s, qf_time_add(self->heard_s, release_s));
  const double    length_s = qf_time_to_double(end);
  const QfStatus  st = qf_event_list_finish(&self->list, length_s, self->options.level_db, events);
  events->clips      = clips;
  events->n_clips    = n_clips;
  if (self->remarks.length) {
    self->result.remarks = qf_text_take(&self->remarks);
  }
  return st ? st : find_chapters(self, length_s);
}

QfStatus
qf_perform(const QfScore* const   score,
           const QfPlan* const    plan,
           const QfPerformOptions options,
           QfPerformance* const   result,
           QfError* const         error)
{
  Performer self = {.score    = score,
                    .plan     = plan,
                    .options  = options,
                    .n_voices = qf_score_n_voices(score),
                    .at_s     = QF_TIME_ZERO,
                    .heard_s  = QF_TIME_ZERO,
                    .error    = error};

  QfStatus st = qf_slices_of(score, &self.slices);
  st          = st ? st : perform_steps(&self);
  st          = st ? st : finish(&self);
  qf_slices_clear(&self.slices);
  qf_text_free(&self.remarks);
  if (st) {
    free(self.list.events);
    qf_performance_clear(&self.result);
    return error && !error->text[0] ? qf_error_set(error, st, "%s", qf_status_text(st)) : st;
  }
  *result = self.result;
  return QF_OK;
}

QfStatus
qf_events_of(const QfScore* const score,
             const QfKey          key,
             const QfHearing      hearing,
             const QfTime         from,
             const QfTime         to,
             QfEvents* const      result)
{
  const QfHearing used = qf_hearing_clamp(hearing);
  if (used.forward.kind == QF_FORWARD_VOICE && used.forward.voice >= qf_score_n_voices(score)) {
    return QF_ERR_RANGE;
  }

  QfPlan* const plan = qf_plan_of_hearing(used, from, to);
  if (!plan) {
    return QF_ERR_NO_MEM;
  }
  const QfPerformOptions options = {
    .key = key, .level_db = used.level_db, .program = used.program, .hearing = QF_ALL_HEARINGS};
  QfPerformance  performance = {0};
  const QfStatus st          = qf_perform(score, plan, options, &performance, NULL);
  qf_plan_free(plan);
  if (!st) {
    *result            = performance.events;
    performance.events = (QfEvents){0};
    qf_performance_clear(&performance);
  }
  return st;
}
