// SPDX-License-Identifier: MIT
#include "written.h"

#include "parts.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/// The score whose bars are to be written into, or NULL
static const QfScore*
find_frame(const Written* const written)
{
  for (size_t v = 0; v < written->n_voices; ++v) {
    if (written->lines[v] && written->lines[v]->lesson) {
      return qf_lesson_get_score(written->lines[v]->lesson);
    }
  }
  return NULL;
}

/// Two staves; on the second the lower two voices, or the lowest of three or at a keyboard
static QfStatus
add_voices(QfScore* const score, const Written* const written)
{
  const size_t n_voices = written->n_voices;
  const bool   is_alone = n_voices == QF_WRITING_MIN_VOICES || written->is_keyboard;
  const size_t upper    = n_voices - (is_alone ? 1U : 2U);
  QfStatus     st       = qf_score_add_staff(score, "", QF_CLEF_TREBLE);
  st                    = st ? st : qf_score_add_staff(score, "", QF_CLEF_BASS);
  for (size_t v = 0; !st && v < n_voices; ++v) {
    const char* const part = part_name(n_voices, v);
    char              name[QF_NAME_SIZE];
    snprintf(name, sizeof(name), "%s", !strcmp(part, "soprano2") ? "soprano 2" : part);
    name[0] = (char)toupper((unsigned char)name[0]);
    st      = qf_score_add_voice(score, name, v < upper ? 0 : 1);
  }
  return st;
}

static QfStatus
add_bars(QfScore* const score, const Written* const written)
{
  const QfTime bar = qf_metre_bar(written->metre);
  QfStatus     st  = qf_score_set_signature(score, QF_TIME_ZERO, written->key);
  if (!st && written->pickup.num > 0) {
    st = qf_score_append_bar(score, (QfBar){.length = written->pickup,
                                            .offset = qf_time_sub(bar, written->pickup),
                                            .metre  = written->metre});
  }
  return st ? st
            : qf_score_append_bar(score, (QfBar){.length = bar,
                                                 .offset = QF_TIME_ZERO,
                                                 .number = 1,
                                                 .metre  = written->metre});
}

static QfStatus
copy_frame(QfScore* const score, const QfScore* const frame)
{
  QfStatus st = qf_score_set_title(score, qf_score_get_title(frame));
  st          = st ? st : qf_score_set_composer(score, qf_score_get_composer(frame));
  st          = st ? st : qf_score_set_tempo(score, qf_score_get_tempo(frame));
  for (size_t i = 0; !st && i < qf_score_n_bars(frame); ++i) {
    st = qf_score_append_bar(score, *qf_score_get_bar(frame, i));
  }
  for (size_t i = 0; !st && i < qf_score_n_signatures(frame); ++i) {
    const QfSignature* const signature = qf_score_get_signature(frame, i);
    st = qf_score_set_signature(score, signature->start, signature->key);
  }
  return st;
}

/// A voice as it stands in its file, as far as the chain goes
static QfStatus
copy_line(QfScore* const score, const size_t voice, const Line* const line, const QfTime end)
{
  const QfScore* const from = qf_lesson_get_score(line->lesson);
  QfStatus             st   = QF_OK;
  for (size_t i = 0; !st && i < qf_score_n_notes(from, line->voice); ++i) {
    const QfNote* const note = qf_score_get_note(from, line->voice, i);
    if (qf_time_compare(note->start, end) < 0) {
      st =
        qf_score_put_note(score, voice, note->start, note->duration, note->pitch, QF_NO_NOTE, NULL);
    }
  }
  return st;
}

static QfStatus
add_notes(QfScore* const score, const Written* const written)
{
  const QfLink* const last = &written->links[written->n_links - 1U];
  const QfTime        end  = qf_time_add(last->start, last->duration);
  QfStatus            st   = QF_OK;
  for (size_t v = 0; !st && v < written->n_voices; ++v) {
    const Line* const line = written->lines[v];
    if (line && line->lesson) {
      st = copy_line(score, v, line, end);
      continue;
    }
    for (size_t i = 0; !st && i < written->n_links; ++i) {
      const QfLink* const link  = &written->links[i];
      const QfPitch       pitch = written->pitches[i * written->n_voices + v];
      st = qf_score_put_note(score, v, link->start, link->duration, pitch, QF_NO_NOTE, NULL);
    }
  }
  return st;
}

static QfStatus
copy_fermatas(QfScore* const score, const QfScore* const frame)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < qf_score_n_fermatas(frame); ++i) {
    st = qf_score_set_fermata(score, qf_score_get_fermata(frame, i), true);
    st = st == QF_ERR_RANGE ? QF_OK : st; // It stood over a voice that is not written
  }
  return st;
}

static QfLesson*
make_lesson(const Written* const written)
{
  const QfScore* const frame = find_frame(written);
  QfScore* const       score = qf_score_new();
  QfStatus             st    = score ? add_voices(score, written) : QF_ERR_NO_MEM;
  st = st ? st : frame ? copy_frame(score, frame) : add_bars(score, written);
  st = st ? st : add_notes(score, written);
  st = st || !frame ? st : copy_fermatas(score, frame);
  if (st) {
    qf_score_free(score);
    return NULL;
  }
  return qf_lesson_new_from_score(score);
}

static QfStatus
export_lesson(QfLesson* const      lesson,
              const Written* const written,
              const char* const    path,
              QfError* const       error)
{
  QfStatus st = qf_lesson_set_key(lesson, &written->key, error);
  st          = st ? st : qf_lesson_pin_links(lesson, written->links, written->n_links, error);
  if (!st && written->title) {
    st = qf_lesson_set_title(lesson, written->title, error);
  }
  return st ? st
            : qf_document_export(lesson, path, qf_file_kind_of_path(path),
                                 qf_export_options(lesson), error);
}

QfExit
written_export(const Written* const written, const char* const path)
{
  QfError         error  = {0};
  QfLesson* const lesson = make_lesson(written);
  const QfStatus  st     = lesson ? export_lesson(lesson, written, path, &error)
                                  : qf_error_set(&error, QF_ERR_NO_MEM, "out of memory");
  qf_lesson_free(lesson);
  return st ? fail(&error, path) : QF_EXIT_DONE;
}
