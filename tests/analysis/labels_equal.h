// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_LABELS_EQUAL_H
#define QUINTFALL_TESTS_LABELS_EQUAL_H

#include "quintfall/label.h"

/// What differs first between two labellings, in words; false if nothing does
bool
labels_differ(const QfLabels* a, const QfLabels* b, char* what, size_t size);

#endif // QUINTFALL_TESTS_LABELS_EQUAL_H
