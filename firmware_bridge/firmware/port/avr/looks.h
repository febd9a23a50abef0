// SPDX-License-Identifier: MIT
//
// The inline part of the ATmega328P port; port/port.h says what each of these means.
#ifndef WAYTELL_PORT_AVR_LOOKS_H
#define WAYTELL_PORT_AVR_LOOKS_H

#include <avr/io.h>
#include <stdbool.h>
#include <stdint.h>

#include "port/avr/inbox.h"
#include "port/avr/pins.h"

// With the usual one-transistor level shifter both lines come upside down.
#ifndef CALIPER_INVERTED
#define CALIPER_INVERTED 1
#endif

// The register belongs to the interrupt; one byte of it needs no protection.
static inline uint8_t port_sample_tick(void) {
    uint8_t tick;
    __asm__ volatile("mov %0, r14" : "=r"(tick));
    return tick;
}

extern uint8_t port_inbox[PORT_INBOX_SIZE];
extern volatile uint8_t port_inbox_placed;
extern uint8_t port_inbox_taken;

static inline bool port_receive(uint8_t *byte) {
    if (port_inbox_taken == port_inbox_placed) return false;
    port_inbox_taken = (port_inbox_taken + 1) % PORT_INBOX_SIZE;
    *byte = ((volatile uint8_t *)port_inbox)[port_inbox_taken];
    return true;
}

static inline bool port_can_transmit(void) {
    return UCSR0A & _BV(UDRE0);
}

static inline void port_transmit(uint8_t byte) {
    UDR0 = byte;
}

// Read before the flag is cleared, so that a second edge is kept rather than torn.
static inline bool port_tach_caught(uint16_t *ticks) {
    if (!(TIFR1 & _BV(ICF1))) return false;
    *ticks = ICR1;
    TIFR1 = _BV(ICF1);
    return true;
}

static inline bool port_tach_low(void) {
    return !(PINB & _BV(TACH_PIN));
}

static inline uint8_t port_switches(void) {
    return (uint8_t)(~PIND >> SWITCH_PIN_0) & 3;
}

static inline uint8_t port_marks(void) {
    return (PIND >> MARK_PIN_0) & 3;
}

static inline bool port_caliper_clock(void) {
    return (PINB >> CALIPER_CLOCK_PIN & 1) != CALIPER_INVERTED;
}

static inline bool port_caliper_data(void) {
    return (PINB >> CALIPER_DATA_PIN & 1) != CALIPER_INVERTED;
}

#endif
