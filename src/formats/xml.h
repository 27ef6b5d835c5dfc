// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FORMATS_XML_H
#define QUINTFALL_FORMATS_XML_H

#include "quintfall/status.h"

#include <libxml/tree.h>

#include <stdbool.h>
#include <stdint.h>

/**
   Parse XML that nobody vouches for.

   Nothing is fetched, no DTD is read, and a document that declares entities is
   refused: MusicXML needs none, and they are how small files grow large.

   @return #QF_ERR_BAD_FILE with the line and what the parser expected.
*/
QfStatus
qf_xml_parse(const void* data, size_t length, xmlDoc** result, QfError* error);

bool
qf_xml_is(const xmlNode* node, const char* name);

/// First child element, of that name unless NULL; NULL if there is none
const xmlNode*
qf_xml_child(const xmlNode* parent, const char* name);

/// Next sibling element, of that name unless NULL; NULL if there is none
const xmlNode*
qf_xml_next(const xmlNode* node, const char* name);

/// Text of an element with space trimmed and runs made one; false and empty for NULL
bool
qf_xml_text(const xmlNode* node, char* buffer, size_t size);

/// Text of a child element; false and empty if there is none
bool
qf_xml_child_text(const xmlNode* parent, const char* name, char* buffer, size_t size);

/// Value of an attribute; false and empty if there is none
bool
qf_xml_attribute(const xmlNode* node, const char* name, char* buffer, size_t size);

bool
qf_xml_attribute_is(const xmlNode* node, const char* name, const char* value);

/// A decimal number as an exact fraction
typedef struct {
  int64_t num;
  int64_t den; ///< A power of ten
} QfDecimal;

/// Read "12", "-0.5", "+3": up to nine digits before the point, six after it count
bool
qf_decimal_parse(const char* text, QfDecimal* result);

/// Whole number of a child element, within bounds; false if missing, malformed or outside
bool
qf_xml_child_int(const xmlNode* parent, const char* name, int min, int max, int* result);

int
qf_xml_line(const xmlNode* node);

#endif // QUINTFALL_FORMATS_XML_H
