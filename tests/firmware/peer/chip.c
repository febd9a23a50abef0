// SPDX-License-Identifier: MIT
//
// libsimavr 1.6 differs from the chip in places that matter here. Put right below:
//  - entering an interrupt takes no time (really 4 cycles);
//  - two instructions run after a return from interrupt before the next one (really one);
//  - a character of 8N1 takes 11 bit times (really 10), and the receiver holds 64 (really 2 and the
//    one in the shift register) and hands each on after one more character time;
//  - a pull-up drives a pin high even against an outside signal, and each write to the port again.
// Not simulated: slow edges, the delay of the pin synchroniser, metastability, brown-out.
#include "chip.h"

#include <fcntl.h>
#include <gelf.h>
#include <simavr/avr_extint.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_elf.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define INTERRUPT_ENTRY_CYCLES 4
_Static_assert(CHIP_BROKEN == UART_INPUT_FE, "the mark of a broken frame is the simulator's");

#define RECEIVER_HOLDS 3
#define UNTOUCHED 0xA5  // what memory holds before the program first runs
#define SAMPLE_VECTOR 7  // TIMER2_COMPA, counted from 0 (datasheet, "Interrupt Vectors in ATmega328")

struct chip chip;
static const char *image_path;
static struct { uint16_t byte[RECEIVER_HOLDS + 1], shifting; unsigned holds; bool arriving; } receiver;

static void be_quiet(avr_t *avr, const int level, const char *format, va_list values) {
    (void)avr;
    if (level == LOG_ERROR) vfprintf(stderr, format, values);
}

static void *find_module(const char *kind) {
    for (avr_io_t *io = chip.avr->io_port; io; io = io->next)
        if (strcmp(io->kind, kind) == 0) return io;
    fprintf(stderr, "peer: the simulator has no %s\n", kind);
    exit(2);
}

static void note_sample_entry(uint64_t cycle) {
    if (chip.last_sample && cycle - chip.last_sample > chip.stats.widest_gap)
        chip.stats.widest_gap = (uint32_t)(cycle - chip.last_sample);
    chip.last_sample = cycle;
    chip.entered = cycle;
    chip.stats.samples++;
    if (chip.on_sample_entry) chip.on_sample_entry();
}

// The return instruction itself (4 cycles) is added to the clock after this is called.
static void note_sample_exit(void) {
    uint32_t cycles = (uint32_t)(chip.avr->cycle - chip.entered) + 4;
    chip.stats.busy_cycles += cycles;
    if (cycles > chip.stats.longest_cycles) chip.stats.longest_cycles = cycles;
    if (!chip.stats.shortest_cycles || cycles < chip.stats.shortest_cycles) chip.stats.shortest_cycles = cycles;
    chip.entered = 0;
    if (chip.on_sample_exit) chip.on_sample_exit();
}

static void interrupt_changed(struct avr_irq_t *irq, uint32_t vector, void *unused) {
    (void)irq, (void)unused;
    avr_t *avr = chip.avr;
    if (vector == 0) {
        if (avr->interrupt_state == -2) avr->interrupt_state = -1;
        if (chip.entered) note_sample_exit();
        return;
    }
    if (vector == SAMPLE_VECTOR) note_sample_entry(avr->cycle);
    avr->cycle += INTERRUPT_ENTRY_CYCLES;
    // What is left to run until the simulator's next event is that much less.
    bool before_event = avr->run_cycle_count > INTERRUPT_ENTRY_CYCLES;
    avr->run_cycle_count = before_event ? avr->run_cycle_count - INTERRUPT_ENTRY_CYCLES : 1;
}

static uint32_t cycles_per_byte(void) {
    const uint8_t *data = chip.avr->data;
    uint32_t divider = (uint32_t)(data[0xC4] | data[0xC5] << 8) + 1;  // UBRR0
    return divider * (data[0xC0] & 0x02 ? 8 : 16) * 10;               // U2X0 in UCSR0A
}

static void byte_came_out(struct avr_irq_t *irq, uint32_t byte, void *unused) {
    (void)irq, (void)unused;
    chip.uart->cycles_per_byte = cycles_per_byte();
    chip.stats.bytes_out++;
    if (chip.on_byte) chip.on_byte((uint8_t)byte);
}

static bool receiver_is_free(void) {
    return chip.uart->input.write == chip.uart->input.read;
}

// Hands the oldest byte of the receiver to the simulator, which otherwise would spend a character
// time of its own on each byte that was already here.
static void show_received(void) {
    if (!receiver.holds || !receiver_is_free()) return;
    chip.uart->cycles_per_byte = 1;
    uint16_t byte = receiver.byte[0];
    memmove(receiver.byte, receiver.byte + 1, --receiver.holds * sizeof receiver.byte[0]);
    avr_raise_irq(avr_io_getirq(chip.avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT), byte);
    chip.uart->cycles_per_byte = cycles_per_byte();
}

static void receiver_was_read(struct avr_irq_t *irq, uint32_t value, void *unused) {
    (void)irq, (void)value, (void)unused;
    show_received();
}

// One byte comes in per character time, whatever the firmware does: a host does not wait for it. A
// byte that begins while two are held and one waits in the shift register is lost (datasheet,
// "Receiver Error Flags"), and in a burst it begins as the one before it ends.
static avr_cycle_count_t byte_comes_in(avr_t *avr, avr_cycle_count_t when, void *unused) {
    (void)avr, (void)unused;
    if (receiver.arriving) {
        receiver.byte[receiver.holds++] = receiver.shifting;
        receiver.arriving = false;
        show_received();
    }
    if (chip.inbox_taken == chip.inbox_length) {
        chip.inbox_taken = chip.inbox_length = 0;
        chip.inbox_busy = false;
        return 0;
    }
    receiver.shifting = chip.inbox[chip.inbox_taken++];
    chip.stats.bytes_in++;
    receiver.arriving = receiver.holds + !receiver_is_free() < RECEIVER_HOLDS;
    if (!receiver.arriving) chip.stats.overruns++;
    return when + cycles_per_byte();
}

void chip_send_byte(uint16_t byte) {
    if (chip.inbox_length == chip.inbox_size) {
        chip.inbox_size = chip.inbox_size ? 2 * chip.inbox_size : 256;
        chip.inbox = realloc(chip.inbox, chip.inbox_size * sizeof *chip.inbox);
    }
    chip.inbox[chip.inbox_length++] = byte;
    if (chip.inbox_busy) return;
    chip.inbox_busy = true;
    avr_cycle_timer_register(chip.avr, 1, byte_comes_in, NULL);
}

void chip_send(const void *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) chip_send_byte(((const uint8_t *)bytes)[i]);
}

// The simulator asks these values instead of its pull-ups whenever the firmware writes a port.
static void hold_levels(char port) {
    avr_ioport_external_t held = {.name = (unsigned char)port, .mask = 0xFF, .value = chip.level[port - 'B']};
    avr_ioctl(chip.avr, AVR_IOCTL_IOPORT_SET_EXTERNAL(port), &held);
}

static uint16_t pin_register(char port) {
    return port == 'B' ? 0x23 : port == 'C' ? 0x26 : 0x29;
}

void chip_drive(char port, int pin, bool high) {
    uint8_t *level = &chip.level[port - 'B'];
    *level = (uint8_t)(high ? *level | 1 << pin : *level & ~(1 << pin));
    hold_levels(port);
    avr_raise_irq(avr_io_getirq(chip.avr, AVR_IOCTL_IOPORT_GETIRQ(port), pin), high);
}

bool chip_level(char port, int pin) {
    return chip.level[port - 'B'] >> pin & 1;
}

void chip_drive_byte(char port, uint8_t levels, uint8_t mask) {
    uint8_t changed = (chip.level[port - 'B'] ^ levels) & mask;
    for (int pin = 0; pin < 8; pin++)
        if (changed >> pin & 1) chip_drive(port, pin, levels >> pin & 1);
}

// After a reset the simulator's pin registers read zero, and it would not pass on a level it
// believes is there already.
static void restore_levels(void) {
    for (char port = 'B'; port <= 'D'; port++) {
        hold_levels(port);
        chip.avr->data[pin_register(port)] = chip.level[port - 'B'];
    }
}

static void stop_helpful_sleep(void) {
    uint32_t flags = 0;
    avr_ioctl(chip.avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
}

// The switches are on the pins of the external interrupts, which the firmware does not use. Held low, the
// simulator would look at them again at every cycle, and run four times slower.
static void stop_watching_low_pins(void) {
    for (uint8_t line = 0; line < 2; line++) avr_extint_set_strict_lvl_trig(chip.avr, line, 0);
}

// What the simulator forgets at each reset.
static void set_up_simulator(void) {
    chip.avr->run_cycle_limit = 10000;
    stop_helpful_sleep();
    stop_watching_low_pins();
}

void chip_load(const char *elf_path) {
    elf_firmware_t image = {0};
    avr_global_logger_set(be_quiet);
    image_path = elf_path;
    chip.avr = avr_make_mcu_by_name("atmega328p");
    if (!chip.avr || elf_read_firmware(elf_path, &image) != 0) {
        fprintf(stderr, "peer: cannot load %s\n", elf_path);
        exit(2);
    }
    avr_init(chip.avr);
    chip.avr->frequency = CHIP_HZ;
    image.frequency = CHIP_HZ;
    avr_load_firmware(chip.avr, &image);
    chip.uart = find_module("uart");
    set_up_simulator();
    avr_irq_t *serial = avr_io_getirq(chip.avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
    avr_irq_register_notify(serial + UART_IRQ_OUTPUT, byte_came_out, NULL);
    avr_irq_register_notify(serial + UART_IRQ_OUT_XON, receiver_was_read, NULL);
    avr_irq_t *interrupts = avr_get_interrupt_irq(chip.avr, AVR_INT_ANY);
    avr_irq_register_notify(interrupts + AVR_INT_IRQ_RUNNING, interrupt_changed, NULL);
    // Lines that nothing drives: switches open, tach high, marks low, scales low.
    chip_drive_byte('B', 0x01, 0xFF);
    chip_drive_byte('D', 0x0C, 0xFF);
    restore_levels();
    chip.avr->data[CHIP_MCUSR] = 0x01;
    memset(chip.avr->data + CHIP_RAM, UNTOUCHED, (size_t)chip.avr->ramend + 1 - CHIP_RAM);
}

unsigned chip_unused_ram(void) {
    unsigned start = chip_symbol("__heap_start"), at = start;
    while (at <= chip.avr->ramend && chip.avr->data[at] == UNTOUCHED) at++;
    return at - start;
}

static struct { uint8_t code[2]; avr_flashaddr_t at; } hung;

// The instruction at hand becomes a jump to itself. Interrupts are not running here: the harness acts
// between instructions of the main loop or of the interrupt, so it waits for the former.
void chip_hang(void) {
    while (chip.entered) avr_run(chip.avr);
    hung.at = chip.avr->pc;
    memcpy(hung.code, chip.avr->flash + hung.at, 2);
    memcpy(chip.avr->flash + hung.at, "\xFF\xCF", 2);
}

static void mend(void) {
    if (hung.at) memcpy(chip.avr->flash + hung.at, hung.code, 2);
    hung.at = 0;
}

bool chip_run(void) {
    int state = avr_run(chip.avr);
    if (chip.avr->pc == 0) mend();
    return state != cpu_Done && state != cpu_Crashed;
}

uint64_t chip_now_us(void) {
    return chip.avr->cycle / CYCLES_PER_US;
}

static void begin_again(uint8_t cause) {
    avr_reset(chip.avr);
    chip.avr->data[CHIP_MCUSR] = cause;
    chip.entered = chip.last_sample = 0;
    chip.inbox_taken = chip.inbox_length = 0;
    chip.inbox_busy = false;
    receiver.holds = 0;
    receiver.arriving = false;
    restore_levels();
    set_up_simulator();
}

void chip_reset(void) {
    begin_again(0x02);  // EXTRF
}

// The change sequence of the chip (datasheet, "Watchdog Timer"), done from outside.
static void write_watchdog(uint8_t value) {
    chip.avr->io[AVR_DATA_TO_IO(CHIP_WDTCSR)].w.c(chip.avr, CHIP_WDTCSR, value,
                                                  chip.avr->io[AVR_DATA_TO_IO(CHIP_WDTCSR)].w.param);
}

void chip_watchdog_reset(void) {
    begin_again(0x08);     // WDRF
    write_watchdog(0x18);  // WDCE, WDE
    write_watchdog(0x08);  // WDE, 16 ms
}

void chip_brown_out(void) {
    begin_again(0x04);  // BORF
}

void chip_power_cycle(uint32_t noise_seed) {
    begin_again(0x01);  // PORF
    srandom(noise_seed);
    for (uint32_t at = CHIP_RAM; at <= chip.avr->ramend; at++) chip.avr->data[at] = (uint8_t)(random() >> 8);
}

static Elf_Scn *find_symbol_table(Elf *elf, GElf_Shdr *header) {
    Elf_Scn *section = NULL;
    while ((section = elf_nextscn(elf, section)) != NULL)
        if (gelf_getshdr(section, header) && header->sh_type == SHT_SYMTAB) return section;
    return NULL;
}

static long look_up(Elf *elf, const char *name) {
    GElf_Shdr header;
    Elf_Scn *section = find_symbol_table(elf, &header);
    if (!section) return -1;
    Elf_Data *data = elf_getdata(section, NULL);
    for (size_t i = 0; i < header.sh_size / header.sh_entsize; i++) {
        GElf_Sym symbol;
        gelf_getsym(data, (int)i, &symbol);
        if (strcmp(elf_strptr(elf, header.sh_link, symbol.st_name), name) == 0) return (long)(symbol.st_value & 0xFFFF);
    }
    return -1;
}

uint16_t chip_symbol(const char *name) {
    elf_version(EV_CURRENT);
    int file = open(image_path, O_RDONLY);
    Elf *elf = elf_begin(file, ELF_C_READ, NULL);
    long address = elf ? look_up(elf, name) : -1;
    elf_end(elf);
    close(file);
    if (address < 0) {
        fprintf(stderr, "peer: %s has no symbol %s\n", image_path, name);
        exit(2);
    }
    return (uint16_t)address;
}

uint32_t chip_read_u32(uint16_t address) {
    uint32_t value;
    memcpy(&value, chip.avr->data + address, sizeof value);
    return value;
}

void chip_write_u32(uint16_t address, uint32_t value) {
    memcpy(chip.avr->data + address, &value, sizeof value);
}
