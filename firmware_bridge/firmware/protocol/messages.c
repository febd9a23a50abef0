// SPDX-License-Identifier: MIT
#include "protocol/messages.h"

#include "protocol/line.h"

void say_hello(const struct hello *hello) {
    line_begin('W');
    line_unsigned(PROTOCOL_VERSION);
    line_hex_fixed(hello->boot);
    line_word(hello->model);
    line_unsigned(hello->axes);
    line_unsigned(hello->hz);
    line_key("fw");
    line_text(hello->firmware);
    line_key("tach");
    line_digits(hello->tach_pulses);
    line_key("in");
    line_digits(hello->switches);
    line_key("kept");
    line_digits(hello->kept);
    line_key("max");
    line_digits(hello->max_edges_per_s);
    line_key("kinds");
    line_text(hello->kinds);
    line_end();
}

void say_position(const struct position *position) {
    line_begin('P');
    line_unsigned(position->seq);
    line_unsigned(position->t_us);
    line_hex(position->flags);
    for (uint8_t i = 0; i < position->axes; i++) line_signed(position->count[i]);
    line_end();
}

void say_missed(uint8_t axis, uint32_t missed) {
    line_begin('E');
    line_unsigned(axis);
    line_unsigned(missed);
    line_end();
}

void say_mark(const struct mark *mark) {
    line_begin('M');
    line_unsigned(mark->axis);
    line_signed(mark->count);
    line_unsigned(mark->t_us);
    line_end();
}

void say_spindle(uint32_t t_us, uint32_t period_us) {
    line_begin('S');
    line_unsigned(t_us);
    line_unsigned(period_us);
    line_end();
}

void say_switches(uint8_t closed, uint32_t t_us) {
    line_begin('I');
    line_hex(closed);
    line_unsigned(t_us);
    line_end();
}
