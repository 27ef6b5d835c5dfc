// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_BATCH_H
#define QUINTFALL_SRC_COMMAND_BATCH_H

#include "command.h"

/// A file to read and the file to write for it
typedef struct {
  char* input;  ///< Owned
  char* output; ///< Owned; NULL for standard output
} BatchItem;

/// Many files for one command
typedef struct {
  BatchItem* items; ///< Owned
  size_t     n_items;
  size_t     capacity;
} Batch;

/**
   Collect files, and the music in folders and the folders below them.

   In a folder, MusicXML, .mxl and MIDI files count, and lessons among the .json
   files. Outputs keep the place below the folder that was named.

   @param ending Of the outputs, such as "rntxt".
   @param folder Where the outputs go; created as needed when the batch runs.
   @return #QF_OK; #QF_ERR_IO for a folder that cannot be read; #QF_ERR_NO_MEM.
*/
QfStatus
batch_collect(Batch*       batch,
              char* const* paths,
              size_t       n_paths,
              const char*  folder,
              const char*  ending,
              QfError*     error);

void
batch_clear(Batch* batch);

/// What is done for one file, in a process of its own
typedef QfExit (*BatchFunc)(const BatchItem* item, void* data);

/**
   Run a function for every item, at most `n_jobs` at a time.

   Every item has its own process, so that one that fails, or even crashes, never
   stops the rest. Progress goes to standard error.

   @param verb What was done with a file, "labelled".
   @return #QF_EXIT_DONE, or the worst of the items' exits.
*/
QfExit
batch_run(const Batch* batch, size_t n_jobs, const char* verb, BatchFunc run, void* data);

#endif // QUINTFALL_SRC_COMMAND_BATCH_H
