// SPDX-License-Identifier: MIT
//
// Writing one line of the protocol: fields, then '*', four hex digits of CRC-16, newline.
//
// Characters leave through line_sink as soon as they are known; no line is ever held as a whole.
// Whoever links this file supplies line_sink: the firmware puts the character in its outbox and
// looks at every input before it returns, so that composing a line never keeps an input waiting.
#ifndef WAYTELL_PROTOCOL_LINE_H
#define WAYTELL_PROTOCOL_LINE_H

#include <stdint.h>

// The longest line either side may send, newline included.
#define LINE_MAX 120

void line_sink(uint8_t character);

void line_begin(char letter);
void line_end(void);

// Each of these writes one space and one field.
void line_unsigned(uint32_t value);
void line_signed(int32_t value);
void line_hex(uint8_t value);         // without leading zeros
void line_hex_fixed(uint32_t value);  // eight digits
void line_word(const char *word);

// " key=" to be followed by line_text or line_digits.
void line_key(const char *key);
void line_text(const char *text);
void line_digits(uint32_t value);

#endif
