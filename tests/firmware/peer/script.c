// SPDX-License-Identifier: MIT
#define _GNU_SOURCE
#include "script.h"

#include <ctype.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "chip.h"
#include "proof.h"
#include "protocol/crc16.h"
#include "waves.h"

#define MOST_WORDS 8
#define LOOK_EVERY_US 100

struct words {
    int count;
    char *word[MOST_WORDS];
};

static struct {
    int input;
    bool live, at_end, settling, proving;
    uint64_t wake_cycle, look_cycle;
    char text[4096];
    size_t length;
} script;

void script_open(const char *path, bool live) {
    script.live = live;
    script.input = strcmp(path, "-") == 0 ? STDIN_FILENO : open(path, O_RDONLY);
    if (script.input < 0) {
        perror(path);
        exit(2);
    }
}

static void wrong(const char *what) {
    fprintf(stderr, "peer: cannot do: %s\n", what);
    exit(2);
}

static double number(const struct words *words, int i, double absent) {
    if (i >= words->count) return absent;
    char *rest;
    double value = strtod(words->word[i], &rest);
    if (*rest) wrong(words->word[i]);
    return value;
}

static int axis_of(const struct words *words) {
    static const char names[] = "xzu";
    const char *name = words->count > 1 ? strchr(names, tolower(words->word[1][0])) : NULL;
    if (!name || !*name) wrong("which slide? x, z or u");
    return (int)(name - names);
}

static void wait_us(const struct words *words) {
    script.wake_cycle = chip.avr->cycle + (uint64_t)(number(words, 1, 0) * CYCLES_PER_US);
}

static void settle(const struct words *words) {
    (void)words;
    script.settling = true;
}

static void move(const struct words *words) {
    struct move move = {.edges = (long)number(words, 2, 0), .rate = number(words, 3, 1000)};
    move.jitter = number(words, 4, 0) / 100;
    move.end_rate = number(words, 5, move.rate);
    waves_move(axis_of(words), &move);
}

static void jump(const struct words *words) {
    waves_jump(axis_of(words));
}

static void spindle(const struct words *words) {
    double period_us = number(words, 1, 0);
    waves_spindle(period_us, number(words, 2, period_us / 20));
}

// pulses <port><pin> count width_us every_us
static void pulses(const struct words *words) {
    const char *pin = words->count > 1 ? words->word[1] : "";
    if (!strchr("BCD", pin[0]) || !isdigit((unsigned char)pin[1])) wrong("pulses on which pin? B0 to D7");
    double width_us = number(words, 3, 5);
    waves_pulses(pin[0], pin[1] - '0', (long)number(words, 2, 1), width_us, number(words, 4, 2 * width_us));
}

// A switch closes to ground, on D2 or D3.
static void operate_switch(const struct words *words) {
    if (words->count < 3) wrong("switch 0|1 open|closed");
    chip_drive('D', 2 + (int)number(words, 1, 0), strcmp(words->word[2], "open") == 0);
}

static void mark(const struct words *words) {
    waves_pulses('D', 4 + axis_of(words), 1, number(words, 2, 500), 1000);
}

static void caliper(const struct words *words) {
    uint32_t bits = words->count > 1 ? (uint32_t)strtoul(words->word[1], NULL, 16) : 0;
    waves_burst(bits, (int)number(words, 3, 24), number(words, 2, 200));
}

static void drive(const struct words *words) {
    const char *pin = words->count > 2 ? words->word[1] : "";
    if (!strchr("BCD", pin[0]) || !isdigit((unsigned char)pin[1])) wrong("drive which pin? B0 to D7");
    chip_drive(pin[0], pin[1] - '0', number(words, 2, 0) != 0);
}

static void reset(const struct words *words) {
    (void)words;
    chip_reset();
    waves_rearm();
}

static void power(const struct words *words) {
    chip_power_cycle((uint32_t)number(words, 1, 1));
    waves_rearm();
}

static void dog(const struct words *words) {
    (void)words;
    chip_watchdog_reset();
    waves_rearm();
}

static void dip(const struct words *words) {
    (void)words;
    chip_brown_out();
    waves_rearm();
}

// Brings the firmware's clock to about this long before it wraps. Moved by whole turns of the tach
// timer (2^15 us), with which it must stay in step.
static void set_clock(const struct words *words) {
    uint16_t address = chip_symbol("scales");
    uint32_t now = chip_read_u32(address);
    uint32_t wanted = (uint32_t)(0x100000000ULL - (uint64_t)number(words, 1, 1e6));
    chip_write_u32(address, now + ((wanted - now) & ~0x7FFFu));
}

// Adds to a count, as if the slide had moved that far unseen by anyone. The count lies behind the clock.
static void shift_count(const struct words *words) {
    int axis = axis_of(words);
    uint16_t address = (uint16_t)(chip_symbol("scales") + 4 + 4 * axis);
    int64_t shift = (int64_t)number(words, 2, 0);
    chip_write_u32(address, chip_read_u32(address) + (uint32_t)shift);
    true_position[axis] += shift;
}

static void zero_truth(const struct words *words) {
    int axis = axis_of(words);
    true_position[axis] &= 3;  // the lines stay as they are
    true_position[axis] -= (int64_t)number(words, 2, 0);
}

static void print_truth(const struct words *words) {
    (void)words;
    printf("truth %llu %d %d %d\n", (unsigned long long)chip_now_us(), (int)(int32_t)true_position[0],
           (int)(int32_t)true_position[1], (int)(int32_t)true_position[2]);
}

static void print_ram(const struct words *words) {
    uint16_t address = (uint16_t)(chip_symbol(words->count > 1 ? words->word[1] : "") + (int)number(words, 2, 0));
    printf("ram %u\n", chip_read_u32(address));
}

static void poke(const struct words *words) {
    uint32_t address = words->count > 1 ? (uint32_t)strtoul(words->word[1], NULL, 16) : 0;
    if (address > chip.avr->ramend) wrong("no such address");
    chip.avr->data[address] = (uint8_t)number(words, 2, 0);
}

static void print_unused(const struct words *words) {
    (void)words;
    printf("unused %u\n", chip_unused_ram());
}

static void prove(const struct words *words) {
    proof_begin((int)number(words, 1, 2), (long)number(words, 2, 100000));
    script.proving = true;
}

// From here on the program does nothing any more, as if it hung, with the interrupt still running.
static void hang(const struct words *words) {
    (void)words;
    chip_hang();
}

// One byte of the register file or memory, address in hex.
static void print_io(const struct words *words) {
    uint32_t address = words->count > 1 ? (uint32_t)strtoul(words->word[1], NULL, 16) : 0;
    if (address > chip.avr->ramend) wrong("no such address");
    printf("io %u\n", chip.avr->data[address]);
}

struct action {
    const char *name;
    void (*act)(const struct words *words);
};

static const struct action actions[] = {
    {"wait", wait_us},
    {"settle", settle},
    {"move", move},
    {"jump", jump},
    {"spindle", spindle},
    {"pulses", pulses},
    {"switch", operate_switch},
    {"mark", mark},
    {"caliper", caliper},
    {"drive", drive},
    {"reset", reset},
    {"power", power},
    {"dip", dip},
    {"dog", dog},
    {"clock", set_clock},
    {"shift", shift_count},
    {"true", zero_truth},
    {"truth", print_truth},
    {"ram", print_ram},
    {"prove", prove},
    {"hang", hang},
    {"io", print_io},
    {"unused", print_unused},
    {"poke", poke},
};

static void send_with_crc(const char *payload) {
    char line[256];
    int length = snprintf(line, sizeof line, "%s*%04X\n", payload, crc16(payload, strlen(payload)));
    chip_send(line, (size_t)length);
}

// \n, \r, \\ and \xNN; \! before a byte breaks its frame.
static void send_raw(const char *text) {
    uint16_t broken = 0;
    while (*text) {
        char byte = *text++;
        if (byte == '\\' && *text) {
            char kind = *text++;
            if (kind == '!') {
                broken = CHIP_BROKEN;
                continue;
            }
            byte = kind == 'n' ? '\n' : kind == 'r' ? '\r' : kind;
            if (kind == 'x') {
                char digits[3] = {text[0], text[0] ? text[1] : '\0', '\0'};
                byte = (char)strtoul(digits, NULL, 16);
                text += strlen(digits);
            }
        }
        chip_send_byte((uint16_t)((uint8_t)byte | broken));
        broken = 0;
    }
}

static struct words split(char *line) {
    struct words words = {0};
    char *place;
    char *word = strtok_r(line, " \t", &place);
    for (; word && words.count < MOST_WORDS; word = strtok_r(NULL, " \t", &place)) words.word[words.count++] = word;
    return words;
}

static void act(char *line) {
    struct words words = split(line);
    for (size_t i = 0; words.count && i < sizeof actions / sizeof actions[0]; i++) {
        if (strcmp(words.word[0], actions[i].name) != 0) continue;
        actions[i].act(&words);
        return;
    }
    if (words.count) wrong(words.word[0]);
}

// False after `end`.
static bool obey(char *line) {
    if (line[0] == '#') return true;
    if (strcmp(line, "end") == 0) return false;
    if (strncmp(line, "say ", 4) == 0)
        printf("%s\n", line);
    else if (strncmp(line, "send ", 5) == 0)
        send_with_crc(line + 5);
    else if (strncmp(line, "raw ", 4) == 0)
        send_raw(line + 4);
    else
        act(line);
    return true;
}

static bool is_waiting(void) {
    if (script.proving && proof_is_done()) {
        proof_print();
        script.proving = false;
    }
    if (script.settling && !waves_moving()) script.settling = false;
    return script.proving || script.settling || chip.avr->cycle < script.wake_cycle;
}

// A live run looks whether there is something; a batch waits for it. Looking costs as much as running the chip for
// microseconds, and this is called between its instructions.
static void read_more(void) {
    if (script.live && chip.avr->cycle < script.look_cycle) return;
    script.look_cycle = chip.avr->cycle + LOOK_EVERY_US * CYCLES_PER_US;
    struct pollfd ready = {script.input, POLLIN, 0};
    if (script.at_end || (script.live && poll(&ready, 1, 0) <= 0)) return;
    ssize_t length = read(script.input, script.text + script.length, sizeof script.text - 1 - script.length);
    if (length <= 0)
        script.at_end = true;
    else
        script.length += (size_t)length;
}

static bool take_line(char *line, size_t size) {
    char *newline = memchr(script.text, '\n', script.length);
    if (!newline) read_more();
    newline = memchr(script.text, '\n', script.length);
    if (!newline) return false;
    size_t length = (size_t)(newline - script.text);
    snprintf(line, size, "%.*s", (int)length, script.text);
    script.length -= length + 1;
    memmove(script.text, newline + 1, script.length);
    return true;
}

bool script_advance(void) {
    char line[512];
    while (!is_waiting()) {
        if (!take_line(line, sizeof line)) return script.live || !script.at_end;
        if (!obey(line)) return false;
        fflush(stdout);
    }
    return true;
}
