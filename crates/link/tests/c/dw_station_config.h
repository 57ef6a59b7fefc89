/* A plan's settings for the tests of the station's end: few, of every kind. */
#ifndef DW_STATION_CONFIG_H
#define DW_STATION_CONFIG_H

#define DW_STATION_CONFIG_VERSION 1
#define DW_STATION_NAME "gate"
#define DW_BURNED "3c98fc8c"
#define DW_TOUCH_RISES 0
#define DW_PLATE_THRESHOLD_USUAL 60
#define DW_SETTINGS(X) \
    X(CAMERA_QUALITY, "camera.quality", 0, 14, 0, 63, 1) \
    X(CAMERA_METERING, "camera.metering", "whole centre", 1, 0, 1, 1) \
    X(PLATE_PERIOD_US, "plate.period_us", 0, 30000, 1000, 2000000, 1) \
    X(PLATE_DEBOUNCE, "plate.debounce", 0, 1, 0, 20, 1) \
    X(PLATE_MEDIAN, "plate.median", 0, 1, 1, 5, 1) \
    X(PLATE_THRESHOLD, "plate.threshold", 0, DW_UNTOLD, 1, 65535, 1) \
    X(PLATE_HYSTERESIS, "plate.hysteresis", 0, DW_UNTOLD, 0, 65535, 1) \
    X(PLATE_TRACK, "plate.track", 0, DW_UNTOLD, 0, 28, 1) \
    X(PLATE_TRACK_AWAY, "plate.track_away", 0, DW_UNTOLD, 0, 28, 1) \
    X(PLATE_DEAD_MS, "plate.dead_ms", 0, 0, 0, 3600000, 1) \
    X(PLATE_LONGEST_MS, "plate.longest_ms", 0, 20000, 0, 3600000, 1) \
    X(PLATE_NOISY, "plate.noisy", 0, 0, 0, 65535, 1) \
    X(REST_IDLE_EVERY_MS, "rest.idle_every_ms", 0, DW_UNTOLD, 100, 1000000000, 1) \
    X(REST_CALL_RATE_PER_S, "rest.call_rate_per_s", 0, 3000, 100, 60000, 1000) \
    X(NET_RETRY, "net.retry", "steady back-off", 1, 0, 1, 1) \
    X(RADIO_LISTEN, "radio.listen", 0, 1, 1, 20, 1) \
    X(NOTICE_KEEP_ALIVE_MS, "notice.keep_alive_ms", 0, 20000, 1000, 3600000, 1)

#endif
