// SPDX-License-Identifier: MIT
//
// What a build may choose (see the Makefile), and what follows from it.
#ifndef WAYTELL_BOARD_OPTIONS_H
#define WAYTELL_BOARD_OPTIONS_H

#include "counting/scales.h"

#define FIRMWARE_VERSION "1.0.0"

#ifndef BAUD
#define BAUD 500000UL
#endif

#ifndef TACH_PULSES
#define TACH_PULSES 1
#endif

#ifndef RATE_HZ
#define RATE_HZ 250
#endif

// A position line at its longest is 28 characters and 11 more for each scale. A quarter of the line
// is left to everything else.
#define LONGEST_POSITION (28 + 11 * SCALE_COUNT)
#define RATE_OF_LINE_HZ (BAUD / 10 * 3 / 4 / LONGEST_POSITION)

// What the processor keeps up with beside the samples, measured with everything else going on
// (README.md, "Rates").
#if SCALE_COUNT > 3
#define RATE_OF_PROCESSOR_HZ 250
#elif SCALE_COUNT > 2
#define RATE_OF_PROCESSOR_HZ 280
#else
#define RATE_OF_PROCESSOR_HZ 370
#endif

#if RATE_OF_LINE_HZ < RATE_OF_PROCESSOR_HZ
#define RATE_KEPT_HZ RATE_OF_LINE_HZ
#else
#define RATE_KEPT_HZ RATE_OF_PROCESSOR_HZ
#endif

#if RATE_HZ > RATE_KEPT_HZ
#define RATE_AT_START_HZ RATE_KEPT_HZ
#else
#define RATE_AT_START_HZ RATE_HZ
#endif

#if QUAD_SCALES > 2
#define QUAD_KINDS "qqq"
#else
#define QUAD_KINDS "qq"
#endif
#if CALIPER_SCALES
#define SCALE_KINDS QUAD_KINDS "c"
#else
#define SCALE_KINDS QUAD_KINDS
#endif

#endif
