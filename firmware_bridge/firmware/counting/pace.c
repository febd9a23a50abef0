// SPDX-License-Identifier: MIT
#include "counting/pace.h"

#define SECOND_US 1000000UL

bool pace_due(struct pace *pace, uint32_t now_us) {
    uint32_t waited_us = now_us - pace->last_us;
    // Only a stuck program waits as long as this; the bound keeps the product within 32 bits.
    if (waited_us > UINT16_MAX) waited_us = UINT16_MAX;
    pace->last_us = now_us;
    pace->saved_up += (uint32_t)(uint16_t)waited_us * pace->hz;
    if (pace->saved_up < SECOND_US) return false;
    pace->saved_up -= SECOND_US;
    if (pace->saved_up >= SECOND_US) pace->saved_up = 0;
    return true;
}

bool topic_due(struct topic *topic, coarse_time now) {
    coarse_time waited = (coarse_time)(now - topic->said);
    if (waited < (topic->changed ? topic->least : topic->most)) return false;
    topic->said = now;
    topic->changed = false;
    return true;
}
