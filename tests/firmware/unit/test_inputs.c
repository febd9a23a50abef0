// SPDX-License-Identifier: MIT
//
// Spindle, switches, pacing, caliper-type scale, ring.
#include <string.h>

#include "check.h"
#include "counting/caliper.h"
#include "counting/pace.h"
#include "counting/switches.h"
#include "counting/tach.h"
#include "protocol/ring.h"

// One look; `fell_us` is when a fall was caught, or -1.
static bool look(struct tach *tach, uint32_t now_us, bool low, long long fell_us) {
    struct tach_sample sample = {.now_us = now_us, .low = low, .caught = fell_us >= 0};
    if (sample.caught) sample.caught_us = (uint32_t)fell_us;
    return tach_step(tach, &sample);
}

// Looks every 20 us from `from` to `to`; counts the news.
static int watch(struct tach *tach, uint32_t from, uint32_t to, bool low) {
    int news = 0;
    for (uint32_t now = from; (int32_t)(to - now) > 0; now += 20) news += look(tach, now, low, -1);
    return news;
}

static int pulse(struct tach *tach, uint32_t at_us, uint32_t width_us) {
    int news = look(tach, at_us + 7, true, at_us);
    news += watch(tach, at_us + 20, at_us + width_us, true);
    return news + watch(tach, at_us + width_us, at_us + width_us + 100, false);
}

void spindle_pulses_give_their_period(void) {
    struct tach tach = {0};
    uint32_t start = UINT32_MAX - 150000;  // the clock wraps on the way
    CHECK_SAME(pulse(&tach, start, 500), 0);
    for (uint32_t i = 1; i < 10; i++) {
        CHECK_SAME(pulse(&tach, start + i * 30000, 500), 1);
        CHECK_SAME(tach.period_us, 30000);
        CHECK_SAME(tach.pulse_us, (uint32_t)(start + i * 30000));
    }
    CHECK_SAME(tach.glitches, 0);
}

void sparks_are_not_spindle_pulses(void) {
    struct tach tach = {0};
    pulse(&tach, 1000, 500);
    pulse(&tach, 31000, 500);
    CHECK_SAME(look(&tach, 45010, false, 45000), 0);  // over before anybody looked
    CHECK_SAME(watch(&tach, 45020, 45200, false), 0);
    CHECK_SAME(pulse(&tach, 50000, 30), 0);  // shorter than TACH_SETTLE_US
    CHECK_SAME(tach.glitches, 2);
    CHECK_SAME(look(&tach, 61007, true, 61000), 0);
    CHECK_SAME(watch(&tach, 61020, 61300, true), 1);
    CHECK_SAME(look(&tach, 61310, false, -1), 0);  // a spark within the pulse, up and down again
    CHECK_SAME(look(&tach, 61330, true, 61320), 0);
    CHECK_SAME(watch(&tach, 61340, 61500, true), 0);
    CHECK_SAME(watch(&tach, 61500, 61700, false), 0);
    CHECK_SAME(tach.period_us, 30000);
    CHECK_SAME(pulse(&tach, 91000, 500), 1);
    CHECK_SAME(tach.period_us, 30000);
}

void a_stopped_spindle_is_said_once(void) {
    struct tach tach = {0};
    pulse(&tach, 1000, 500);
    pulse(&tach, 101000, 500);
    CHECK(!tach_has_stopped(&tach, 101000 + TACH_STOPPED_US - 1));
    CHECK(tach_has_stopped(&tach, 101000 + TACH_STOPPED_US));
    CHECK(!tach_has_stopped(&tach, 101000 + TACH_STOPPED_US + 1000));
    CHECK_SAME(tach.period_us, 0);
    CHECK_SAME(tach.pulse_us, 101000);
    CHECK_SAME(pulse(&tach, 9000000, 500), 0);  // nobody knows how long it stood
    CHECK_SAME(pulse(&tach, 9100000, 500), 1);
    CHECK_SAME(tach.period_us, 100000);
}

void a_bouncing_switch_changes_once_it_stands_still(void) {
    struct switches switches;
    switches_start(&switches, 0, 0);
    uint32_t now = 1000;
    for (int bounce = 0; bounce < 40; bounce++, now += 900) CHECK(!switches_step(&switches, bounce % 2, now));
    int changes = 0;
    uint32_t closed_at = 0;
    for (uint32_t still = now; now < still + 20000; now += 1000) {
        if (!switches_step(&switches, 1, now)) continue;
        changes++;
        closed_at = now - still;
    }
    CHECK_SAME(changes, 1);
    CHECK_SAME(switches.closed, 1);
    CHECK(closed_at >= SWITCH_SETTLE_US - 1000 && closed_at <= SWITCH_SETTLE_US + 1000);
}

void one_bouncing_switch_does_not_hold_up_the_other(void) {
    struct switches switches;
    switches_start(&switches, 0, 0);
    for (uint32_t now = 0; now < 20000; now += 1000) switches_step(&switches, (uint8_t)(2 | (now / 1000) % 2), now);
    CHECK_SAME(switches.closed, 2);
}

static long count_due(struct pace *pace, uint32_t from, uint32_t seconds, uint32_t step_us) {
    long due = 0;
    for (uint64_t at = 0; at < seconds * 1000000ULL; at += step_us) due += pace_due(pace, (uint32_t)(from + at));
    return due;
}

void reports_keep_their_rate_exactly_on_average(void) {
    static const uint16_t rates[] = {10, 250, 300, 333, 400, 999, 1000};
    for (unsigned i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        uint32_t from = UINT32_MAX - 2000000;
        struct pace pace = {.hz = rates[i], .last_us = from};
        long due = count_due(&pace, from, 7, 37);
        CHECK(due >= 7L * rates[i] - 1 && due <= 7L * rates[i]);
    }
}

void late_reports_are_dropped_not_bunched(void) {
    struct pace pace = {.hz = 1000};
    CHECK(pace_due(&pace, 50000));
    CHECK(!pace_due(&pace, 50010));
    CHECK(!pace_due(&pace, 50900));
    CHECK(pace_due(&pace, 51100));
}

void a_topic_keeps_its_spacings(void) {
    struct topic topic = {.least = COARSE_MS(100), .most = COARSE_MS(1000), .said = 65000};
    int said = 0;
    for (uint32_t step = 0; step < 9766; step++) {  // ten seconds, over the wrap of the coarse clock
        topic.changed = step >= 4883;               // nothing changes in the first five
        said += topic_due(&topic, (coarse_time)(65000 + step));
        if (step == 4882) CHECK_SAME(said, 4);
    }
    CHECK(said >= 4 + 48 && said <= 4 + 50);
}

static uint32_t clock_burst(struct caliper *caliper, uint32_t now, uint32_t bits, int length) {
    for (int i = 0; i < length; i++, bits >>= 1) {
        struct caliper_lines high = {now, true, bits & 1}, low = {now + 100, false, bits & 1};
        caliper_edge(caliper, &high);
        CHECK_SAME(caliper_rest(caliper, now + 50), CALIPER_NOTHING);
        caliper_edge(caliper, &low);
        now += 200;
    }
    return now;
}

static void check_burst(uint32_t bits, int32_t wanted) {
    struct caliper caliper;
    caliper_start(&caliper, 0);
    uint32_t now = clock_burst(&caliper, 5000, bits, CALIPER_BITS);
    CHECK_SAME(caliper_rest(&caliper, now), CALIPER_NOTHING);
    CHECK_SAME(caliper_rest(&caliper, now + CALIPER_GAP_US), CALIPER_COUNT);
    CHECK_SAME(caliper.count, wanted);
    CHECK_SAME(caliper_rest(&caliper, now + CALIPER_GAP_US + 100), CALIPER_NOTHING);
}

void caliper_bursts_count_tenths_of_a_micrometre_in_both_units(void) {
    check_burst(0, 0);
    check_burst(2540, 254000);                  // 25.40 mm
    check_burst(2540 | 1u << 20, -254000);      // the same, other way
    check_burst(2000 | 1u << 23, 254000);       // 1.0000 inch in half thousandths
    check_burst(2000 | 1u << 23 | 1u << 20, -254000);
    check_burst(0xFFFFF, 104857500);
    check_burst(0xFFFFF | 1u << 23, 133169025);
}

void a_caliper_burst_of_the_wrong_length_is_missed(void) {
    struct caliper caliper;
    caliper_start(&caliper, 0);
    uint32_t now = 1000;
    for (int length = 1; length <= 60; length++) {
        now = clock_burst(&caliper, now, 0x5A5A5A, length) + CALIPER_GAP_US;
        CHECK_SAME(caliper_rest(&caliper, now), length == CALIPER_BITS ? CALIPER_COUNT : CALIPER_MISSED);
        now += 1000;
    }
}

void a_silent_caliper_is_missed(void) {
    struct caliper caliper;
    caliper_start(&caliper, 0);
    int missed = 0;
    for (uint32_t now = 0; now < 10500000; now += 1000) missed += caliper_rest(&caliper, now) == CALIPER_MISSED;
    CHECK_SAME(missed, 10);
}

void a_ring_gives_back_what_was_put_in(void) {
    struct ring ring = {0};
    uint8_t in = 0, out = 0;
    for (int turn = 0; turn < 1000; turn++) {
        int burst = turn % (RING_SIZE + 1);
        CHECK_SAME(ring_room(&ring), RING_SIZE);
        for (int i = 0; i < burst; i++) ring_place(&ring, in++);
        CHECK_SAME(ring_room(&ring), RING_SIZE - burst);
        for (int i = 0; i < burst; i++) CHECK_SAME(ring_take(&ring), out++);
        CHECK(ring_is_empty(&ring));
    }
}
