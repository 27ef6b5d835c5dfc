// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_STAGES_H
#define QUINTFALL_PARTWRITING_STAGES_H

#include "connection.h"

/// What is to be written
typedef struct {
  const QfLink*  links;
  size_t         n_links;
  const QfKept*  kept;
  size_t         n_kept;
  const bool*    is_dropped; ///< Givens to be overlooked, or NULL
  const QfPitch* before;     ///< Voicing to connect from, or NULL
  const QfPitch* after;      ///< Voicing to connect to, or NULL
} Task;

/// One chord, with every way to write it
typedef struct {
  Sonority   sonority;
  VoicedList list;
  Passage    next;     ///< To the next stage, if there is one
  int*       rests;    ///< Least cost of what follows each voicing, without looking back; owned
  size_t*    nexts;    ///< The voicing it goes on with; owned
  int**      rows;     ///< Costs of connections already known, by voicing; owned
  bool       is_fixed; ///< Written by somebody else
} Stage;

/// A task laid out for the search
typedef struct {
  const Task* task;
  Policy      policy;
  Stage*      stages; ///< The voicing before, the links, the voicing after; owned
  size_t      n_stages;
  size_t      first;     ///< Stage of the first link
  size_t      n_visited; ///< Connections that were worked out
  size_t      misfit;    ///< Index of a given outside its chord, or SIZE_MAX
} Stages;

/// Where and why there is no way
typedef struct {
  size_t stage;
  bool   has_voicing; ///< False if the chord alone can't be written
  Grade  fault;       ///< The commonest error between the stage and the next
} Failure;

/// Find the chords and check the givens; #QF_ERR_IMPOSSIBLE for a given outside its chord
QfStatus
stages_prepare(Stages* stages, const Task* task, QfError* error);

/// List the voicings of every chord under a policy
QfStatus
stages_list(Stages* stages, Policy policy);

/**
   Work out from the end what follows each voicing at least.

   @return #QF_OK; #QF_ERR_IMPOSSIBLE fills `failure`.
*/
QfStatus
stages_look_ahead(Stages* stages, Failure* failure);

/// Cost of a connection, remembered; #COST_NEVER or more if it is an error
int
stages_connection(Stages* stages, size_t stage, size_t from, size_t to);

void
stages_clear(Stages* stages);

enum { STAGE_TEXT_SIZE = 160 };

/// "chord 2 (V7 with soprano B4 kept)"; at least #STAGE_TEXT_SIZE bytes
void
stages_describe(const Stages* stages, size_t link, char* buffer, size_t size);

/// Say why there is no way; gives #QF_ERR_IMPOSSIBLE
QfStatus
stages_report(const Stages* stages, const Failure* failure, QfError* error);

#endif // QUINTFALL_PARTWRITING_STAGES_H
