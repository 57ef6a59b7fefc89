/* Doorwright: see dw_plate.h. Kept line by line beside crate `detector`; a change here is a change there. */
#include "dw_plate.h"

enum { CALIBRATES = 0, IDLE = 1, PRESSED = 2, WAITS = 3 };

static uint16_t least(uint16_t a, uint16_t b) { return a < b ? a : b; }
static uint16_t most(uint16_t a, uint16_t b) { return a > b ? a : b; }
static uint16_t middle(uint16_t a, uint16_t b, uint16_t c) { return least(most(a, b), most(least(a, b), c)); }
static uint32_t less(uint32_t from, uint32_t by) { return from > by ? from - by : 0u; }
static uint8_t next8(uint8_t count) { return count < UINT8_MAX ? (uint8_t)(count + 1) : count; }
static uint16_t next16(uint16_t count) { return count < UINT16_MAX ? (uint16_t)(count + 1) : count; }

/* `from`, moved by 1/2^shift of its distance to `to`; rounded the same way on both sides. */
static uint32_t step(uint32_t from, uint32_t to, unsigned shift)
{
    if (shift > 31u) {
        shift = 31u;
    }
    return to >= from ? from + ((to - from) >> shift) : from - ((from - to) >> shift);
}

static uint8_t equal(dw_plate *p, const dw_plate_config *c, uint16_t count)
{
    uint16_t before;
    if (p->same == 0 || count != p->last) {
        p->last = count;
        p->same = 1;
        return 0;
    }
    before = p->same;
    p->same = next16(p->same);
    return c->dead != 0 && p->same == c->dead && before != p->same ? DW_DEAD : 0;
}

static uint16_t filtered(dw_plate *p, uint8_t median, uint16_t count)
{
    const uint16_t a = p->before[0], b = p->before[1], c = p->before[2], d = p->before[3];
    uint16_t sample = count;
    if (median < 3) {
        return count;
    }
    if (median < 5) {
        if (p->filled >= 2) {
            sample = middle(a, b, count);
        }
    } else if (p->filled >= 4) {
        sample = middle(most(least(a, b), least(c, d)), least(most(a, b), most(c, d)), count);
    }
    p->before[0] = count;
    p->before[1] = a;
    p->before[2] = b;
    p->before[3] = c;
    p->filled = p->filled < 4 ? (uint8_t)(p->filled + 1) : 4;
    return sample;
}

static bool calibrated(dw_plate *p, const dw_plate_config *c, uint16_t sample)
{
    const unsigned shift = c->calibrate < 8 ? c->calibrate : 8u;
    if (c->level != 0) {
        p->phase = IDLE;
        return true;
    }
    p->base = p->base > UINT32_MAX - sample ? UINT32_MAX : p->base + sample;
    p->run = next16(p->run);
    if (p->run >= 1u << shift) {
        p->base <<= 16 - shift;
        p->run = 0;
        p->phase = IDLE;
    }
    return false;
}

static uint8_t learn(dw_plate *p, const dw_plate_config *c, uint32_t at, uint32_t towards, uint32_t away,
                     uint32_t threshold, uint32_t lift)
{
    const uint8_t debounce = c->debounce > 0 ? c->debounce : 1;
    const uint32_t limit = (uint32_t)c->noisy << 12;
    const uint32_t apart = towards | away;
    unsigned shift = c->track;
    if (away >= threshold) {
        p->back = next8(p->back);
        if (p->back >= 8u * debounce || p->back == 255u) {
            p->back = 0;
            p->base = at;
        }
        return 0;
    }
    p->back = 0;
    if (away > 0) {
        shift = c->track_away;
    } else if (towards >= lift) {
        shift += 3u;
    }
    p->base = step(p->base, at, shift);
    p->noise = step(p->noise, apart < threshold / 2 ? apart : threshold / 2, c->track_noise);
    if (limit == 0) {
        return 0;
    }
    if (p->noisy == 0 && p->noise >= limit) {
        p->noisy = 1;
        return DW_NOISY;
    }
    if (p->noisy == 1 && p->noise < limit / 2) {
        p->noisy = 0;
    }
    return 0;
}

uint8_t dw_plate_sample(dw_plate *p, const dw_plate_config *c, uint16_t count)
{
    uint8_t events = equal(p, c, count);
    const uint16_t sample = filtered(p, c->median, count);
    const uint16_t debounce = c->debounce > 0 ? c->debounce : 1;
    const uint16_t counts = c->threshold > 0 ? c->threshold : 1;
    const uint32_t threshold = (uint32_t)counts << 16;
    const uint32_t lift = counts > c->hysteresis ? (uint32_t)(counts - c->hysteresis) << 16 : (uint32_t)1 << 16;
    const uint32_t at = (uint32_t)sample << 16;
    uint32_t towards, away;
    bool over;

    if (p->phase == CALIBRATES && !calibrated(p, c, sample)) {
        return events;
    }
    if (c->level != 0) {
        towards = c->rises ? less((uint32_t)sample + counts, c->level) : less((uint32_t)c->level + counts, sample);
        towards = (towards < 0xffffu ? towards : 0xffffu) << 16;
        away = 0;
    } else {
        towards = c->rises ? less(at, p->base) : less(p->base, at);
        away = c->rises ? less(p->base, at) : less(at, p->base);
    }

    if (p->phase == IDLE) {
        if (towards >= threshold) {
            p->back = 0;
            p->run = next16(p->run);
            if (p->run >= debounce) {
                p->phase = PRESSED;
                p->run = 0;
                p->held = 0;
                events |= DW_PRESS;
            }
        } else {
            p->run = 0;
            if (c->level == 0) {
                events |= learn(p, c, at, towards, away, threshold, lift);
            }
        }
        return events;
    }

    p->held = p->held < UINT32_MAX ? p->held + 1 : p->held;
    p->run = towards < lift ? next16(p->run) : 0;
    over = p->run >= debounce;
    if (p->phase == WAITS) {
        if (over) {
            p->phase = IDLE;
            p->run = 0;
        }
        return events;
    }
    if (c->hold != 0 && p->held == c->hold) {
        events |= DW_HOLD;
    }
    if (over) {
        p->phase = IDLE;
        p->run = 0;
        events |= DW_LIFT;
    } else if (c->longest != 0 && p->held >= c->longest) {
        p->run = 0;
        if (c->level == 0) {
            p->phase = IDLE;
            p->base = at;
        } else {
            p->phase = WAITS;
        }
        events |= DW_STUCK;
    }
    return events;
}

void dw_plate_gap(dw_plate *p, uint32_t samples)
{
    if (p->phase != CALIBRATES) {
        p->run = 0;
    }
    p->back = 0;
    p->same = 0;
    p->filled = 0;
    if (p->phase >= PRESSED) {
        p->held = p->held > UINT32_MAX - samples ? UINT32_MAX : p->held + samples;
    }
}

bool dw_plate_is_pressed(const dw_plate *p) { return p->phase == PRESSED; }
