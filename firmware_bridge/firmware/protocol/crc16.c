// SPDX-License-Identifier: MIT
#include "protocol/crc16.h"

uint16_t crc16(const void *bytes, size_t length) {
    const uint8_t *byte = bytes;
    uint16_t crc = CRC16_START;
    while (length--) crc = crc16_step(crc, *byte++);
    return crc;
}
