// SPDX-License-Identifier: MIT
#include "crew.h"

#include "files.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

/// A set on its way to a folder
typedef struct {
  const char*              folder;
  const QfWorkbookOptions* options;
  const Ends*              ends;

  pthread_mutex_t making; ///< Of the next three
  QfExerciseSet*  set;
  size_t          n_made;
  bool            is_all_made; ///< Or no more can be

  pthread_mutex_t    counting; ///< Of the rest
  QfExercise*        complete; ///< By number - 1; empty where none is, or it is bound already
  size_t             n_bound;  ///< Numbers that index and booklets have passed
  QfWorkbookProgress progress;
  bool               is_stopped;
  QfStatus           status; ///< Of what stopped it first
  QfError            error;
} Crew;

/// Ask whether to go on; the one who asked for the set is asked by one thread at a time
static bool
may_go_on(const char* const doing, void* const data)
{
  Crew* const crew = (Crew*)data;
  pthread_mutex_lock(&crew->counting);
  crew->progress.doing = doing;
  bool goes_on         = !crew->is_stopped;
  if (goes_on && crew->options->progress) {
    goes_on = crew->options->progress(crew->progress, crew->options->data);
  }
  pthread_mutex_unlock(&crew->counting);
  return goes_on;
}

static bool
go_on_making_cb(void* const data)
{
  return may_go_on("", data);
}

/// Keep what stopped the work first; what others say after that only follows from it
static void
stop(Crew* const crew, const QfStatus status, const QfError* const error)
{
  pthread_mutex_lock(&crew->counting);
  if (!crew->status) {
    crew->status = status;
    crew->error  = *error;
  }
  // Those at work finish their exercises if it is only that no other one was found.
  crew->is_stopped = crew->is_stopped || status != QF_ERR_IMPOSSIBLE;
  pthread_mutex_unlock(&crew->counting);
}

/// Say the number of an exercise in its title, and give it the plan of the set if there is one
static QfStatus
make_part_of_set(QfExercise* const   exercise,
                 const QfPlan* const plan,
                 const size_t        number,
                 QfError* const      error)
{
  char              title[QF_EXERCISE_TITLE_SIZE + 32];
  const char* const old = qf_score_get_title(qf_lesson_get_score(exercise->lesson));
  snprintf(title, sizeof(title), "%zu. %s", number, old);

  QfStatus st = qf_lesson_set_title(exercise->lesson, title, error);
  st          = st || !plan ? st : qf_lesson_set_plan(exercise->lesson, plan, error);
  qf_lesson_forget_history(exercise->lesson);
  return st;
}

/// Make the next exercise; gives its number, or 0 if there is no more to do
static size_t
make_next(Crew* const crew, QfExercise* const exercise)
{
  QfError error  = {0};
  size_t  number = 0;
  pthread_mutex_lock(&crew->making);
  if (!crew->is_all_made && crew->n_made < crew->options->count) {
    const QfStatus st = qf_exercise_set_next(crew->set, go_on_making_cb, crew, exercise, &error);
    if (st) {
      crew->is_all_made = true;
      stop(crew, st, &error);
    } else {
      number = ++crew->n_made;
    }
  }
  pthread_mutex_unlock(&crew->making);
  return number;
}

static QfStatus
add_to_booklets(const Ends* const ends, QfLesson* const lesson, QfError* const error)
{
  QfExportOptions options = qf_export_options(lesson);
  QfStatus        st      = QF_OK;
  if (ends->worksheets) {
    options.sheet = QF_SHEET_STUDENT;
    st            = qf_document_add_to_booklet(lesson, options, ends->worksheets, error);
  }
  if (!st && ends->answer_key) {
    options.sheet = QF_SHEET_ANSWERS;
    st            = qf_document_add_to_booklet(lesson, options, ends->answer_key, error);
  }
  return st;
}

/// Put a complete exercise into index and booklets
static void
bind(Crew* const crew, const size_t number)
{
  QfExercise* const exercise             = &crew->complete[number - 1U];
  const FileList    list                 = files_names(crew->options->parts, number);
  const char*       names[MAX_FILES + 1] = {NULL};
  QfError           error                = {0};
  if (!exercise->lesson) {
    return;
  }

  for (size_t i = 0; i < list.n_files; ++i) {
    names[i] = list.names[i];
  }
  QfStatus st = add_to_booklets(crew->ends, exercise->lesson, &error);
  st          = st ? st : index_add(crew->ends->index, exercise, names, &error);
  qf_exercise_clear(exercise);
  if (st) {
    files_remove(crew->folder, &list);
    --crew->progress.done;
    crew->is_stopped = true;
    crew->error      = crew->status ? crew->error : error;
    crew->status     = crew->status ? crew->status : st;
  }
}

/// An exercise has all its files; takes it
static void
hand_in(Crew* const crew, const size_t number, QfExercise* const exercise)
{
  pthread_mutex_lock(&crew->counting);
  crew->complete[number - 1U] = *exercise;
  *exercise                   = (QfExercise){0};
  ++crew->progress.done;
  while (crew->n_bound < crew->options->count && crew->complete[crew->n_bound].lesson) {
    bind(crew, ++crew->n_bound);
  }
  pthread_mutex_unlock(&crew->counting);
}

/// What each thread does
static void*
work(void* const data)
{
  Crew* const crew     = (Crew*)data;
  QfExercise  exercise = {0};
  for (size_t number; (number = make_next(crew, &exercise));) {
    QfError  error = {0};
    QfStatus st    = make_part_of_set(&exercise, crew->options->plan, number, &error);
    if (!st) {
      st =
        files_write(crew->folder, crew->options, exercise.lesson, number, may_go_on, crew, &error);
    }
    if (st) {
      stop(crew, st, &error);
    } else {
      hand_in(crew, number, &exercise);
    }
    qf_exercise_clear(&exercise);
  }
  return NULL;
}

static size_t
n_threads(const QfWorkbookOptions* const options)
{
  const long   n_processors = sysconf(_SC_NPROCESSORS_ONLN);
  const size_t n = options->n_jobs ? options->n_jobs : n_processors > 0 ? (size_t)n_processors : 1U;
  const size_t most = options->count < QF_WORKBOOK_MAX_JOBS ? options->count : QF_WORKBOOK_MAX_JOBS;
  return n < most ? n : most;
}

/// Let all threads work, this one among them
static void
run(Crew* const crew)
{
  pthread_t    threads[QF_WORKBOOK_MAX_JOBS];
  const size_t n         = n_threads(crew->options);
  size_t       n_started = 0;
  // With fewer threads than were asked for the work is done all the same.
  while (n_started + 1U < n && !pthread_create(&threads[n_started], NULL, work, crew)) {
    ++n_started;
  }
  work(crew);
  for (size_t i = 0; i < n_started; ++i) {
    pthread_join(threads[i], NULL);
  }

  // Where one was given up, those after it still wait.
  while (crew->n_bound < crew->options->count) {
    bind(crew, ++crew->n_bound);
  }
}

QfStatus
crew_write(const char* const              folder,
           const QfWorkbookOptions* const options,
           const Ends* const              ends,
           size_t* const                  n_done,
           QfError* const                 error)
{
  Crew crew = {.folder   = folder,
               .options  = options,
               .ends     = ends,
               .set      = qf_exercise_set_new(options->exercises),
               .complete = (QfExercise*)calloc(options->count, sizeof(QfExercise)),
               .progress = {0, options->count, ""}};
  if (!crew.set || !crew.complete) {
    crew.status = qf_error_set(&crew.error, QF_ERR_NO_MEM, "out of memory");
  } else {
    pthread_mutex_init(&crew.making, NULL);
    pthread_mutex_init(&crew.counting, NULL);
    run(&crew);
    pthread_mutex_destroy(&crew.making);
    pthread_mutex_destroy(&crew.counting);
  }

  *n_done = crew.progress.done;
  qf_exercise_set_free(crew.set);
  free(crew.complete);
  if (crew.status && error) {
    *error = crew.error;
  }
  return crew.status;
}
