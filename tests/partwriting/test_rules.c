// SPDX-License-Identifier: MIT
#include "tsv.h"

#include "quintfall/rules.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { MAX_CHORDS = 16 };

/// A passage of block chords, or a rule's claim about one
typedef struct {
  QfRule      rule;
  bool        is_found;
  const char* chain;    ///< As qf_links_parse() reads it
  const char* voicings; ///< Soprano to bass, chords parted by ';'
} RuleCase;

// With the cases of partwriting_cases.json one keeps each rule, and two break it.
static const RuleCase rule_cases[] = {
  // IBMT 10b; OMT First species.
  {QF_RULE_CROSSING, false, "C: I", "G4 E4 C4 C3"},
  {QF_RULE_CROSSING, true, "C: I", "E4 G4 C4 C3"},
  {QF_RULE_CROSSING, true, "C: V I6", "D5 G4 B3 G3; C5 G4 C4 E4"},
  // IBMT 10b; OMT between the outer voices.
  {QF_RULE_CONTRARY_OCTAVES, false, "C: I V", "C5 G4 E4 C3; B4 G4 D4 G3"},
  {QF_RULE_CONTRARY_OCTAVES, true, "C: I V", "C5 G4 E4 C3; G4 D4 B3 G3"},
  {QF_RULE_CONTRARY_FIFTHS, false, "C: I ii", "G4 E4 C4 C3; F4 D4 A3 D3"},
  {QF_RULE_CONTRARY_FIFTHS, true, "C: I ii", "G4 E4 C4 C3; A4 F4 A3 D2"},
  // IBMT 6b, 10b: never double the seventh.
  {QF_RULE_SEVENTH_DOUBLED, false, "C: V7 I", "F4 D4 B3 G3; E4 C4 C4 C3"},
  {QF_RULE_SEVENTH_DOUBLED, true, "C: V42 I6", "F4 D4 B3 F3; E4 C4 C4 E3"},
  // MT21C, Rules of Melody.
  {QF_RULE_AUGMENTED_FOURTH, false, "C: IV V6", "A4 F4 C4 F3; G4 D4 G3 B2"},
  {QF_RULE_AUGMENTED_FOURTH, true, "C: IV V6", "A4 F4 C4 F2; G4 D4 G3 B2"},
  {QF_RULE_AUGMENTED_LEAP, false, "c: V i", "B4 G4 D4 G3; C5 G4 Eb4 C3"},
  {QF_RULE_AUGMENTED_LEAP, true, "c: i V", "Eb4 C4 G3 C3; B4 D4 G3 G3"},
  {QF_RULE_AUGMENTED_LEAP, true, "c: V i", "B4 D4 G3 G3; Eb4 C4 G3 C3"},
  // IBMT 6b: only the fifth may be left out.
  {QF_RULE_MISSING_THIRD, false, "C: V7 I", "D5 B4 F4 G3; C5 C5 E4 C3"},
  {QF_RULE_MISSING_THIRD, true, "C: V7 I", "D5 G4 F4 G3; E5 G4 E4 C3"},
  // IBMT 6b: nothing but the fifth, so not the seventh or the root either.
  {QF_RULE_MISSING_NOTE, false, "C: V7 I", "B4 G4 F4 G3; C5 G4 E4 C3"},
  {QF_RULE_MISSING_NOTE, true, "C: V7 I", "D5 B4 G4 G3; C5 C5 E4 C3"},
  {QF_RULE_MISSING_NOTE, true, "C: V65 I", "D5 D5 F4 B3; C5 C5 E4 C4"},
  // MT21C: root or fifth, not the bass, but for chains of sixth chords and diminished ones; OMT
  // allows the bass where it is a strong degree.
  {QF_RULE_DOUBLED_THIRD_IN_BASS, false, "C: V I6", "D5 G4 B3 G3; C5 G4 C4 E3"},
  {QF_RULE_DOUBLED_THIRD_IN_BASS, true, "C: V I6", "D5 G4 B3 G3; E5 G4 C4 E3"},
  {QF_RULE_DOUBLED_THIRD_IN_BASS, true, "C: I IV6", "C5 G4 E4 C3; C5 A4 F4 A2"},
  {QF_RULE_DOUBLED_THIRD_IN_BASS, true, "C: IV6 I", "C5 A4 F4 A3; C5 G4 E4 C4"},
  {QF_RULE_DOUBLED_THIRD_IN_BASS, false, "C: ii6 viio6 I6",
   "D5 A4 D4 F3; D5 F4 B3 D3; C5 E4 C4 E3"},
  {QF_RULE_DOUBLED_THIRD_IN_BASS, false, "C: V viio6 I", "D5 G4 B3 G3; D5 F4 B3 D3; C5 E4 C4 C3"},
  // MT21C; OMT: a six-four doubles its bass.
  {QF_RULE_SIX_FOUR_DOUBLING, false, "C: I V64 I6", "E5 G4 C4 C3; D5 G4 B3 D3; C5 G4 C4 E3"},
  {QF_RULE_SIX_FOUR_DOUBLING, true, "C: I V64 I6", "G4 E4 C4 C3; G4 G4 B3 D3; G4 G4 C4 E3"},
  // common practice: a unison is thin, but no more than that.
  {QF_RULE_UNISON, false, "C: I V", "C5 G4 E4 C3; B4 G4 D4 G3"},
  {QF_RULE_UNISON, true, "C: I V", "C5 E4 E4 C3; B4 D4 D4 G3"},
  {QF_RULE_UNISON, true, "C: I V", "C5 C5 E4 C3; B4 G4 D4 G3"},
  // common practice: F-B is answered by C, inside the diminished fifth.
  {QF_RULE_DIMINISHED_LEAP, false, "C: ii6 V6 I", "A4 D4 A3 F3; G4 D4 G3 B2; G4 E4 G3 C3"},
  {QF_RULE_DIMINISHED_LEAP, true, "C: ii6 V6 IV", "A4 D4 A3 F3; G4 D4 G3 B2; A4 F4 C4 F3"},
  {QF_RULE_DIMINISHED_LEAP, true, "C: ii6 V6 vi", "A4 D4 A3 F3; G4 D4 G3 B2; A4 E4 C4 A2"},
  // MT21C, Rules of Melody: leaps larger than a fourth turn back.
  {QF_RULE_LEAP_RECOVERY, false, "C: I I6 V", "C4 C4 G3 C3; A4 E4 C4 E3; G4 D4 B3 G3"},
  {QF_RULE_LEAP_RECOVERY, true, "C: I I6 V", "C4 C4 G3 C3; G4 C4 G3 E3; B4 D4 B3 G3"},
  {QF_RULE_LEAP_RECOVERY, true, "C: I I6 ii6", "G5 E5 C4 C3; C5 G4 C4 E3; A4 F4 D4 F3"},
  // common practice: two fourths in one direction make a seventh; third and fourth a sixth.
  {QF_RULE_COMPOUND_LEAP, false, "C: I IV I", "C4 C4 G3 C3; F4 C4 A3 F3; A4 C4 G3 C3"},
  {QF_RULE_COMPOUND_LEAP, true, "C: I IV vii", "C4 C4 G3 C3; F4 C4 A3 F3; B4 D4 B3 B2"},
  {QF_RULE_COMPOUND_LEAP, true, "C: V I6 IV", "D5 G4 B3 G3; G4 G4 C4 E3; C4 F4 A3 F3"},
  // OMT: altered notes are not doubled; the Italian sixth doubles the tonic.
  {QF_RULE_ALTERED_DOUBLED, false, "a: It6 V", "D#5 A4 A3 F3; E5 G#4 B3 E3"},
  {QF_RULE_ALTERED_DOUBLED, true, "a: It6 V", "D#5 A4 D#4 F3; E5 B4 E4 E3"},
  {QF_RULE_ALTERED_DOUBLED, true, "a: It6 V", "F4 D#4 A3 F3; G#4 E4 B3 E3"},
  // MT21C, Types of Six-Four Chords: passing; a leap to and from the bass is none of them.
  {QF_RULE_SIX_FOUR_USE, false, "C: I V64 I6", "E5 G4 C4 C3; D5 G4 B3 D3; C5 G4 C4 E3"},
  {QF_RULE_SIX_FOUR_USE, false, "C: I IV64 I", "G4 E4 C4 C3; A4 F4 C4 C3; G4 E4 C4 C3"},
  {QF_RULE_SIX_FOUR_USE, true, "C: I ii64 V", "E4 C4 G3 C3; F4 D4 A3 A2; D4 B3 G3 G3"},
  {QF_RULE_SIX_FOUR_USE, true, "C: V vi64 IV", "G4 D4 B3 G2; A4 E4 C4 E3; A4 F4 C4 A3"},
  // OMT, Cadence types: six and four above the fifth degree fall to five and three.
  {QF_RULE_CADENTIAL_RESOLUTION, false, "C: Cad64 V I", "E5 C5 G4 G3; D5 B4 G4 G3; C5 C5 E4 C3"},
  {QF_RULE_CADENTIAL_RESOLUTION, true, "C: Cad64 V I", "E5 C5 G4 G3; G5 B4 D4 G3; G5 C5 E4 C3"},
  {QF_RULE_CADENTIAL_RESOLUTION, true, "C: Cad64 V I", "C5 G4 E4 G3; D5 G4 B3 G3; C5 G4 C4 C3"},
  // OMT, Augmented sixth chords: outward to the octave; or the upper note a semitone down.
  {QF_RULE_AUGMENTED_SIXTH_RESOLUTION, false, "a: Fr43 V", "D#5 B4 A3 F3; E5 B4 G#3 E3"},
  {QF_RULE_AUGMENTED_SIXTH_RESOLUTION, true, "a: Fr43 V", "D#5 B4 A3 F3; B4 G#4 B3 E3"},
  {QF_RULE_AUGMENTED_SIXTH_RESOLUTION, true, "a: It6 V6", "D#5 A4 A3 F3; E5 B4 B3 G#3"},
  // OMT, Neapolitan: the lowered second degree falls to the leading tone.
  {QF_RULE_NEAPOLITAN_RESOLUTION, false, "a: N6 V", "Bb4 F4 D4 D3; G#4 E4 B3 E3"},
  {QF_RULE_NEAPOLITAN_RESOLUTION, true, "a: N6 V", "Bb4 F4 D4 D3; B4 E4 G#3 E3"},
  {QF_RULE_NEAPOLITAN_RESOLUTION, true, "a: N6 V", "F4 Bb3 Bb3 D3; G#4 E4 B3 E3"},
  // common practice: both are warnings, as the position of the second chord leaves no other way.
  {QF_RULE_SEVENTH_RESOLUTION, true, "C: ii7 V65", "F4 C4 A3 D3; G4 D4 G3 B2"},
  {QF_RULE_SEVENTH_RESOLUTION, false, "C: ii42 V65", "A4 F4 D4 C3; G4 F4 D4 B2"},
  {QF_RULE_CROSS_RELATION, true, "c: i V65/iv", "C5 G4 Eb4 C3; C5 G4 Bb3 E3"},
  {QF_RULE_CROSS_RELATION, false, "c: i6 V65/iv", "C5 G4 C4 Eb3; C5 G4 Bb3 E3"},
  // common practice: the downbeat wants a new bass. Three beats a bar.
  {QF_RULE_BASS_OVER_BAR, false, "C: I vi IV V",
   "E4 C4 G3 C3; E4 C4 A3 A2; F4 C4 A3 F2; "
   "D4 B3 G3 G2"},
  {QF_RULE_BASS_OVER_BAR, true, "C: I V I IV64",
   "E4 C4 G3 C3; D4 B3 G3 G2; E4 C4 G3 C3; "
   "F4 C4 A3 C3"},
  {QF_RULE_BASS_OVER_BAR, true, "C: I IV ii6 IV V42/V",
   "E4 C4 G3 C3; F4 C4 A3 F2; A4 D4 A3 F3; "
   "A4 C4 A3 F3; F#4 D4 A3 C3"},
};

typedef struct {
  QfScore* score;
  QfLinks  links;
} Passage;

static Passage
passage_of(const char* const chain, const char* const voicings)
{
  Passage passage;
  QfMetre metre;
  QfError error = {0};
  qf_metre(3, 4, &metre);
  if (qf_links_parse(chain, NULL, metre, &passage.links, &error)) {
    fail_msg("%s: %s", chain, error.text);
  }
  for (size_t i = 0; i < passage.links.n_links; ++i) {
    passage.links.links[i].start    = qf_time((int64_t)i, 4);
    passage.links.links[i].duration = qf_time(1, 4);
  }
  passage.score = qf_score_new_satb(passage.links.key, metre, QF_TIME_ZERO, 2);
  assert_non_null(passage.score);

  char text[256];
  snprintf(text, sizeof(text), "%s", voicings);
  size_t n = 0;
  for (char* note = strtok(text, " ;"); note; note = strtok(NULL, " ;"), ++n) {
    QfPitch pitch = {0, 0, 0};
    assert_int_equal(qf_pitch_parse(note, &pitch, NULL), QF_OK);
    assert_int_equal(qf_score_put_note(passage.score, n % QF_SATB,
                                       qf_time((int64_t)(n / QF_SATB), 4), qf_time(1, 4), pitch,
                                       QF_NO_NOTE, NULL),
                     QF_OK);
  }
  assert_int_equal(n, QF_SATB * passage.links.n_links);
  return passage;
}

static void
passage_clear(Passage* const passage)
{
  qf_links_clear(&passage->links);
  qf_score_free(passage->score);
}

static QfFindings
check(const Passage* const passage, const QfProfile profile)
{
  QfFindings findings = {0};
  assert_int_equal(qf_check_links(passage->score, passage->links.links, passage->links.n_links,
                                  profile, &findings, NULL),
                   QF_OK);
  return findings;
}

static size_t
count_rule(const QfFindings* const findings, const QfRule rule)
{
  size_t n = 0;
  for (size_t i = 0; i < findings->n_findings; ++i) {
    n += findings->findings[i].rule == rule;
  }
  return n;
}

static void
test_rules_find_what_breaks_them_only(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(rule_cases) / sizeof(rule_cases[0]); ++i) {
    const RuleCase* const row      = &rule_cases[i];
    Passage               passage  = passage_of(row->chain, row->voicings);
    QfFindings            findings = check(&passage, QF_PROFILE_STRICT);
    if ((count_rule(&findings, row->rule) > 0) != row->is_found) {
      fail_msg("%s: %s is %s in %s", row->chain, qf_rule_get_text(row->rule)->id,
               row->is_found ? "missed" : "found", row->voicings);
    }
    qf_findings_clear(&findings);
    passage_clear(&passage);
  }
}

/// Every rule says what it is, why, and where it stands
static void
test_rules_speak_whole_sentences(void** state)
{
  (void)state;
  for (int r = 0; r < QF_RULE_N_KINDS; ++r) {
    const QfRuleText* const rule = qf_rule_get_text((QfRule)r);
    assert_non_null(rule->id);
    assert_int_equal(rule->statement[strlen(rule->statement) - 1U], '.');
    assert_int_equal(rule->reason[strlen(rule->reason) - 1U], '.');
    assert_true(strlen(rule->source) > 3);
    // A milder profile is never more severe
    assert_true(rule->severity[QF_PROFILE_STRICT] >= rule->severity[QF_PROFILE_COMMON]);
    assert_true(rule->severity[QF_PROFILE_COMMON] >= rule->severity[QF_PROFILE_FREE]);
    for (int other = 0; other < r; ++other) {
      assert_string_not_equal(rule->id, qf_rule_get_text((QfRule)other)->id);
    }
  }
}

// Source: tests/data/references/applied_chains.tsv: 90 faultless chains, whose only remarks are
// the fifths their incomplete chords lack.
static void
test_applied_chains_lack_only_fifths(void** state)
{
  (void)state;
  static const char* const voices[QF_SATB] = {"S", "A", "T", "B"};

  Tsv    chains   = tsv_open("applied_chains");
  size_t n_chains = 0;
  for (size_t row = 0; row < chains.n_rows; ++n_chains) {
    const char* const number = tsv_cell(&chains, row, "chain_no");
    char              name[32];
    QfMetre           metre;
    QfKey             key;
    QfLink            links[MAX_CHORDS];
    size_t            n         = 0;
    size_t            n_lacking = 0;
    snprintf(name, sizeof(name), "%s %s", tsv_cell(&chains, row, "key"),
             tsv_cell(&chains, row, "mode"));
    assert_int_equal(qf_key_parse(name, &key, NULL), QF_OK);
    qf_metre(4, 4, &metre);
    QfScore* const score = qf_score_new_satb(key, metre, QF_TIME_ZERO, 4);
    for (; row < chains.n_rows && !strcmp(tsv_cell(&chains, row, "chain_no"), number); ++row, ++n) {
      const QfTime start = qf_time((int64_t)n, 4);
      links[n]           = (QfLink){.key = key, .start = start, .duration = qf_time(1, 4)};
      qf_numeral_parse(tsv_cell(&chains, row, "numeral"), key.mode, &links[n].numeral, NULL);
      QfPitch bass = {0, 0, 0}; // The root: the triads are in root position
      qf_pitch_parse(tsv_cell(&chains, row, "B"), &bass, NULL);
      const char* const kind      = tsv_cell(&chains, row, "voicing");
      const bool        has_fifth = strcmp(kind, "incomplete") != 0;
      bool              is_bare   = !strcmp(kind, "triad"); // Complete or not, the table is silent
      for (size_t v = 0; v < QF_SATB; ++v) {
        QfPitch pitch = {0, 0, 0};
        qf_pitch_parse(tsv_cell(&chains, row, voices[v]), &pitch, NULL);
        is_bare &= pitch.letter != (bass.letter + 4) % 7;
        qf_score_put_note(score, v, start, qf_time(1, 4), pitch, QF_NO_NOTE, NULL);
      }
      n_lacking += !has_fifth || is_bare;
    }

    for (int p = 0; p < QF_PROFILE_N_KINDS; ++p) {
      QfFindings findings  = {0};
      size_t     n_unisons = 0;
      assert_int_equal(qf_check_links(score, links, n, (QfProfile)p, &findings, NULL), QF_OK);
      for (size_t i = 0; i < findings.n_findings; ++i) {
        if (findings.findings[i].rule == QF_RULE_UNISON) {
          ++n_unisons; // The table's rules do not speak of them
        } else if (findings.findings[i].rule != QF_RULE_MISSING_FIFTH) {
          fail_msg("chain %s in %s, %s: %s", number, name, qf_profile_name((QfProfile)p),
                   findings.findings[i].text);
        }
      }
      assert_int_equal(findings.n_findings - n_unisons, p == QF_PROFILE_FREE ? 0 : n_lacking);
      qf_findings_clear(&findings);
    }
    qf_score_free(score);
  }
  assert_int_equal(n_chains, 90);
  tsv_free(&chains);
}

/// A note in a texture that is not block chords
typedef struct {
  int         voice;
  int         start; ///< Eighths
  int         length;
  const char* pitch;
} Note;

typedef struct {
  const char* label;
  const char* chain; ///< Lengths in quarters
  Note        notes[24];
  int         fermata; ///< Eighth that carries one, or -1
  QfRule      rule;
  size_t      n_found; ///< In common
} Texture;

// Rules: those of the table, read for figuration (common practice).
static const Texture textures[] = {
  {"the seventh is held over and falls late",
   "C: V7(2) I(2)",
   {{0, 0, 4, "B4"},
    {0, 4, 4, "C5"},
    {1, 0, 6, "F4"},
    {1, 6, 2, "E4"},
    {2, 0, 4, "D4"},
    {2, 4, 4, "C4"},
    {3, 0, 4, "G3"},
    {3, 4, 4, "C3"}},
   -1,
   QF_RULE_SEVENTH_RESOLUTION,
   0},
  {"the seventh is held over and rises",
   "C: V7(2) I(2)",
   {{0, 0, 4, "B4"},
    {0, 4, 4, "C5"},
    {1, 0, 6, "F4"},
    {1, 6, 2, "G4"},
    {2, 0, 4, "D4"},
    {2, 4, 4, "E4"},
    {3, 0, 4, "G3"},
    {3, 4, 4, "C3"}},
   -1,
   QF_RULE_SEVENTH_RESOLUTION,
   1},
  {"another voice takes the seventh over",
   "C: V7(1) V42(1) I6(2)",
   {{0, 0, 2, "B4"},
    {0, 2, 2, "B4"},
    {0, 4, 4, "C5"},
    {1, 0, 2, "F4"},
    {1, 2, 2, "G4"},
    {1, 4, 4, "G4"},
    {2, 0, 2, "D4"},
    {2, 2, 2, "D4"},
    {2, 4, 4, "C4"},
    {3, 0, 2, "G3"},
    {3, 2, 2, "F3"},
    {3, 4, 4, "E3"}},
   -1,
   QF_RULE_SEVENTH_RESOLUTION,
   0},
  {"nobody takes the seventh over",
   "C: V7(1) V(1) I(2)",
   {{0, 0, 2, "B4"},
    {0, 2, 2, "B4"},
    {0, 4, 4, "C5"},
    {1, 0, 2, "F4"},
    {1, 2, 2, "G4"},
    {1, 4, 4, "G4"},
    {2, 0, 2, "D4"},
    {2, 2, 2, "D4"},
    {2, 4, 4, "E4"},
    {3, 0, 4, "G3"},
    {3, 4, 4, "C3"}},
   -1,
   QF_RULE_SEVENTH_RESOLUTION,
   1},
  {"a leading tone doubled in passing",
   "C: V(2) I(2)",
   {{0, 0, 4, "B4"},
    {0, 4, 4, "C5"},
    {1, 0, 4, "G4"},
    {1, 4, 4, "G4"},
    {2, 0, 2, "D4"},
    {2, 2, 1, "C4"},
    {2, 3, 1, "B3"},
    {2, 4, 4, "E4"},
    {3, 0, 4, "G3"},
    {3, 4, 4, "C3"}},
   -1,
   QF_RULE_LEADING_TONE_DOUBLED,
   0},
  {"a leading tone doubled for a beat",
   "C: V(2) I(2)",
   {{0, 0, 4, "B4"},
    {0, 4, 4, "C5"},
    {1, 0, 4, "G4"},
    {1, 4, 4, "G4"},
    {2, 0, 2, "D4"},
    {2, 2, 2, "B3"},
    {2, 4, 4, "E4"},
    {3, 0, 4, "G3"},
    {3, 4, 4, "C3"}},
   -1,
   QF_RULE_LEADING_TONE_DOUBLED,
   1},
  {"a suspended third comes late",
   "C: V(2) I(2)",
   {{0, 0, 4, "D5"},
    {0, 4, 4, "C5"},
    {1, 0, 2, "C5"},
    {1, 2, 2, "B4"},
    {1, 4, 4, "C5"},
    {2, 0, 4, "G4"},
    {2, 4, 4, "E4"},
    {3, 0, 4, "G3"},
    {3, 4, 4, "C3"}},
   -1,
   QF_RULE_MISSING_THIRD,
   0},
  {"parallel fifths between passing notes",
   "C: I(2) I(2)",
   {{0, 0, 3, "G4"},
    {0, 3, 1, "A4"},
    {0, 4, 4, "G4"},
    {1, 0, 8, "E4"},
    {2, 0, 3, "C4"},
    {2, 3, 1, "D4"},
    {2, 4, 4, "C4"},
    {3, 0, 8, "C3"}},
   -1,
   QF_RULE_PARALLEL_FIFTHS,
   2},
  {"parallel fifths over a fermata",
   "C: I(2) ii(2)",
   {{0, 0, 4, "C5"},
    {0, 4, 4, "D5"},
    {1, 0, 4, "E4"},
    {1, 4, 4, "F4"},
    {2, 0, 4, "G3"},
    {2, 4, 4, "A3"},
    {3, 0, 4, "C3"},
    {3, 4, 4, "D3"}},
   0,
   QF_RULE_PARALLEL_FIFTHS,
   0},
  {"the same without the fermata",
   "C: I(2) ii(2)",
   {{0, 0, 4, "C5"},
    {0, 4, 4, "D5"},
    {1, 0, 4, "E4"},
    {1, 4, 4, "F4"},
    {2, 0, 4, "G3"},
    {2, 4, 4, "A3"},
    {3, 0, 4, "C3"},
    {3, 4, 4, "D3"}},
   -1,
   QF_RULE_PARALLEL_FIFTHS,
   1},
};

static void
test_figuration_is_read_with_sense(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(textures) / sizeof(textures[0]); ++i) {
    const Texture* const texture = &textures[i];
    QfMetre              metre;
    Passage              passage;
    qf_metre(4, 4, &metre);
    assert_int_equal(qf_links_parse(texture->chain, NULL, metre, &passage.links, NULL), QF_OK);
    passage.score = qf_score_new_satb(passage.links.key, metre, QF_TIME_ZERO, 1);
    for (const Note* note = texture->notes; note->pitch; ++note) {
      QfPitch pitch = {0, 0, 0};
      assert_int_equal(qf_pitch_parse(note->pitch, &pitch, NULL), QF_OK);
      assert_int_equal(qf_score_put_note(passage.score, (size_t)note->voice,
                                         qf_time(note->start, 8), qf_time(note->length, 8), pitch,
                                         QF_NO_NOTE, NULL),
                       QF_OK);
    }
    if (texture->fermata >= 0) {
      assert_int_equal(qf_score_set_fermata(passage.score, qf_time(texture->fermata, 8), true),
                       QF_OK);
    }
    QfFindings   findings = check(&passage, QF_PROFILE_COMMON);
    const size_t n        = count_rule(&findings, texture->rule);
    if (n != texture->n_found) {
      fail_msg("%s: %zu findings of %s", texture->label, n, qf_rule_get_text(texture->rule)->id);
    }
    qf_findings_clear(&findings);
    passage_clear(&passage);
  }
}

/// Any notes at all are judged without harm, and a profile finds no more than a stricter one
static void
test_random_notes_are_judged_without_harm(void** state)
{
  (void)state;
  unsigned seed = 7;
  for (int round = 0; round < 200; ++round) {
    QfMetre metre;
    QfLink  links[8];
    qf_metre(4, 4, &metre);
    QfScore* const score = qf_score_new_satb((QfKey){{0, 0}, QF_MAJOR}, metre, QF_TIME_ZERO, 2);
    for (size_t i = 0; i < 8; ++i) {
      static const char* const numerals[] = {"I",  "V7",    "viio7/V", "Ger65",
                                             "N6", "Cad64", "ii42",    "V+"};
      seed                                = seed * 1103515245U + 12345U;
      links[i]                            = (QfLink){.key      = {{0, 0}, QF_MAJOR},
                                                     .start    = qf_time((int64_t)i, 4),
                                                     .duration = qf_time(1, seed >> 29U ? 4 : 8)};
      assert_int_equal(
        qf_numeral_parse(numerals[(seed >> 16U) % 8U], QF_MAJOR, &links[i].numeral, NULL), QF_OK);
    }
    for (size_t n = 0; n < 40; ++n) {
      seed                = seed * 1103515245U + 12345U;
      const QfPitch pitch = {(int8_t)((seed >> 8U) % 7U), (int8_t)((seed >> 12U) % 5U) - 2,
                             (int8_t)(2U + (seed >> 16U) % 4U)};
      qf_score_put_note(score, (seed >> 20U) % 4U, qf_time((seed >> 22U) % 16U, 8),
                        qf_time(1U + (seed >> 28U) % 4U, 8), pitch, QF_NO_NOTE, NULL);
    }

    size_t n_errors[QF_PROFILE_N_KINDS];
    for (int p = 0; p < QF_PROFILE_N_KINDS; ++p) {
      QfFindings findings = {0};
      assert_int_equal(qf_check_links(score, links, 8, (QfProfile)p, &findings, NULL), QF_OK);
      n_errors[p] = qf_findings_count(&findings, QF_SEVERITY_ERROR);
      for (size_t i = 0; i < findings.n_findings; ++i) {
        const QfFinding* const finding = &findings.findings[i];
        assert_true(finding->severity != QF_SEVERITY_OFF);
        assert_int_equal(finding->text[strlen(finding->text) - 1U], '.');
        assert_true(finding->n_notes > 0);
        assert_true(qf_time_compare(finding->from, finding->to) <= 0);
        for (size_t k = 0; k < finding->n_voices; ++k) {
          const char* const name = qf_score_get_voice(score, finding->voices[k])->name;
          assert_non_null(strstr(finding->text, name));
        }
        for (size_t k = 0; k < finding->n_notes; ++k) {
          assert_non_null(qf_score_find_note(score, finding->notes[k], NULL));
        }
        if (p == QF_PROFILE_COMMON && i < 2) {
          QfMend mend = {0};
          assert_int_equal(qf_find_mend_links(score, links, 8, (QfProfile)p, finding, &mend),
                           QF_OK);
        }
      }
      qf_findings_clear(&findings);
    }
    assert_true(n_errors[QF_PROFILE_STRICT] >= n_errors[QF_PROFILE_COMMON]);
    assert_true(n_errors[QF_PROFILE_COMMON] >= n_errors[QF_PROFILE_FREE]);
    qf_score_free(score);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_rules_find_what_breaks_them_only),
    cmocka_unit_test(test_rules_speak_whole_sentences),
    cmocka_unit_test(test_applied_chains_lack_only_fifths),
    cmocka_unit_test(test_figuration_is_read_with_sense),
    cmocka_unit_test(test_random_notes_are_judged_without_harm),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
