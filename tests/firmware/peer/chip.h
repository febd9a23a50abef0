// SPDX-License-Identifier: MIT
//
// The chip under test: the finished image in libsimavr, with the simulator's known errors put right
// (chip.c says which), its pins, its serial port and its resets.
#ifndef PEER_CHIP_H
#define PEER_CHIP_H

#include <simavr/sim_avr.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define CHIP_HZ 16000000u
#define CYCLES_PER_US (CHIP_HZ / 1000000u)

// Data space addresses (datasheet, "Register Summary").
#define CHIP_MCUSR 0x54
#define CHIP_WDTCSR 0x60
#define CHIP_RAM 0x100

struct chip_stats {
    uint64_t samples;          // runs of the sampling interrupt
    uint64_t busy_cycles;      // spent in them, entry and return included
    uint32_t shortest_cycles;  // of one run
    uint32_t longest_cycles;
    uint32_t widest_gap;       // between two samples, cycles
    uint64_t bytes_out;
    uint64_t bytes_in;
    uint64_t overruns;         // received bytes the firmware was too slow for
};

struct chip {
    avr_t *avr;
    struct avr_uart_t *uart;
    uint8_t level[3];  // what the harness drives on ports B, C, D
    struct chip_stats stats;
    uint64_t entered;       // cycle of the last interrupt entry
    uint64_t last_sample;   // cycle of the last one, 0 before the first
    void (*on_byte)(uint8_t byte);
    void (*on_sample_entry)(void);  // NULL, or called as the interrupt begins
    void (*on_sample_exit)(void);
    uint16_t *inbox;        // bytes on their way to the chip
    size_t inbox_length, inbox_taken, inbox_size;
    bool inbox_busy;
};

extern struct chip chip;

void chip_load(const char *elf_path);
// True unless the simulated program ended or crashed.
bool chip_run(void);
uint64_t chip_now_us(void);

// Drives one input pin; port is 'B', 'C' or 'D'.
void chip_drive(char port, int pin, bool high);
bool chip_level(char port, int pin);
void chip_drive_byte(char port, uint8_t levels, uint8_t mask);

// A byte on its way to the chip, perhaps with a broken frame.
#define CHIP_BROKEN 0x8000
void chip_send_byte(uint16_t byte);
void chip_send(const void *bytes, size_t length);

// External reset: RAM stays. Power loss: RAM comes back as noise.
void chip_reset(void);
void chip_power_cycle(uint32_t noise_seed);
// Reset by a watchdog, which stays on with its shortest time as on the chip.
void chip_watchdog_reset(void);
// A dip of the supply that the chip remembers and RAM survived.
void chip_brown_out(void);

// The main loop stops where it is until the next reset.
void chip_hang(void);

// Bytes between the variables and the deepest the stack has been since power-up.
unsigned chip_unused_ram(void);

// Address in data space of a variable of the image; ends the program if there is none.
uint16_t chip_symbol(const char *name);
uint32_t chip_read_u32(uint16_t address);
void chip_write_u32(uint16_t address, uint32_t value);

#endif
