/* Searches every sequence of a few happenings around the station's end itself: presses, time, messages that come, come
 * twice, come in the wrong order or never, a link that goes, power that goes, a memory that is blank. The broker keeps
 * what is under way over all of these. What must always be so is checked after each, and at the end of each sequence that all comes to rest.
 *
 *   explore DEPTH      prints how many sequences, or the first that breaks a promise, and then ends with 1
 */
#include "dw_station.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MANY 12
#define BAG 4

enum { ACK, SIGN_OPEN };

typedef struct {
    dw_press press;
    int what;
} told;

typedef struct {
    dw_station station;
    uint32_t clock_ms;
    uint8_t flash[DW_KEPT_MAX];
    uint16_t kept;
    int starts, blanks;
    bool fails;
    dw_press in_flash[MANY]; /* presses that have ever been kept */
    int in_flashes;
    bool has_kept;      /* in this start, */
    uint32_t kept_ms;   /* and when a press was kept for the first time, last */
    dw_press felt[MANY];
    bool may_be_lost[MANY];
    dw_press told_of[MANY]; /* presses that have ever been told */
    int saids;
    int felts;
    dw_press stored[MANY];
    int stores;
    dw_press up[BAG];
    int ups;
    told down[BAG];
    int downs;
} world;

static world *w;
static const char *names[] = {"press", "a moment", "eleven seconds", "first press message comes", "last press message comes",
                              "press message comes twice", "press message is lost", "press is stored, acknowledgement lost",
                              "first answer comes", "last answer comes", "answer comes twice", "answer is lost",
                              "power goes", "power and memory go", "link changes", "memory fails or mends"};
#define ACTIONS ((int)(sizeof names / sizeof names[0]))

#include "search.h"

static bool same(const dw_press *a, const dw_press *b)
{
    return a->boot == b->boot && a->seq == b->seq && a->at_ms == b->at_ms;
}

static int find(const dw_press *all, int count, const dw_press *press)
{
    int at;
    for (at = 0; at < count && !same(&all[at], press); at++) {
    }
    return at < count ? at : -1;
}

uint32_t dw_clock_ms(void) { return w->clock_ms; }
uint16_t dw_read_plate(void) { return 950; }
const char *dw_apply(uint8_t what, int32_t value)
{
    (void)what;
    (void)value;
    return NULL;
}
void dw_show(bool lamp, uint16_t tone_hz)
{
    (void)lamp;
    (void)tone_hz;
}

bool dw_keep(const uint8_t *bytes, uint16_t size)
{
    if (w->fails) {
        return false;
    }
    {
        int at;
        for (at = 0; at < w->station.waits; at++) {
            if (find(w->in_flash, w->in_flashes, &w->station.waiting[at]) < 0 && w->in_flashes < MANY) {
                w->in_flash[w->in_flashes++] = w->station.waiting[at];
                w->has_kept = true;
                w->kept_ms = w->clock_ms;
            }
        }
    }
    memcpy(w->flash, bytes, size);
    w->kept = size;
    return true;
}

/* A bag that is full loses what comes: so may a network. */
bool dw_send(const char *topic, const char *text)
{
    const char *press = strstr(text, "\"press\":");
    unsigned long boot, seq;
    unsigned long long at_ms;
    if (strcmp(topic, "from/gate/press") == 0 && press != NULL
        && sscanf(press, "\"press\":{\"boot\":%lu,\"seq\":%lu,\"at_ms\":%llu", &boot, &seq, &at_ms) == 3) {
        dw_press up;
        memset(&up, 0, sizeof up);
        up.boot = (uint32_t)boot;
        up.seq = (uint32_t)seq;
        up.at_ms = at_ms;
        if (w->saids < MANY && find(w->told_of, w->saids, &up) < 0) {
            w->told_of[w->saids++] = up;
        }
        if (w->ups < BAG) {
            w->up[w->ups++] = up;
        }
    }
    return true;
}

static void answer(const dw_press *press, int what)
{
    if (w->downs < BAG) {
        w->down[w->downs].press = *press;
        w->down[w->downs++].what = what;
    }
}

/* The service: stores what it does not have, acknowledges all; and opens the door for each new press. */
static void store(const dw_press *press, bool acknowledges)
{
    const bool is_new = find(w->stored, w->stores, press) < 0;
    if (find(w->felt, w->felts, press) < 0) {
        broken("a press is stored that nobody has made");
    }
    if (is_new) {
        w->stored[w->stores++] = *press;
    }
    if (acknowledges) {
        answer(press, ACK);
        if (is_new) {
            answer(press, SIGN_OPEN);
        }
    }
}

static void take_up(int at, bool removes, bool acknowledges)
{
    const dw_press press = w->up[at];
    if (removes) {
        w->ups--;
        memmove(&w->up[at], &w->up[at + 1], (size_t)(w->ups - at) * sizeof w->up[0]);
    }
    store(&press, acknowledges);
}

static void take_down(int at, bool removes)
{
    const told t = w->down[at];
    char text[160];
    int size;
    if (removes) {
        w->downs--;
        memmove(&w->down[at], &w->down[at + 1], (size_t)(w->downs - at) * sizeof w->down[0]);
    }
    size = snprintf(text, sizeof text, "{\"press\":{\"boot\":%lu,\"seq\":%lu,\"at_ms\":%llu},%s}", (unsigned long)t.press.boot,
                    (unsigned long)t.press.seq, (unsigned long long)t.press.at_ms,
                    t.what == ACK ? "\"rings\":true" : "\"n\":1,\"sign\":\"open\",\"seconds\":5");
    {
        const uint8_t before = w->station.sign;
        const dw_press newest = w->station.last;
        dw_station_heard(&w->station, t.what == ACK ? "to/gate/ack" : "to/gate/sign", text, (uint32_t)size);
        if (t.what == SIGN_OPEN && w->station.sign != before && newest.seq != 0 && !same(&newest, &t.press)) {
            broken("who has just pressed is told what became of an earlier press");
        }
        if (t.what == ACK && w->station.sign != before && !same(&newest, &t.press)) {
            broken("another press's acknowledgement changes the sign");
        }
    }
}

static void press(void)
{
    const uint32_t unkept = w->station.unkept;
    const dw_press oldest = w->station.waiting[0];
    dw_station_press(&w->station);
    if (w->station.unkept != unkept) {
        const int at = find(w->felt, w->felts, &oldest);
        if (at >= 0) {
            w->may_be_lost[at] = true;
        }
    }
    if (find(w->felt, w->felts, &w->station.last) >= 0) {
        broken("two presses have the same numbers");
    }
    w->felt[w->felts++] = w->station.last;
}

static void turn(uint32_t ms)
{
    w->clock_ms += ms;
    dw_station_turn(&w->station);
}

/* What is in memory alone goes with the power; that may only be what came within ten seconds of something kept. */
static void restart(bool blank)
{
    const dw_station before = w->station;
    const bool spares = (w->has_kept && w->clock_ms - w->kept_ms < 10000u) || before.memory_fails;
    int at;
    if (blank) {
        w->kept = 0;
        w->blanks++;
    }
    w->starts++;
    w->has_kept = false;
    /* Every start takes as long as the others: a board that the plate wakes. Numbers by chance lie far apart. */
    dw_station_start(&w->station, w->flash, w->kept, DW_RESET_POWER, 2654435761u * (uint32_t)w->starts);
    turn(300);
    for (at = 0; at < before.waits; at++) {
        const int felt = find(w->felt, w->felts, &before.waiting[at]);
        if (felt >= 0 && find(w->station.waiting, w->station.waits, &before.waiting[at]) < 0 && (spares || blank)) {
            w->may_be_lost[felt] = true;
        }
    }
}

/* A press that is lost and was never told leaves no number behind. */
static void unnumber(void)
{
    int at;
    for (at = 0; at < w->felts; at++) {
        if (w->may_be_lost[at] && find(w->told_of, w->saids, &w->felt[at]) < 0
            && find(w->station.waiting, w->station.waits, &w->felt[at]) < 0) {
            w->felt[at].boot = 0;
        }
    }
}

/* Where memory fails, a start is numbered anew before anything is told of it: its presses are the same ones. */
static void follow(const dw_station *before)
{
    int at;
    for (at = 0; at < w->felts && before->boot != w->station.boot; at++) {
        if (w->felt[at].boot == before->boot && find(w->stored, w->stores, &w->felt[at]) < 0) {
            w->felt[at].boot = w->station.boot;
        }
    }
}

static void check(void)
{
    const dw_station *s = &w->station;
    const uint64_t age_ms = s->up_ms - s->last.at_ms;
    int at;
    /* Six is the sign that asks to knock. */
    if (s->last.seq != 0 && find(s->waiting, s->waits, &s->last) >= 0 && age_ms >= 4000 && age_ms < 34000
        && !same(&s->signed_for, &s->last) && s->sign != 6) {
        broken("nobody knows of the press, and the caller is not asked to knock");
    }
    for (at = 0; at < w->felts; at++) {
        const dw_press *felt = &w->felt[at];
        if (!w->may_be_lost[at] && find(w->stored, w->stores, felt) < 0
            && find(w->station.waiting, w->station.waits, felt) < 0) {
            broken("a press is neither stored nor waits");
        }
    }
}

/* Whether the action can be; if so, it is done. */
static bool act(int action)
{
    switch (action) {
    case 0:
        if (w->felts == MANY) {
            return false;
        }
        press();
        return true;
    case 1:
        turn(100);
        return true;
    case 2:
        turn(4000);
        turn(3500);
        turn(3500);
        return true;
    case 3:
    case 4:
    case 5:
    case 6:
    case 7:
        if (w->ups == 0 || (action == 4 && w->ups < 2)) {
            return false;
        }
        if (action == 6) {
            w->ups--;
            memmove(&w->up[0], &w->up[1], (size_t)w->ups * sizeof w->up[0]);
        } else {
            take_up(action == 4 ? w->ups - 1 : 0, action != 5, action != 7);
        }
        return true;
    case 8:
    case 9:
    case 10:
    case 11:
        if (w->downs == 0 || !w->station.linked || (action == 9 && w->downs < 2)) {
            return false;
        }
        if (action == 11) {
            w->downs--;
            memmove(&w->down[0], &w->down[1], (size_t)w->downs * sizeof w->down[0]);
        } else {
            take_down(action == 9 ? w->downs - 1 : 0, action != 10);
        }
        return true;
    case 12:
        restart(false);
        unnumber();
        return true;
    case 13:
        if (w->blanks > 0) {
            return false;
        }
        restart(true);
        unnumber();
        return true;
    case 14:
        dw_station_linked(&w->station, !w->station.linked);
        return true;
    default:
        w->fails = !w->fails;
        return true;
    }
}

static bool step(const world *from, int action)
{
    if (!act(action)) {
        return false;
    }
    if (action < 12 || action > 13) {
        follow(&from->station);
    }
    check();
    return true;
}

/* From now on nothing goes wrong: after some minutes every press is stored, none waits, and the lamp is dark. */
static void comes_to_rest(void)
{
    int round, at;
    w->fails = false;
    if (!w->station.linked) {
        const dw_station before = w->station;
        dw_station_linked(&w->station, true);
        follow(&before);
    }
    for (round = 0; round < 6; round++) {
        while (w->ups > 0) {
            take_up(0, true, true);
        }
        while (w->downs > 0) {
            take_down(0, true);
        }
        turn(30000);
        turn(61000);
    }
    if (w->station.waits > 0) {
        broken("at rest, a press still waits");
    }
    if (w->station.sign != 0 || w->station.lamp) {
        broken("at rest, the lamp is lit");
    }
    for (at = 0; at < w->felts; at++) {
        if (!w->may_be_lost[at] && find(w->stored, w->stores, &w->felt[at]) < 0) {
            broken("at rest, a press is not stored");
        }
    }
}

int main(int count, char **arguments)
{
    static world first;
    w = &first;
    first.clock_ms = 4294960000u;
    dw_station_start(&first.station, NULL, 0, DW_RESET_POWER, 1);
    turn(500);
    dw_station_linked(&first.station, true);
    search(&first, count, arguments);
    return 0;
}
