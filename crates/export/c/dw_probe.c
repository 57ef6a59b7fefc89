/* Doorwright: prints one reading of the touch plate a line, at a steady rate, for whoever tunes it.
 *
 *     dw ms=120450 plate=1184
 *
 * C99, no dependence on a platform. Write the three functions below in your own file, call dw_probe() over and over from
 * your loop, and record what comes out. The loop must come round sooner than the next reading is due; radio, camera
 * and lamp should run as they will at the door. At 115200 baud 300 lines a second pass, at 9600 baud 25. */
#include <stdbool.h>
#include <stdint.h>

/* Time between two readings. */
#define DW_PROBE_PERIOD_MS 30u

/* Yours: the plate's count as the chip gives it, neither averaged nor compared with anything. */
uint16_t dw_read_plate(void);
/* Yours: milliseconds since any moment; it may begin anew after 2^32. */
uint32_t dw_clock_ms(void);
/* Yours: sends a text to wherever it is recorded; the text ends its line itself. */
void dw_print(const char *text);

void dw_probe(void);

/* Writes a word at `to`, and returns where it ends. */
static char *word(char *to, const char *text)
{
    while (*text != '\0') {
        *to++ = *text++;
    }
    return to;
}

/* Writes a number at `to`, and returns where it ends. */
static char *number(char *to, uint32_t value)
{
    char digits[10];
    unsigned count = 0;
    do {
        digits[count++] = (char)('0' + value % 10u);
        value /= 10u;
    } while (value > 0);
    while (count > 0) {
        *to++ = digits[--count];
    }
    return to;
}

/* Prints a line if a reading is due. */
void dw_probe(void)
{
    static bool begun = false;
    static uint32_t due = 0;
    /* "dw ms=", ten digits, " plate=", five digits, the line's end and a zero. */
    char line[6 + 10 + 7 + 5 + 1 + 1];
    char *end = line;
    const uint32_t now = dw_clock_ms();

    if (!begun) {
        begun = true;
        due = now;
    }
    /* Half of the clock's range lies ahead, half behind: so it may begin anew. */
    if (now - due > UINT32_MAX / 2u) {
        return;
    }
    due += DW_PROBE_PERIOD_MS;
    if (now - due <= UINT32_MAX / 2u) {
        /* Late by a whole period: readings made up in a burst would not be those of that time. */
        due = now + DW_PROBE_PERIOD_MS;
    }
    end = word(end, "dw ms=");
    end = number(end, now);
    end = word(end, " plate=");
    end = number(end, dw_read_plate());
    end = word(end, "\n");
    *end = '\0';
    dw_print(line);
}
