/* Reads runs from standard input and prints a digest of the whole state after each thousand samples, one line each.
 * A run: 14 numbers of a configuration as uint32, the count of samples as uint32, then the samples as uint32: a count below
 * 65536, or a gap of (number - 65536) samples. Numbers are little-endian, as the machine is. */
#include "dw_plate.h"
#include <inttypes.h>
#include <stdio.h>

static uint64_t mix(uint64_t hash, uint64_t value)
{
    return (hash ^ value) * UINT64_C(0x9e3779b97f4a7c15) + (hash >> 29);
}

static bool number(uint32_t *value) { return fread(value, sizeof *value, 1, stdin) == 1; }

int main(void)
{
    uint32_t n[14], count;
    while (number(&n[0])) {
        dw_plate plate = {0};
        dw_plate_config c;
        uint64_t hash = 0;
        uint32_t i;
        for (i = 1; i < 14; i++) {
            if (!number(&n[i])) {
                return 1;
            }
        }
        c.rises = n[0] != 0;
        c.median = (uint8_t)n[1];
        c.debounce = (uint8_t)n[2];
        c.calibrate = (uint8_t)n[3];
        c.track = (uint8_t)n[4];
        c.track_away = (uint8_t)n[5];
        c.track_noise = (uint8_t)n[6];
        c.threshold = (uint16_t)n[7];
        c.hysteresis = (uint16_t)n[8];
        c.level = (uint16_t)n[9];
        c.hold = n[10];
        c.longest = n[11];
        c.dead = (uint16_t)n[12];
        c.noisy = (uint16_t)n[13];
        if (!number(&count)) {
            return 1;
        }
        for (i = 0; i < count; i++) {
            uint32_t sample;
            uint8_t events = 0;
            int k;
            if (!number(&sample)) {
                return 1;
            }
            if (sample < 65536u) {
                events = dw_plate_sample(&plate, &c, (uint16_t)sample);
            } else {
                dw_plate_gap(&plate, sample - 65536u);
            }
            hash = mix(hash, ((uint64_t)plate.base << 32) | plate.noise);
            hash = mix(hash, ((uint64_t)plate.held << 32) | ((uint32_t)plate.run << 16) | plate.same);
            for (k = 0; k < 4; k++) {
                hash = mix(hash, ((uint32_t)plate.before[k] << 16) | plate.last);
            }
            hash = mix(hash, ((uint32_t)events << 24) | ((uint32_t)plate.back << 16) | ((uint32_t)plate.filled << 8)
                                 | ((uint32_t)plate.phase << 4) | plate.noisy);
            if (i % 1000 == 999 || i + 1 == count) {
                printf("%016" PRIx64 "\n", hash);
            }
        }
    }
    return 0;
}
