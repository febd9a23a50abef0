// SPDX-License-Identifier: MIT
#include "counting/switches.h"

void switches_start(struct switches *switches, uint8_t raw, uint32_t now_us) {
    switches->raw = raw;
    switches->closed = raw;
    for (uint8_t i = 0; i < SWITCH_COUNT; i++) switches->changed_us[i] = now_us;
}

bool switches_step(struct switches *switches, uint8_t raw, uint32_t now_us) {
    uint8_t before = switches->closed;
    for (uint8_t i = 0; i < SWITCH_COUNT; i++) {
        uint8_t bit = (uint8_t)(1 << i);
        if ((raw ^ switches->raw) & bit)
            switches->changed_us[i] = now_us;
        else if (now_us - switches->changed_us[i] >= SWITCH_SETTLE_US)
            switches->closed = (uint8_t)((switches->closed & ~bit) | (raw & bit));
    }
    switches->raw = raw;
    return switches->closed != before;
}
