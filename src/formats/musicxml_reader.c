// SPDX-License-Identifier: MIT
#include "musicxml_reader.h"

#include <stdlib.h>

QfStatus
qf_raw_no_memory(QfError* const error)
{
  return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading MusicXML");
}

static int
measure_number(const QfRawReader* const reader)
{
  return reader->measure < reader->raw->n_measures ? reader->raw->measures[reader->measure].number
                                                   : -1;
}

QfStatus
qf_raw_place(const QfRawReader* const reader, const xmlNode* const node, const QfStatus st)
{
  qf_error_place(reader->error, qf_xml_line(node), measure_number(reader), NULL);
  return st;
}

void
qf_raw_remark(const QfRawReader* const reader, const QfRemarkKind kind)
{
  qf_remarks_add(reader->remarks, kind, measure_number(reader));
}

bool
qf_raw_reserve(void** const  data,
               const size_t  n_items,
               size_t* const capacity,
               const size_t  item_size)
{
  if (n_items < *capacity) {
    return true;
  }
  const size_t wanted = *capacity ? *capacity * 2U : 64U;
  void* const  more   = realloc(*data, wanted * item_size);
  if (more) {
    *data     = more;
    *capacity = wanted;
  }
  return more != NULL;
}
