// SPDX-License-Identifier: MIT
#ifndef QF_QUESTION_PANE_H
#define QF_QUESTION_PANE_H

#include "quintfall/leading.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   Leading questions, one at a time: prompt, answer, hints, what is to be said.

   Signals: "shown" (place in the list) when a question comes on show, "replied"
   (place, text, is right, hints seen) after an answer that could be judged. Its
   buttons call `win.hint`, `win.next-question`, `win.question-before`,
   `win.answer-with-note` and `win.sing-answer`.
*/
#define QF_TYPE_QUESTION_PANE (qf_question_pane_get_type())
G_DECLARE_FINAL_TYPE(QfQuestionPane, qf_question_pane, QF, QUESTION_PANE, GtkWidget)

/**
   Show questions; dropped ones are left out.

   @param questions Copied.
   @param rubric Whose equalities count; copied.
*/
void
qf_question_pane_set_questions(QfQuestionPane*   self,
                               const QfQuestion* questions,
                               size_t            n_questions,
                               const QfRubric*   rubric);

/// Say why there are none
void
qf_question_pane_set_placeholder(QfQuestionPane* self, const char* text);

/// The question on show, or NULL
const QfQuestion*
qf_question_pane_get_current(const QfQuestionPane* self);

/// Go on or back; at the ends it stays
void
qf_question_pane_step(QfQuestionPane* self, int by);

/**
   Go on to the next question about a place, first those of the given layers.

   @param layers Bits of #QfLayer.
   @return FALSE if nothing is asked there.
*/
gboolean
qf_question_pane_go_to(QfQuestionPane* self, unsigned layers, QfTime time);

/// Give the keyboard to the list of stages
void
qf_question_pane_focus_stages(QfQuestionPane* self);

/// Give the keyboard to the answer: the first choice, or the entry
void
qf_question_pane_focus_answer(QfQuestionPane* self);

/// Show one more hint
void
qf_question_pane_give_hint(QfQuestionPane* self);

/// Answer the question on show; gives whether that was right
gboolean
qf_question_pane_answer(QfQuestionPane* self, const char* text);

G_END_DECLS

#endif // QF_QUESTION_PANE_H
