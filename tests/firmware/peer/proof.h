// SPDX-License-Identifier: MIT
//
// The interrupt against the C rule it was built from, sample by sample, inside the running image.
#ifndef PEER_PROOF_H
#define PEER_PROOF_H

#include <stdbool.h>
#include <stdint.h>

// Every string of four port states once (so every pair of transitions, for two scales), then
// `random_states` more at random.
void proof_begin(int scales, long random_states);
bool proof_is_done(void);
// Prints how many samples were compared and how many differed.
void proof_print(void);

#endif
