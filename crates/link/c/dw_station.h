/* Doorwright: a station's end of the link: presses with numbers, settings without flashing, signs for the caller.
 *
 * C99, no dependence on a platform, no allocation, no floating point. What it says and hears is docs/station-link.md; any
 * MQTT 5 client carries it. One loop of yours calls it:
 *
 *     static dw_station station;
 *
 *     dw_station_start(&station, kept, size, reset, chance);     once, with what dw_keep() was last given
 *     dw_station_turn(&station);                                 over and over, once every plate.period; some late is borne
 *     dw_station_linked(&station, true);                         when the client is connected and has subscribed
 *     dw_station_heard(&station, topic, text, size);             when a message has come
 *
 * and six functions are yours. Call the functions of the station from one task only, and not from an interrupt; what is
 * called from inside one of the six is put off, or not done at all (messages, turns). The whole state is one plain struct:
 * in memory that outlasts sleep it goes on where it was (dw_station_woke). */
#ifndef DW_STATION_H
#define DW_STATION_H

#include "dw_plate.h"
#include "dw_station_config.h"

#include <stdbool.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define DW_STATION_VERSION 1
#if DW_STATION_CONFIG_VERSION != DW_STATION_VERSION
#error "dw_station_config.h is of another version: export both"
#endif

/* What dw_apply() is asked for: a setting by its name in capitals (DW_SET_CAMERA_QUALITY), or something to do. */
enum {
#define DW_ITEM(name, key, words, start, low, high, scale) DW_SET_##name,
    DW_SETTINGS(DW_ITEM)
#undef DW_ITEM
    DW_SETTINGS_COUNT,
    DW_DO_PICTURE = DW_SETTINGS_COUNT, /* take a picture now; the value is 0 */
    DW_DO_STREAM,                      /* stream pictures: 1 on, 0 off */
    DW_DO_LAMP                         /* the lamp that lights the caller's face: 1 on, 0 off */
};

/* A reason of dw_apply() that holds for ever. */
#define DW_NEVER(why) "!" why

/* The value of a setting that nobody has told: do as you would without it. */
#define DW_UNTOLD INT32_MIN

/* Presses that wait for their acknowledgement, 1 to 16. */
#ifndef DW_WAITING
#define DW_WAITING 8
#endif
#if DW_WAITING < 1 || DW_WAITING > 16
#error "DW_WAITING is 1 to 16"
#endif
/* Readings in one message. */
#define DW_BATCH 20
/* Most bytes that dw_keep() is given. */
#define DW_KEPT_MAX (44 + 4 * DW_SETTINGS_COUNT + 20 * DW_WAITING)
/* Most bytes of a message that is said. */
#define DW_SAID_MAX 640

/* ---- Yours: six functions ---------------------------------------------------------------------------------------- */

/* Milliseconds since any moment; may begin anew after 2^32. It must run on through sleep that dw_station outlasts. */
uint32_t dw_clock_ms(void);

/* The plate's count as the chip gives it, neither averaged nor compared with anything. */
uint16_t dw_read_plate(void);

/* Hands a message to the MQTT client, quality of service 1, not retained. False if it cannot be taken now: it is offered
 * again where it matters. Must not wait for the network. */
bool dw_send(const char *topic, const char *text);

/* Stores bytes so that they outlast a loss of power, whole or not at all. False if that failed; it is then tried again,
 * less and less often. Called after a press, at most every ten seconds; after acknowledgements, as seldom; before the first
 * message of a start; before settings are tried, and when they are to be kept; at starts after the program fell. */
bool dw_keep(const uint8_t *bytes, uint16_t size);

/* The caller's sign: a small lamp, and a tone in Hz (0: none). Called only when something changes. */
void dw_show(bool lamp, uint16_t tone_hz);

/* Does something, or takes a setting (see above; those of the plate that the detector needs are not asked for). NULL when
 * done; else why not, in a few plain words: a setting is then offered again each minute. DW_NEVER("no such lamp here") is
 * for what this program can never do: it stays as burned. What takes hold only with a new connection (keep alive, retry,
 * listening) connects anew; it is not kept before. */
const char *dw_apply(uint8_t what, int32_t value);

/* ---- What you may tell -------------------------------------------------------------------------------------------- */

/* Why the program started. Told truly, it keeps settings over which the program falls from being tried again. */
typedef enum {
    DW_RESET_UNKNOWN,
    DW_RESET_POWER,     /* supply came on */
    DW_RESET_BROWN_OUT, /* supply sagged */
    DW_RESET_WATCHDOG,  /* the program hung */
    DW_RESET_FAULT,     /* the program broke */
    DW_RESET_ASKED      /* restarted on purpose */
} dw_reset;

/* Told in each health message; DW_UNTOLD is left out. Write into `station.health` whenever you like. */
typedef struct {
    int32_t supply_mV;
    int32_t chip_degC;
    int32_t rssi_dBm;
    int32_t free_B;  /* memory that is free */
    int32_t block_B; /* the largest free piece of it */
} dw_health;

/* ---- The station -------------------------------------------------------------------------------------------------- */

/* A press: numbered within a start, by the clock of that start. */
typedef struct {
    uint64_t at_ms;
    uint32_t boot;
    uint32_t seq;
    uint16_t count; /* the reading that made it, and the idle level; both 0 for dw_station_press() */
    uint16_t idle;
} dw_press;

/* Yours is `health`; the rest is the station's own, and may be looked at. */
typedef struct {
    dw_health health;

    uint64_t up_ms;    /* since the start */
    uint32_t clock_ms; /* dw_clock_ms() when it was last read */
    uint32_t boot;     /* number of this start */
    uint32_t seq;      /* presses of this start */
    uint32_t chance;
    uint8_t reset;
    bool busy;
    bool linked;
    uint8_t link_later; /* told from inside: 1 linked, 2 not, 3 not and then linked */
    bool press_later;
    uint64_t told_ms; /* when dw_station_press() was last called, and when the plate last felt a press; 0: never */
    uint64_t plate_ms;
    bool greeted; /* a health message has been sent since the start */

    dw_plate plate;
    dw_plate_config config;
    uint64_t reading_us; /* when the next reading is due, since the start */
    uint32_t late;       /* readings that were due and not read */
    uint8_t fault;       /* DW_STUCK, DW_DEAD or DW_NOISY, not yet told */

    dw_press waiting[DW_WAITING]; /* oldest first */
    dw_press last;                /* the newest press of this start; seq 0 before any */
    uint8_t waits;
    uint32_t unkept; /* presses that were dropped for want of room before they were acknowledged */
    uint8_t offer_left; /* of these, up to which they are still to be told this time, and down to which */
    uint8_t offer_floor;
    uint64_t offer_ms;
    uint32_t patience_ms;

    bool boot_kept;
    uint8_t kept_waits; /* of the presses that wait, how many are kept: the first ones */
    bool keep_wanted;
    bool memory_fails;
    uint64_t keep_ms; /* when a press may be kept, and all else */
    uint64_t ease_ms;
    uint32_t keep_patience_ms;

    int32_t now[DW_SETTINGS_COUNT];  /* as the station runs */
    int32_t want[DW_SETTINGS_COUNT]; /* as it should; the program may refuse some */
    int32_t good[DW_SETTINGS_COUNT]; /* the last that proved themselves */
    char revision[9];                /* of what it should; empty: as burned */
    char good_revision[9];
    char fell[9]; /* the revision over which the program fell; it is not tried again */
    uint8_t falls;
    bool trying;
    uint64_t since_ms;  /* when the trial began, */
    uint64_t proved_ms; /* when the last value of it was taken, */
    bool link_wanted;   /* and whether it has to connect anew */
    uint64_t settle_ms;
    bool report_wanted;
    bool report_returned;
    char report_asked[9];
    uint64_t report_ms;

    uint8_t sign;
    uint8_t sign_after; /* what follows where a press was felt during it */
    dw_press signed_for; /* the press of the last sign that was told, and that sign's number */
    uint32_t sign_n;
    uint64_t sign_ms;
    uint64_t sign_ends_ms;
    uint64_t tick_ends_ms;
    uint64_t quiet_ends_ms;
    bool lamp;
    uint16_t tone_hz;

    uint64_t health_ms;
    uint8_t health_why;
    uint64_t stream_ends_ms; /* 0: off */
    uint64_t lamp_ends_ms;
    uint32_t unread; /* messages that could not be understood */

    uint64_t batch_ends_ms;
    uint64_t batch_ms;
    uint32_t batch_first; /* number of the first reading in it, since readings were asked for */
    uint8_t batch_size;
    uint16_t batch[DW_BATCH];
    char batch_id[25];
} dw_station;

/* Begins. `kept` is what dw_keep() was last given, or NULL; anything else in it is found out and passed over. `chance` is
 * any number that is not likely to come again, from the chip's random generator: where nothing is kept, starts are counted
 * from it, so that presses never have the numbers of earlier ones. */
void dw_station_start(dw_station *station, const uint8_t *kept, uint16_t size, dw_reset reset, uint32_t chance);

/* Goes on: reads the plate when that is due, sends, repeats, shows. */
void dw_station_turn(dw_station *station);

/* Tells that the client is connected and has subscribed to "to/NAME/#", or no longer is. */
void dw_station_linked(dw_station *station, bool linked);

/* Takes a message. The topic ends in a zero; the text need not. */
void dw_station_heard(dw_station *station, const char *topic, const char *text, uint32_t size);

/* Tells a press that something else has felt: a button, or the chip that woke by the plate. What the plate feels within a
 * second of it is the same press. */
void dw_station_press(dw_station *station);

/* Tells that the chip has slept, and its drivers and its link with it: all settings are applied again, and the link is to
 * be told anew. Call it first. The clock must have run on. */
void dw_station_woke(dw_station *station);

/* How long nothing but the plate is due, in ms; 0 while anything is. For those who want to sleep; to look for the link again
 * is your program's own affair, and `waits` says whether it matters. */
uint32_t dw_station_rests_ms(const dw_station *station);

#ifdef __cplusplus
}
#endif

#endif
