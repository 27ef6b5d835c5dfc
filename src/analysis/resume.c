// SPDX-License-Identifier: MIT
#include "resume.h"

size_t
qf_resume_beginning(const QfResume* const resume, QfTrellis* const trellis)
{
  // A span looks at the columns that it might hold, and at the one in which the next begins.
  const size_t reach   = QF_MAX_COLUMNS - 1;
  const size_t n_first = resume->same.n_first;
  const size_t last    = n_first > reach ? n_first - reach : 0;

  for (size_t b = 1; b <= last; ++b) {
    qf_layer_move(&trellis->layers[b], &resume->trellis->layers[b]);
  }
  return last;
}

bool
qf_resume_goes_on(QfResume* const resume, const QfTrellis* const trellis, const size_t boundary)
{
  const size_t n_ahead = trellis->n_layers - 1 - boundary;

  if (n_ahead >= resume->same.n_last) {
    return false;
  }

  const QfLayer* const now     = &trellis->layers[boundary];
  const QfLayer* const before  = &resume->trellis->layers[resume->trellis->n_layers - 1 - n_ahead];
  const double         offset  = now->least - before->least;
  const bool           is_same = offset <= resume->offset && offset >= resume->offset;

  if (!qf_layers_go_on_alike(now, before)) {
    resume->n_alike = 0;
    return false;
  }
  resume->n_alike = resume->n_alike && is_same ? resume->n_alike + 1 : 1;
  resume->offset  = offset;

  // A span from the first of the boundaries compared looks back at one column.
  return resume->n_alike >= QF_MAX_COLUMNS && n_ahead + QF_MAX_COLUMNS <= resume->same.n_last;
}

void
qf_resume_end(const QfResume* const resume, QfTrellis* const trellis, const size_t boundary)
{
  const size_t n_before = resume->trellis->n_layers - 1;
  const size_t n        = trellis->n_layers - 1;

  for (size_t b = boundary + 1; b <= n; ++b) {
    qf_layer_move(&trellis->layers[b], &resume->trellis->layers[n_before - (n - b)]);
    trellis->layers[b].least += resume->offset;
  }
}
