// SPDX-License-Identifier: MIT
#include "counting/tach.h"

static void begin(struct tach *tach, enum tach_state state, uint32_t edge_us) {
    tach->state = state;
    tach->edge_us = edge_us;
}

static bool has_settled(const struct tach *tach, const struct tach_sample *sample) {
    return sample->now_us - tach->edge_us >= TACH_SETTLE_US;
}

// The first pulse after a stop gives no period: nobody knows how long the spindle stood.
static bool believe_pulse(struct tach *tach) {
    bool has_period = tach->turning;
    tach->period_us = has_period ? tach->edge_us - tach->pulse_us : 0;
    tach->pulse_us = tach->edge_us;
    tach->turning = true;
    return has_period;
}

// A fall caught after the level was read may look high here; the next sample tells.
static bool step_falling(struct tach *tach, const struct tach_sample *sample) {
    if (sample->caught) {
        begin(tach, TACH_FALLING, sample->caught_us);
        tach->glitches++;
        return false;
    }
    if (!sample->low) {
        begin(tach, TACH_HIGH, sample->now_us);
        tach->glitches++;
        return false;
    }
    if (!has_settled(tach, sample)) return false;
    begin(tach, TACH_LOW, tach->edge_us);
    return believe_pulse(tach);
}

static void step_rising(struct tach *tach, const struct tach_sample *sample) {
    if (sample->low)
        begin(tach, TACH_LOW, sample->now_us);
    else if (sample->caught)
        begin(tach, TACH_RISING, sample->now_us);
    else if (has_settled(tach, sample))
        begin(tach, TACH_HIGH, sample->now_us);
}

bool tach_has_stopped(struct tach *tach, uint32_t now_us) {
    if (!tach->turning || now_us - tach->pulse_us < TACH_STOPPED_US) return false;
    tach->turning = false;
    tach->period_us = 0;
    return true;
}

bool tach_step(struct tach *tach, const struct tach_sample *sample) {
    bool news = false;
    switch (tach->state) {
        case TACH_HIGH:
            if (sample->caught) begin(tach, TACH_FALLING, sample->caught_us);
            break;
        case TACH_FALLING: news = step_falling(tach, sample); break;
        case TACH_LOW:
            if (!sample->low) begin(tach, TACH_RISING, sample->now_us);
            break;
        case TACH_RISING: step_rising(tach, sample); break;
    }
    return news;
}
