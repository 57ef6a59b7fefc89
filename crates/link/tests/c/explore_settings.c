/* Searches every sequence of a few happenings around the settings of a station: two revisions that are told, tried, kept,
 * taken back; messages lost, doubled and late; the program that falls or refuses, memory that fails, power and link that go.
 *
 *   explore_settings DEPTH      prints how many sequences, or the first that breaks a promise, and then ends with 1
 */
#include "dw_station.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BAG 3

typedef struct {
    char what; /* S: settings, K: keep, R: a report */
    char revision[9];
    unsigned long boot;
    unsigned long long since_ms;
} told;

typedef struct {
    dw_station station;
    uint32_t clock_ms;
    uint8_t flash[DW_KEPT_MAX];
    uint16_t kept;
    bool fails, refuses;
    int32_t quality; /* as the program has it, */
    uint32_t quality_ms; /* and since when */
    int falls;       /* of the program while it ran what is kept */
    int starts;
    told up[BAG];
    int ups;
    told down[BAG];
    int downs;
    char fallen[9]; /* over this the program fell while it was tried, and nothing else has been told since */
} world;

static world *w;
static const char *names[] = {"A is sent", "B is sent", "a report comes", "a report is lost", "the first message comes",
                              "the last message comes", "the first message comes twice", "the first message is lost",
                              "ten seconds", "a minute", "power goes", "the program hangs", "link changes",
                              "memory fails or mends", "the program refuses or not"};
#define ACTIONS ((int)(sizeof names / sizeof names[0]))

#include "search.h"

static int32_t quality_of(const char *revision)
{
    return revision[0] == 'A' ? 20 : revision[0] == 'B' ? 30 : 14;
}

uint32_t dw_clock_ms(void) { return w->clock_ms; }
uint16_t dw_read_plate(void) { return 950; }
void dw_show(bool lamp, uint16_t tone_hz)
{
    (void)lamp;
    (void)tone_hz;
}

const char *dw_apply(uint8_t what, int32_t value)
{
    if (w->refuses) {
        return "not now";
    }
    if (what == DW_SET_CAMERA_QUALITY && w->quality != value) {
        w->quality = value;
        w->quality_ms = w->clock_ms;
    }
    return NULL;
}

bool dw_keep(const uint8_t *bytes, uint16_t size)
{
    if (!w->fails) {
        memcpy(w->flash, bytes, size);
        w->kept = size;
    }
    return !w->fails;
}

/* Only reports of a trial matter to the service: it keeps those. */
bool dw_send(const char *topic, const char *text)
{
    const char *revision = strstr(text, "\"revision\":\"");
    const char *since = strstr(text, "\"since_ms\":");
    if (strcmp(topic, "from/gate/settings") == 0 && revision != NULL && since != NULL && w->ups < BAG) {
        told *t = &w->up[w->ups++];
        memset(t, 0, sizeof *t);
        t->what = 'R';
        memcpy(t->revision, revision + 12, 8);
        sscanf(text, "{\"boot\":%lu", &t->boot);
        sscanf(since, "\"since_ms\":%llu", &t->since_ms);
    }
    return true;
}

static void turn(uint32_t ms)
{
    w->clock_ms += ms;
    dw_station_turn(&w->station);
}

static void send_down(char what, const told *of)
{
    if (w->downs < BAG) {
        w->down[w->downs] = *of;
        w->down[w->downs++].what = what;
    }
}

static void send_settings(char revision)
{
    told t;
    memset(&t, 0, sizeof t);
    memset(t.revision, revision, 8);
    send_down('S', &t);
}

static void take_down(int at, bool removes)
{
    const told t = w->down[at];
    const dw_station before = w->station;
    char text[200];
    int size;
    if (removes) {
        w->downs--;
        memmove(&w->down[at], &w->down[at + 1], (size_t)(w->downs - at) * sizeof w->down[0]);
    }
    if (t.what == 'S') {
        size = snprintf(text, sizeof text, "{\"revision\":\"%s\",\"burned\":\"3c98fc8c\",\"settings\":{\"camera.quality\":%ld}}",
                        t.revision, (long)quality_of(t.revision));
        dw_station_heard(&w->station, "to/gate/settings", text, (uint32_t)size);
        if (w->station.trying && strcmp(w->station.revision, w->fallen) == 0) {
            broken("what the program fell over is tried again");
        }
        if (strcmp(t.revision, w->fallen) != 0 && w->station.trying) {
            w->fallen[0] = '\0';
        }
    } else {
        size = snprintf(text, sizeof text, "{\"revision\":\"%s\",\"boot\":%lu,\"since_ms\":%llu}", t.revision, t.boot, t.since_ms);
        dw_station_heard(&w->station, "to/gate/keep", text, (uint32_t)size);
        if (strcmp(before.good_revision, w->station.good_revision) != 0
            && (!before.trying || t.boot != before.boot || t.since_ms != before.since_ms
                || strcmp(t.revision, before.revision) != 0 || w->station.up_ms - before.since_ms < 20000
                || w->quality != quality_of(t.revision) || w->clock_ms - w->quality_ms < 20000)) {
            broken("settings are kept that have not proved themselves");
        }
        if (strcmp(before.good_revision, w->station.good_revision) != 0) {
            w->falls = 0;
        }
    }
    if (t.what == 'S' && strcmp(before.good_revision, w->station.good_revision) != 0) {
        broken("settings are kept that nobody has said keep of");
    }
}

static void restart(dw_reset reset)
{
    const dw_station before = w->station;
    w->starts++;
    if (reset == DW_RESET_WATCHDOG && before.trying) {
        memcpy(w->fallen, before.revision, sizeof w->fallen);
    }
    if (reset == DW_RESET_WATCHDOG && !before.trying) {
        w->falls++;
    }
    /* What the memory would not take, nobody remembers. */
    if (before.memory_fails || w->fails) {
        w->fallen[0] = '\0';
    }
    w->quality = 14;
    w->quality_ms = w->clock_ms;
    dw_station_start(&w->station, w->flash, w->kept, reset, 1000u + (uint32_t)w->starts);
    /* Three falls in a row drop it; where memory fails, until the next start. */
    if (strcmp(before.good_revision, w->station.good_revision) != 0 && !before.memory_fails
        && (reset == DW_RESET_POWER || w->station.good_revision[0] != '\0')) {
        broken("a restart changes what was kept");
    }
    /* There is room for one: over what was kept it fell last. */
    if (before.good_revision[0] != '\0' && w->station.good_revision[0] == '\0') {
        memcpy(w->fallen, w->station.fell, sizeof w->fallen);
        if (w->falls < 3) {
            broken("what is kept is dropped too soon");
        }
        w->falls = w->fails ? w->falls : 0;
    }
    turn(300);
}

static void check(void)
{
    const dw_station *s = &w->station;
    if (s->now[DW_SET_CAMERA_QUALITY] != w->quality) {
        broken("the station does not know what runs");
    }
    if (s->trying && s->up_ms - s->since_ms > 120000 + 60000) {
        broken("a trial does not end");
    }
}

static bool act(int action)
{
    switch (action) {
    case 0:
    case 1:
        send_settings(action == 0 ? 'A' : 'B');
        return true;
    case 2:
    case 3:
        if (w->ups == 0) {
            return false;
        }
        if (action == 2) {
            send_down('K', &w->up[0]);
        }
        w->ups--;
        memmove(&w->up[0], &w->up[1], (size_t)w->ups * sizeof w->up[0]);
        return true;
    case 4:
    case 5:
    case 6:
    case 7:
        if (w->downs == 0 || !w->station.linked || (action == 5 && w->downs < 2)) {
            return false;
        }
        if (action == 7) {
            w->downs--;
            memmove(&w->down[0], &w->down[1], (size_t)w->downs * sizeof w->down[0]);
        } else {
            take_down(action == 5 ? w->downs - 1 : 0, action != 6);
        }
        return true;
    case 8:
        turn(10000);
        return true;
    case 9:
        turn(30000);
        turn(31000);
        return true;
    case 10:
        restart(DW_RESET_POWER);
        return true;
    case 11:
        restart(DW_RESET_WATCHDOG);
        return true;
    case 12:
        dw_station_linked(&w->station, !w->station.linked);
        return true;
    case 13:
        w->fails = !w->fails;
        return true;
    default:
        w->refuses = !w->refuses;
        return true;
    }
}

static bool step(const world *from, int action)
{
    (void)from;
    if (!act(action)) {
        return false;
    }
    check();
    return true;
}

/* From now on nothing goes wrong and nothing is told: what is kept runs, and all is said. */
static void comes_to_rest(void)
{
    int round;
    w->fails = false;
    w->refuses = false;
    if (!w->station.linked) {
        dw_station_linked(&w->station, true);
    }
    for (round = 0; round < 10; round++) {
        turn(31000);
    }
    if (w->station.trying || w->station.report_wanted) {
        broken("at rest, something is still tried or not told");
    }
    if (w->quality != quality_of(w->station.good_revision) || strcmp(w->station.revision, w->station.good_revision) != 0) {
        broken("at rest, what runs is not what the revision says");
    }
}

int main(int count, char **arguments)
{
    static world first;
    w = &first;
    first.quality = 14;
    first.clock_ms = 4294960000u;
    dw_station_start(&first.station, NULL, 0, DW_RESET_POWER, 1);
    turn(500);
    dw_station_linked(&first.station, true);
    /* A is kept, as it would be: so that there is something to lose. */
    send_settings('A');
    (void)act(4);
    (void)act(2);
    turn(21000);
    (void)act(4);
    if (strcmp(first.station.good_revision, "AAAAAAAA") != 0) {
        broken("settings cannot be kept at all");
    }
    search(&first, count, arguments);
    return 0;
}
