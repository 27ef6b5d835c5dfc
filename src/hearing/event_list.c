// SPDX-License-Identifier: MIT
#include "event_list.h"

#include <stdlib.h>
#include <string.h>

enum {
  N_CHANNELS = 16,
  N_KEYS     = 128,
};

// What ends comes before what begins, and a channel is set up before it sounds.
static const int kind_order[] = {
  [QF_EVENT_NOTE_OFF] = 0, [QF_EVENT_PROGRAM] = 1, [QF_EVENT_GAIN] = 2, [QF_EVENT_MARK] = 3,
  [QF_EVENT_CLIP] = 4,     [QF_EVENT_NOTE_ON] = 5, [QF_EVENT_END] = 6,
};

void
qf_event_list_add(QfEventList* const list, const QfEvent event)
{
  if (list->failed) {
    return;
  }

  if (list->n_events == list->capacity) {
    const size_t   capacity = list->capacity ? list->capacity * 2U : 256U;
    QfEvent* const events   = (QfEvent*)realloc(list->events, capacity * sizeof(QfEvent));
    if (!events) {
      list->failed = true;
      return;
    }

    list->events   = events;
    list->capacity = capacity;
  }

  list->events[list->n_events]      = event;
  list->events[list->n_events].step = list->step;
  ++list->n_events;
}

void
qf_event_list_add_note(QfEventList* const list, const QfSoundedNote note)
{
  QfEvent event = {.at_s       = note.start_s,
                   .kind       = QF_EVENT_NOTE_ON,
                   .channel    = note.channel,
                   .key        = note.key,
                   .velocity   = note.velocity,
                   .voice      = note.voice,
                   .score_time = note.score_time};
  qf_event_list_add(list, event);

  event.at_s     = note.end_s;
  event.kind     = QF_EVENT_NOTE_OFF;
  event.velocity = 0;
  qf_event_list_add(list, event);
}

void
qf_event_list_add_gain(QfEventList* const list,
                       const double       at_s,
                       const uint8_t      channel,
                       const double       gain_db)
{
  qf_event_list_add(list, (QfEvent){.at_s       = at_s,
                                    .kind       = QF_EVENT_GAIN,
                                    .channel    = channel,
                                    .gain_db    = gain_db,
                                    .voice      = QF_NO_VOICE,
                                    .score_time = QF_NOT_IN_SCORE});
}

void
qf_event_list_add_setup(QfEventList* const list,
                        const double       at_s,
                        const uint8_t      channel,
                        const int          program,
                        const double       gain_db)
{
  qf_event_list_add(list, (QfEvent){.at_s       = at_s,
                                    .kind       = QF_EVENT_PROGRAM,
                                    .channel    = channel,
                                    .program    = (uint8_t)program,
                                    .voice      = QF_NO_VOICE,
                                    .score_time = QF_NOT_IN_SCORE});
  qf_event_list_add_gain(list, at_s, channel, gain_db);
}

void
qf_event_list_add_clip(QfEventList* const list, const double at_s, const size_t clip)
{
  qf_event_list_add(list, (QfEvent){.at_s       = at_s,
                                    .kind       = QF_EVENT_CLIP,
                                    .clip       = (uint16_t)clip,
                                    .voice      = QF_NO_VOICE,
                                    .score_time = QF_NOT_IN_SCORE});
}

void
qf_event_list_add_mark(QfEventList* const list, const double at_s, const QfTime score_time)
{
  qf_event_list_add(
    list,
    (QfEvent){.at_s = at_s, .kind = QF_EVENT_MARK, .voice = QF_NO_VOICE, .score_time = score_time});
}

static int
compare_events(const void* const a, const void* const b)
{
  const QfEvent* const x = (const QfEvent*)a;
  const QfEvent* const y = (const QfEvent*)b;
  if (x->at_s != y->at_s) {
    return x->at_s < y->at_s ? -1 : 1;
  }

  if (x->kind != y->kind) {
    return kind_order[x->kind] - kind_order[y->kind];
  }

  return x->channel != y->channel ? (int)x->channel - (int)y->channel : (int)x->key - (int)y->key;
}

/// Where voices share a channel and a key, only the last of them to end lets go of it
static void
drop_early_releases(QfEventList* const list)
{
  uint16_t held[N_CHANNELS][N_KEYS] = {0};
  size_t   n_kept                   = 0;
  for (size_t i = 0; i < list->n_events; ++i) {
    const QfEvent event = list->events[i];
    if (event.kind == QF_EVENT_NOTE_ON) {
      ++held[event.channel][event.key];
    }

    if (event.kind != QF_EVENT_NOTE_OFF || --held[event.channel][event.key] == 0) {
      list->events[n_kept++] = event;
    }
  }

  list->n_events = n_kept;
}

QfStatus
qf_event_list_finish(QfEventList* const list,
                     const double       length_s,
                     const double       level_db,
                     QfEvents* const    result)
{
  qf_event_list_add(list, (QfEvent){.at_s       = length_s,
                                    .kind       = QF_EVENT_END,
                                    .voice      = QF_NO_VOICE,
                                    .score_time = QF_NOT_IN_SCORE});
  if (list->failed) {
    free(list->events);
    *list = (QfEventList){0};
    return QF_ERR_NO_MEM;
  }

  qsort(list->events, list->n_events, sizeof(QfEvent), compare_events);
  drop_early_releases(list);
  *result = (QfEvents){
    .events = list->events, .n_events = list->n_events, .length_s = length_s, .level_db = level_db};
  *list = (QfEventList){0};
  return QF_OK;
}
