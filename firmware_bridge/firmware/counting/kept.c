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

void kept_start(const struct kept *kept, struct kept_writer *writer) {
    const struct kept_record *latest = kept_latest(kept);
    writer->record = NULL;
    writer->slot = latest == &kept->slot[0] ? 1 : 0;
    writer->turn = latest == NULL ? 0 : latest->turn;
}

static void begin_record(struct kept *kept, struct kept_writer *writer, const int32_t count[SCALE_COUNT],
                         uint8_t lines) {
    struct kept_record *record = &kept->slot[writer->slot];
    // The old CRC belongs to another turn, so a reset from here on finds this slot bad.
    record->turn = ++writer->turn;
    memcpy(record->count, count, sizeof record->count);
    record->shape = SCALE_COUNT;
    record->lines = lines;
    writer->record = record;
    writer->crc = CRC16_START;
    writer->done = 0;
}

static void end_record(struct kept_writer *writer) {
    writer->record->crc = writer->crc;
    writer->record = NULL;
    writer->slot ^= 1;
}

void kept_step(struct kept *kept, struct kept_writer *writer, const int32_t count[SCALE_COUNT], uint8_t lines) {
    if (writer->record == NULL)
        begin_record(kept, writer, count, lines);
    else if (writer->done < CRC_LENGTH)
        writer->crc = crc16_step(writer->crc, ((const uint8_t *)writer->record)[writer->done++]);
    else
        end_record(writer);
}

void kept_forget(struct kept *kept) {
    memset(kept, 0, sizeof *kept);
}
