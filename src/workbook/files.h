// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_WORKBOOK_FILES_H
#define QUINTFALL_SRC_WORKBOOK_FILES_H

#include "quintfall/workbook.h"

enum {
  MAX_FILES = 5,
  NAME_SIZE = 40,
};

/// Files of one exercise
typedef struct {
  char   names[MAX_FILES][NAME_SIZE];
  size_t n_files;
} FileList;

/// Called before each file, and during a recording with the same name; false to cancel
typedef bool (*FileFunc)(const char* name, void* data);

/// Names of the files that an exercise gets, whether they are there or not
FileList
files_names(unsigned parts, size_t number);

/// Path of a file in a folder (transfer full), or NULL
char*
files_path(const char* folder, const char* name);

/// Write all files of an exercise, or leave none
QfStatus
files_write(const char*              folder,
            const QfWorkbookOptions* options,
            QfLesson*                lesson,
            size_t                   number,
            FileFunc                 go_on,
            void*                    data,
            QfError*                 error);

/// Take the files of an exercise away
void
files_remove(const char* folder, const FileList* list);

#endif // QUINTFALL_SRC_WORKBOOK_FILES_H
