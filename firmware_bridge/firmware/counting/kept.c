// SPDX-License-Identifier: MIT
#include "counting/kept.h"

#include <stddef.h>
#include <string.h>

#include "protocol/crc16.h"

// Everything before the crc member. It is the last one, and no padding lies before it.
#define CRC_LENGTH offsetof(struct kept_record, crc)

static bool is_good(const struct kept_record *record) {
    return record->shape == SCALE_COUNT && record->crc == crc16(record, CRC_LENGTH);
}

const struct kept_record *kept_latest(const struct kept *kept) {
    const struct kept_record *a = &kept->slot[0];
    const struct kept_record *b = &kept->slot[1];
    if (!is_good(a)) return is_good(b) ? b : NULL;
    if (!is_good(b)) return a;
    return (int16_t)(b->turn - a->turn) > 0 ? b : a;
}

static struct kept_record *begin_record(struct kept *kept, const int32_t count[SCALE_COUNT], uint8_t pins) {
    uint16_t turn = kept->slot[0].turn;
    if ((int16_t)(kept->slot[1].turn - turn) > 0) turn = kept->slot[1].turn;
    turn++;
    struct kept_record *record = &kept->slot[turn & 1];
    // The old CRC belongs to another turn, so a reset from here on finds this slot bad.
    record->turn = turn;
    memcpy(record->count, count, sizeof record->count);
    record->shape = SCALE_COUNT;
    record->pins = pins;
    return record;
}

void kept_step(struct kept *kept, struct kept_writer *writer, const int32_t count[SCALE_COUNT], uint8_t pins) {
    if (writer->record == NULL) {
        writer->record = begin_record(kept, count, pins);
        writer->crc = CRC16_START;
        writer->done = 0;
    } else if (writer->done < CRC_LENGTH) {
        writer->crc = crc16_step(writer->crc, ((const uint8_t *)writer->record)[writer->done++]);
    } else {
        writer->record->crc = writer->crc;
        writer->record = NULL;
    }
}

void kept_forget(struct kept *kept) {
    memset(kept, 0, sizeof *kept);
}
