// SPDX-License-Identifier: MIT
// Writes lessons that use every member of the format, for the schema to judge.
#include "quintfall/lesson.h"

#include <stdio.h>
#include <string.h>

static QfStatus
set_task(QfLesson* const lesson)
{
  QfStudy study      = qf_study_default();
  study.layers       = 1U << QF_LAYER_BASS | 1U << QF_LAYER_NUMERAL;
  study.max_hearings = 4;

  const QfQuestion question = {.stage     = QF_STAGE_FRAME,
                               .layer     = QF_LAYER_NUMERAL,
                               .form      = QF_ASK_CHOICE,
                               .key       = {{2, -1}, QF_MAJOR},
                               .start     = qf_time(1, 2),
                               .end       = qf_time(1, 1),
                               .prompt    = "Does it come to rest?",
                               .n_choices = 2,
                               .choices   = {"yes", "no"},
                               .n_answers = 1,
                               .answers   = {"no"},
                               .n_hints   = 1,
                               .hints     = {"Hold the last bass note against the first."}};

  QfStatus st = qf_lesson_set_study(lesson, study, NULL);
  for (size_t i = 0; !st && i < qf_rubric_n_shipped(); ++i) {
    st = qf_lesson_set_rubric(lesson, qf_rubric_get_shipped(i), NULL);
  }
  return st ? st : qf_lesson_put_question(lesson, &question, NULL);
}

static QfStatus
fill(QfLesson* const lesson)
{
  QfHearing hearing       = qf_hearing_default();
  hearing.forward         = (QfForward){QF_FORWARD_VOICE, 3};
  hearing.forward_program = 42;
  hearing.tempo_factor    = 0.85;

  QfLinks    links   = {0};
  QfMetre    metre   = {0};
  const char chain[] = "Eb: I V65/IV | IV viio7/V | Cad64 V7 | vi";
  QfStatus   st      = qf_metre(4, 4, &metre);
  st                 = st ? st : qf_links_parse(chain, NULL, metre, &links, NULL);
  st                 = st ? st : qf_lesson_place_chords(lesson, links.links, links.n_links, NULL);
  const QfPin pin    = {links.links[1].start, links.key, links.links[1].numeral};
  st                 = st ? st : qf_lesson_pin(lesson, pin, NULL);
  st                 = st ? st : qf_lesson_set_fermata(lesson, pin.start, true, NULL);
  qf_links_clear(&links);

  st = st ? st : qf_lesson_set_voice_given(lesson, 0, true, NULL);
  st = st ? st : qf_lesson_set_hearing(lesson, hearing, NULL);
  st = st ? st : qf_lesson_set_key_thresholds(lesson, (QfKeyThresholds){6.5, 4.0}, NULL);
  st = st ? st : qf_lesson_set_tempo(lesson, 72.5, NULL);
  for (size_t i = 0; !st && i < qf_n_ready_plans(); ++i) {
    QfPlan* const plan = qf_ready_plan_new(i);
    st                 = plan ? qf_lesson_set_plan(lesson, plan, NULL) : QF_ERR_NO_MEM;
    qf_plan_free(plan);
  }
  st = st ? st : set_task(lesson);
  st = st ? st : qf_lesson_set_notes_text(lesson, "Line\n\"two\" \\ \u266D", NULL);
  return st ? st : qf_lesson_set_title(lesson, "Sample", NULL);
}

int
main(const int argc, char** const argv)
{
  QfMetre     metre = {0};
  const QfKey key   = {{2, -1}, QF_MAJOR};
  if (argc != 3 || qf_metre_parse("4/4", &metre, NULL)) {
    return 2;
  }

  QfLesson* const full  = qf_lesson_new(key, metre, qf_time(1, 4), 4);
  QfLesson* const empty = qf_lesson_new(key, metre, QF_TIME_ZERO, 1);
  QfStatus        st    = full && empty ? fill(full) : QF_ERR_NO_MEM;
  st                    = st ? st : qf_lesson_set_key(empty, NULL, NULL);
  st                    = st ? st : qf_lesson_save(full, argv[1], NULL);
  st                    = st ? st : qf_lesson_save(empty, argv[2], NULL);
  qf_lesson_free(empty);
  qf_lesson_free(full);
  if (st) {
    fprintf(stderr, "%s\n", qf_status_text(st));
  }
  return st ? 1 : 0;
}
