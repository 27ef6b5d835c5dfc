// SPDX-License-Identifier: MIT
#include "lines.h"

#include "quintfall/figured_bass.h"
#include "quintfall/file.h"
#include "quintfall/formats.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/// Room for the most notes there may be
static QfStatus
reserve(Line* const line, QfError* const error)
{
  *line       = (Line){.pickup = QF_TIME_ZERO};
  line->notes = (QfGivenNote*)calloc(QF_HARMONISE_MAX_NOTES, sizeof(QfGivenNote));
  return line->notes ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}

static QfStatus
add_note(Line* const line, const QfGivenNote note, QfError* const error)
{
  if (line->n_notes == QF_HARMONISE_MAX_NOTES) {
    return qf_error_set(error, QF_ERR_RANGE, "there are more than %d notes",
                        QF_HARMONISE_MAX_NOTES);
  }
  line->notes[line->n_notes++] = note;
  return QF_OK;
}

void
line_clear(Line* const line)
{
  free(line->notes);
  qf_lesson_free(line->lesson);
  *line = (Line){.pickup = QF_TIME_ZERO};
}

//
// Text
//

/// Read "F3:6/5(2)"; the token is cut up
static QfStatus
parse_note(char* const token, const QfTime beat, QfGivenNote* const note, QfError* const error)
{
  QfTime length = qf_time(1, 1);
  char*  open   = strchr(token, '(');
  if (open) {
    char* const close = strchr(open, ')');
    if (!close || close[1]) {
      return qf_error_set(error, QF_ERR_BAD_TEXT, "a length ends with ')', such as C5(2)");
    }
    *open = *close    = '\0';
    const QfStatus st = qf_time_parse(open + 1, &length, error);
    if (st || length.num <= 0 || length.den > 64 || length.num > 4096) {
      return qf_error_set(error, QF_ERR_BAD_TEXT,
                          "a length in beats is a number such as 2 or 3/2, more than 0 and at "
                          "most 64");
    }
  }
  char* const colon = strchr(token, ':');
  if (colon) {
    *colon           = '\0';
    note->is_figured = true;
    if (strlen(colon + 1) >= sizeof(note->figures)) {
      return qf_error_set(error, QF_ERR_BAD_TEXT, "the figures \"%s\" are too long", colon + 1);
    }
    snprintf(note->figures, sizeof(note->figures), "%s", colon + 1);
  }
  note->duration = qf_time_mul(length, beat);
  return qf_pitch_parse(token, &note->pitch, error);
}

/// A bar line must end a bar; the first one may end a pickup
static QfStatus
check_bar_line(Line* const line, const QfTime time, const size_t n_bar_lines, QfError* const error)
{
  const QfTime bar     = qf_metre_bar(line->metre);
  const QfTime counted = qf_time_sub(time, line->pickup);
  if (!n_bar_lines && qf_time_compare(time, bar) < 0) {
    line->pickup = time;
  } else if (qf_time_compare(counted, qf_time_floor(counted, bar)) != 0) {
    return qf_error_set(error, QF_ERR_BAD_TEXT, "the notes before bar line %zu do not fill the bar",
                        n_bar_lines + 1U);
  }
  return QF_OK;
}

QfStatus
line_parse(const char* const text, const QfMetre metre, Line* const result, QfError* const error)
{
  QfStatus st = reserve(result, error);
  if (st) {
    return st;
  }
  result->metre      = metre;
  char* const copy   = strdup(text);
  char*       rest   = copy;
  QfTime      time   = QF_TIME_ZERO;
  size_t      n_bars = 0;
  st                 = copy ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  for (char* token = copy ? strtok_r(copy, " \t\n", &rest) : NULL; !st && token;
       token       = strtok_r(NULL, " \t\n", &rest)) {
    if (!strcmp(token, "|")) {
      st = check_bar_line(result, time, n_bars++, error);
    } else if (!strcmp(token, "||")) {
      if (result->n_notes) {
        result->notes[result->n_notes - 1U].ends_phrase = true;
      }
    } else {
      QfGivenNote note = {.start = time};
      st               = parse_note(token, qf_metre_beat(metre), &note, error);
      st               = st ? st : add_note(result, note, error);
      time             = st ? time : qf_time_add(time, note.duration);
    }
  }
  free(copy);
  return st;
}

//
// Files
//

static QfStatus
find_voice(const QfScore* const score,
           const LineSource     source,
           size_t* const        voice,
           QfError* const       error)
{
  const size_t n = qf_score_n_voices(score);
  if (!n) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED, "there is no voice in it");
  }
  if (!source.voice) {
    *voice = source.is_bass ? n - 1U : 0U;
    return QF_OK;
  }
  char*      end    = NULL;
  const long number = strtol(source.voice, &end, 10);
  if (!*end && number >= 1 && (size_t)number <= n) {
    *voice = (size_t)number - 1U;
    return QF_OK;
  }
  for (size_t v = 0; v < n; ++v) {
    if (!strcasecmp(qf_score_get_voice(score, v)->name, source.voice)) {
      *voice = v;
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_RANGE,
                      "there is no voice \"%s\"; give its name or a number from 1 to %zu",
                      source.voice, n);
}

/// The figures that hold from a time on, within a note; NULL if there are none
static const QfFigures*
figures_within(const QfImport* const import, const QfTime start, const QfTime end)
{
  for (size_t i = 0; i < import->n_figures; ++i) {
    const QfTime at = import->figures[i].start;
    if (qf_time_compare(at, start) >= 0 && qf_time_compare(at, end) < 0) {
      return &import->figures[i];
    }
  }
  return NULL;
}

static void
set_figures(QfGivenNote* const note, const QfFigures* const figures)
{
  note->is_figured = true;
  snprintf(note->figures, sizeof(note->figures), "%s", figures->text);
}

/// Add a note, cut where its figures change
static QfStatus
add_figured(Line* const line, QfGivenNote note, const QfImport* const import, QfError* const error)
{
  const QfTime           end  = qf_time_add(note.start, note.duration);
  const QfFigures* const here = figures_within(import, note.start, end);
  QfStatus               st   = QF_OK;
  if (here && !qf_time_compare(here->start, note.start)) {
    set_figures(&note, here);
  }
  for (;;) {
    const QfTime           past = qf_time_add(note.start, qf_time(1, 1000000));
    const QfFigures* const next = figures_within(import, past, end);
    QfGivenNote            part = note;
    part.duration               = qf_time_sub(next ? next->start : end, note.start);
    part.ends_phrase            = note.ends_phrase && !next;
    st                          = add_note(line, part, error);
    if (st || !next) {
      return st;
    }
    note.start = next->start;
    set_figures(&note, next);
  }
}

/// Is a note no more than a way between the notes on the beats?
static bool
is_between(const QfScore* const score, const LineSource source, const QfNote* const note)
{
  return source.is_each_beat && qf_score_place_of(score, note->start).beat.den != 1;
}

static QfStatus
take_voice(Line* const           line,
           const LineSource      source,
           const QfImport* const import,
           QfError* const        error)
{
  const QfScore* const score = qf_lesson_get_score(line->lesson);
  QfStatus             st    = find_voice(score, source, &line->voice, error);
  for (size_t i = 0; !st && i < qf_score_n_notes(score, line->voice); ++i) {
    const QfNote* const note  = qf_score_get_note(score, line->voice, i);
    QfGivenNote         given = {.start       = note->start,
                                 .duration    = note->duration,
                                 .pitch       = note->pitch,
                                 .ends_phrase = qf_score_has_fermata(score, note->start)};
    if (line->n_notes && is_between(score, source, note)) {
      QfGivenNote* const before = &line->notes[line->n_notes - 1U];
      before->duration = qf_time_sub(qf_time_add(note->start, note->duration), before->start);
      before->ends_phrase |= given.ends_phrase;
    } else {
      st = add_figured(line, given, import, error);
    }
  }
  if (!st && !line->n_notes) {
    st = qf_error_set(error, QF_ERR_UNSUPPORTED, "its voice %s has no notes",
                      qf_score_get_voice(score, line->voice)->name);
  }
  return st;
}

/// Key, metre and pickup of the file
static QfStatus
take_frame(Line* const line, QfError* const error)
{
  const QfScore* const score = qf_lesson_get_score(line->lesson);
  const QfBar* const   bar   = qf_score_get_bar(score, 0);
  line->metre                = bar->metre;
  line->pickup               = bar->offset.num > 0 ? bar->length : QF_TIME_ZERO;
  if (!qf_lesson_get_key(line->lesson, &line->key)) {
    const QfLabels* const labels = qf_lesson_get_labels(line->lesson);
    if (!labels) {
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    }
    line->key = qf_labels_get_key(labels);
  }
  return QF_OK;
}

QfExit
line_read(const LineSource source, Line* const result)
{
  QfError           error  = {0};
  void*             data   = NULL;
  size_t            length = 0;
  QfImport          import = {0};
  QfScore*          score  = NULL;
  QfStatus          st     = reserve(result, &error);
  const char* const path   = strcmp(source.path, "-") ? source.path : "/dev/stdin";
  st                       = st ? st : qf_file_read(path, &data, &length, &error);
  st = st ? st : qf_document_read(data, length, &result->lesson, NULL, &error);
  // Only MusicXML has figures, and other files need not be MusicXML.
  if (!st && source.is_bass && !qf_musicxml_read(data, length, &score, &import, NULL)) {
    qf_score_free(score);
  }
  st = st ? st : take_voice(result, source, &import, &error);
  st = st ? st : take_frame(result, &error);
  qf_import_clear(&import);
  free(data);
  return st ? fail(&error, source.path) : QF_EXIT_DONE;
}
