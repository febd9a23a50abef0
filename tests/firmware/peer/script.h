// SPDX-License-Identifier: MIT
//
// The commands that drive a run, one a line. tests/firmware/README.md lists them.
#ifndef PEER_SCRIPT_H
#define PEER_SCRIPT_H

#include <stdbool.h>

// `live`: keep the chip running while no command is there, and after the last one.
void script_open(const char *path, bool live);

// Carries out every command whose time has come. False after `end`, or after the last command of a
// run that is not live.
bool script_advance(void);

#endif
