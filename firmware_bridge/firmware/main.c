// SPDX-License-Identifier: MIT
#include "board.h"
#include "port/port.h"

int main(void) {
    port_init();
    board_start();
    for (;;) {
        board_step();
        port_watchdog_calm();
    }
}
