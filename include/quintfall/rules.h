// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_RULES_H
#define QUINTFALL_RULES_H

#include "quintfall/label.h"
#include "quintfall/realise.h"

/// How severely rules are taken
typedef enum {
  QF_PROFILE_STRICT, ///< An examiner's exercise
  QF_PROFILE_COMMON, ///< Common practice
  QF_PROFILE_FREE,   ///< Only what sounds wrong
  QF_PROFILE_N_KINDS
} QfProfile;

typedef enum {
  QF_SEVERITY_OFF, ///< Nothing is reported
  QF_SEVERITY_INFO,
  QF_SEVERITY_WARNING,
  QF_SEVERITY_ERROR,
} QfSeverity;

/// Rules of part-writing; each is a line of a table in src/partwriting/rule_table.c
typedef enum {
  QF_RULE_RANGE,
  QF_RULE_SPACING,
  QF_RULE_CROSSING,
  QF_RULE_UNISON,
  QF_RULE_OVERLAP,
  QF_RULE_PARALLEL_FIFTHS,
  QF_RULE_PARALLEL_OCTAVES,
  QF_RULE_CONTRARY_FIFTHS,
  QF_RULE_CONTRARY_OCTAVES,
  QF_RULE_DIRECT_FIFTHS,
  QF_RULE_DIRECT_OCTAVES,
  QF_RULE_UNEQUAL_FIFTHS,
  QF_RULE_LEADING_TONE_DOUBLED,
  QF_RULE_LEADING_TONE_RESOLUTION,
  QF_RULE_SEVENTH_DOUBLED,
  QF_RULE_SEVENTH_RESOLUTION,
  QF_RULE_AUGMENTED_SECOND,
  QF_RULE_AUGMENTED_FOURTH,
  QF_RULE_AUGMENTED_LEAP,
  QF_RULE_DIMINISHED_LEAP,
  QF_RULE_LARGE_LEAP,
  QF_RULE_LEAP_RECOVERY,
  QF_RULE_COMPOUND_LEAP,
  QF_RULE_CROSS_RELATION,
  QF_RULE_MISSING_THIRD,
  QF_RULE_MISSING_FIFTH,
  QF_RULE_MISSING_NOTE,
  QF_RULE_DOUBLED_THIRD,
  QF_RULE_DOUBLED_THIRD_IN_BASS,
  QF_RULE_ALTERED_DOUBLED,
  QF_RULE_SIX_FOUR_DOUBLING,
  QF_RULE_SIX_FOUR_USE,
  QF_RULE_CADENTIAL_RESOLUTION,
  QF_RULE_AUGMENTED_SIXTH_RESOLUTION,
  QF_RULE_NEAPOLITAN_RESOLUTION,
  QF_RULE_BASS_OVER_BAR,
  QF_RULE_N_KINDS
} QfRule;

/// What is said of a rule
typedef struct {
  const char* id;                           ///< "parallel_fifths"
  const char* statement;                    ///< One English sentence
  const char* reason;                       ///< Why it matters, one sentence
  const char* source;                       ///< Books that state it, or "common practice"
  QfSeverity  severity[QF_PROFILE_N_KINDS]; ///< Of the plain case; exceptions may be milder
} QfRuleText;

enum {
  QF_FINDING_MAX_VOICES = 4,
  QF_FINDING_MAX_NOTES  = 8,
  QF_FINDING_SIZE       = 240,
  QF_MEND_MAX_CHANGES   = 2,
};

/// A remark on some notes
typedef struct {
  QfRule     rule;
  QfSeverity severity;
  QfTime     from; ///< Where the first of the chords concerned begins
  QfTime     to;   ///< Where the last one begins; the same for a remark on one chord
  uint8_t    n_voices;
  uint8_t    voices[QF_FINDING_MAX_VOICES]; ///< From the highest; none if the chord is meant
  uint8_t    n_notes;
  uint32_t   notes[QF_FINDING_MAX_NOTES]; ///< In the first chord, then in the last
  char       text[QF_FINDING_SIZE];       ///< A plain English sentence with its full stop
} QfFinding;

/// Remarks in order of time
typedef struct {
  QfFinding* findings; ///< Owned
  size_t     n_findings;
} QfFindings;

/// Another pitch for a note
typedef struct {
  uint32_t note;
  QfPitch  pitch;
} QfNewPitch;

/// The least change that takes a finding away
typedef struct {
  size_t     n_changes; ///< 0 if there is none
  QfNewPitch changes[QF_MEND_MAX_CHANGES];
} QfMend;

const QfRuleText*
qf_rule_get_text(QfRule rule);

/// "strict", "common", "free"
const char*
qf_profile_name(QfProfile profile);

/// #QF_ERR_BAD_TEXT names the profiles there are
QfStatus
qf_profile_parse(const char* text, QfProfile* result, QfError* error);

/// "off", "info", "warning", "error"
const char*
qf_severity_name(QfSeverity severity);

/**
   Check a passage by the labels of its chords.

   Voices are those of the score, highest first; ranges are checked with three
   to five of them. Nothing is said of a join over a rest of all voices or after
   a fermata. Notes outside the chord count in motion, not in doubling.

   @param[out] result Set on success; to be cleared.
   @return #QF_OK or #QF_ERR_NO_MEM.
*/
QfStatus
qf_check(const QfScore*  score,
         const QfLabels* labels,
         QfProfile       profile,
         QfFindings*     result,
         QfError*        error);

/// Check a passage whose numerals are known; links in order of time, gaps allowed
QfStatus
qf_check_links(const QfScore* score,
               const QfLink*  links,
               size_t         n_links,
               QfProfile      profile,
               QfFindings*    result,
               QfError*       error);

void
qf_findings_clear(QfFindings* findings);

/// Number of findings of a severity
size_t
qf_findings_count(const QfFindings* findings, QfSeverity severity);

/**
   Look for the least change that takes a finding away.

   One note, then two, of those that sound where the finding is, go to other
   notes of their chords: the change that moves least, adds no error and no more
   warnings than it removes.
   @return #QF_OK, with no changes if there is no mend; #QF_ERR_NO_MEM.
*/
QfStatus
qf_find_mend(const QfScore*   score,
             const QfLabels*  labels,
             QfProfile        profile,
             const QfFinding* finding,
             QfMend*          result);

/// The same for a passage whose numerals are known
QfStatus
qf_find_mend_links(const QfScore*   score,
                   const QfLink*    links,
                   size_t           n_links,
                   QfProfile        profile,
                   const QfFinding* finding,
                   QfMend*          result);

#endif // QUINTFALL_RULES_H
