; SPDX-License-Identifier: MIT
;
; The one interrupt: samples the scale lines every SAMPLE_US and adds what the tables say. Once that
; is done it empties the serial receiver, which holds two bytes and would otherwise have to be looked
; at every 40 us by a main loop that is busy with longer things. An interrupt of the receiver's own
; would make samples late; here they are already taken.
;
; It owns these registers; the compiler is told to leave them alone (-ffixed-rN), and a test looks
; through the finished image for anything else that touches them.
;
;   r2       SREG while the interrupt runs      r9:r8    Z while the interrupt runs
;   r3       lines at the last sample           r10      table entry
;   r5:r4    sum of scale 0                     r11      missed of scale 0
;   r7:r6    sum of scale 1                     r16      missed of scale 1
;   r15:r14  samples                            r12, r13 the numbers 0 and 1
;
; With a third scale GPIOR0, GPIOR1 and GPIOR2 hold its sum and its missed count: they are reached
; in one cycle where memory takes two (datasheet, "General Purpose I/O Registers"), and no register is
; left.
;
; No scale changes the time taken: `sbrc` then `inc` is two cycles both ways. Entry takes 4 cycles,
; the jump from the vector 3, reti 4 (datasheet, "Interrupt Response Time" and "Instruction Set
; Summary"). A received byte adds 19, after the sample.

#define __SFR_OFFSET 0
#include <avr/io.h>

#include "port/avr/inbox.h"

#ifndef QUAD_SCALES
#define QUAD_SCALES 2
#endif

.section .text.quad_isr, "ax", @progbits
.global TIMER2_COMPA_vect
TIMER2_COMPA_vect:
    in      r2, _SFR_IO_ADDR(SREG)
    movw    r8, r30
    in      r30, _SFR_IO_ADDR(PINC)
#if QUAD_SCALES > 2
    mov     r10, r30
    mov     r31, r3                 ; r3 is swapped: high nibble scales 0 and 1, low nibble scale 2
    andi    r30, 0x30
    andi    r31, 0x03
    or      r30, r31                ; (pair now << 4) | pair before
    ldi     r31, hi8(quad_tables + 512)
    ld      r31, Z
    in      r30, _SFR_IO_ADDR(GPIOR2)
    sbrc    r31, 7
    inc     r30
    out     _SFR_IO_ADDR(GPIOR2), r30
    in      r30, _SFR_IO_ADDR(GPIOR0)
    add     r30, r31
    out     _SFR_IO_ADDR(GPIOR0), r30
    in      r30, _SFR_IO_ADDR(GPIOR1)
    adc     r30, r12
    out     _SFR_IO_ADDR(GPIOR1), r30
    mov     r30, r10
#endif
    andi    r30, 0x0F
    mov     r31, r3
#if QUAD_SCALES > 2
    mov     r3, r10
    andi    r31, 0xF0
#else
    mov     r3, r30
#endif
    swap    r3
    or      r30, r31                ; (nibble before << 4) | nibble now
    ldi     r31, hi8(quad_tables)
    ld      r10, Z
    sbrc    r10, 7
    inc     r11
    add     r4, r10
    adc     r5, r12
    inc     r31
    ld      r10, Z
    sbrc    r10, 7
    inc     r16
    add     r6, r10
    adc     r7, r12
    add     r14, r13
    adc     r15, r12
    lds     r10, UCSR0A
    sbrc    r10, RXC0
    rjmp    2f
1:  movw    r30, r8
    out     _SFR_IO_ADDR(SREG), r2
    reti

; The status comes before the byte, because reading the byte clears it (datasheet, "Receiver Error
; Flags"). A byte that is broken, or follows a lost one, is put down as zero, which no line may hold.
2:  mov     r30, r10
    andi    r30, (1 << FE0) | (1 << DOR0)
    lds     r10, UDR0
    breq    3f
    clr     r10
3:  lds     r30, port_inbox_placed
    inc     r30
    andi    r30, PORT_INBOX_SIZE - 1
    sts     port_inbox_placed, r30
    ldi     r31, hi8(port_inbox)
    subi    r30, lo8(-(port_inbox))
    st      Z, r10
    rjmp    1b

; void port_latch(struct quad_latch *latch)
;
; Interrupts are off for seven cycles, ten with a third scale, so this makes a sample little later than
; an ordinary instruction does. Not to be called before the samples start: it leaves interrupts on.
.section .text.port_latch, "ax", @progbits
.global port_latch
port_latch:
    movw    r30, r24
    cli
    movw    r18, r4
    movw    r20, r6
    movw    r22, r14
    mov     r24, r11
    mov     r25, r16
    mov     r0, r3
#if QUAD_SCALES > 2
    in      r26, _SFR_IO_ADDR(GPIOR0)
    in      r27, _SFR_IO_ADDR(GPIOR1)
    in      r1, _SFR_IO_ADDR(GPIOR2)
#endif
    sei
    st      Z+, r18
    st      Z+, r19
    st      Z+, r20
    st      Z+, r21
#if QUAD_SCALES > 2
    st      Z+, r26
    st      Z+, r27
#endif
    st      Z+, r22
    st      Z+, r23
    st      Z+, r24
    st      Z+, r25
#if QUAD_SCALES > 2
    st      Z+, r1
    clr     r1                      ; compiled code expects zero in it
#endif
    swap    r0
    st      Z, r0
    ret

; void quad_clear_registers(uint8_t lines): called once, before the samples start.
.section .text.quad_clear_registers, "ax", @progbits
.global quad_clear_registers
quad_clear_registers:
    mov     r3, r24
    swap    r3
    clr     r4
    clr     r5
    clr     r6
    clr     r7
    clr     r11
    clr     r12
    clr     r13
    inc     r13
    clr     r14
    clr     r15
    clr     r16
    out     _SFR_IO_ADDR(GPIOR0), r12
    out     _SFR_IO_ADDR(GPIOR1), r12
    out     _SFR_IO_ADDR(GPIOR2), r12
    ret
