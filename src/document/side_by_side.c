// SPDX-License-Identifier: MIT
#include "side_by_side.h"

#include <pthread.h>
#include <stdlib.h>
#include <unistd.h>

enum { MAX_THREADS = 64 };

/// What the threads share; all but `jobs` is guarded by `mutex`
typedef struct {
  const Jobs*     jobs;
  pthread_mutex_t mutex;
  size_t          next; ///< Job that nobody has taken yet
  double*         done; ///< Of each job, from 0 to 1
  bool            is_cancelled;
  QfStatus        status; ///< The first fault
  QfError         error;  ///< The same in words
} Crew;

typedef struct {
  Crew*  crew;
  size_t index;
} Job;

static bool
progress_cb(const double done, void* const data)
{
  const Job* const  job  = (const Job*)data;
  Crew* const       crew = job->crew;
  const Jobs* const jobs = crew->jobs;
  double            sum  = 0.0;

  pthread_mutex_lock(&crew->mutex);
  crew->done[job->index] = done;
  for (size_t i = 0; i < jobs->n_jobs; ++i) {
    sum += jobs->shares[i] * crew->done[i];
  }
  if (jobs->progress && !crew->is_cancelled && !jobs->progress(sum, jobs->progress_data)) {
    crew->is_cancelled = true;
  }
  const bool goes_on = !crew->is_cancelled && !crew->status;
  pthread_mutex_unlock(&crew->mutex);
  return goes_on;
}

/// Take the next job; false if there is none, or no more is to be done
static bool
take(Crew* const crew, size_t* const index)
{
  pthread_mutex_lock(&crew->mutex);
  const bool goes_on = crew->next < crew->jobs->n_jobs && !crew->status && !crew->is_cancelled;
  *index             = goes_on ? crew->next++ : 0;
  pthread_mutex_unlock(&crew->mutex);
  return goes_on;
}

static void*
work(void* const data)
{
  Crew* const crew = (Crew*)data;
  Job         job  = {.crew = crew};
  while (take(crew, &job.index)) {
    QfError        error = {0};
    const QfStatus st    = crew->jobs->run(job.index, progress_cb, &job, crew->jobs->data, &error);
    pthread_mutex_lock(&crew->mutex);
    if (st && !crew->status) {
      crew->status = st;
      crew->error  = error;
    }
    pthread_mutex_unlock(&crew->mutex);
  }
  return NULL;
}

static size_t
count_threads(const Jobs* const jobs)
{
  const long   processors = sysconf(_SC_NPROCESSORS_ONLN);
  const size_t wanted =
    jobs->n_threads ? jobs->n_threads : (size_t)(processors > 0 ? processors : 1);
  const size_t most = jobs->n_jobs < MAX_THREADS ? jobs->n_jobs : MAX_THREADS;
  return wanted < most ? wanted : most;
}

QfStatus
side_by_side(const Jobs* const jobs, QfError* const error)
{
  Crew crew = {.jobs = jobs, .done = (double*)calloc(jobs->n_jobs + 1U, sizeof(double))};
  if (!crew.done || pthread_mutex_init(&crew.mutex, NULL)) {
    free(crew.done);
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  // The caller works too, so that all is done even where no thread can be made
  pthread_t    threads[MAX_THREADS];
  size_t       n_threads = 0;
  const size_t n_wanted  = count_threads(jobs);
  while (n_threads + 1U < n_wanted && !pthread_create(&threads[n_threads], NULL, work, &crew)) {
    ++n_threads;
  }
  work(&crew);
  for (size_t i = 0; i < n_threads; ++i) {
    pthread_join(threads[i], NULL);
  }

  if (crew.status && error) {
    *error = crew.error;
  }
  pthread_mutex_destroy(&crew.mutex);
  free(crew.done);
  return crew.status         ? crew.status
         : crew.is_cancelled ? qf_error_set(error, QF_ERR_CANCELLED, "cancelled")
                             : QF_OK;
}
