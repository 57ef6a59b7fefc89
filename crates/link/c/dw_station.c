/* Doorwright: a station's end of the link. See dw_station.h; what is said and heard is docs/station-link.md. */
#include "dw_station.h"

#include <string.h>

/* All times in ms. */
#define PATIENCE_MS 2000u            /* a press that is not acknowledged is told again after this, then twice as long, */
#define PATIENCE_YOUNG_MS 4000u      /* up to this while somebody may still stand there, */
#define YOUNG_MS 30000u
#define PATIENCE_MOST_MS 60000u      /* and then up to this */
#define RETRY_MS 500u                /* when the client cannot take a message now */
#define FELT_MS 4000u                /* by then somebody must have said that the press is known; else: please knock */
#define KNOCK_MS 30000u
#define RINGING_MS 90000u            /* nobody has said any more: nobody comes */
#define AWAY_MS 2000u
#define ANSWERED_MS 120000u
#define TICK_MS 60u
#define LAMP_MOST_S 600u
#define PROVE_MS 20000u              /* settings are tried for so long before they may be kept, */
#define TRY_MS 120000u               /* and taken back when they have not been kept by then */
#define SETTLE_MS 60000u             /* a value that the program would not take is offered again */
#define FALLS 3                      /* so many starts in a row because the program hung or broke: as burned */
#define STANDS_MS 600000u            /* the row ends when the program has run for so long */
#define LATE_MS 250u                 /* readings that are missing for longer are a gap to the detector */
#define BATCH_APART_MS 200u          /* messages with readings come no faster, however late these are */
#define PRESS_ONCE_MS 1000u          /* the finger that a button or the waking chip has felt is not felt again (and a few readings) */
#define HEALTH_MS 600000u
#ifndef DW_KEEP_APART_MS
#define DW_KEEP_APART_MS 10000u      /* spares the memory that keeps; 0 where it does not wear */
#endif
#define KEEP_PATIENCE_MS 10000u      /* a memory that fails is tried again after this, then twice as long, */
#define KEEP_PATIENCE_MOST_MS 3600000u /* and so on up to this */

/* Why a health message is sent. */
enum { HEALTH_DUE, HEALTH_ASKED, HEALTH_LINKED, HEALTH_PLATE, HEALTH_START };

/* Signs. */
enum { OFF, FELT, RINGING, ANSWERED, OPEN, AWAY, KNOCK };

#define FROM(kind) "from/" DW_STATION_NAME "/" kind

/* ---- Settings as the plan names them ------------------------------------------------------------------------------ */

typedef struct {
    const char *key;
    const char *words; /* NULL for a number; else words parted by a space, counted from 0 */
    int32_t start;
    int32_t low;
    int32_t high;
    int32_t scale; /* the value counts 1/scale: 1 or 1000 */
} item;

static const item items[DW_SETTINGS_COUNT] = {
#define DW_ITEM(name, key, words, start, low, high, scale) {key, words, start, low, high, scale},
    DW_SETTINGS(DW_ITEM)
#undef DW_ITEM
};

/* A value that the program has lost: it is offered again. */
#define LOST (INT32_MIN + 1)

/* What the detector needs, the station takes itself. */
static bool is_own(int at)
{
    switch (at) {
    case DW_SET_PLATE_PERIOD_US:
    case DW_SET_PLATE_DEBOUNCE:
    case DW_SET_PLATE_MEDIAN:
    case DW_SET_PLATE_THRESHOLD:
    case DW_SET_PLATE_HYSTERESIS:
    case DW_SET_PLATE_TRACK:
    case DW_SET_PLATE_TRACK_AWAY:
    case DW_SET_PLATE_DEAD_MS:
    case DW_SET_PLATE_LONGEST_MS:
    case DW_SET_PLATE_NOISY:
        return true;
    default:
        return false;
    }
}

/* What takes hold only with a new connection. */
static bool is_of_link(int at)
{
    return at == DW_SET_NOTICE_KEEP_ALIVE_MS || at == DW_SET_NET_RETRY || at == DW_SET_RADIO_LISTEN;
}

/* ---- Writing ------------------------------------------------------------------------------------------------------ */

typedef struct {
    char text[DW_SAID_MAX];
    uint16_t size;
    bool full;
} said;

static void put(said *s, const char *text)
{
    const size_t length = strlen(text);
    if (s->full || length >= sizeof s->text - s->size) {
        s->full = true;
        return;
    }
    memcpy(s->text + s->size, text, length + 1);
    s->size = (uint16_t)(s->size + length);
}

static void put_number(said *s, uint64_t value)
{
    char digits[21];
    char *at = digits + sizeof digits - 1;
    *at = '\0';
    do {
        *--at = (char)('0' + value % 10u);
        value /= 10u;
    } while (value > 0);
    put(s, at);
}

static void settle_boot(dw_station *station);

/* Every message begins with the start it belongs to and the time since. */
static void begin(said *s, dw_station *station)
{
    settle_boot(station);
    s->size = 0;
    s->full = false;
    put(s, "{\"boot\":");
    put_number(s, station->boot);
    put(s, ",\"up_ms\":");
    put_number(s, station->up_ms);
}

static void put_key(said *s, const char *key)
{
    put(s, ",\"");
    put(s, key);
    put(s, "\":");
}

static void put_text(said *s, const char *key, const char *text)
{
    put_key(s, key);
    put(s, "\"");
    put(s, text);
    put(s, "\"");
}

/* A text from outside this file: at most 60 letters, and whatever JSON would not take as it is becomes a point. */
static void put_plain(said *s, const char *text)
{
    char plain[61];
    int at;
    for (at = 0; at < 60 && text[at] != '\0'; at++) {
        const char c = text[at];
        plain[at] = c >= ' ' && c <= '~' && c != '"' && c != '\\' ? c : '.';
    }
    plain[at] = '\0';
    put(s, "\"");
    put(s, plain);
    put(s, "\"");
}

static void put_told(said *s, const char *key, int32_t value)
{
    if (value == DW_UNTOLD) {
        return;
    }
    put_key(s, key);
    if (value < 0) {
        put(s, "-");
    }
    put_number(s, (uint64_t)(value < 0 ? -(int64_t)value : (int64_t)value));
}

static void put_press(said *s, const dw_press *press)
{
    put_key(s, "press");
    put(s, "{\"boot\":");
    put_number(s, press->boot);
    put(s, ",\"seq\":");
    put_number(s, press->seq);
    put(s, ",\"at_ms\":");
    put_number(s, press->at_ms);
    if (press->count != 0 || press->idle != 0) {
        put(s, ",\"count\":");
        put_number(s, press->count);
        put(s, ",\"idle\":");
        put_number(s, press->idle);
    }
    put(s, "}");
}

/* Hands a message over. */
static bool say(const dw_station *station, const char *topic, said *s)
{
    put(s, "}");
    return !s->full && station->linked && dw_send(topic, s->text);
}

/* ---- Reading ------------------------------------------------------------------------------------------------------ */

typedef struct {
    const char *at;
    const char *end;
} reader;

/* A text inside the message; not plain if it has escapes, which none of ours needs. */
typedef struct {
    const char *at;
    uint32_t size;
    bool plain;
} word;

/* A number: its whole part up to 2^53, thousandths of the rest, and whether that was rounded up at the fourth digit. */
typedef struct {
    uint64_t whole;
    uint16_t thousandths;
    bool more; /* the fourth digit is 5 or above */
    bool negative;
    bool is_whole; /* no point, no exponent */
    bool is_plain; /* no exponent, and not above 2^53 */
} number;

#define NUMBER_MOST (UINT64_C(1) << 53)
#define DEPTH_MOST 8

static void blanks(reader *r)
{
    while (r->at < r->end && (*r->at == ' ' || *r->at == '\t' || *r->at == '\n' || *r->at == '\r')) {
        r->at++;
    }
}

static bool take(reader *r, char c)
{
    blanks(r);
    if (r->at < r->end && *r->at == c) {
        r->at++;
        return true;
    }
    return false;
}

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

static bool is_hex(char c) { return is_digit(c) || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F'); }

static bool read_word(reader *r, word *w)
{
    if (!take(r, '"')) {
        return false;
    }
    w->at = r->at;
    w->plain = true;
    while (r->at < r->end && *r->at != '"') {
        if ((unsigned char)*r->at < 0x20u) {
            return false;
        }
        if (*r->at == '\\') {
            w->plain = false;
            r->at++;
            if (r->at == r->end) {
                return false;
            }
            if (*r->at == 'u') {
                int digit;
                for (digit = 0; digit < 4; digit++) {
                    r->at++;
                    if (r->at == r->end || !is_hex(*r->at)) {
                        return false;
                    }
                }
            } else if (*r->at == '\0' || strchr("\"\\/bfnrt", *r->at) == NULL) {
                return false;
            }
        }
        r->at++;
    }
    w->size = (uint32_t)(r->at - w->at);
    return take(r, '"');
}

static bool read_number(reader *r, number *n)
{
    blanks(r);
    memset(n, 0, sizeof *n);
    n->is_whole = true;
    n->is_plain = true;
    if (r->at < r->end && *r->at == '-') {
        n->negative = true;
        r->at++;
    }
    if (r->at == r->end || !is_digit(*r->at)) {
        return false;
    }
    if (*r->at == '0') {
        r->at++;
        if (r->at < r->end && is_digit(*r->at)) {
            return false;
        }
    }
    while (r->at < r->end && is_digit(*r->at)) {
        if (n->is_plain) {
            n->whole = n->whole * 10u + (uint64_t)(*r->at - '0');
        }
        n->is_plain = n->is_plain && n->whole <= NUMBER_MOST;
        r->at++;
    }
    if (r->at < r->end && *r->at == '.') {
        uint16_t weight = 100;
        bool fourth = true;
        n->is_whole = false;
        r->at++;
        if (r->at == r->end || !is_digit(*r->at)) {
            return false;
        }
        while (r->at < r->end && is_digit(*r->at)) {
            if (weight > 0) {
                n->thousandths = (uint16_t)(n->thousandths + weight * (*r->at - '0'));
            } else if (fourth) {
                n->more = *r->at >= '5';
                fourth = false;
            }
            weight = (uint16_t)(weight / 10u);
            r->at++;
        }
    }
    if (r->at < r->end && (*r->at == 'e' || *r->at == 'E')) {
        n->is_whole = false;
        n->is_plain = false;
        r->at++;
        if (r->at < r->end && (*r->at == '+' || *r->at == '-')) {
            r->at++;
        }
        if (r->at == r->end || !is_digit(*r->at)) {
            return false;
        }
        while (r->at < r->end && is_digit(*r->at)) {
            r->at++;
        }
    }
    return true;
}

static bool read_literal(reader *r, const char *literal)
{
    const size_t length = strlen(literal);
    blanks(r);
    if ((size_t)(r->end - r->at) < length || memcmp(r->at, literal, length) != 0) {
        return false;
    }
    r->at += length;
    return true;
}

/* Passes over any value; the depth bounds the stack. */
static bool skip(reader *r, int depth)
{
    char open;
    blanks(r);
    if (r->at == r->end || depth > DEPTH_MOST) {
        return false;
    }
    open = *r->at;
    if (open == '"') {
        word w;
        return read_word(r, &w);
    }
    if (open == '-' || is_digit(open)) {
        number n;
        return read_number(r, &n);
    }
    if (open == '{' || open == '[') {
        const char close = open == '{' ? '}' : ']';
        r->at++;
        if (take(r, close)) {
            return true;
        }
        do {
            word key;
            if (open == '{' && (!read_word(r, &key) || !take(r, ':'))) {
                return false;
            }
            if (!skip(r, depth + 1)) {
                return false;
            }
        } while (take(r, ','));
        return take(r, close);
    }
    return read_literal(r, "true") || read_literal(r, "false") || read_literal(r, "null");
}

static bool is(const word *w, const char *text)
{
    return w->plain && w->size == strlen(text) && memcmp(w->at, text, w->size) == 0;
}

/* What any message to a station may hold. */
typedef struct {
    dw_press press;
    bool has_press;
    word id, revision, burned, sign;
    uint64_t n, seconds, boot, since_ms;
    bool has_seconds, has_boot, has_since;
    bool on, has_on;
    bool rings, has_rings;
    reader settings;
    bool has_settings;
} heard;

static bool read_count(reader *r, uint64_t most, uint64_t *value)
{
    number n;
    if (!read_number(r, &n) || !n.is_whole || !n.is_plain || n.negative || n.whole > most) {
        return false;
    }
    *value = n.whole;
    return true;
}

static bool read_bool(reader *r, bool *value)
{
    *value = read_literal(r, "true");
    return *value || read_literal(r, "false");
}

static bool read_press(reader *r, dw_press *press)
{
    uint64_t value;
    int parts = 0;
    if (!take(r, '{')) {
        return false;
    }
    do {
        word key;
        if (!read_word(r, &key) || !take(r, ':')) {
            return false;
        }
        if (is(&key, "boot") && read_count(r, UINT32_MAX, &value)) {
            press->boot = (uint32_t)value;
            parts |= 1;
        } else if (is(&key, "seq") && read_count(r, UINT32_MAX, &value)) {
            press->seq = (uint32_t)value;
            parts |= 2;
        } else if (is(&key, "at_ms") && read_count(r, NUMBER_MOST, &value)) {
            press->at_ms = value;
            parts |= 4;
        } else if (is(&key, "boot") || is(&key, "seq") || is(&key, "at_ms") || !skip(r, 2)) {
            return false;
        }
    } while (take(r, ','));
    return parts == 7 && take(r, '}');
}

/* Reads one member of a message; false if it is none, or not what its name asks. */
static bool read_member(reader *r, heard *h)
{
    word key;
    if (!read_word(r, &key) || !take(r, ':')) {
        return false;
    }
    if (is(&key, "press")) {
        h->has_press = true;
        return read_press(r, &h->press);
    }
    if (is(&key, "id")) {
        return read_word(r, &h->id);
    }
    if (is(&key, "revision")) {
        return read_word(r, &h->revision);
    }
    if (is(&key, "burned")) {
        return read_word(r, &h->burned);
    }
    if (is(&key, "sign")) {
        return read_word(r, &h->sign);
    }
    if (is(&key, "n")) {
        return read_count(r, UINT32_MAX, &h->n);
    }
    if (is(&key, "boot")) {
        h->has_boot = true;
        return read_count(r, UINT32_MAX, &h->boot);
    }
    if (is(&key, "since_ms")) {
        h->has_since = true;
        return read_count(r, NUMBER_MOST, &h->since_ms);
    }
    if (is(&key, "seconds")) {
        h->has_seconds = true;
        return read_count(r, 86400, &h->seconds);
    }
    if (is(&key, "on")) {
        h->has_on = true;
        return read_bool(r, &h->on);
    }
    if (is(&key, "rings")) {
        h->has_rings = true;
        return read_bool(r, &h->rings);
    }
    if (is(&key, "settings")) {
        blanks(r);
        h->has_settings = r->at < r->end && *r->at == '{';
        h->settings = *r;
        return h->has_settings && skip(r, 1);
    }
    return skip(r, 1);
}

/* Reads a whole message: one object and nothing behind it. */
static bool read_message(const char *text, uint32_t size, heard *h)
{
    reader r;
    memset(h, 0, sizeof *h);
    r.at = text;
    r.end = text + size;
    if (!take(&r, '{')) {
        return false;
    }
    if (!take(&r, '}')) {
        do {
            if (!read_member(&r, h)) {
                return false;
            }
        } while (take(&r, ','));
        if (!take(&r, '}')) {
            return false;
        }
    }
    blanks(&r);
    return r.at == r.end;
}

/* Names that travel: letters, digits, - and _, at most 24. */
static bool is_name(const word *w, uint32_t most)
{
    uint32_t at;
    if (w->at == NULL || !w->plain || w->size == 0 || w->size > most) {
        return false;
    }
    for (at = 0; at < w->size; at++) {
        const char c = w->at[at];
        if (!is_digit(c) && !(c >= 'a' && c <= 'z') && !(c >= 'A' && c <= 'Z') && c != '-' && c != '_') {
            return false;
        }
    }
    return true;
}

static void copy_name(char *to, const word *w)
{
    memcpy(to, w->at, w->size);
    to[w->size] = '\0';
}

/* ---- Keeping ------------------------------------------------------------------------------------------------------ */

/* What is kept, least byte first:
 *   version (1), CRC-32 of the table of settings (4), "burned" (8), revision (8, zeros: as burned), revision on trial (8),
 *   starts in a row because the program hung or broke (1), number of the start (4), presses dropped (4),
 *   count of settings (1), those (4 each), count of waiting presses (1), those (start 4, number 4, time 8, count 2, idle 2
 *   each), CRC-32 of all before it (4). */
#define KEPT_HEAD 39u
/* Beside the count of falls: the revision on trial still is; else the program fell over it. */
#define ON_TRIAL 0x80u

static uint8_t *put_bytes(uint8_t *to, uint64_t value, int bytes)
{
    while (bytes-- > 0) {
        *to++ = (uint8_t)(value & 0xffu);
        value >>= 8;
    }
    return to;
}

static uint64_t bytes_at(const uint8_t *from, int bytes)
{
    uint64_t value = 0;
    while (bytes-- > 0) {
        value = value << 8 | from[bytes];
    }
    return value;
}

/* CRC-32 as ISO 3309 has it: x^32+x^26+...+1, reflected; begun with 0, it goes on from what came before. */
static uint32_t crc32(uint32_t before, const void *bytes, size_t size)
{
    const uint8_t *byte = bytes;
    uint32_t crc = ~before;
    int bit;
    for (; size > 0; size--, byte++) {
        crc ^= *byte;
        for (bit = 0; bit < 8; bit++) {
            crc = crc >> 1 ^ (crc & 1u ? 0xedb88320u : 0u);
        }
    }
    return ~crc;
}

/* Which table this is: what was kept under another one means other things. */
static uint32_t table(void)
{
    uint32_t crc = 0;
    int at;
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        const int32_t numbers[4] = {items[at].start, items[at].low, items[at].high, items[at].scale};
        crc = crc32(crc, items[at].key, strlen(items[at].key) + 1);
        crc = items[at].words == NULL ? crc : crc32(crc, items[at].words, strlen(items[at].words) + 1);
        crc = crc32(crc, numbers, sizeof numbers);
    }
    return crc;
}

static bool keep(dw_station *station)
{
    uint8_t kept[DW_KEPT_MAX];
    uint8_t *to = kept;
    int at;
    memset(kept, 0, sizeof kept);
    to = put_bytes(to, DW_STATION_VERSION, 1);
    to = put_bytes(to, table(), 4);
    memcpy(to, DW_BURNED, 8);
    memcpy(to + 8, station->good_revision, strlen(station->good_revision));
    /* What is on trial does not get another one if the program falls over it. */
    memcpy(to + 16, station->trying ? station->revision : station->fell,
           strlen(station->trying ? station->revision : station->fell));
    to = put_bytes(to + 24, station->falls | (station->trying ? ON_TRIAL : 0u), 1);
    to = put_bytes(to, station->boot, 4);
    to = put_bytes(to, station->unkept, 4);
    to = put_bytes(to, DW_SETTINGS_COUNT, 1);
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        to = put_bytes(to, (uint32_t)station->good[at], 4);
    }
    to = put_bytes(to, station->waits, 1);
    for (at = 0; at < station->waits; at++) {
        const dw_press *press = &station->waiting[at];
        to = put_bytes(to, press->boot, 4);
        to = put_bytes(to, press->seq, 4);
        to = put_bytes(to, press->at_ms, 8);
        to = put_bytes(to, press->count, 2);
        to = put_bytes(to, press->idle, 2);
    }
    to = put_bytes(to, crc32(0, kept, (size_t)(to - kept)), 4);
    station->memory_fails = !dw_keep(kept, (uint16_t)(to - kept));
    if (station->memory_fails) {
        return false;
    }
    if (station->kept_waits < station->waits) {
        station->keep_ms = station->up_ms + DW_KEEP_APART_MS;
    } else if (station->keep_patience_ms != KEEP_PATIENCE_MS) {
        /* It works again: a press need not wait for the next try. */
        station->keep_ms = station->up_ms;
    }
    station->ease_ms = station->up_ms + DW_KEEP_APART_MS;
    station->keep_patience_ms = KEEP_PATIENCE_MS;
    station->kept_waits = station->waits;
    return true;
}

/* The number of this start is kept before it is told: one that came again would make two presses one. Where the memory
 * fails, starts are numbered by chance. */
static void settle_boot(dw_station *station)
{
    const uint32_t boot = station->boot;
    int at;
    if (station->boot_kept || !station->linked) {
        return;
    }
    station->boot_kept = true;
    if (keep(station)) {
        return;
    }
    station->keep_wanted = true;
    station->boot = station->chance;
    for (at = 0; at < station->waits; at++) {
        if (station->waiting[at].boot == boot) {
            station->waiting[at].boot = station->chance;
        }
    }
    if (station->last.boot == boot) {
        station->last.boot = station->chance;
    }
}

static int32_t signed_of(uint32_t bits)
{
    int32_t value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

/* Whether a value may stand at a setting; what was kept by another program may not. */
static bool fits(int at, int32_t value)
{
    return value == items[at].start || (value >= items[at].low && value <= items[at].high);
}

/* A revision out of what was kept; false if it is none. */
static bool recall_revision(char *to, const uint8_t *kept)
{
    int at;
    for (at = 0; at < 8 && kept[at] != 0; at++) {
        const char c = (char)kept[at];
        if (!is_digit(c) && !(c >= 'a' && c <= 'z') && !(c >= 'A' && c <= 'Z') && c != '-' && c != '_') {
            return false;
        }
    }
    memcpy(to, kept, 8);
    to[8] = '\0';
    return true;
}

static bool recall(dw_station *station, const uint8_t *kept, uint32_t size)
{
    uint32_t settings, presses, at, from;
    if (kept == NULL || size < KEPT_HEAD + 5u || kept[0] != DW_STATION_VERSION) {
        return false;
    }
    settings = kept[KEPT_HEAD - 1];
    at = KEPT_HEAD + 4u * settings;
    if (size < at + 5u) {
        return false;
    }
    presses = kept[at];
    if (size != at + 1u + 20u * presses + 4u || bytes_at(kept + size - 4, 4) != crc32(0, kept, size - 4u)) {
        return false;
    }
    station->boot = (uint32_t)bytes_at(kept + 30, 4);
    station->unkept = (uint32_t)bytes_at(kept + 34, 4);
    /* A program with less room than the one before keeps the newest. */
    from = presses > DW_WAITING ? presses - DW_WAITING : 0;
    station->unkept += from;
    for (at += 1u + 20u * from; from < presses; from++, at += 20u) {
        dw_press *press = &station->waiting[station->waits++];
        press->boot = (uint32_t)bytes_at(kept + at, 4);
        press->seq = (uint32_t)bytes_at(kept + at + 4, 4);
        press->at_ms = bytes_at(kept + at + 8, 8);
        press->count = (uint16_t)bytes_at(kept + at + 16, 2);
        press->idle = (uint16_t)bytes_at(kept + at + 18, 2);
    }
    station->kept_waits = station->waits;
    /* Settings are for the program and the table that were there when they came. */
    if (settings == DW_SETTINGS_COUNT && bytes_at(kept + 1, 4) == table() && memcmp(kept + 5, DW_BURNED, 8) == 0
        && recall_revision(station->good_revision, kept + 13) && recall_revision(station->fell, kept + 21)) {
        int setting;
        station->falls = (uint8_t)(kept[29] & ~ON_TRIAL & 0xffu);
        station->trying = (kept[29] & ON_TRIAL) != 0;
        for (setting = 0; setting < DW_SETTINGS_COUNT; setting++) {
            const int32_t value = signed_of((uint32_t)bytes_at(kept + KEPT_HEAD + 4 * setting, 4));
            if (fits(setting, value)) {
                station->good[setting] = value;
            }
        }
    }
    return true;
}

/* A report that is told as soon as it can be. */
static void want_report(dw_station *station, const char *asked, bool returned)
{
    memcpy(station->report_asked, asked, strlen(asked) + 1);
    station->report_returned = returned;
    station->report_wanted = true;
    station->report_ms = station->up_ms;
}

/* What the last end of the program says of its settings. `trying` is whether some were on trial then. */
static void judge_fall(dw_station *station, dw_reset reset)
{
    const bool was_trying = station->trying;
    const bool fell = reset != DW_RESET_POWER && reset != DW_RESET_ASKED;
    int at;
    station->trying = false;
    if (was_trying) {
        want_report(station, station->fell, true);
    }
    if (was_trying && !fell) {
        /* Nobody's fault: they may be tried again. */
        station->fell[0] = '\0';
    }
    if (was_trying) {
        /* At once: what comes next is not the trial's fault; nor was this that of what is kept. */
        station->boot_kept = keep(station);
        station->keep_wanted = !station->boot_kept;
        return;
    }
    if (reset != DW_RESET_WATCHDOG && reset != DW_RESET_FAULT) {
        return;
    }
    station->falls = (uint8_t)(station->falls < FALLS ? station->falls + 1 : FALLS);
    if (station->falls == FALLS && station->good_revision[0] != '\0') {
        memcpy(station->fell, station->good_revision, sizeof station->fell);
        memset(station->good_revision, 0, sizeof station->good_revision);
        for (at = 0; at < DW_SETTINGS_COUNT; at++) {
            station->good[at] = items[at].start;
        }
        station->falls = 0;
    }
    station->boot_kept = keep(station);
    station->keep_wanted = !station->boot_kept;
}

/* ---- The plate ---------------------------------------------------------------------------------------------------- */

/* How many times `period_us` must double to be nearest to 50 ms, by ratio: what usual speeds are meant for. */
static int slower_than_usual(uint32_t period_us)
{
    /* Nearest by ratio: the square is within a factor of two of the square of 50 ms. */
    const uint64_t wanted = UINT64_C(50000) * 50000;
    uint64_t square = (uint64_t)period_us * period_us;
    int doublings = 0;
    while (square * 2 < wanted) {
        square *= 4;
        doublings++;
    }
    while (square > wanted * 2) {
        square = (square + 2) / 4;
        doublings--;
    }
    return doublings;
}

static uint8_t usual(int shift, int slower)
{
    const int moved = shift + slower;
    return (uint8_t)(moved < 1 ? 1 : moved > 28 ? 28 : moved);
}

/* Readings in a time, rounded; 0 for no time, else at least two. */
static uint32_t readings(int32_t time_ms, uint32_t period_us)
{
    const uint32_t count = (uint32_t)(((uint64_t)time_ms * 1000u + period_us / 2u) / period_us);
    return time_ms > 0 && count < 2u ? 2u : count;
}

/* Time between readings; the clock counts milliseconds. */
static uint32_t period_us(const dw_station *station)
{
    const int32_t told_us = station->now[DW_SET_PLATE_PERIOD_US];
    return told_us < 1000 ? 1000u : (uint32_t)told_us;
}

/* The detector as the settings tell it; where they do not, as is usual. The same as `export::plate::config`. */
static void configure(dw_station *station)
{
    const int32_t *now = station->now;
    dw_plate_config *c = &station->config;
    const uint8_t median = c->median;
    const uint32_t period = period_us(station);
    const int slower = slower_than_usual(period);
    const int32_t track = now[DW_SET_PLATE_TRACK];
    const int32_t away = now[DW_SET_PLATE_TRACK_AWAY] == DW_UNTOLD ? track : now[DW_SET_PLATE_TRACK_AWAY];
    const int32_t threshold = now[DW_SET_PLATE_THRESHOLD];
    const uint32_t dead = readings(now[DW_SET_PLATE_DEAD_MS], period);
    memset(c, 0, sizeof *c);
    c->rises = DW_TOUCH_RISES != 0;
    c->median = (uint8_t)now[DW_SET_PLATE_MEDIAN];
    if (c->median != median) {
        /* Readings of another time must not come into the median. */
        dw_plate_gap(&station->plate, 0);
    }
    c->debounce = (uint8_t)(now[DW_SET_PLATE_DEBOUNCE] + 1);
    c->calibrate = 5;
    c->track = track == DW_UNTOLD ? usual(9, slower) : (uint8_t)track;
    c->track_away = away == DW_UNTOLD ? usual(7, slower) : (uint8_t)away;
    c->track_noise = track == DW_UNTOLD ? usual(8, slower) : (uint8_t)track;
    c->threshold = threshold == DW_UNTOLD ? (uint16_t)DW_PLATE_THRESHOLD_USUAL : (uint16_t)threshold;
    c->hysteresis = now[DW_SET_PLATE_HYSTERESIS] == DW_UNTOLD ? (uint16_t)(c->threshold / 3u)
                                                              : (uint16_t)now[DW_SET_PLATE_HYSTERESIS];
    c->longest = readings(now[DW_SET_PLATE_LONGEST_MS], period);
    c->dead = dead > UINT16_MAX ? UINT16_MAX : (uint16_t)dead;
    c->noisy = (uint16_t)now[DW_SET_PLATE_NOISY];
}

/* ---- Signs -------------------------------------------------------------------------------------------------------- */

static void set_sign(dw_station *station, uint8_t sign, uint64_t for_ms)
{
    station->sign = sign;
    station->sign_after = OFF;
    station->sign_ms = station->up_ms;
    station->sign_ends_ms = station->up_ms + for_ms;
}

/* By the station's own judgement: signs end, and what nobody answers is told to the caller. */
static void judge_sign(dw_station *station)
{
    if (station->sign == OFF || station->up_ms < station->sign_ends_ms) {
        return;
    }
    if (station->sign == FELT || station->sign_after == KNOCK) {
        set_sign(station, KNOCK, KNOCK_MS);
    } else if (station->sign_after == RINGING) {
        set_sign(station, RINGING, RINGING_MS);
    } else if (station->sign == RINGING) {
        set_sign(station, AWAY, AWAY_MS);
    } else {
        set_sign(station, OFF, 0);
    }
}

/* Lamp and tone of this moment. They say the same; the tone once, at the sign's beginning. */
static void show(dw_station *station)
{
    const uint64_t since = station->up_ms - station->sign_ms;
    bool lamp = false;
    uint16_t tone_hz = 0;
    switch (station->sign) {
    case FELT:
    case ANSWERED:
        lamp = true;
        break;
    case RINGING:
        lamp = since % 1000u < 150u;
        break;
    case OPEN:
        lamp = since % 200u < 100u;
        tone_hz = since < 150u ? 600 : since < 300u ? 800 : since < 450u ? 1000 : 0;
        break;
    case AWAY:
        lamp = since < 800u || (since >= 1200u && since < AWAY_MS);
        tone_hz = since < 300u ? 800 : since < 600u ? 600 : since < 900u ? 450 : 0;
        break;
    case KNOCK:
        lamp = since % 5400u < 3600u && since % 5400u % 1200u < 600u;
        tone_hz = since < 3600u && since % 1200u < 200u ? 500 : 0;
        break;
    default:
        break;
    }
    if (station->up_ms < station->tick_ends_ms) {
        tone_hz = 1000;
    }
    if (station->up_ms < station->quiet_ends_ms) {
        tone_hz = 0;
    }
    if (lamp != station->lamp || tone_hz != station->tone_hz) {
        station->lamp = lamp;
        station->tone_hz = tone_hz;
        dw_show(lamp, tone_hz);
    }
}

/* ---- Presses ------------------------------------------------------------------------------------------------------ */

static bool is_same(const dw_press *a, const dw_press *b)
{
    return a->boot == b->boot && a->seq == b->seq && a->at_ms == b->at_ms;
}

static void forget(dw_station *station, uint8_t at)
{
    station->waits--;
    memmove(&station->waiting[at], &station->waiting[at + 1], (size_t)(station->waits - at) * sizeof station->waiting[0]);
    station->offer_left = (uint8_t)(station->offer_left > at ? station->offer_left - 1 : station->offer_left);
    station->kept_waits = (uint8_t)(station->kept_waits > at ? station->kept_waits - 1 : station->kept_waits);
    station->offer_floor = (uint8_t)(station->offer_floor > at ? station->offer_floor - 1 : station->offer_floor);
}

static void felt(dw_station *station, uint16_t count, uint16_t idle)
{
    dw_press *press = &station->last;
    press->boot = station->boot;
    press->seq = ++station->seq;
    press->at_ms = station->up_ms;
    press->count = count;
    press->idle = idle;
    /* Where there is no room, the oldest goes, counted: who stands there now matters more. */
    if (station->waits == DW_WAITING) {
        station->unkept++;
        forget(station, 0);
    }
    station->waiting[station->waits++] = *press;
    station->keep_wanted = true;
    /* This one now; those that wait have their turn in two seconds. */
    station->offer_ms = station->up_ms;
    station->offer_left = station->waits;
    station->offer_floor = (uint8_t)(station->waits - 1);
    station->patience_ms = PATIENCE_MS;
    station->tick_ends_ms = station->up_ms + TICK_MS;
    if (station->sign != ANSWERED && station->sign != OPEN) {
        set_sign(station, FELT, FELT_MS);
        return;
    }
    /* Who is being answered sees that go on, and hears the tick. But what is shown is for an earlier press, perhaps
     * somebody else's: not for longer than a press may take to be known. */
    if (station->sign_ends_ms > station->up_ms + FELT_MS) {
        station->sign_ends_ms = station->up_ms + FELT_MS;
    }
    station->sign_after = KNOCK;
}

/* Tells all presses that wait, the newest first: somebody may stand there now. Where the client takes only some, the next
 * time goes on behind those. */
static void offer(dw_station *station)
{
    uint32_t most_ms;
    if (station->waits == 0 || !station->linked || station->up_ms < station->offer_ms) {
        return;
    }
    if (station->offer_left == 0) {
        station->offer_left = station->waits;
        station->offer_floor = 0;
    }
    while (station->offer_left > station->offer_floor) {
        said s;
        begin(&s, station);
        put_press(&s, &station->waiting[station->offer_left - 1]);
        if (!say(station, FROM("press"), &s)) {
            station->offer_ms = station->up_ms + RETRY_MS;
            return;
        }
        station->offer_left--;
    }
    station->offer_left = 0;
    station->offer_ms = station->up_ms + station->patience_ms;
    most_ms = station->last.seq != 0 && station->up_ms - station->last.at_ms < YOUNG_MS ? PATIENCE_YOUNG_MS : PATIENCE_MOST_MS;
    station->patience_ms = station->patience_ms * 2u > most_ms ? most_ms : station->patience_ms * 2u;
}

/* All that wait are told again, now: somebody is there who may not have heard of them. */
static void offer_anew(dw_station *station)
{
    station->offer_ms = station->up_ms;
    station->offer_left = 0;
    station->patience_ms = PATIENCE_MS;
}

static void hear_ack(dw_station *station, const heard *h)
{
    uint8_t at;
    for (at = 0; at < station->waits && !is_same(&station->waiting[at], &h->press); at++) {
    }
    if (at == station->waits) {
        return;
    }
    forget(station, at);
    station->keep_wanted = true;
    if (!is_same(&h->press, &station->last) || is_same(&station->signed_for, &station->last)) {
        /* An earlier press, or one of which a sign says more. */
        return;
    }
    if (station->sign_after != OFF) {
        station->sign_after = h->rings ? RINGING : KNOCK;
    } else if (h->rings && (station->sign == FELT || station->sign == KNOCK)) {
        set_sign(station, RINGING, RINGING_MS);
    } else if (station->sign == FELT) {
        set_sign(station, KNOCK, KNOCK_MS);
    }
}

/* Whether a sign is for the newest press, and newer than the last one: who has just pressed must not be told what became
 * of somebody else. Before the first press of a start: for what goes on since before it, or was begun indoors. */
static bool is_news(const dw_station *station, const dw_press *press, uint32_t n)
{
    const dw_press *before = &station->signed_for;
    if (station->last.seq != 0 && !is_same(press, &station->last)) {
        return false;
    }
    if (station->last.seq == 0 && press->boot == station->boot && press->seq != 0) {
        return false;
    }
    if (press->boot == before->boot && press->seq == before->seq) {
        return n > station->sign_n;
    }
    /* Starts are not compared by their numbers: memory may have been lost between. The present one is the newest. */
    return press->boot == before->boot ? press->seq > before->seq : before->boot != station->boot;
}

static void hear_sign(dw_station *station, const heard *h)
{
    static const struct {
        const char *word;
        uint8_t sign;
        uint32_t usual_ms;
        uint32_t most_ms;
    } signs[] = {{"ringing", RINGING, RINGING_MS, 600000},   {"answered", ANSWERED, ANSWERED_MS, 3600000},
                 {"open", OPEN, 5000, 60000},                {"away", AWAY, AWAY_MS, AWAY_MS},
                 {"knock", KNOCK, KNOCK_MS, 600000},         {"off", OFF, 0, 0}};
    unsigned at;
    if (!is_news(station, &h->press, (uint32_t)h->n)) {
        return;
    }
    for (at = 0; at < sizeof signs / sizeof signs[0]; at++) {
        if (is(&h->sign, signs[at].word)) {
            uint64_t for_ms = h->has_seconds ? h->seconds * 1000u : signs[at].usual_ms;
            for_ms = for_ms > signs[at].most_ms ? signs[at].most_ms : for_ms;
            station->signed_for = h->press;
            station->sign_n = (uint32_t)h->n;
            set_sign(station, signs[at].sign, for_ms);
            return;
        }
    }
    station->unread++;
}

/* ---- Settings ----------------------------------------------------------------------------------------------------- */

/* Puts a value into the program; it may refuse. */
static const char *take_value(dw_station *station, int at, int32_t value)
{
    const char *why;
    if (station->now[at] == value) {
        return NULL;
    }
    why = is_own(at) ? NULL : dw_apply((uint8_t)at, value);
    if (why == NULL) {
        station->now[at] = value;
        station->proved_ms = station->up_ms;
        station->link_wanted = station->link_wanted || is_of_link(at);
    } else if (*why == '!') {
        /* Never: it is as burned, and nobody waits for it. */
        why++;
        station->want[at] = items[at].start;
        if (value != items[at].start) {
            (void)take_value(station, at, items[at].start);
        } else if (station->now[at] == LOST) {
            station->now[at] = value;
        } else {
            station->want[at] = station->now[at];
        }
    }
    return why;
}

/* How many values are not what the revision says, because the program would not take them. */
static uint8_t amiss(const dw_station *station)
{
    uint8_t count = 0;
    int at;
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        count = (uint8_t)(count + (station->now[at] != station->want[at] ? 1 : 0));
    }
    return count;
}

/* Puts in what is wanted; what the program will not take now is offered again. */
static void settle(dw_station *station)
{
    int at;
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        (void)take_value(station, at, station->want[at]);
    }
    station->settle_ms = station->up_ms + SETTLE_MS;
    configure(station);
}

/* Back to the settings that have proved themselves. */
static void take_back(dw_station *station)
{
    want_report(station, station->revision, true);
    station->trying = false;
    memcpy(station->revision, station->good_revision, sizeof station->revision);
    memcpy(station->want, station->good, sizeof station->want);
    /* At once: a fall from now on is not the trial's. */
    station->keep_wanted = !keep(station) || station->keep_wanted;
    settle(station);
}

/* The value that a setting's text means: NULL, or why it means none. */
static const char *read_setting(reader *r, const item *what, int32_t *value)
{
    number n;
    word w;
    int64_t scaled;
    blanks(r);
    if (r->at < r->end && *r->at == '"') {
        const char *at = what->words;
        if (!read_word(r, &w) || at == NULL) {
            return "a number is wanted";
        }
        for (*value = 0; *at != '\0'; (*value)++) {
            const size_t length = strcspn(at, " ");
            if (w.plain && w.size == length && memcmp(w.at, at, length) == 0) {
                return NULL;
            }
            at += length + (at[length] == ' ' ? 1 : 0);
        }
        return "no such word";
    }
    if (what->words != NULL || !(r->at < r->end && (*r->at == '-' || is_digit(*r->at)))) {
        (void)skip(r, 2);
        return what->words != NULL ? "a word is wanted" : "a number is wanted";
    }
    (void)read_number(r, &n);
    if (!n.is_plain) {
        return "too large, or with an exponent";
    }
    scaled = what->scale == 1000 ? (int64_t)n.whole * 1000 + n.thousandths + (n.more ? 1 : 0)
                                 : (int64_t)n.whole + (n.thousandths >= 500 ? 1 : 0);
    scaled = n.negative ? -scaled : scaled;
    if (scaled < what->low || scaled > what->high) {
        return scaled < what->low ? "too small" : "too large";
    }
    *value = (int32_t)scaled;
    return NULL;
}

/* What a settings message is refused: key and reason, as far as there is room; the rest is counted. */
typedef struct {
    said *s;
    uint8_t told;
    uint8_t untold;
    bool nameless; /* one that is no key has been told: a JSON text names a member once */
} refusals;

/* Writes a refused key; one that is no key, whatever the plan, is not repeated. */
static void refuse(refusals *all, const word *key, const char *why)
{
    char name[41] = "?";
    uint32_t at;
    for (at = 0; key->plain && at < key->size && at < 40; at++) {
        const char c = key->at[at];
        if (!is_digit(c) && !(c >= 'a' && c <= 'z') && c != '.' && c != '_') {
            break;
        }
    }
    if (at == key->size && at > 0) {
        copy_name(name, key);
    }
    /* Room for the longest reason and for what ends the message. */
    if ((name[0] == '?' && all->nameless) || all->s->size + strlen(name) + 180 > sizeof all->s->text) {
        all->untold = (uint8_t)(all->untold < UINT8_MAX ? all->untold + 1 : UINT8_MAX);
        return;
    }
    all->nameless = all->nameless || name[0] == '?';
    put(all->s, all->told > 0 ? ",\"" : "\"");
    put(all->s, name);
    put(all->s, "\":");
    put_plain(all->s, why);
    all->told++;
}

/* What runs, and how far it has come. */
static bool end_settings(dw_station *station, said *s, const char *state)
{
    put_text(s, "revision", station->revision);
    put_text(s, "state", station->trying ? "trying" : state);
    if (station->trying) {
        put_key(s, "since_ms");
        put_number(s, station->since_ms);
    }
    if (amiss(station) > 0) {
        put_key(s, "amiss");
        put_number(s, amiss(station));
    }
    return say(station, FROM("settings"), s);
}

/* Tells what runs, without an answer to settings: until it has been taken. */
static void tell_settings(dw_station *station)
{
    said s;
    if (!station->report_wanted || !station->linked || station->up_ms < station->report_ms) {
        return;
    }
    begin(&s, station);
    put_text(&s, "asked", station->report_asked);
    station->report_wanted = !end_settings(station, &s, station->report_returned ? "returned" : "kept");
    station->report_ms = station->up_ms + RETRY_MS;
}

/* Settings that are not tried at all: why not. */
static void decline(dw_station *station, const char *asked, const char *key, const char *why)
{
    said s;
    begin(&s, station);
    put_text(&s, "asked", asked);
    put(&s, ",\"refused\":{\"");
    put(&s, key);
    put(&s, "\":\"");
    put(&s, why);
    put(&s, "\"}");
    (void)end_settings(station, &s, "kept");
}

/* Reads the settings of a message into `tried`; what cannot be read is as burned, as is what is not named: so a revision
 * says everything. */
static void read_settings(reader *r, int32_t *tried, refusals *refused)
{
    int at;
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        tried[at] = items[at].start;
    }
    (void)take(r, '{');
    if (take(r, '}')) {
        return;
    }
    do {
        word key;
        const char *why = "no such setting here";
        int32_t value = 0;
        (void)read_word(r, &key);
        (void)take(r, ':');
        for (at = 0; at < DW_SETTINGS_COUNT && !is(&key, items[at].key); at++) {
        }
        if (at < DW_SETTINGS_COUNT) {
            why = read_setting(r, &items[at], &value);
        } else {
            (void)skip(r, 2);
        }
        if (why == NULL) {
            tried[at] = value;
        } else {
            refuse(refused, &key, why);
        }
    } while (take(r, ','));
}

static void hear_settings(dw_station *station, heard *h)
{
    int32_t tried[DW_SETTINGS_COUNT];
    char asked[9];
    said s;
    refusals refused = {NULL, 0, 0, false};
    bool is_new;
    int at;
    refused.s = &s;
    copy_name(asked, &h->revision);
    if (!is(&h->burned, DW_BURNED)) {
        decline(station, asked, "burned", "another program runs here");
        return;
    }
    if (strcmp(asked, station->fell) == 0) {
        decline(station, asked, "revision", "the program fell while these ran");
        return;
    }
    begin(&s, station);
    put_text(&s, "asked", asked);
    put(&s, ",\"refused\":{");
    read_settings(&h->settings, tried, &refused);
    if (station->trying && strcmp(asked, station->good_revision) == 0) {
        /* What is kept is wanted again: that needs no proof. */
        take_back(station);
        station->report_wanted = false;
    }
    is_new = strcmp(asked, station->trying ? station->revision : station->good_revision) != 0;
    if (is_new) {
        const bool was_trying = station->trying;
        char before[9], fell[9];
        memcpy(before, station->revision, sizeof before);
        memcpy(fell, station->fell, sizeof fell);
        memcpy(station->revision, asked, sizeof station->revision);
        station->trying = true;
        station->fell[0] = '\0';
        /* Before anything is tried: if the program falls over it, the next start knows over what. */
        if (!keep(station)) {
            memcpy(station->revision, before, sizeof before);
            memcpy(station->fell, fell, sizeof fell);
            station->trying = was_trying;
            decline(station, asked, "revision", "the memory fails");
            return;
        }
        station->since_ms = station->up_ms;
        station->proved_ms = station->up_ms;
    }
    /* What is kept already is what it came to when it was tried. */
    memcpy(station->want, station->trying ? tried : station->good, sizeof tried);
    station->settle_ms = station->up_ms + SETTLE_MS;
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        const char *why = take_value(station, at, station->want[at]);
        if (why != NULL) {
            word key;
            key.at = items[at].key;
            key.size = (uint32_t)strlen(items[at].key);
            key.plain = true;
            refuse(&refused, &key, why);
        }
    }
    put(&s, "}");
    if (refused.untold > 0) {
        put_key(&s, "more_refused");
        put_number(&s, refused.untold);
    }
    configure(station);
    (void)end_settings(station, &s, "kept");
}

/* Keeps what is tried, if this is the trial that is meant, and it has lasted: an answer that came proves that the station
 * can be reached, some time since the last value was taken that this does not pass. */
static void hear_keep(dw_station *station, const heard *h)
{
    char asked[9];
    copy_name(asked, &h->revision);
    if (station->trying && strcmp(asked, station->revision) == 0 && h->boot == station->boot
        && h->since_ms == station->since_ms && station->up_ms - station->since_ms < TRY_MS && amiss(station) == 0
        && !station->link_wanted && station->up_ms - station->proved_ms >= PROVE_MS) {
        int32_t good[DW_SETTINGS_COUNT];
        const uint8_t falls = station->falls;
        char revision[9];
        memcpy(good, station->good, sizeof good);
        memcpy(revision, station->good_revision, sizeof revision);
        memcpy(station->good, station->want, sizeof good);
        memcpy(station->good_revision, station->revision, sizeof revision);
        station->trying = false;
        station->falls = 0;
        /* At once, whatever was kept when: the answer says that it is done. */
        if (!keep(station)) {
            memcpy(station->good, good, sizeof good);
            memcpy(station->good_revision, revision, sizeof revision);
            station->trying = true;
            station->falls = falls;
        }
    }
    want_report(station, asked, false);
    tell_settings(station);
}

/* ---- What is asked of the station --------------------------------------------------------------------------------- */

/* The gravest reason is told. */
static void want_health(dw_station *station, uint8_t why)
{
    station->health_why = why > station->health_why ? why : station->health_why;
    station->health_ms = station->up_ms;
}

static void answer(dw_station *station, const heard *h, const char *why)
{
    char id[25];
    said s;
    copy_name(id, &h->id);
    begin(&s, station);
    put_text(&s, "id", id);
    put(&s, why == NULL ? ",\"done\":true" : ",\"done\":false");
    if (why != NULL) {
        put_key(&s, "why");
        put_plain(&s, *why == '!' ? why + 1 : why);
    }
    (void)say(station, FROM("answer"), &s);
}

/* Stream and lamp are switched for some seconds: one that nobody switches off goes off by itself. */
static void hear_switch(dw_station *station, const heard *h, uint8_t what, uint64_t *ends_ms)
{
    const bool on = h->on && h->seconds > 0;
    /* A lamp that lights faces is also one that shines into them. */
    const uint64_t for_s = what == DW_DO_LAMP && h->seconds > LAMP_MOST_S ? LAMP_MOST_S : h->seconds;
    const char *why = dw_apply(what, on ? 1 : 0);
    if (why == NULL) {
        *ends_ms = on ? station->up_ms + for_s * 1000u : 0;
    }
    answer(station, h, why);
}

static void end_switch(dw_station *station, uint8_t what, uint64_t *ends_ms)
{
    if (*ends_ms != 0 && station->up_ms >= *ends_ms) {
        *ends_ms = dw_apply(what, 0) == NULL ? 0 : station->up_ms + SETTLE_MS;
    }
}

static void hear(dw_station *station, const char *kind, const char *text, uint32_t size)
{
    heard h;
    const bool good = text != NULL && read_message(text, size, &h);
    if (good && strcmp(kind, "ack") == 0 && h.has_press && h.has_rings) {
        hear_ack(station, &h);
    } else if (good && strcmp(kind, "sign") == 0 && h.has_press && h.n > 0 && h.sign.at != NULL) {
        hear_sign(station, &h);
    } else if (good && strcmp(kind, "settings") == 0 && h.has_settings && is_name(&h.revision, 8)
               && h.burned.at != NULL) {
        hear_settings(station, &h);
    } else if (good && strcmp(kind, "keep") == 0 && is_name(&h.revision, 8) && h.has_boot && h.has_since) {
        hear_keep(station, &h);
    } else if (good && strcmp(kind, "picture") == 0 && is_name(&h.id, 24)) {
        answer(station, &h, dw_apply(DW_DO_PICTURE, 0));
    } else if (good && strcmp(kind, "stream") == 0 && is_name(&h.id, 24) && h.has_on && (h.has_seconds || !h.on)) {
        hear_switch(station, &h, DW_DO_STREAM, &station->stream_ends_ms);
    } else if (good && strcmp(kind, "lamp") == 0 && is_name(&h.id, 24) && h.has_on && (h.has_seconds || !h.on)) {
        hear_switch(station, &h, DW_DO_LAMP, &station->lamp_ends_ms);
    } else if (good && strcmp(kind, "readings") == 0 && is_name(&h.id, 24) && h.has_seconds) {
        copy_name(station->batch_id, &h.id);
        station->batch_ends_ms = h.seconds > 0 ? station->up_ms + h.seconds * 1000u : 0;
        station->batch_first = 0;
        station->batch_size = 0;
        answer(station, &h, NULL);
    } else if (good && strcmp(kind, "quiet") == 0 && h.has_seconds) {
        station->quiet_ends_ms = station->up_ms + h.seconds * 1000u;
    } else if (good && strcmp(kind, "health") == 0) {
        want_health(station, HEALTH_ASKED);
        offer_anew(station);
    } else {
        station->unread++;
    }
}

/* ---- Health and readings ------------------------------------------------------------------------------------------ */

static void tell_health(dw_station *station)
{
    static const char *const whys[] = {"due", "asked", "linked", "plate", "start"};
    static const char *const resets[] = {"unknown", "power", "brown-out", "watchdog", "fault", "asked"};
    said s;
    if (!station->linked || station->up_ms < station->health_ms) {
        return;
    }
    begin(&s, station);
    put_text(&s, "why", whys[station->greeted ? station->health_why : HEALTH_START]);
    put_text(&s, "reset", resets[station->reset]);
    put_text(&s, "burned", DW_BURNED);
    put_text(&s, "revision", station->revision);
    put_told(&s, "supply_mV", station->health.supply_mV);
    put_told(&s, "chip_degC", station->health.chip_degC);
    put_told(&s, "rssi_dBm", station->health.rssi_dBm);
    put_told(&s, "free_B", station->health.free_B);
    put_told(&s, "block_B", station->health.block_B);
    /* Not before the plate's first baseline is there. */
    if (station->plate.phase != 0) {
        put_key(&s, "plate_idle");
        put_number(&s, (station->plate.base + UINT32_C(0x8000)) >> 16);
        put_key(&s, "plate_noise_16ths");
        put_number(&s, station->plate.noise >> 12);
    }
    if (station->fault != 0) {
        put_text(&s, "plate_fault", station->fault == DW_STUCK ? "stuck" : station->fault == DW_DEAD ? "dead" : "noisy");
    }
    if (station->trying) {
        put_text(&s, "state", "trying");
    }
    if (station->fell[0] != '\0') {
        put_text(&s, "fell", station->fell);
    }
    if (amiss(station) > 0) {
        put_key(&s, "amiss");
        put_number(&s, amiss(station));
    }
    if (station->memory_fails) {
        put_text(&s, "memory", "fails");
    }
    put_key(&s, "late");
    put_number(&s, station->late);
    put_key(&s, "waiting");
    put_number(&s, station->waits);
    put_key(&s, "unkept");
    put_number(&s, station->unkept);
    put_key(&s, "unread");
    put_number(&s, station->unread);
    if (say(station, FROM("health"), &s)) {
        station->greeted = true;
        station->fault = 0;
        station->health_why = HEALTH_DUE;
        station->health_ms = station->up_ms + HEALTH_MS;
    } else {
        station->health_ms = station->up_ms + RETRY_MS;
    }
}

static void tell_batch(dw_station *station)
{
    said s;
    int at;
    const uint8_t size = station->batch_size;
    begin(&s, station);
    put_text(&s, "id", station->batch_id);
    put_key(&s, "first");
    put_number(&s, station->batch_first);
    put_key(&s, "period_us");
    put_number(&s, period_us(station));
    put(&s, ",\"counts\":[");
    for (at = 0; at < size; at++) {
        if (at > 0) {
            put(&s, ",");
        }
        put_number(&s, station->batch[at]);
    }
    put(&s, "]");
    /* What is not taken, or would come too fast after the last, is missing, and the next `first` says so. */
    station->batch_first += size;
    station->batch_size = 0;
    if (size > 0 && station->up_ms >= station->batch_ms) {
        station->batch_ms = station->up_ms + BATCH_APART_MS;
        (void)say(station, FROM("readings"), &s);
    }
}

/* Takes a reading for whoever tunes; `missed` are those that should have come before it. */
static void batch_reading(dw_station *station, uint16_t count, uint32_t missed)
{
    if (station->batch_ends_ms == 0) {
        return;
    }
    if (missed > 0) {
        tell_batch(station);
        station->batch_first += missed;
    }
    station->batch[station->batch_size++] = count;
    if (station->batch_size == DW_BATCH || station->up_ms >= station->batch_ends_ms) {
        tell_batch(station);
    }
    if (station->up_ms >= station->batch_ends_ms) {
        station->batch_ends_ms = 0;
    }
}

/* ---- The loop ----------------------------------------------------------------------------------------------------- */

/* A clock that has gone back stands still: it is a clock of 32 bits, and half of its range lies behind. */
static void pass_time(dw_station *station)
{
    const uint32_t clock_ms = dw_clock_ms();
    const uint32_t passed_ms = clock_ms - station->clock_ms;
    station->up_ms += passed_ms <= UINT32_MAX / 2u ? passed_ms : 0u;
    station->clock_ms = clock_ms;
}

/* A press that was told by a button, or has woken the chip, and the same finger on the plate are one, whichever comes
 * first. */
static bool is_felt_already(const dw_station *station)
{
    const uint32_t readings_us = (uint32_t)(station->config.debounce + station->config.median) * period_us(station);
    return station->told_ms != 0 && station->up_ms - station->told_ms < PRESS_ONCE_MS + readings_us / 1000u;
}

/* Takes a press that something else has felt. */
static void tell_press(dw_station *station)
{
    if (station->plate_ms == 0 || station->up_ms - station->plate_ms >= PRESS_ONCE_MS) {
        station->told_ms = station->up_ms > 0 ? station->up_ms : 1;
        felt(station, 0, 0);
    }
}

static void read_plate(dw_station *station)
{
    const uint64_t now_us = station->up_ms * 1000u;
    const uint32_t period = period_us(station);
    uint64_t missed = 0;
    uint16_t count;
    uint8_t events;
    if (now_us < station->reading_us) {
        return;
    }
    station->reading_us += period;
    if (station->reading_us <= now_us) {
        missed = (now_us - station->reading_us) / period + 1u;
        missed = missed > UINT32_MAX ? UINT32_MAX : missed;
        station->reading_us += missed * period;
        station->late += (uint32_t)missed;
    }
    if (missed * period > LATE_MS * 1000u) {
        dw_plate_gap(&station->plate, (uint32_t)missed);
    } else if (dw_plate_is_pressed(&station->plate)) {
        /* A little late is in a row all the same; but a press is as long as it is. */
        station->plate.held += (uint32_t)missed;
    }
    count = dw_read_plate();
    batch_reading(station, count, (uint32_t)missed);
    events = dw_plate_sample(&station->plate, &station->config, count);
    if ((events & (DW_STUCK | DW_DEAD | DW_NOISY)) != 0) {
        station->fault = (uint8_t)(events & DW_STUCK ? DW_STUCK : events & DW_DEAD ? DW_DEAD : DW_NOISY);
        want_health(station, HEALTH_PLATE);
    }
    if ((events & DW_PRESS) != 0 && !is_felt_already(station)) {
        station->plate_ms = station->up_ms > 0 ? station->up_ms : 1;
        felt(station, count, (uint16_t)((station->plate.base + UINT32_C(0x8000)) >> 16));
    }
}

/* When to keep: presses that are not kept yet, or anything else. */
static uint64_t keep_due_ms(const dw_station *station)
{
    return station->kept_waits < station->waits ? station->keep_ms : station->ease_ms;
}

/* Keeps what has changed: a press at once, and the next ten seconds later at the earliest; an acknowledgement has time. */
static void keep_if_wanted(dw_station *station)
{
    if (!station->keep_wanted || station->up_ms < keep_due_ms(station)) {
        return;
    }
    if (keep(station)) {
        station->keep_wanted = false;
        station->boot_kept = true;
        return;
    }
    station->keep_ms = station->up_ms + station->keep_patience_ms;
    station->ease_ms = station->keep_ms;
    station->keep_patience_ms = station->keep_patience_ms * 2u > KEEP_PATIENCE_MOST_MS ? KEEP_PATIENCE_MOST_MS
                                                                                     : station->keep_patience_ms * 2u;
}

static void go_on(dw_station *station)
{
    judge_sign(station);
    show(station);
    offer(station);
    tell_health(station);
    if (station->trying && station->up_ms - station->since_ms >= TRY_MS) {
        take_back(station);
    }
    if (amiss(station) > 0 && station->up_ms >= station->settle_ms) {
        settle(station);
    }
    tell_settings(station);
    end_switch(station, DW_DO_STREAM, &station->stream_ends_ms);
    end_switch(station, DW_DO_LAMP, &station->lamp_ends_ms);
    if (station->falls > 0 && station->up_ms >= STANDS_MS) {
        station->falls = 0;
        station->keep_wanted = true;
    }
    /* Last, since it takes longest: the lamp is on and the press on its way. */
    keep_if_wanted(station);
}

static void link(dw_station *station, bool linked)
{
    /* Told twice, by the client and by what has come, it is one. */
    if (linked == station->linked) {
        return;
    }
    station->linked = linked;
    if (linked) {
        station->link_wanted = false;
        offer_anew(station);
        want_health(station, HEALTH_LINKED);
        /* The answer may have gone down with the link that the trial has cut. */
        if (station->trying) {
            want_report(station, station->revision, false);
        }
    }
}

/* Enters the station. What is called from inside one of the six functions is put off: only one thing happens at a time. */
static bool enter(dw_station *station)
{
    if (station->busy) {
        return false;
    }
    station->busy = true;
    pass_time(station);
    return true;
}

static void leave(dw_station *station)
{
    if (station->link_later != 0) {
        if (station->link_later == 3) {
            link(station, false);
        }
        link(station, station->link_later != 2);
        station->link_later = 0;
    }
    if (station->press_later) {
        station->press_later = false;
        tell_press(station);
        go_on(station);
    }
    station->busy = false;
}

void dw_station_start(dw_station *station, const uint8_t *kept, uint16_t size, dw_reset reset, uint32_t chance)
{
    int at;
    memset(station, 0, sizeof *station);
    station->health.supply_mV = DW_UNTOLD;
    station->health.chip_degC = DW_UNTOLD;
    station->health.rssi_dBm = DW_UNTOLD;
    station->health.free_B = DW_UNTOLD;
    station->health.block_B = DW_UNTOLD;
    station->busy = true;
    station->clock_ms = dw_clock_ms();
    station->reset = (uint8_t)((unsigned)reset <= DW_RESET_ASKED ? reset : DW_RESET_UNKNOWN);
    station->chance = chance == 0 ? 1u : chance;
    station->keep_patience_ms = KEEP_PATIENCE_MS;
    station->patience_ms = PATIENCE_MS;
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        station->good[at] = items[at].start;
        station->now[at] = items[at].start;
    }
    station->boot = recall(station, kept, size) ? station->boot + 1u : station->chance;
    station->boot += station->boot == 0 ? 1u : 0u;
    judge_fall(station, (dw_reset)station->reset);
    memcpy(station->revision, station->good_revision, sizeof station->revision);
    memcpy(station->want, station->good, sizeof station->want);
    settle(station);
    station->busy = false;
}

void dw_station_turn(dw_station *station)
{
    if (enter(station)) {
        read_plate(station);
        go_on(station);
        leave(station);
    }
}

void dw_station_linked(dw_station *station, bool linked)
{
    if (!enter(station)) {
        station->link_later = (uint8_t)(!linked ? 2 : station->link_later >= 2 ? 3 : 1);
        return;
    }
    link(station, linked);
    go_on(station);
    leave(station);
}

void dw_station_heard(dw_station *station, const char *topic, const char *text, uint32_t size)
{
    static const char to[] = "to/" DW_STATION_NAME "/";
    if (strncmp(topic, to, sizeof to - 1) != 0 || !enter(station)) {
        return;
    }
    /* What comes proves that the link is there, before the client has said so. */
    if (!station->linked) {
        link(station, true);
    }
    hear(station, topic + sizeof to - 1, text, size);
    show(station);
    leave(station);
}

void dw_station_press(dw_station *station)
{
    if (!enter(station)) {
        station->press_later = true;
        return;
    }
    tell_press(station);
    go_on(station);
    leave(station);
}

void dw_station_woke(dw_station *station)
{
    int at;
    if (!enter(station)) {
        return;
    }
    station->linked = false;
    if (station->up_ms * 1000u > station->reading_us + LATE_MS * 1000u) {
        /* Nobody has read the plate meanwhile; that is neither a press that lasts nor a loop that is late. Who sleeps from
         * reading to reading goes on in the same row. */
        station->reading_us = station->up_ms * 1000u;
        dw_plate_gap(&station->plate, 0);
    }
    for (at = 0; at < DW_SETTINGS_COUNT; at++) {
        if (!is_own(at)) {
            const int32_t value = station->now[at];
            station->now[at] = value == LOST || dw_apply((uint8_t)at, value) != NULL ? LOST : value;
        }
    }
    station->settle_ms = station->up_ms;
    dw_show(station->lamp, station->tone_hz);
    leave(station);
}

/* The time until `at_ms`, but not above `most_ms`. */
static uint64_t sooner(const dw_station *station, uint64_t at_ms, uint64_t most_ms)
{
    const uint64_t until_ms = at_ms > station->up_ms ? at_ms - station->up_ms : 0;
    return until_ms < most_ms ? until_ms : most_ms;
}

uint32_t dw_station_rests_ms(const dw_station *station)
{
    /* With a margin: what wakes late must not look like a clock that has gone back. */
    uint64_t rests_ms = INT32_MAX / 2;
    if (station->sign != OFF || station->trying || station->stream_ends_ms != 0 || station->lamp_ends_ms != 0
        || station->batch_ends_ms != 0 || station->tone_hz != 0 || station->press_later
        || (dw_plate_is_pressed(&station->plate) && station->config.longest != 0)) {
        return 0;
    }
    if (station->falls > 0) {
        rests_ms = sooner(station, STANDS_MS, rests_ms);
    }
    if (station->keep_wanted) {
        rests_ms = sooner(station, keep_due_ms(station), rests_ms);
    }
    if (amiss(station) > 0) {
        rests_ms = sooner(station, station->settle_ms, rests_ms);
    }
    if (station->linked) {
        rests_ms = station->waits > 0 ? sooner(station, station->offer_ms, rests_ms) : rests_ms;
        rests_ms = station->report_wanted ? sooner(station, station->report_ms, rests_ms) : rests_ms;
        rests_ms = sooner(station, station->health_ms, rests_ms);
    }
    return (uint32_t)rests_ms;
}
