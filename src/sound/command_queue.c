// SPDX-License-Identifier: MIT
#include "command_queue.h"

bool
qf_command_queue_push(QfCommandQueue* const queue, const QfCommand command)
{
  const unsigned n_pushed = atomic_load_explicit(&queue->n_pushed, memory_order_relaxed);
  const unsigned n_popped = atomic_load_explicit(&queue->n_popped, memory_order_acquire);
  if (n_pushed - n_popped == QF_COMMAND_QUEUE_SIZE) {
    return false;
  }

  queue->commands[n_pushed % QF_COMMAND_QUEUE_SIZE] = command;
  atomic_store_explicit(&queue->n_pushed, n_pushed + 1U, memory_order_release);
  return true;
}

bool
qf_command_queue_pop(QfCommandQueue* const queue, QfCommand* const command)
{
  const unsigned n_popped = atomic_load_explicit(&queue->n_popped, memory_order_relaxed);
  const unsigned n_pushed = atomic_load_explicit(&queue->n_pushed, memory_order_acquire);
  if (n_popped == n_pushed) {
    return false;
  }

  *command = queue->commands[n_popped % QF_COMMAND_QUEUE_SIZE];
  atomic_store_explicit(&queue->n_popped, n_popped + 1U, memory_order_release);
  return true;
}
