/* Every sequence of happenings to some depth, for explore.c and explore_settings.c. Those define the type `world`, the pointer
 * `w` to the one at hand, the `names` of ACTIONS happenings, `step` and `comes_to_rest`. */

static int path[32];
static int path_length;
static unsigned long long sequences;

/* Does the happening to the world at hand, which is a copy of `from`, and checks it; false if it cannot happen. */
static bool step(const world *from, int action);
static void comes_to_rest(void);

static void broken(const char *what)
{
    int at;
    printf("broken: %s, after", what);
    for (at = 0; at < path_length; at++) {
        printf("%s %s", at > 0 ? "," : "", names[path[at]]);
    }
    printf("\n");
    exit(1);
}

static void explore(const world *from, int depth)
{
    static world worlds[32];
    world *here = &worlds[depth];
    int action;
    if (depth == 0) {
        *here = *from;
        w = here;
        comes_to_rest();
        sequences++;
        return;
    }
    for (action = 0; action < ACTIONS; action++) {
        *here = *from;
        w = here;
        path[path_length++] = action;
        if (step(from, action)) {
            explore(here, depth - 1);
        }
        path_length--;
    }
}

/* To the depth of the command line. */
static void search(const world *first, int count, char **arguments)
{
    const int depth = count > 1 ? atoi(arguments[1]) : 5;
    explore(first, depth < 1 ? 1 : depth > 30 ? 30 : depth);
    printf("%llu sequences of %d\n", sequences, depth);
}
