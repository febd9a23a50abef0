// SPDX-License-Identifier: MIT
//
// CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF, nothing reflected, nothing inverted at the end.
// The CRC catalogue's check value for "123456789" is 0x29B1.
#ifndef WAYTELL_PROTOCOL_CRC16_H
#define WAYTELL_PROTOCOL_CRC16_H

#include <stddef.h>
#include <stdint.h>

#define CRC16_START 0xFFFF

#ifdef __AVR__
#include <util/crc16.h>
static inline uint16_t crc16_step(uint16_t crc, uint8_t byte) {
    return _crc_xmodem_update(crc, byte);
}
#else
static inline uint16_t crc16_step(uint16_t crc, uint8_t byte) {
    crc ^= (uint16_t)(byte << 8);
    for (int bit = 0; bit < 8; bit++) crc = (uint16_t)((crc & 0x8000) ? (crc << 1) ^ 0x1021 : crc << 1);
    return crc;
}
#endif

uint16_t crc16(const void *bytes, size_t length);

#endif
