// SPDX-License-Identifier: MIT
//
// Which pin does what. README.md holds the same table for people.
#ifndef WAYTELL_PORT_AVR_PINS_H
#define WAYTELL_PORT_AVR_PINS_H

// Scales on port C: bits 0-1 first (A, B), bits 2-3 second, bits 4-5 third.
#if QUAD_SCALES > 2
#define SCALE_PINS 0x3F
#else
#define SCALE_PINS 0x0F
#endif

// Port B.
#define TACH_PIN 0           // ICP1
#define CALIPER_CLOCK_PIN 1
#define CALIPER_DATA_PIN 2

// Port D; bits 0 and 1 are the serial port.
#define SWITCH_PIN_0 2
#define SWITCH_PIN_1 3
#define MARK_PIN_0 4
#define MARK_PIN_1 5

#endif
