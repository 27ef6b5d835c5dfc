// SPDX-License-Identifier: MIT
#include "quintfall/realise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  const char* text;
  const char* metre;
  const char* pickup;
  const char* written; ///< "key numeral start duration" of each link, by commas
} LinksCase;

// Worked out by hand from the syntax in realise.h.
static const LinksCase cases[] = {
  {"A: vi V7/ii | ii V7 I(2)", "4/4", "0",
   "A vi 0 1/2,A V7/ii 1/2 1/2,A ii 1 1/4,A V7 5/4 1/4,A I 3/2 1/2"},
  {"C: I IV V | I", "4/4", "0", "C I 0 1/2,C IV 1/2 1/4,C V 3/4 1/4,C I 1 1"},
  {"C: V7(1) | I(3)", "3/4", "1/4", "C V7 0 1/4,C I 1/4 3/4"},
  {"C: V(1/2) V7(1/2) | I", "3/4", "1/4", "C V 0 1/8,C V7 1/8 1/8,C I 1/4 3/4"},
  {"a: i V6 i iv V", "3/4", "0", "a i 0 1/4,a V6 1/4 1/4,a i 1/2 1/4,a iv 3/4 1/4,a V 1 1/4"},
  {"C: I | vi G: ii | V7 I", "2/4", "0",
   "C I 0 1/2,C vi 1/2 1/4,G ii 3/4 1/4,G V7 1 1/4,G I 5/4 1/4"},
  {"f#: i V", "6/8", "0", "f# i 0 3/8,f# V 3/8 3/8"},
  {"C: V(1) | I ii", "5/8", "1/4", "C V 0 1/4,C I 1/4 3/8,C ii 5/8 1/4"},
  {"C: I(1.5) V(0.5) I(1)", "3/4", "0", "C I 0 3/8,C V 3/8 1/8,C I 1/2 1/4"},
  {"C: I ||", "3/4", "0", "C I 0 3/4"},
};

static void
write_links(const QfLinks* const links, char* const buffer, const size_t size)
{
  buffer[0] = '\0';
  for (size_t i = 0; i < links->n_links; ++i) {
    const QfLink* const link = &links->links[i];
    char                key[16];
    char                numeral[QF_NUMERAL_TEXT_SIZE];
    char                start[48];
    char                duration[48];
    qf_key_write_short(link->key, key, sizeof(key));
    qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
    qf_time_write(link->start, start, sizeof(start));
    qf_time_write(link->duration, duration, sizeof(duration));
    const size_t length = strlen(buffer);
    snprintf(buffer + length, size - length, "%s%s %s %s %s", i ? "," : "", key, numeral, start,
             duration);
  }
}

static void
test_chains_are_read_with_their_lengths(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    QfMetre metre;
    QfLinks links;
    QfError error = {0};
    char    written[512];
    char    pickup[48];
    assert_int_equal(qf_metre_parse(cases[i].metre, &metre, NULL), QF_OK);
    if (qf_links_parse(cases[i].text, NULL, metre, &links, &error)) {
      fail_msg("%s: %s", cases[i].text, error.text);
    }
    write_links(&links, written, sizeof(written));
    qf_time_write(links.pickup, pickup, sizeof(pickup));
    if (strcmp(written, cases[i].written) || strcmp(pickup, cases[i].pickup)) {
      fail_msg("%s: pickup %s, %s", cases[i].text, pickup, written);
    }
    qf_links_clear(&links);
  }
}

typedef struct {
  const char* text;
  size_t      offset;
  const char* words;
} BadCase;

static const BadCase bad_cases[] = {
  {"", 0, "no chord"},
  {"C:", 0, "no chord"},
  {"I V I", 0, "no key"},
  {"C: I Q7 I", 5, "Q7"},
  {"C: I V7x I", 7, "V7x"},
  {"C: I | V(0) I", 8, "more than 0"},
  {"C: I | V(2 I", 8, "')'"},
  {"C: I(a)", 4, "number"},
  {"C: I(1.25000)", 4, "number"},
  {"C: I | | V", 6, "empty"},
  {"C: I V I V I | I", 0, "more chords than beats"},
  {"C: I(5) | I", 0, "more chords than beats"},
  {"H: I", 0, "H"},
};

static void
test_a_fault_is_told_with_its_place(void** state)
{
  (void)state;
  QfMetre metre;
  qf_metre(4, 4, &metre);
  for (size_t i = 0; i < sizeof(bad_cases) / sizeof(bad_cases[0]); ++i) {
    QfLinks        links = {0};
    QfError        error = {0};
    const QfStatus st    = qf_links_parse(bad_cases[i].text, NULL, metre, &links, &error);
    if (st != QF_ERR_BAD_TEXT || error.offset != bad_cases[i].offset ||
        !strstr(error.text, bad_cases[i].words)) {
      fail_msg("\"%s\": %s at %zu: %s", bad_cases[i].text, qf_status_text(st), error.offset,
               error.text);
    }
  }
}

static void
test_a_key_can_come_from_outside(void** state)
{
  (void)state;
  const QfKey key = {{4, 0}, QF_MAJOR};
  QfMetre     metre;
  QfLinks     links;
  qf_metre(4, 4, &metre);
  assert_int_equal(qf_links_parse("I V", &key, metre, &links, NULL), QF_OK);
  assert_true(qf_key_equals(links.key, key));
  assert_true(qf_key_equals(links.links[1].key, key));
  qf_links_clear(&links);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_chains_are_read_with_their_lengths),
    cmocka_unit_test(test_a_fault_is_told_with_its_place),
    cmocka_unit_test(test_a_key_can_come_from_outside),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
