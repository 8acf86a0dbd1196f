/* fuzz.h - what libFuzzer calls. */
#ifndef GW_TESTS_FUZZ_H
#define GW_TESTS_FUZZ_H

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
