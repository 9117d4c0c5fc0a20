// SPDX-License-Identifier: Apache-2.0
// kw-bench: the table of measurements and the options.
#include "bench.h"

#include <errno.h>
#include <limits.h>
#include <math.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct bench_command commands[] = {
    {"strips", "FILE", "items in a strip of fixed width, shortest length", true, bench_strips},
    {"sheets", "FILE", "items on as few equal sheets as possible", true, bench_sheets},
    {"plates", "FILE", "items of a strip on plates of 1.5 strip widths", true, bench_plates},
    {"nest", "--parts N --shapes S", "a generated job of N parts on sheets of two sizes", false,
     bench_nest},
    {"growth", "--parts N", "time to a first full nest up to N parts, of 40 shapes and of more",
     false, bench_growth},
    {"repeats", "", "one or two shapes many times, with and without patterns", false,
     bench_repeats},
    {"jigsaw", "--cases K", "sheets cut up without waste, to be filled again", false, bench_jigsaw},
    {"sticks", "FILE", "pieces out of as few sticks as possible", true, bench_sticks},
    {"stick-week", "", "400 pieces of 25 lengths, an invented week", false, bench_stick_week},
    {"cartons", "FILE", "boxes into few cartons, or one filled best", true, bench_cartons},
    {"plan", "--kits N --parts M", "a generated shop planned from files to packet", false,
     bench_plan},
    {"brake", "--bends N --cases K", "bend orders of generated parts", false, bench_brake},
    {"route", "", "travel of the torch on 50 generated nests", false, bench_route},
    {"tube", "--bends N --cases K", "generated tubes followed through the bender", false,
     bench_tube},
    {0},
};

static volatile sig_atomic_t stop_asked;
static void on_signal(int number) {
    (void)number;
    stop_asked = 1;
}
static bool is_stopped(void *user) {
    (void)user;
    return stop_asked != 0;
}
static double clock_now(void *user) {
    (void)user;
    return bench_now();
}

static int usage(const char *fmt, ...) __attribute__((format(printf, 1, 2)));
static int usage(const char *fmt, ...) {
    va_list args;
    va_start(args, fmt);
    fputs("kw-bench: ", stderr);
    vfprintf(stderr, fmt, args);
    fputs("\n", stderr);
    va_end(args);
    return 64;
}

static void print_help(FILE *to) {
    fputs("kw-bench measures the engines; one JSON object a case.\n\n", to);
    for (const struct bench_command *c = commands; c->name; c++)
        fprintf(to, "  kw-bench %-10s %-20s %s\n", c->name, c->takes, c->help);
    fputs("\n  --seconds S    time a case (default: a step budget, so that results repeat)\n"
          "  --steps N      strips and sheets: budget of work instead of time\n"
          "  --threads N    1 to 64; never changes a result\n"
          "  --seed K       default 1\n"
          "  --layout PATH  writes layouts: a file for strips, else a folder\n"
          "  --plot F.svg   strips and growth: the figures as a plot\n"
          "  --cases K      only the first K cases\n"
          "  --copies K     plates: K times as many of each item\n"
          "  --clamps K     repeats: K clamps at the sheet's edge and a bad corner\n"
          "  --none K       brake: K generated parts that no order bends instead: the proof\n",
          to);
}

// A number in [least, most]; `whole`: without a fraction.
static bool read_number(const char *text, double least, double most, bool whole, double *out) {
    char *end;
    errno = 0;
    *out = strtod(text, &end);
    return end != text && *end == 0 && errno == 0 && *out >= least && *out <= most &&
           (!whole || *out == floor(*out));
}

static int read_option(struct bench_args *args, const char *name, const char *value) {
    const struct {
        const char *name;
        double least, most;
        bool whole;
        double *real;
        int *count;
    } numbers[] = {
        {"--seconds", 1e-3, 86400, false, &args->seconds, NULL},
        {"--steps", 1, 1e15, true, &args->steps, NULL},
        {"--threads", 1, 64, true, NULL, &args->threads},
        {"--kits", 1, 500, true, NULL, &args->kits},
        {"--parts", 1, 100000, true, NULL, &args->parts},
        {"--shapes", 1, 5000, true, NULL, &args->shapes},
        {"--cases", 1, INT_MAX, true, NULL, &args->cases},
        {"--bends", 1, 100, true, NULL, &args->bends},
        {"--copies", 1, 1000, true, NULL, &args->copies},
        {"--clamps", 1, 20, true, NULL, &args->clamps},
        {"--none", 1, 100000, true, NULL, &args->none},
    };
    double v;
    if (!value) return usage("%s: expected a value", name);
    if (strcmp(name, "--layout") == 0) {
        args->layout = value;
        return 0;
    }
    if (strcmp(name, "--plot") == 0) {
        args->plot = value;
        return 0;
    }
    if (strcmp(name, "--seed") == 0) {
        if (!read_number(value, 0, 9007199254740992.0, true, &v))
            return usage("--seed: expected a whole number, got \"%s\"", value);
        args->seed = (uint64_t)v;
        return 0;
    }
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        if (strcmp(name, numbers[i].name) != 0) continue;
        if (!read_number(value, numbers[i].least, numbers[i].most, numbers[i].whole, &v))
            return usage("%s: expected a number from %g to %g, got \"%s\"", name, numbers[i].least,
                         numbers[i].most, value);
        if (numbers[i].real) *numbers[i].real = v;
        if (numbers[i].count) *numbers[i].count = (int)v;
        return 0;
    }
    return usage("unknown option \"%s\"", name);
}

static int read_arguments(int argc, char **argv, const struct bench_command *command,
                          struct bench_args *args) {
    for (int i = 2; i < argc; i++) {
        if (strncmp(argv[i], "--", 2) == 0) {
            int code = read_option(args, argv[i], i + 1 < argc ? argv[i + 1] : NULL);
            if (code != 0) return code;
            i++;
        } else if (command->wants_file && !args->file) {
            args->file = argv[i];
        } else {
            return usage("%s: unexpected \"%s\"", command->name, argv[i]);
        }
    }
    if (command->wants_file && !args->file) return usage("%s: expected a file", command->name);
    if (command->run == bench_brake && args->bends == 0) return usage("brake: expected --bends N");
    if (command->run == bench_plan && (args->kits == 0 || args->parts == 0))
        return usage("plan: expected --kits N --parts M");
    if (command->run == bench_plan && args->parts > 500)
        return usage("plan: expected --parts of 500 at most");
    if (command->run == bench_nest && args->parts == 0) return usage("nest: expected --parts N");
    return 0;
}

int main(int argc, char **argv) {
    if (argc < 2 || strcmp(argv[1], "help") == 0 || strcmp(argv[1], "--help") == 0) {
        print_help(argc < 2 ? stderr : stdout);
        return argc < 2 ? 64 : 0;
    }
    const struct bench_command *command = commands;
    while (command->name && strcmp(command->name, argv[1]) != 0)
        command++;
    if (!command->name) return usage("unknown measurement \"%s\"; kw-bench help", argv[1]);
    struct bench_args args = {.threads = 1, .seed = 1};
    args.watch = (struct kw_watch){.stopped = is_stopped, .now = clock_now};
    struct sigaction action = {.sa_handler = on_signal};
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    int code = read_arguments(argc, argv, command, &args);
    return code ? code : command->run(&args);
}
