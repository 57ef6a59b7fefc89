/* Doorwright: finds presses in the counts of a touch plate, sample by sample.
 *
 * C99, no dependence on a platform, no allocation, no floating point. The second form of crate `detector`, which explains
 * it and holds it to this one. Times are samples, levels are counts.
 *
 *     static dw_plate plate;                          all zero: nobody has read it yet
 *     uint8_t events = dw_plate_sample(&plate, &config, count);
 *     if (events & DW_PRESS) ...
 */
#ifndef DW_PLATE_H
#define DW_PLATE_H

#include <stdbool.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define DW_PLATE_VERSION 1

/* Everything that is tuned. Any values are safe; those outside their range are taken as its end. */
typedef struct {
    bool rises;           /* a touch makes the count rise; else it falls */
    uint8_t median;       /* each sample is the median of so many readings: 1, 3 or 5 */
    uint8_t debounce;     /* samples in a row that make a press, or a lift; at least 1 */
    uint8_t calibrate;    /* the baseline starts as the mean of 2^this samples, 0 to 8 */
    uint8_t track;        /* a sample on the touch side moves the baseline by 1/2^this of their distance */
    uint8_t track_away;   /* the same on the other side */
    uint8_t track_noise;  /* the same for the estimate of noise */
    uint16_t threshold;   /* counts from the baseline that a touch takes, at least 1 */
    uint16_t hysteresis;  /* counts by which a lift lies nearer the baseline */
    uint16_t level;       /* a fixed level instead of a baseline; 0 for a baseline */
    uint32_t hold;        /* samples after which a press is told as held; 0 for never */
    uint32_t longest;     /* samples after which a press is taken as stuck; 0 for never */
    uint16_t dead;        /* equal readings in a row that no plate gives; 0 for never */
    uint16_t noisy;       /* noise that is told, in sixteenths of a count; 0 for never */
} dw_plate_config;

/* One plate. Start it with zeros. */
typedef struct {
    uint32_t base;
    uint32_t noise;
    uint32_t held;
    uint16_t run;
    uint16_t same;
    uint16_t last;
    uint16_t before[4];
    uint8_t back;
    uint8_t filled;
    uint8_t phase;
    uint8_t noisy;
} dw_plate;

enum {
    DW_PRESS = 1,   /* a press begins */
    DW_LIFT = 2,    /* a press ends */
    DW_HOLD = 4,    /* a press has lasted `hold` samples */
    DW_STUCK = 8,   /* fault: a press lasted `longest` samples; it is over, no lift follows */
    DW_DEAD = 16,   /* fault: `dead` readings in a row were equal */
    DW_NOISY = 32   /* fault: idle readings are noisy */
};

/* Takes the next reading; returns what it made happen, several at once where so. */
uint8_t dw_plate_sample(dw_plate *plate, const dw_plate_config *config, uint16_t count);

/* Tells that `samples` readings are missing. */
void dw_plate_gap(dw_plate *plate, uint32_t samples);

/* Whether a press lasts. */
bool dw_plate_is_pressed(const dw_plate *plate);

#ifdef __cplusplus
}
#endif

#endif
