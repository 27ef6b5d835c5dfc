// SPDX-License-Identifier: MIT
#include "passage.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// Source: tests/data/references/applied_chains.tsv, 90 chains in all 30 keys, voice leading after
// R. Hutchinson, Music Theory for the 21st-Century Classroom, "Voice Leading Chromatic Harmonies".

/// Rows of one chain, from `first` up to `end`
typedef struct {
  const Tsv* tsv;
  size_t     first;
  size_t     end;
} Rows;

static QfLabels*
label_rows(const Rows rows, const QfKey key, const QfTime duration, const bool may_modulate)
{
  Passage passage = passage_new(key, 4);

  for (size_t r = rows.first; r < rows.end; ++r) {
    const char* const pitches[] = {tsv_cell(rows.tsv, r, "S"), tsv_cell(rows.tsv, r, "A"),
                                   tsv_cell(rows.tsv, r, "T"), tsv_cell(rows.tsv, r, "B")};

    passage_add(&passage, pitches, duration);
  }

  QfLabels* const labels = passage_label(&passage, key, may_modulate);

  passage_free(&passage);
  return labels;
}

static void
check_labels(const Rows rows, const QfLabels* const labels)
{
  char got[400];

  labels_text(labels, got, sizeof(got));
  if (qf_labels_n_links(labels) != rows.end - rows.first) {
    fail_msg("chain %s: %s", tsv_cell(rows.tsv, rows.first, "chain_no"), got);
  }

  for (size_t r = rows.first; r < rows.end; ++r) {
    const QfLabel* const link          = qf_labels_get_link(labels, r - rows.first);
    const bool           is_incomplete = !strcmp(tsv_cell(rows.tsv, r, "voicing"), "incomplete");
    char                 text[QF_NUMERAL_TEXT_SIZE];

    if (strcmp(link_text(labels, r - rows.first, text), tsv_cell(rows.tsv, r, "numeral"))) {
      fail_msg("chain %s: %s", tsv_cell(rows.tsv, r, "chain_no"), got);
    }
    if (is_incomplete) {
      assert_int_equal(link->chord.omitted, 1U << 2U);
    }
    assert_int_equal(link->n_foreign, 0);
  }
}

/// The whole passage is one chain of dominants that arrives at its last chord
static void
check_chain(const Rows rows, const QfLabels* const labels)
{
  const size_t n = rows.end - rows.first;

  assert_int_equal(qf_labels_n_chains(labels), 1);

  const QfChain* const chain = qf_labels_get_chain(labels, 0);

  assert_int_equal(chain->kind, QF_CHAIN_APPLIED);
  assert_int_equal(chain->first, 0);
  assert_int_equal(chain->last, n - 2);
  assert_int_equal(chain->goal, n - 1);
  for (size_t i = 0; i + 1 < n; ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);

    assert_true(link->has_next && qf_root_motion_is_falling_fifth(link->motion));
    assert_int_equal(link->resolution, i + 2 < n ? QF_RESOLUTION_CHAINED : QF_RESOLUTION_KEPT);
  }
  if (n == 6) {
    assert_string_equal(chain->name,
                        "Chain of 5 dominant sevenths, 4 of them applied, falling by fifths, "
                        "from V7/iii to I");
  }
}

static void
for_each_chain(const QfTime duration, const bool may_modulate, const bool with_chain)
{
  Tsv    tsv      = tsv_open("applied_chains");
  size_t n_chains = 0;

  for (size_t first = 0; first < tsv.n_rows; ++n_chains) {
    const char* const no   = tsv_cell(&tsv, first, "chain_no");
    Rows              rows = {&tsv, first, first};

    while (rows.end < tsv.n_rows && !strcmp(tsv_cell(&tsv, rows.end, "chain_no"), no)) {
      ++rows.end;
    }

    const QfKey     key    = key_of(tsv_cell(&tsv, first, "key"), tsv_cell(&tsv, first, "mode"));
    QfLabels* const labels = label_rows(rows, key, duration, may_modulate);

    check_labels(rows, labels);
    if (with_chain) {
      check_chain(rows, labels);
    }
    qf_labels_free(labels);
    first = rows.end;
  }

  assert_int_equal(n_chains, 90);
  tsv_free(&tsv);
}

static void
test_chains_are_labelled_in_one_key(void** state)
{
  (void)state;
  for_each_chain(qf_time(1, 4), false, true);
}

static void
test_chains_are_labelled_in_any_note_value(void** state)
{
  (void)state;
  for_each_chain(qf_time(1, 1), false, true);
  for_each_chain(qf_time(1, 2), false, true);
  for_each_chain(qf_time(1, 8), false, true);
}

static void
test_chains_stay_in_the_declared_key(void** state)
{
  (void)state;
  for_each_chain(qf_time(1, 4), true, false);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_chains_are_labelled_in_one_key),
    cmocka_unit_test(test_chains_are_labelled_in_any_note_value),
    cmocka_unit_test(test_chains_stay_in_the_declared_key),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
