// SPDX-License-Identifier: MIT
#include "qf-application.h"

int
main(int argc, char** argv)
{
  g_autoptr(QfApplication) application = qf_application_new();
  g_set_application_name("Quintfall");
  return g_application_run(G_APPLICATION(application), argc, argv);
}
