// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STUDY_MAKER_H
#define QUINTFALL_STUDY_MAKER_H

#include "quintfall/leading.h"

/// Questions being made
typedef struct {
  const QfLesson* lesson;
  const QfScore*  score;
  const QfLabels* labels;
  QfKey           home;
  QfQuestion*     questions; ///< Owned
  size_t          n_questions;
  size_t          capacity;
  QfStatus        status; ///< Once it is no success nothing more is added
} Maker;

/// A question about [start, end) with its identity "kind@start", without texts
QfQuestion
question_at(const Maker* maker,
            QfStage      stage,
            QfLayer      layer,
            QfAskForm    form,
            const char*  kind,
            QfTime       start,
            QfTime       end);

/// Set a text by a printf format, cut to its room
void
set_prompt(QfQuestion* question, const char* format, ...) __attribute__((format(printf, 2, 3)));

void
set_feedback(QfQuestion* question, const char* wrong, const char* right, ...)
  __attribute__((format(printf, 3, 4)));

void
add_hint(QfQuestion* question, const char* format, ...) __attribute__((format(printf, 2, 3)));

void
add_choice(QfQuestion* question, const char* choice);

void
add_answer(QfQuestion* question, const char* answer);

void
concern_note(QfQuestion* question, uint32_t note);

/// Add a finished question; one that has its identity already is left out
void
add_question(Maker* maker, const QfQuestion* question);

/// Said of a wrong answer
extern const char try_again[];

/// Tells in a prompt that degrees are counted in another key than the first; empty in that one
const char*
count_in(const Maker* maker, QfKey key);

/// "m3 b2"
void
name_place(const Maker* maker, QfTime time, char* buffer, size_t size);

/// "the soprano", "the alto", "voice 3"
void
name_voice(const Maker* maker, size_t voice, char* buffer, size_t size);

/// Degree of a note in a key as it is asked: "5", "#4"
void
name_degree(QfPitch pitch, QfKey key, char* buffer, size_t size);

QfLayer
layer_of_voice(const Maker* maker, size_t voice);

void
make_frame_questions(Maker* maker);

void
make_outer_questions(Maker* maker);

void
make_foreign_questions(Maker* maker);

void
make_quality_questions(Maker* maker);

void
make_function_questions(Maker* maker);

void
make_inner_questions(Maker* maker);

#endif // QUINTFALL_STUDY_MAKER_H
