// SPDX-License-Identifier: MIT
//
// Received bytes between the interrupt, which alone moves `placed`, and the main loop, which alone
// moves `taken`. Each is the place of the last byte put down or taken. A power of two within one page
// of memory, because the interrupt calculates the low byte of the address only.
//
// Nobody checks for a full ring: a host that says more than this while a line is composed spoils a
// line of its own, and the CRC tells.
#define PORT_INBOX_SIZE 64
