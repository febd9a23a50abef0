// SPDX-License-Identifier: MIT
//
// Where the chip's serial port leads: a file, a pseudo terminal or a TCP port.
#ifndef PEER_LINK_H
#define PEER_LINK_H

#include <stdbool.h>
#include <stdint.h>

void link_open_file(const char *path);
// Prints "port <path>" or "port <host>:<number>" on standard output.
void link_open_pty(void);
void link_listen(int port);

// Patient: wait for a slow reader rather than lose bytes. For runs that are not paced.
void link_set_patient(bool patient);

void link_put(uint8_t byte);
// Moves bytes both ways; to be called often.
void link_serve(void);
// True once a TCP client or anything at all can listen.
bool link_has_reader(void);
void link_close(void);

#endif
