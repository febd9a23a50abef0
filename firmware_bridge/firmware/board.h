// SPDX-License-Identifier: MIT
//
// The counter board: takes what the interrupt counted, looks at every other input, and says the
// lines of the protocol when they are due. It decides nothing about positions.
#ifndef WAYTELL_BOARD_H
#define WAYTELL_BOARD_H

void board_start(void);

// One turn of the main loop: looks at everything once and says one line at most.
void board_step(void);

#endif
