// SPDX-License-Identifier: MIT
#include "counting/starts.h"

#include <stdbool.h>
#include <stddef.h>

#include "protocol/crc16.h"

static uint16_t slot_crc(const struct start_slot *slot) {
    return crc16(slot, offsetof(struct start_slot, crc));
}

struct start_slot starts_next(const struct start_slot slots[START_SLOTS], uint16_t noise) {
    struct start_slot next = {.starts = 0, .seed = noise, .crc = 0};
    for (uint8_t i = 0; i < START_SLOTS; i++) {
        if (slots[i].crc != slot_crc(&slots[i]) || slots[i].starts < next.starts) continue;
        next.starts = slots[i].starts;
        next.seed = slots[i].seed;
    }
    next.starts++;
    next.crc = slot_crc(&next);
    return next;
}

// Each line can be undone (an odd factor, a shift folded in), so different counts give different
// ids. The factors are odd numbers of our own with about half their bits set.
uint32_t starts_boot_id(const struct start_slot *slot) {
    uint32_t id = slot->starts + (uint32_t)slot->seed * 0x10001UL;
    id ^= id >> 15;
    id *= 0x2C9277B5UL;
    id ^= id >> 14;
    id *= 0x6D3A94E7UL;
    id ^= id >> 16;
    return id;
}
