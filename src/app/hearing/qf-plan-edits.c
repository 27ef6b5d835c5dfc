// SPDX-License-Identifier: MIT
#include "qf-plan-private.h"

#include "common/qf-message.h"

enum {
  MAX_UNDO   = 100,
  ONE_CHANGE = 1500000, ///< Microseconds within which changes of a step's settings are one
};

//
// Back and forth
//

/// (transfer full)
static QfPlan*
dup_plan(const QfPlan* const plan)
{
  QfPlan* const copy = qf_plan_dup(plan);
  if (!copy) {
    g_error("out of memory"); // As GLib does
  }
  return copy;
}

static void
clear_queue(GQueue* const queue)
{
  g_queue_clear_full(queue, (GDestroyNotify)qf_plan_free);
}

void
qf_plan_edits_begin(QfPlanDialog* const self)
{
  g_queue_push_head(&self->done, dup_plan(self->plan));
  if (g_queue_get_length(&self->done) > MAX_UNDO) {
    qf_plan_free(g_queue_pop_tail(&self->done));
  }
  clear_queue(&self->undone);
  self->edited_step = SIZE_MAX;
}

/// Remember the plan before a change of a step's settings, unless it goes on with the last one
static void
begin_little_by_little(QfPlanDialog* const self, const size_t step)
{
  const gint64 now = g_get_monotonic_time();

  if (step != self->edited_step || now - self->edited_us > ONE_CHANGE) {
    qf_plan_edits_begin(self);
  }
  self->edited_step = step;
  self->edited_us   = now;
}

void
qf_plan_edits_take_step(QfPlanDialog* const self)
{
  const size_t index = qf_plan_list_get_chosen(self);
  if (index >= qf_plan_n_steps(self->plan)) {
    return;
  }

  begin_little_by_little(self, index);
  qf_plan_set_step(self->plan, index, qf_step_editor_get_step(self->editor));
  qf_plan_list_show_row(self, index);
  qf_plan_edits_show_actions(self);
}

void
qf_plan_edits_take_name(QfPlanDialog* const self)
{
  begin_little_by_little(self, QF_PLAN_MAX_STEPS); // No step has this index
  qf_plan_set_name(self->plan, gtk_editable_get_text(self->name));
  qf_plan_edits_show_actions(self);
}

/// The first step in which two plans differ
static size_t
first_difference(const QfPlan* const a, const QfPlan* const b)
{
  const size_t n = MIN(qf_plan_n_steps(a), qf_plan_n_steps(b));
  size_t       i = 0;
  while (i < n && qf_plan_step_equals(qf_plan_get_step(a, i), qf_plan_get_step(b, i))) {
    ++i;
  }
  return i;
}

static void
undo_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self    = data;
  const bool          is_undo = g_str_equal(g_action_get_name(G_ACTION(action)), "undo");
  GQueue* const       from    = is_undo ? &self->done : &self->undone;
  QfPlan* const       plan    = g_queue_pop_head(from);

  (void)parameter;
  if (plan) {
    const size_t last = qf_plan_n_steps(plan) ? qf_plan_n_steps(plan) - 1U : 0U;
    const size_t here = MIN(first_difference(self->plan, plan), last);

    g_queue_push_head(is_undo ? &self->undone : &self->done, self->plan);
    self->plan        = plan;
    self->edited_step = SIZE_MAX;
    qf_plan_dialog_show(self, here);
    qf_plan_list_focus(self);
  }
}

//
// Steps
//

static void
add_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self   = data;
  const size_t        n      = qf_plan_n_steps(self->plan);
  const size_t        chosen = qf_plan_list_get_chosen(self);
  const size_t        place  = chosen < n ? chosen + 1U : n;
  const QfStepKind    kind   = (QfStepKind)g_variant_get_int32(parameter);

  (void)action;
  qf_plan_edits_begin(self);
  if (qf_plan_insert_step(self->plan, place, qf_plan_step_default(kind))) {
    qf_message_toast(self->toasts, "A plan has at most 64 steps");
    return;
  }
  qf_plan_dialog_show(self, place);
  qf_plan_list_focus(self);
}

static void
remove_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  const size_t        index = qf_plan_list_get_chosen(self);

  (void)action;
  (void)parameter;
  qf_plan_edits_begin(self);
  qf_plan_remove_step(self->plan, index);
  qf_plan_dialog_show(self, index && index >= qf_plan_n_steps(self->plan) ? index - 1U : index);
  qf_plan_list_focus(self);
}

static void
copy_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  const size_t        index = qf_plan_list_get_chosen(self);

  (void)action;
  (void)parameter;
  qf_plan_edits_begin(self);
  if (qf_plan_insert_step(self->plan, index + 1U, *qf_plan_get_step(self->plan, index))) {
    qf_message_toast(self->toasts, "A plan has at most 64 steps");
    return;
  }
  qf_plan_dialog_show(self, index + 1U);
  qf_plan_list_focus(self);
}

void
qf_plan_edits_move(QfPlanDialog* const self, const size_t from, const size_t to)
{
  if (from == to) {
    return;
  }
  qf_plan_edits_begin(self);
  qf_plan_move_step(self->plan, from, to);
  qf_plan_dialog_show(self, to);
  qf_plan_list_focus(self);
}

static void
move_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  const size_t        index = qf_plan_list_get_chosen(self);
  const bool          is_up = g_str_equal(g_action_get_name(G_ACTION(action)), "up");

  (void)parameter;
  qf_plan_edits_move(self, index, is_up ? index - 1U : index + 1U);
}

static void
enable(QfPlanDialog* const self, const char* const name, const gboolean is_enabled)
{
  GAction* const action = g_action_map_lookup_action(G_ACTION_MAP(self->actions), name);
  g_simple_action_set_enabled(G_SIMPLE_ACTION(action), is_enabled);
}

void
qf_plan_edits_show_actions(QfPlanDialog* const self)
{
  const size_t index   = qf_plan_list_get_chosen(self);
  const size_t n_steps = qf_plan_n_steps(self->plan);
  enable(self, "add", n_steps < QF_PLAN_MAX_STEPS);
  enable(self, "copy",
         index < n_steps && n_steps < QF_PLAN_MAX_STEPS &&
           qf_plan_get_step(self->plan, index)->kind != QF_STEP_OTHER);
  enable(self, "remove", index < n_steps);
  enable(self, "up", index < n_steps && index > 0);
  enable(self, "down", index < n_steps && index + 1U < n_steps);
  enable(self, "undo", !g_queue_is_empty(&self->done));
  enable(self, "redo", !g_queue_is_empty(&self->undone));
}

void
qf_plan_edits_add_actions(QfPlanDialog* const self)
{
  static const GActionEntry entries[] = {
    {.name = "add", .activate = add_cb, .parameter_type = "i"},
    {.name = "copy", .activate = copy_cb},
    {.name = "remove", .activate = remove_cb},
    {.name = "up", .activate = move_cb},
    {.name = "down", .activate = move_cb},
    {.name = "undo", .activate = undo_cb},
    {.name = "redo", .activate = undo_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self->actions), entries, G_N_ELEMENTS(entries),
                                  self);
}

void
qf_plan_edits_clear(QfPlanDialog* const self)
{
  clear_queue(&self->done);
  clear_queue(&self->undone);
}
