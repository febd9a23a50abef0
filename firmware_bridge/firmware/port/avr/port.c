// SPDX-License-Identifier: MIT
//
// ATmega328P at 16 MHz. "Datasheet" is that of the ATmega48A/PA/88A/PA/168A/PA/328/P; its sections are
// named, because their numbers differ between its editions.
#include "port/port.h"

#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>

#include "counting/scales.h"
#include "port/avr/pins.h"
#include "protocol/crc16.h"

#ifndef BAUD
#define BAUD 500000UL
#endif
#ifndef PULLUPS
#define PULLUPS 0
#endif

// The interrupt forms a page address by replacing the high byte only.
uint8_t quad_tables[QUAD_TABLE_BYTES] __attribute__((aligned(QUAD_PAGE)));

// Aligned to its size, so that it lies within one page (inbox.h).
uint8_t port_inbox[PORT_INBOX_SIZE] __attribute__((aligned(PORT_INBOX_SIZE)));
volatile uint8_t port_inbox_placed;
uint8_t port_inbox_taken;

void quad_clear_registers(uint8_t lines);

static uint8_t reset_cause __attribute__((section(".noinit")));

// Runs before memory is set up, because after a watchdog reset the watchdog stays on with its
// shortest time, about 16 ms (datasheet, "Watchdog Timer"), and the cause must be read before it is
// cleared.
void note_reset_cause(void) __attribute__((naked, used, section(".init3")));
void note_reset_cause(void) {
    reset_cause = MCUSR;
    MCUSR = 0;
    wdt_disable();
}

// Inputs with pull-ups, written once. The scale lines get none: see README.md, "Pins".
static void init_pins(void) {
#if PULLUPS
    PORTC = SCALE_PINS;
#endif
    PORTB = _BV(TACH_PIN) | (CALIPER_SCALES ? _BV(CALIPER_CLOCK_PIN) | _BV(CALIPER_DATA_PIN) : 0);
    PORTD = _BV(SWITCH_PIN_0) | _BV(SWITCH_PIN_1) | _BV(MARK_PIN_0) | _BV(MARK_PIN_1);
    // A boot loader may have turned the digital inputs of port C off (datasheet, "DIDR0").
    DIDR0 = 0;
}

// Double speed, 8N1 (datasheet, "Examples of Baud Rate Setting"). The low byte of the divider comes last: that
// write starts the baud rate generator.
static void init_serial(void) {
    const uint16_t divider = (uint16_t)((F_CPU / 4 / BAUD - 1) / 2);
    UCSR0A = _BV(U2X0);
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
    UCSR0B = _BV(RXEN0) | _BV(TXEN0);
    UBRR0H = (uint8_t)(divider >> 8);
    UBRR0L = (uint8_t)divider;
}

void port_init(void) {
    init_pins();
    init_serial();
}

bool port_lost_power(void) {
    return (reset_cause & (_BV(PORF) | _BV(BORF))) != 0;
}

// Memory between the variables and the stack still holds what the power-up left in it.
uint16_t port_noise(void) {
    extern uint8_t __heap_start;
    return crc16(&__heap_start, (size_t)(SP - (uint16_t)&__heap_start));
}

uint8_t port_scale_lines(void) {
    return PINC & SCALE_PINS;
}

// Timer 2 marks every SAMPLE_US on clock/8; timer 1 runs on clock/8 for the tach, with its noise filter
// on (four equal samples: datasheet, "Noise Canceler" of the input capture unit) and the falling edge
// chosen. Started back to back, they stay within a step of each other for ever.
void port_start_sampling(uint8_t lines_before) {
    quad_fill_tables(quad_tables);
    quad_clear_registers(lines_before);
    TCCR1A = 0;
    TCNT1 = 0;
    TCCR2A = _BV(WGM21);
    OCR2A = SAMPLE_US * (F_CPU / 8 / 1000000UL) - 1;
    TCNT2 = 0;
    TIMSK2 = _BV(OCIE2A);
    TCCR1B = _BV(ICNC1) | _BV(CS11);
    TCCR2B = _BV(CS21);
    TIFR1 = _BV(ICF1);
    sei();
}

void port_store_read(uint8_t *bytes, uint8_t from, uint8_t length) {
    while (length--) *bytes++ = eeprom_read_byte((const uint8_t *)(uint16_t)from++);
}

void port_store_write(const uint8_t *bytes, uint8_t from, uint8_t length) {
    while (length--) eeprom_update_byte((uint8_t *)(uint16_t)from++, *bytes++);
}

void port_watchdog_start(void) {
#if WATCHDOG
    wdt_enable(WDTO_250MS);
#endif
}

void port_watchdog_calm(void) {
#if WATCHDOG
    wdt_reset();
#endif
}
