/* A board made of text: one command a line on standard input, what the station does on standard output, then a line ".".
 *
 *   start RESET [CHANCE]  begins, with what was kept     wait MS        time passes, a turn each 10 ms
 *   plate COUNT      what the plate reads from now on    press          a button
 *   link 0|1         the client                          client 0|1     whether it takes messages
 *   memory 0|1       whether it keeps                    blank          what was kept is gone
 *   spoil AT         a kept byte is turned over          clock MS       the clock jumps (as after 2^32)
 *   refuse WHAT WHY  dw_apply refuses; "refuse" alone ends that
 *   hear KIND TEXT   a message; hearhex KIND HEX the same in hex
 *   rests            how long it may sleep               woke           it has slept
 *   sleep MS         the clock runs on, nothing else     pace MS        time between two turns from now on
 *   takes N          messages that the client takes a turn
 *   nest 0|1         dw_apply calls the station's functions itself
 */
#include "dw_station.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static dw_station station;
static uint32_t now_ms = 4294900000u; /* so that the clock begins anew after a minute */
static uint16_t count = 950;
static bool client = true, memory = true, nests = false;
static long pace_ms = 10, takes = 1000, taken;
static uint8_t flash[DW_KEPT_MAX];
static uint16_t kept;
static int refused = -1;
static char reason[200];

uint32_t dw_clock_ms(void) { return now_ms; }
uint16_t dw_read_plate(void) { return count; }

bool dw_send(const char *topic, const char *text)
{
    if (client && taken++ < takes) {
        printf("%llu send %s %s\n", (unsigned long long)station.up_ms, topic, text);
    }
    return client && taken <= takes;
}

bool dw_keep(const uint8_t *bytes, uint16_t size)
{
    printf("%llu keep %u%s\n", (unsigned long long)station.up_ms, size, memory ? "" : " failed");
    if (memory) {
        memcpy(flash, bytes, size);
        kept = size;
    }
    return memory;
}

void dw_show(bool lamp, uint16_t tone_hz)
{
    printf("%llu show %d %u\n", (unsigned long long)station.up_ms, lamp, tone_hz);
}

const char *dw_apply(uint8_t what, int32_t value)
{
    if (what == refused) {
        return reason;
    }
    printf("%llu apply %u %ld\n", (unsigned long long)station.up_ms, what, (long)value);
    if (nests) {
        dw_station_turn(&station);
        dw_station_heard(&station, "to/gate/health", "{}", 2);
        dw_station_linked(&station, true);
        dw_station_press(&station);
    }
    return NULL;
}

/* A copy of its own size on the heap, so that a byte read behind it is found. */
static void hear(const char *kind, const char *text, size_t size)
{
    char topic[80];
    char *own = malloc(size > 0 ? size : 1);
    if (own == NULL) {
        exit(1);
    }
    memcpy(own, text, size);
    snprintf(topic, sizeof topic, "to/gate/%s", kind);
    dw_station_heard(&station, topic, own, (uint32_t)size);
    free(own);
}

static unsigned nibble(char c) { return c <= '9' ? (unsigned)(c - '0') : (unsigned)(c - 'a' + 10); }

int main(void)
{
    static char line[1 << 16];
    while (fgets(line, sizeof line, stdin) != NULL) {
        char *word = strtok(line, " \n");
        char *rest = strtok(NULL, "\n");
        if (word == NULL) {
            continue;
        }
        rest = rest == NULL ? line + sizeof line - 1 : rest;
        taken = 0;
        if (strcmp(word, "start") == 0) {
            /* Kept bytes of their own size as well. */
            const char *chance;
            uint8_t *own = malloc(kept > 0 ? kept : 1u);
            if (own == NULL) {
                return 1;
            }
            memcpy(own, flash, kept);
            rest = strtok(rest, " ");
            chance = strtok(NULL, " ");
            dw_station_start(&station, own, kept, (dw_reset)atoi(rest), chance == NULL ? 1u : (uint32_t)atol(chance));
            free(own);
        } else if (strcmp(word, "wait") == 0) {
            long ms;
            for (ms = atol(rest); ms > 0; ms -= pace_ms) {
                now_ms += (uint32_t)pace_ms;
                taken = 0;
                dw_station_turn(&station);
            }
        } else if (strcmp(word, "plate") == 0) {
            count = (uint16_t)atoi(rest);
        } else if (strcmp(word, "press") == 0) {
            dw_station_press(&station);
        } else if (strcmp(word, "link") == 0) {
            dw_station_linked(&station, rest[0] == '1');
        } else if (strcmp(word, "client") == 0) {
            client = rest[0] == '1';
        } else if (strcmp(word, "memory") == 0) {
            memory = rest[0] == '1';
        } else if (strcmp(word, "blank") == 0) {
            kept = 0;
        } else if (strcmp(word, "spoil") == 0) {
            flash[atoi(rest) % (kept > 0 ? kept : 1)] ^= 0x5au;
        } else if (strcmp(word, "clock") == 0) {
            now_ms += (uint32_t)strtoul(rest, NULL, 10);
            dw_station_turn(&station);
        } else if (strcmp(word, "refuse") == 0) {
            char *why = strchr(rest, ' ');
            refused = rest[0] == '\0' ? -1 : atoi(rest);
            snprintf(reason, sizeof reason, "%s", why == NULL ? "" : why + 1);
        } else if (strcmp(word, "hear") == 0) {
            char *text = strchr(rest, ' ');
            if (text != NULL) {
                *text = '\0';
                hear(rest, text + 1, strlen(text + 1));
            }
        } else if (strcmp(word, "hearhex") == 0) {
            char *text = strchr(rest, ' ');
            if (text != NULL) {
                size_t at, size = strlen(text + 1) / 2;
                *text = '\0';
                for (at = 0; at < size; at++) {
                    text[1 + at] = (char)(nibble(text[1 + 2 * at]) << 4 | nibble(text[2 + 2 * at]));
                }
                hear(rest, text + 1, size);
            }
        } else if (strcmp(word, "sleep") == 0) {
            now_ms += (uint32_t)strtoul(rest, NULL, 10);
        } else if (strcmp(word, "pace") == 0) {
            pace_ms = atol(rest);
        } else if (strcmp(word, "takes") == 0) {
            takes = atol(rest);
        } else if (strcmp(word, "nest") == 0) {
            nests = rest[0] == '1';
        } else if (strcmp(word, "woke") == 0) {
            dw_station_woke(&station);
        } else if (strcmp(word, "rests") == 0) {
            printf("%lu\n", (unsigned long)dw_station_rests_ms(&station));
        }
        printf(".\n");
        fflush(stdout);
    }
    return 0;
}
