// SPDX-License-Identifier: MIT
#include "qf-choices.h"

#include "qf-names.h"

static const char* const metres[] = {"2/4", "3/4", "4/4",  "2/2", "3/2", "4/2", "3/8",
                                     "6/8", "9/8", "12/8", "5/4", "7/8", NULL};

QfKey
qf_choice_key(const guint index)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  qf_key_from_fifths((int)(index % 15U) - 7, index < 15U ? QF_MAJOR : QF_MINOR, &key);
  return key;
}

guint
qf_choice_of_key(const QfKey key)
{
  return (guint)(qf_key_fifths(key) + 7) + (key.mode == QF_MINOR ? 15U : 0U);
}

void
qf_choices_add_keys(GtkStringList* const list)
{
  for (guint i = 0; i < QF_N_KEYS; ++i) {
    char name[QF_KEY_NAME_SIZE];
    qf_key_spell_out(qf_choice_key(i), QF_NAMING_ENGLISH, name, sizeof(name));
    gtk_string_list_append(list, name);
  }
}

const char* const*
qf_choice_metres(void)
{
  return metres;
}

guint
qf_choice_of_metre(const QfMetre metre)
{
  for (guint i = 0; metres[i]; ++i) {
    QfMetre other = {0};
    if (!qf_metre_parse(metres[i], &other, NULL) && qf_metre_equals(metre, other)) {
      return i;
    }
  }

  return GTK_INVALID_LIST_POSITION;
}
