// SPDX-License-Identifier: MIT
//
// What outlives a reset, and what outlives the power.
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "counting/kept.h"
#include "counting/starts.h"

#define STEPS_OF_A_RECORD (offsetof(struct kept_record, crc) + 2)

static void fill_counts(int32_t *count, int32_t value) {
    for (int i = 0; i < SCALE_COUNT; i++) count[i] = value * (i + 1);
}

static void check_record(const struct kept *kept, int32_t wanted) {
    const struct kept_record *found = kept_latest(kept);
    if (wanted == 0) CHECK(found == NULL);
    if (wanted != 0) CHECK(found != NULL);
    if (!found) return;
    for (int i = 0; i < SCALE_COUNT; i++) CHECK_SAME(found->count[i], wanted * 1000003 * (i + 1));
    CHECK_SAME(found->lines, wanted);
}

// A reset may come after any step of any record. What comes back must be the last record that was
// finished, never a mixture.
void kept_counts_come_back_after_a_reset_at_any_moment(void) {
    struct kept kept;
    struct kept_writer writer;
    int32_t count[SCALE_COUNT];
    kept_forget(&kept);
    kept_start(&kept, &writer);
    check_record(&kept, 0);
    for (int32_t record = 1; record <= 5; record++) {
        fill_counts(count, record * 1000003);
        for (size_t step = 1; step <= STEPS_OF_A_RECORD; step++) {
            kept_step(&kept, &writer, count, (uint8_t)record);
            check_record(&kept, step == STEPS_OF_A_RECORD ? record : record - 1);
        }
    }
}

// Resets that each come before the record begun after the last one is finished.
void kept_counts_survive_one_reset_after_another(void) {
    struct kept kept;
    struct kept_writer writer;
    int32_t count[SCALE_COUNT];
    kept_forget(&kept);
    kept_start(&kept, &writer);
    fill_counts(count, 1000003);
    for (size_t step = 1; step <= 3 * STEPS_OF_A_RECORD; step++) kept_step(&kept, &writer, count, 1);
    for (size_t resets = 0; resets < 3 * STEPS_OF_A_RECORD; resets++) {
        kept_start(&kept, &writer);
        fill_counts(count, 77);
        for (size_t step = 0; step < resets % STEPS_OF_A_RECORD; step++) kept_step(&kept, &writer, count, 2);
        check_record(&kept, 1);
    }
}

void noise_in_memory_is_not_a_record(void) {
    struct kept kept;
    srandom(11);
    int found = 0;
    for (int i = 0; i < 20000; i++) {
        for (size_t at = 0; at < sizeof kept; at++) ((uint8_t *)&kept)[at] = (uint8_t)(random() >> 7);
        found += kept_latest(&kept) != NULL;
    }
    CHECK_SAME(found, 0);
    memset(&kept, 0xFF, sizeof kept);
    CHECK(kept_latest(&kept) == NULL);
}

static int compare_ids(const void *a, const void *b) {
    uint32_t first = *(const uint32_t *)a, second = *(const uint32_t *)b;
    return (first > second) - (first < second);
}

void every_start_has_another_name(void) {
    enum { STARTS = 100000 };
    struct start_slot slots[START_SLOTS];
    uint32_t *ids = malloc(STARTS * sizeof *ids);
    memset(slots, 0xFF, sizeof slots);
    for (uint32_t i = 0; i < STARTS; i++) {
        struct start_slot next = starts_next(slots, (uint16_t)(i * 77 + 5));
        CHECK_SAME(next.starts, i + 1);
        CHECK_SAME(next.seed, 5);
        slots[next.starts % START_SLOTS] = next;
        ids[i] = starts_boot_id(&next);
    }
    qsort(ids, STARTS, sizeof *ids, compare_ids);
    for (uint32_t i = 1; i < STARTS; i++) CHECK(ids[i] != ids[i - 1]);
    free(ids);
    struct start_slot one = {1, 5, 0}, other = {1, 6, 0};
    CHECK(starts_boot_id(&one) != starts_boot_id(&other));
}

void a_torn_write_of_the_start_counter_goes_back_one(void) {
    struct start_slot slots[START_SLOTS];
    memset(slots, 0xFF, sizeof slots);
    for (int i = 0; i < 20; i++) {
        struct start_slot next = starts_next(slots, 1);
        slots[next.starts % START_SLOTS] = next;
    }
    slots[20 % START_SLOTS].starts ^= 0x40;
    CHECK_SAME(starts_next(slots, 1).starts, 20);
}
