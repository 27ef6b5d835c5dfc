// SPDX-License-Identifier: MIT
#include "musicxml_raw.h"
#include "mxl.h"

#include <stdlib.h>

static QfStatus
read_xml(const void* const data,
         const size_t      length,
         QfScore** const   result,
         QfImport* const   import,
         QfError* const    error)
{
  xmlDoc*  doc = NULL;
  QfStatus st  = qf_xml_parse(data, length, &doc, error);
  if (st) {
    return st;
  }

  QfRawScore raw     = {0};
  QfRemarks  remarks = {0};
  QfScore*   score   = NULL;
  st                 = qf_raw_parse(doc, &raw, &remarks, error);
  xmlFreeDoc(doc);
  if (!st) {
    st = qf_raw_build(&raw, &score, &remarks, error);
  }
  if (!st) {
    st = qf_remarks_tell(&remarks, import, error);
  }
  if (!st) {
    st = qf_raw_tell_figures(&raw, import, error);
  }
  qf_raw_clear(&raw);

  if (st) {
    qf_score_free(score);
  } else {
    *result = score;
  }
  return st;
}

QfStatus
qf_musicxml_read(const void* const data,
                 const size_t      length,
                 QfScore** const   result,
                 QfImport* const   import,
                 QfError* const    error)
{
  if (length == 0U) {
    return qf_error_set(error, QF_ERR_BAD_FILE, "the file is empty; expected MusicXML");
  }
  if (!qf_mxl_is(data, length)) {
    return read_xml(data, length, result, import, error);
  }

  void*    xml        = NULL;
  size_t   xml_length = 0U;
  QfStatus st         = qf_mxl_unpack(data, length, &xml, &xml_length, error);
  if (!st) {
    st = read_xml(xml, xml_length, result, import, error);
  }
  free(xml);
  return st;
}
