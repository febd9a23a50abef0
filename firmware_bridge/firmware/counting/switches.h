// SPDX-License-Identifier: MIT
//
// Switch inputs: a contact is believed once it has stood still for SWITCH_SETTLE_US.
#ifndef WAYTELL_COUNTING_SWITCHES_H
#define WAYTELL_COUNTING_SWITCHES_H

#include <stdbool.h>
#include <stdint.h>

#define SWITCH_COUNT 2
#define SWITCH_SETTLE_US 5000

struct switches {
    uint32_t changed_us[SWITCH_COUNT];  // when the raw contact last changed
    uint8_t raw;
    uint8_t closed;  // bit i set: switch i is believed closed
};

void switches_start(struct switches *switches, uint8_t raw, uint32_t now_us);

// True when a believed contact changed.
bool switches_step(struct switches *switches, uint8_t raw, uint32_t now_us);

#endif
