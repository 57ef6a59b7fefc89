/* A station on your desk: this computer's clock, the Enter key as its plate, two lines of text as lamp and tone.
 *
 * Shows what a program around dw_station.h has to do, with libmosquitto as MQTT client. On a board, the six functions and
 * the client are others; the order of things is the same.
 *
 *     cc -std=c99 desk.c dw_station.c dw_plate.c -lmosquitto -o desk
 *     ./desk BROKER PORT FILE [USER PASSWORD]        FILE is its memory, and outlasts kill -9
 */
#define _POSIX_C_SOURCE 200809L
#include "dw_station.h"

#include <fcntl.h>
#include <mosquitto.h>
#include <mqtt_protocol.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static dw_station station;
static struct mosquitto *client;
static const char *memory;
static bool connects_anew;

/* ---- The six functions ---- */

uint32_t dw_clock_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (uint32_t)((uint64_t)now.tv_sec * 1000u + (uint64_t)now.tv_nsec / 1000000u);
}

/* No plate on a desk: a level that nobody touches. */
uint16_t dw_read_plate(void)
{
    return 950;
}

bool dw_send(const char *topic, const char *text)
{
    return mosquitto_publish(client, NULL, topic, (int)strlen(text), text, 1, false) == MOSQ_ERR_SUCCESS;
}

/* Written beside, then renamed: whole or not at all. */
bool dw_keep(const uint8_t *bytes, uint16_t size)
{
    char beside[512];
    int file;
    bool good;
    snprintf(beside, sizeof beside, "%s.new", memory);
    file = open(beside, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (file < 0) {
        return false;
    }
    good = write(file, bytes, size) == (ssize_t)size && fsync(file) == 0;
    return close(file) == 0 && good && rename(beside, memory) == 0;
}

void dw_show(bool lamp, uint16_t tone_hz)
{
    printf("lamp %s, tone %u Hz\n", lamp ? "on" : "off", tone_hz);
    fflush(stdout);
}

const char *dw_apply(uint8_t what, int32_t value)
{
    switch (what) {
    case DW_SET_NOTICE_KEEP_ALIVE_MS:
        /* What the client would refuse when it connects must not be taken before. */
        if (value < 5000) {
            return DW_NEVER("this client takes 5 s or more");
        }
        connects_anew = true;
        return NULL;
    default:
        /* Never say that something is done when it is not. */
        return DW_NEVER("a desk has none");
    }
}

/* ---- The client ---- */

/* Connected: ask for what is told to this station, in the session that the broker has kept. */
static void connected(struct mosquitto *of, void *ours, int reason)
{
    (void)ours;
    if (reason == 0) {
        mosquitto_subscribe(of, NULL, "to/" DW_STATION_NAME "/#", 1);
    }
}

/* 0x80 and above: the broker has refused, and nothing that is told would be heard. */
static void subscribed(struct mosquitto *of, void *ours, int id, int count, const int *granted)
{
    (void)of, (void)ours, (void)id;
    if (count == 1 && granted[0] < 0x80) {
        dw_station_linked(&station, true);
    }
}

static void disconnected(struct mosquitto *of, void *ours, int reason)
{
    (void)of, (void)ours, (void)reason;
    dw_station_linked(&station, false);
}

static void heard(struct mosquitto *of, void *ours, const struct mosquitto_message *message)
{
    (void)of, (void)ours;
    dw_station_heard(&station, message->topic, message->payload, (uint32_t)message->payloadlen);
}

static uint16_t recall(uint8_t *kept, size_t most)
{
    FILE *file = fopen(memory, "rb");
    size_t size = 0;
    if (file != NULL) {
        size = fread(kept, 1, most, file);
        fclose(file);
    }
    return (uint16_t)size;
}

/* A client of its own for each connection: one that goes on after a break would first send what it had not got rid of, and
 * the service would take an old press for a new one. What has not been acknowledged, the station tells again. */
static bool connect_anew(char **arguments, int count)
{
    mosquitto_property *session = NULL;
    char gone[40];
    int ended;
    connects_anew = false;
    if (station.linked) {
        dw_station_linked(&station, false);
    }
    if (client != NULL) {
        mosquitto_destroy(client);
    }
    client = mosquitto_new(DW_STATION_NAME, false, NULL);
    if (client == NULL) {
        return false;
    }
    mosquitto_int_option(client, MOSQ_OPT_PROTOCOL_VERSION, MQTT_PROTOCOL_V5);
    if (count == 6) {
        mosquitto_username_pw_set(client, arguments[4], arguments[5]);
    }
    snprintf(gone, sizeof gone, "{\"boot\":%lu}", (unsigned long)station.boot);
    mosquitto_will_set(client, "from/" DW_STATION_NAME "/gone", (int)strlen(gone), gone, 1, false);
    mosquitto_connect_callback_set(client, connected);
    mosquitto_subscribe_callback_set(client, subscribed);
    mosquitto_disconnect_callback_set(client, disconnected);
    mosquitto_message_callback_set(client, heard);
    mosquitto_property_add_int32(&session, MQTT_PROP_SESSION_EXPIRY_INTERVAL, 86400);
    ended = mosquitto_connect_bind_v5(client, arguments[1], atoi(arguments[2]),
                                      (int)(station.now[DW_SET_NOTICE_KEEP_ALIVE_MS] / 1000), NULL, session);
    mosquitto_property_free_all(&session);
    return ended == MOSQ_ERR_SUCCESS;
}

/* Any number that is not likely to come again; a board asks its random generator. */
static uint32_t chance(void)
{
    uint32_t value = 0;
    FILE *file = fopen("/dev/urandom", "rb");
    if (file == NULL || fread(&value, sizeof value, 1, file) != 1) {
        value = (uint32_t)getpid() ^ dw_clock_ms();
    }
    if (file != NULL) {
        fclose(file);
    }
    return value;
}

int main(int count, char **arguments)
{
    uint8_t kept[DW_KEPT_MAX];
    uint32_t tried_ms;
    if (count != 4 && count != 6) {
        fprintf(stderr, "desk BROKER PORT FILE [USER PASSWORD]\n");
        return 2;
    }
    memory = arguments[3];
    dw_station_start(&station, kept, recall(kept, sizeof kept), DW_RESET_POWER, chance());

    mosquitto_lib_init();
    tried_ms = dw_clock_ms();
    (void)connect_anew(arguments, count);

    for (;;) {
        struct pollfd keys = {STDIN_FILENO, POLLIN, 0};
        if (connects_anew) {
            (void)connect_anew(arguments, count);
        }
        if (client == NULL || mosquitto_loop(client, 10, 1) != MOSQ_ERR_SUCCESS) {
            /* Not there: the plate is served all the same, and the broker asked again each second. */
            if (station.linked) {
                dw_station_linked(&station, false);
            }
            if (dw_clock_ms() - tried_ms > 1000u) {
                tried_ms = dw_clock_ms();
                (void)connect_anew(arguments, count);
            }
            (void)poll(NULL, 0, 10);
        }
        dw_station_turn(&station);
        if (poll(&keys, 1, 0) > 0) {
            char key;
            const ssize_t size = read(STDIN_FILENO, &key, 1);
            if (size == 0) {
                return 0;
            }
            if (size == 1 && key == '\n') {
                dw_station_press(&station);
                printf("felt %lu %lu %llu\n", (unsigned long)station.last.boot, (unsigned long)station.last.seq,
                       (unsigned long long)station.last.at_ms);
                fflush(stdout);
            }
        }
    }
}
