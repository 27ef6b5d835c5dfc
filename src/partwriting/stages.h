// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_STAGES_H
#define QUINTFALL_PARTWRITING_STAGES_H

#include "connection.h"

#include "quintfall/writing.h"

/// Chords to choose from, and what it costs to use them
typedef struct Lexicon Lexicon;
struct Lexicon {
  size_t          n_words;
  const Sonority* sonorities; ///< By word
  const uint8_t*  classes;    ///< By word: chains of the same classes are the same chain
  bool (*fits)(const Lexicon* lexicon, size_t link, size_t word);
  int (*start_fee)(const Lexicon* lexicon, size_t word);
  int (*step_fee)(const Lexicon* lexicon, size_t link, size_t from, size_t to); ///< To `link`
};

/// What is to be written
typedef struct {
  const QfLink*     links; ///< The chords, unless there is a lexicon
  size_t            n_links;
  const Lexicon*    lexicon; ///< Or NULL
  const QfKept*     kept;
  size_t            n_kept;
  const bool*       is_dropped; ///< Givens to be overlooked, or NULL
  const QfDoubling* doublings;
  size_t            n_doublings;
  const bool*       on_downbeat; ///< Which links begin a bar, or NULL
  const QfPitch*    before;      ///< Voicing to connect from, or NULL
  const QfPitch*    after;       ///< Voicing to connect to, or NULL
} Task;

/// A chord that can stand at a stage
typedef struct {
  Sonority sonority;
  size_t   word;  ///< Of the lexicon, if there is one
  size_t   first; ///< Of its voicings
  size_t   n_voiced;
  int      least; ///< Of its voicings and what follows them
} Choice;

/// From one choice to one of the next stage
typedef struct {
  Passage passage;
  int     fee; ///< By the lexicon
} Bridge;

/// One chord of the chain, with every way to write it
typedef struct {
  Choice*    choices; ///< Owned
  size_t     n_choices;
  VoicedList list;     ///< Of all choices, one after another
  Bridge*    bridges;  ///< To the next stage: by own choice, then by the next one; owned
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

/// The choice a voicing belongs to
const Choice*
stage_choice(const Stage* stage, size_t voicing);

/// What lies between a voicing and one of the next stage
const Bridge*
stages_bridge(const Stages* stages, size_t stage, size_t from, size_t to);

/// Cost of a connection, remembered; #COST_NEVER or more if it is an error
int
stages_connection(Stages* stages, size_t stage, size_t from, size_t to);

/// The same, worked out again, with the rule that forbids it
int
stages_connect(Stages* stages, size_t stage, size_t from, size_t to, Grade* fault);

void
stages_clear(Stages* stages);

enum { STAGE_TEXT_SIZE = 160 };

/// "chord 2 (V7 with soprano B4 kept)"; at least #STAGE_TEXT_SIZE bytes
void
stages_describe(const Stages* stages, size_t link, char* buffer, size_t size);

/// Say why there is no way; gives #QF_ERR_IMPOSSIBLE
QfStatus
stages_report(const Stages* stages, const Failure* failure, QfError* error);

/// Find the notes of a link that are to be kept
void
task_find_kept(const Task* task, size_t link, const QfPitch* kept[MAX_PARTS]);

#endif // QUINTFALL_PARTWRITING_STAGES_H
