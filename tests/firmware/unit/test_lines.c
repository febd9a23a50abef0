// SPDX-License-Identifier: MIT
//
// The line protocol, both ways.
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "golden.h"
#include "protocol/command.h"
#include "protocol/crc16.h"
#include "protocol/line.h"
#include "protocol/messages.h"

const char *golden_path;

static const char *value_of(const char *line, const char *key) {
    static char values[8][32];
    static int turn;
    char *value = values[turn++ % 8];
    const char *at = strstr(line, key);
    value[0] = '\0';
    if (at) sscanf(at + strlen(key), "%31[^ *]", value);
    return value;
}

static void say_hello_again(const char *line) {
    struct hello hello = {0};
    char model[32];
    unsigned version, axes, hz;
    CHECK_SAME(sscanf(line, "W %u %" SCNx32 " %31s %u %u", &version, &hello.boot, model, &axes, &hz), 5);
    CHECK_SAME(version, PROTOCOL_VERSION);
    hello.model = model;
    hello.axes = (uint8_t)axes;
    hello.hz = (uint16_t)hz;
    hello.firmware = value_of(line, "fw=");
    hello.tach_pulses = (uint8_t)atoi(value_of(line, "tach="));
    hello.switches = (uint8_t)atoi(value_of(line, "in="));
    hello.kept = atoi(value_of(line, "kept=")) != 0;
    hello.max_edges_per_s = (uint32_t)strtoul(value_of(line, "max="), NULL, 10);
    hello.kinds = value_of(line, "kinds=");
    say_hello(&hello);
}

static void say_position_again(const char *line) {
    int32_t count[7];
    unsigned seq, flags;
    int used;
    struct position position = {.count = count};
    CHECK_SAME(sscanf(line, "P %u %" SCNu32 " %x%n", &seq, &position.t_us, &flags, &used), 3);
    position.seq = (uint16_t)seq;
    position.flags = (uint8_t)flags;
    for (const char *at = line + used; *at == ' '; at += used)
        CHECK_SAME(sscanf(at, " %" SCNd32 "%n", &count[position.axes++], &used), 1);
    say_position(&position);
}

static void say_rest_again(const char *line) {
    uint32_t first, second;
    struct mark mark;
    unsigned axis, bits;
    if (sscanf(line, "E %u %" SCNu32, &axis, &first) == 2) say_missed((uint8_t)axis, first);
    if (sscanf(line, "M %hhu %" SCNd32 " %" SCNu32, &mark.axis, &mark.count, &mark.t_us) == 3) say_mark(&mark);
    if (sscanf(line, "S %" SCNu32 " %" SCNu32, &first, &second) == 2) say_spindle(first, second);
    if (sscanf(line, "I %x %" SCNu32, &bits, &first) == 2) say_switches((uint8_t)bits, first);
}

static int for_each_golden(const char *letters, void (*act)(const char *line)) {
    char line[256];
    int lines = 0;
    FILE *file = fopen(golden_path, "r");
    CHECK(file != NULL);
    while (file && fgets(line, sizeof line, file)) {
        if (!strchr(letters, line[0])) continue;
        act(line);
        lines++;
    }
    if (file) fclose(file);
    return lines;
}

static void check_board_line(const char *line) {
    CHECK(strlen(line) <= LINE_MAX);
    if (line[0] == 'W')
        say_hello_again(line);
    else if (line[0] == 'P')
        say_position_again(line);
    else
        say_rest_again(line);
    CHECK_TEXT(said(), line);
}

void every_golden_board_line_is_said_again_from_its_numbers(void) {
    CHECK(for_each_golden("WPEMSI", check_board_line) >= 30);
}

static struct command read_text(struct command_reader *reader, const char *text, size_t length) {
    struct command last = {COMMAND_NONE, 0};
    for (size_t i = 0; i < length; i++) {
        struct command command = command_byte(reader, (uint8_t)text[i]);
        if (command.kind != COMMAND_NONE) last = command;
    }
    return last;
}

static void check_host_line(const char *line) {
    struct command_reader reader;
    command_start(&reader);
    struct command command = read_text(&reader, line, strlen(line));
    CHECK_SAME(reader.damaged, 0);
    if (line[0] == 'Q') CHECK_SAME(command.kind, COMMAND_HELLO);
    if (line[0] == 'R') {
        CHECK_SAME(command.kind, COMMAND_RATE);
        CHECK_SAME(command.hz, atoi(line + 2));
    }
}

void every_golden_host_line_is_understood(void) {
    CHECK(for_each_golden("QR", check_host_line) >= 5);
}

void crc_matches_the_catalogue_check_value(void) {
    CHECK_SAME(crc16("123456789", 9), 0x29B1);
    CHECK_SAME(crc16("", 0), 0xFFFF);
}

static void write_command(char *line, size_t size, const char *payload) {
    snprintf(line, size, "%s*%04X\n", payload, crc16(payload, strlen(payload)));
}

void a_damaged_bit_anywhere_in_a_command_is_noticed(void) {
    char good[32], bad[32];
    write_command(good, sizeof good, "R 500");
    size_t length = strlen(good);
    for (size_t bit = 0; bit < 8 * (length - 1); bit++) {
        struct command_reader reader;
        command_start(&reader);
        memcpy(bad, good, sizeof bad);
        bad[bit / 8] = (char)(bad[bit / 8] ^ 1 << bit % 8);
        CHECK_SAME(read_text(&reader, bad, length).kind, COMMAND_NONE);
        CHECK(reader.damaged > 0);
    }
}

void reading_goes_on_after_any_damage(void) {
    static const char *const rubbish[] = {
        "\n", "*\n", "Q\n", "Q*\n", "Q*AB2\n", "Q*AB245\n", "Q*ab24\n", "Q**AB24\n", "*AB24\n", "q*AB24\n", "Q*AB24 \n",
        "Q\r*AB24\n", "Q*AB24\r\r\n", "\x80Q*AB24\n", "Q*AB2\xFF\n", " Q*AB24\n",
    };
    struct command_reader reader;
    command_start(&reader);
    for (size_t i = 0; i < sizeof rubbish / sizeof rubbish[0]; i++) {
        CHECK_SAME(read_text(&reader, rubbish[i], strlen(rubbish[i])).kind, COMMAND_NONE);
        CHECK_SAME(reader.damaged, i + 1);
        CHECK_SAME(read_text(&reader, "Q*AB24\r\n", 8).kind, COMMAND_HELLO);
    }
}

static struct command command_of(const char *payload) {
    char line[64];
    struct command_reader reader;
    command_start(&reader);
    write_command(line, sizeof line, payload);
    struct command command = read_text(&reader, line, strlen(line));
    CHECK_SAME(reader.damaged, 0);
    return command;
}

void rates_outside_the_protocol_are_clipped_and_nonsense_is_ignored(void) {
    CHECK_SAME(command_of("R 0").hz, 10);
    CHECK_SAME(command_of("R 9").hz, 10);
    CHECK_SAME(command_of("R 1001").hz, 1000);
    CHECK_SAME(command_of("R 99999999").hz, 1000);
    CHECK_SAME(command_of("R 250 and more fields").hz, 250);
    CHECK_SAME(command_of("Q and more fields").kind, COMMAND_HELLO);
    static const char *const nonsense[] = {"R", "R ", "R  5", "R -5", "R 5x", "Rx5", "QQ", "Z", "P 1 2 3 4 5", "r 50"};
    for (size_t i = 0; i < sizeof nonsense / sizeof nonsense[0]; i++)
        CHECK_SAME(command_of(nonsense[i]).kind, COMMAND_NONE);
}

static void check_length(int payload_length, bool fits) {
    char payload[LINE_MAX + 8], line[LINE_MAX + 16];
    struct command_reader reader;
    command_start(&reader);
    memset(payload, 'x', sizeof payload);
    memcpy(payload, "Q ", 2);
    payload[payload_length] = '\0';
    write_command(line, sizeof line, payload);
    CHECK_SAME(read_text(&reader, line, strlen(line)).kind, fits ? COMMAND_HELLO : COMMAND_NONE);
    CHECK_SAME(reader.damaged, fits ? 0 : 1);
}

void a_line_longer_than_the_protocol_allows_is_damage(void) {
    check_length(LINE_MAX - 6, true);
    check_length(LINE_MAX - 5, false);
    check_length(LINE_MAX + 4, false);
    struct command_reader reader;
    command_start(&reader);
    for (long i = 0; i < 100000; i++) command_byte(&reader, 'x');
    CHECK_SAME(read_text(&reader, "\nQ*AB24\n", 8).kind, COMMAND_HELLO);
    CHECK_SAME(reader.damaged, 1);
}

void random_bytes_never_become_a_command(void) {
    struct command_reader reader;
    command_start(&reader);
    srandom(3);
    for (long i = 0; i < 2000000; i++) CHECK_SAME(command_byte(&reader, (uint8_t)random()).kind, COMMAND_NONE);
    CHECK(reader.damaged > 1000);
}
