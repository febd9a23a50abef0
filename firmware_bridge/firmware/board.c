// SPDX-License-Identifier: MIT
//
// Two rules hold the timing together. The interrupt only captures. And whatever takes long is cut in
// pieces with look_around() between them, because a tach, a reference mark and a caliper-type scale
// want to be looked at often, and the interrupt's counters must be taken over before they wrap.
#include "board.h"

#include <stddef.h>

#include "board_options.h"
#include "counting/caliper.h"
#include "counting/kept.h"
#include "counting/pace.h"
#include "counting/scales.h"
#include "counting/starts.h"
#include "counting/switches.h"
#include "counting/tach.h"
#include "port/port.h"
#include "protocol/command.h"
#include "protocol/line.h"
#include "protocol/messages.h"
#include "protocol/ring.h"

// Half the samples after which missed edges could escape the interrupt's byte.
#define TAKE_SAMPLES 100

#define MARK_COUNT 2

// Not cleared by the start-up code.
struct kept kept __attribute__((section(".noinit")));

static struct {
    struct kept_writer keeper;
    struct ring outbox;
    struct command_reader reader;
    struct tach tach;
    struct switches switches;
    struct caliper caliper;
    struct mark mark[MARK_COUNT];
    struct pace reports;
    struct topic hello;
    struct topic missed[SCALE_COUNT];
    struct topic spindle;
    struct topic contacts;
    uint32_t missed_said[SCALE_COUNT];
    uint32_t boot;
    coarse_time time;
    coarse_time spoke;
    uint16_t seq;
    uint8_t mark_lines;
    uint8_t marks_seen;  // bit i set: mark[i] is waiting to be said
    bool was_kept;
    bool first_hello;
    bool report_due;
    bool position_was_last;
} board;

static inline uint8_t samples_waiting(void) {
    return (uint8_t)(port_sample_tick() - (uint8_t)scales.last.samples);
}

static uint32_t now_us(void) {
    return scales.clock_us + (uint16_t)(samples_waiting() * SAMPLE_US);
}

static void take_scales(void) {
    struct quad_latch latch;
    port_latch(&latch);
    scales_take(&latch);
}

static void obey(struct command command) {
    if (command.kind == COMMAND_NONE) return;
    board.hello.changed = true;
    if (command.kind == COMMAND_RATE) {
        board.reports.hz = command.hz > RATE_KEPT_HZ ? RATE_KEPT_HZ : command.hz;
        return;
    }
    board.contacts.changed = true;
    for (uint8_t i = 0; i < SCALE_COUNT; i++) board.missed[i].changed = true;
}

static void look_at_serial(void) {
    uint8_t byte;
    if (!ring_is_empty(&board.outbox) && port_can_transmit()) port_transmit(ring_take(&board.outbox));
    if (port_receive(&byte)) obey(command_byte(&board.reader, byte));
}

// The caught time is 16 bits of half microseconds; the clock supplies the rest. Both started
// together, and the edge is at most 16 ms old.
static uint32_t caught_us(uint16_t ticks) {
    int16_t age = (int16_t)((uint16_t)(scales.clock_us << 1) - ticks);
    return scales.clock_us - (uint32_t)(int32_t)(age / 2);
}

// Most looks end at the first line: nothing was caught and nothing is settling. The level is read
// before the catch, so that an edge in between is caught now and seen low at the next look.
static void look_at_tach(void) {
    uint16_t ticks;
    bool low = port_tach_low();
    bool caught = port_tach_caught(&ticks);
    if (!caught && tach_is_calm(&board.tach, low)) return;
    struct tach_sample sample = {.now_us = now_us(), .caught = caught, .low = low};
    if (caught) sample.caught_us = caught_us(ticks);
    if (tach_step(&board.tach, &sample)) board.spindle.changed = true;
}

static void look_at_marks(void) {
    uint8_t lines = port_marks();
    uint8_t fallen = (uint8_t)(board.mark_lines & ~lines);
    board.mark_lines = lines;
    if (fallen == 0) return;
    take_scales();
    for (uint8_t i = 0; i < MARK_COUNT; i++)
        if (fallen & (1 << i)) board.mark[i] = (struct mark){i, scales.count[i], scales.clock_us};
    board.marks_seen |= fallen;
}

static inline void look_at_caliper(void) {
    bool clock = port_caliper_clock();
    if (clock == board.caliper.clock_was_high) return;
    struct caliper_lines lines = {now_us(), clock, port_caliper_data()};
    caliper_edge(&board.caliper, &lines);
}

static void take_caliper(void) {
    switch (caliper_rest(&board.caliper, now_us())) {
        case CALIPER_COUNT: scales.count[SCALE_COUNT - 1] = board.caliper.count; break;
        case CALIPER_MISSED: scales.missed[SCALE_COUNT - 1]++; break;
        case CALIPER_NOTHING: break;
    }
}

static void look_around(void) {
    look_at_serial();
    if (samples_waiting() >= TAKE_SAMPLES) take_scales();
    look_at_marks();
    if (TACH_PULSES) look_at_tach();
    if (CALIPER_SCALES) look_at_caliper();
}

void line_sink(uint8_t character) {
    ring_place(&board.outbox, character);
    look_around();
}

static bool report_position(void) {
    if (!board.report_due) return false;
    board.report_due = false;
    look_around();
    take_scales();
    // A copy: looking around while the line is composed counts on.
    int32_t count[SCALE_COUNT];
    for (uint8_t i = 0; i < SCALE_COUNT; i++) count[i] = scales.count[i];
    struct position position = {board.seq++, scales.clock_us, scales_flags(), SCALE_COUNT, count};
    look_around();
    say_position(&position);
    return true;
}

// The first hello is said twice: a reset may have cut a line in the middle, and whatever comes next is
// read as the rest of it.
static bool introduce(coarse_time now) {
    if (!topic_due(&board.hello, now)) return false;
    board.hello.changed = board.first_hello;
    board.first_hello = false;
    struct hello hello = {
        .boot = board.boot,
        .model = PORT_MODEL,
        .axes = SCALE_COUNT,
        .hz = board.reports.hz,
        .firmware = FIRMWARE_VERSION,
        .tach_pulses = TACH_PULSES,
        .switches = SWITCH_COUNT,
        .kept = board.was_kept,
        .max_edges_per_s = PROMISED_EDGES_PER_S,
        .kinds = SCALE_KINDS,
    };
    say_hello(&hello);
    return true;
}

static bool report_missed(coarse_time now) {
    for (uint8_t i = 0; i < SCALE_COUNT; i++) {
        if (scales.missed[i] != board.missed_said[i]) board.missed[i].changed = true;
        if (!topic_due(&board.missed[i], now)) continue;
        board.missed_said[i] = scales.missed[i];
        say_missed(i, board.missed_said[i]);
        return true;
    }
    return false;
}

static bool report_mark(void) {
    for (uint8_t i = 0; i < MARK_COUNT; i++) {
        if (!(board.marks_seen & (1 << i))) continue;
        struct mark mark = board.mark[i];
        board.marks_seen &= (uint8_t)~(1 << i);
        say_mark(&mark);
        return true;
    }
    return false;
}

static bool report_spindle(coarse_time now) {
    if (!TACH_PULSES || !topic_due(&board.spindle, now)) return false;
    say_spindle(board.tach.pulse_us, board.tach.period_us);
    return true;
}

static bool report_contacts(coarse_time now) {
    if (!topic_due(&board.contacts, now)) return false;
    say_switches(board.switches.closed, now_us());
    return true;
}

// One line at most, the most wanted first. Each has a least spacing of its own, so none can keep the
// ones after it from their turn. Not more often than the coarse clock steps.
static bool say_anything_else(void) {
    coarse_time now = board.time;
    if (board.spoke == now) return false;
    board.spoke = now;
    look_around();
    if (introduce(now) || report_mark() || report_missed(now)) return true;
    look_around();
    return report_spindle(now) || report_contacts(now);
}

// Positions and everything else take turns, so that on a slow line neither silences the other.
static void speak(void) {
    if (ring_room(&board.outbox) < LINE_MAX) return;
    if (board.position_was_last && say_anything_else())
        board.position_was_last = false;
    else if (report_position())
        board.position_was_last = true;
    else
        say_anything_else();
}

// What need not be looked at more than about a thousand times a second. Each asks for the time anew:
// a pulse or a burst seen on the way here would lie after an older one, and look like ages ago.
static void each_millisecond(void) {
    if (switches_step(&board.switches, port_switches(), now_us())) board.contacts.changed = true;
    if (tach_has_stopped(&board.tach, now_us())) board.spindle.changed = true;
    look_around();
    if (CALIPER_SCALES) take_caliper();
    look_around();
}

void board_step(void) {
    look_around();
    uint32_t now = now_us();
    if (pace_due(&board.reports, now)) board.report_due = true;
    look_around();
    kept_step(&kept, &board.keeper, scales.count, scales.last.lines);
    look_around();
    if (coarse(now) != board.time) {
        board.time = coarse(now);
        each_millisecond();
    }
    speak();
}

static void name_this_start(void) {
    struct start_slot slots[START_SLOTS];
    port_store_read((uint8_t *)slots, 0, sizeof slots);
    struct start_slot slot = starts_next(slots, port_noise());
    uint8_t place = (uint8_t)(slot.starts % START_SLOTS);
    port_store_write((const uint8_t *)&slot, (uint8_t)(place * sizeof slot), sizeof slot);
    board.boot = starts_boot_id(&slot);
}

// Counts go on where they were if the record is good. The samples then start from the lines of that
// record: one step in between is counted, a jump shows as a missed edge.
static void start_scales(void) {
    static const int32_t nothing[SCALE_COUNT];
    if (port_lost_power()) kept_forget(&kept);
    const struct kept_record *record = kept_latest(&kept);
    board.was_kept = record != NULL;
    kept_start(&kept, &board.keeper);
    uint8_t lines = record ? record->lines : port_scale_lines();
    scales_start(record ? record->count : nothing, lines);
    port_start_sampling(lines);
}

// The spacings are the protocol's. The hello and the contacts are due at once.
static void start_topics(void) {
    board.hello = (struct topic){.most = COARSE_MS(2000), .changed = true};
    board.first_hello = true;
    board.contacts = (struct topic){.most = COARSE_MS(1000), .changed = true};
    board.spindle = (struct topic){.least = COARSE_MS(50), .most = COARSE_MS(1000)};
    for (uint8_t i = 0; i < SCALE_COUNT; i++)
        board.missed[i] = (struct topic){.least = COARSE_MS(100), .most = COARSE_MS(1000)};
}

void board_start(void) {
    name_this_start();
    start_topics();
    // The first hello does not wait for the coarse clock to step.
    board.spoke = (coarse_time)-1;
    command_start(&board.reader);
    board.reports.hz = RATE_AT_START_HZ;
    board.mark_lines = port_marks();
    start_scales();
    switches_start(&board.switches, port_switches(), 0);
    caliper_start(&board.caliper, 0);
    port_watchdog_start();
}
