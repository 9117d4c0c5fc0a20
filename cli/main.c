// SPDX-License-Identifier: Apache-2.0
// kitwright: the table of commands, options, progress, and stopping.
#include "cli.h"
#include "coupon/coupon.h"

#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

const struct cli_command cli_commands[] = {
    {"new", "DIR", "start a shop folder with a plain example kit", cmd_new},
    {"check", "[DIR] [KIT]", "what this shop can't or shouldn't make, and what would mend it",
     cmd_check},
    {"part", "[DIR] KIT/PART [--svg F] [--dxf F] [--glb F] [--stl F]",
     "one part: sizes to check with a tape, blank, bends, mass; its blank and body as files",
     cmd_part},
    {"run",
     "[DIR] [--name N] [--date D] [--keep-going] [--coupons] [--from-part SHEET:PART]\n"
     "              [--again KIT/PART[=COUNT] [--on SHEET|DROP]] [--standing RUN[/SHEET]]",
     "plan the week's orders and write the packet; --from-part: go on after a stop;\n"
     "          --again: a scrapped part into free space of the sheets of --name",
     cmd_run},
    {"quote", "[DIR] KIT [--count N]", "what a kit costs and what to ask for it", cmd_quote},
    {"learn", "[DIR] [FILE]", "what the measured coupons say of bend allowance and springback",
     cmd_learn},
    {"schema", "shop|kit|coupon|rules [--page]",
     "keys of the files (JSON Schema or a page), table of rules", cmd_schema},
    {"serve", "[DIR] [--port N] [--listen ADDRESS --passphrase FILE]",
     "the shop folder in a browser on this machine", cmd_serve},
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

struct progress {
    double begun, shown;
    bool any;
};

static double seconds_now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

// One line on a terminal, from the first second on, at most ten times a second.
static void show_progress(void *user, const char *stage, double part) {
    struct progress *p = user;
    double now = seconds_now();
    if (now - p->begun < 1 || now - p->shown < 0.1) return;
    p->shown = now;
    p->any = true;
    fprintf(stderr, "\r\033[K%s %.0f %%  (Ctrl-C stops)", stage, part * 100);
    fflush(stderr);
}

static void print_help(FILE *to) {
    fputs("kitwright plans the week of a shop that sells weld-it-yourself kits.\n\n", to);
    for (const struct cli_command *c = cli_commands; c->name; c++) {
        fprintf(to, "  kitwright %-7s %-44s\n          %s\n", c->name, c->takes, c->help);
    }
    fputs("\nEvery command takes --json. DIR is the shop folder (default: here).\n"
          "Exit: 0 done, 1 done with a stop, 2 a file can't be read, 64 usage, 70 our fault,\n"
          "74 can't read or write, 130 stopped.\n",
          to);
}

int cli_usage(const char *fmt, ...) {
    va_list args;
    va_start(args, fmt);
    fputs("kitwright: ", stderr);
    vfprintf(stderr, fmt, args);
    fputs("\n", stderr);
    va_end(args);
    return 64;
}

int cli_fail(const struct kw_error *err) {
    char line[1024];
    kw_error_line(err, line, sizeof line);
    if (err->status == KW_STOPPED || err->status == KW_OK) {
        fputs("kitwright: stopped; nothing was written\n", stderr);
        return 130;
    }
    fprintf(stderr, "kitwright: %s\n", line);
    return kw_exit_code(err->status);
}

int cli_print(struct kw_text *text) {
    bool ok = !text->length || fwrite(text->s, 1, text->length, stdout) == text->length;
    ok = fflush(stdout) == 0 && ok;
    kw_text_free(text);
    if (ok) return 0;
    fputs("kitwright: can't write to standard output\n", stderr);
    return 74;
}

const char *cli_folder(const struct cli_args *args, int index) {
    if (args->dir) return args->dir;
    return index < args->word_count ? args->words[index] : ".";
}

int cli_date(const struct cli_args *args) {
    int y, m, d, n = 0;
    if (!args->date) {
        time_t now = time(NULL);
        struct tm t;
        localtime_r(&now, &t);
        return (t.tm_year + 1900) * 10000 + (t.tm_mon + 1) * 100 + t.tm_mday;
    }
    if (sscanf(args->date, "%4d-%2d-%2d%n", &y, &m, &d, &n) == 3 && args->date[n] == 0 && n == 10 &&
        m >= 1 && m <= 12 && d >= 1 && d <= 31) {
        return y * 10000 + m * 100 + d;
    }
    cli_usage("--date: expected a date such as 2026-11-30, got \"%s\"", args->date);
    return 0;
}

enum kw_status cli_read(struct cli_shop *s, const char *folder, bool orders, struct kw_error *err) {
    s->folder = folder;
    enum kw_status status = kw_shop_read(&s->arena, folder, &s->shop, err);
    if (status == KW_OK) status = kw_shop_learn(&s->arena, s->shop, folder, err);
    if (status == KW_OK) status = kw_kits_read(&s->arena, s->shop, folder, &s->kits, err);
    if (status == KW_OK && orders) {
        status = kw_orders_read(&s->arena, &s->kits, folder, &s->orders, err);
    }
    return status;
}

void cli_free(struct cli_shop *s) {
    kw_arena_free(&s->arena);
}

// Options with a value point into args; the rest are flags.
static int read_options(int argc, char **argv, struct cli_args *a) {
    for (int i = 2; i < argc; i++) {
        const char *s = argv[i];
        const char **value = strcmp(s, "--name") == 0         ? &a->name
                             : strcmp(s, "--date") == 0       ? &a->date
                             : strcmp(s, "--dir") == 0        ? &a->dir
                             : strcmp(s, "--count") == 0      ? &a->count
                             : strcmp(s, "--from-part") == 0  ? &a->from_part
                             : strcmp(s, "--again") == 0      ? &a->again
                             : strcmp(s, "--on") == 0         ? &a->on
                             : strcmp(s, "--standing") == 0   ? &a->standing
                             : strcmp(s, "--svg") == 0        ? &a->svg
                             : strcmp(s, "--dxf") == 0        ? &a->dxf
                             : strcmp(s, "--glb") == 0        ? &a->glb
                             : strcmp(s, "--stl") == 0        ? &a->stl
                             : strcmp(s, "--port") == 0       ? &a->port
                             : strcmp(s, "--listen") == 0     ? &a->listen
                             : strcmp(s, "--passphrase") == 0 ? &a->passphrase
                                                              : NULL;
        if (value) {
            if (i + 1 == argc) return cli_usage("%s: expected a value after it", s);
            *value = argv[++i];
        } else if (strcmp(s, "--json") == 0) {
            a->json = true;
        } else if (strcmp(s, "--keep-going") == 0) {
            a->keep_going = true;
        } else if (strcmp(s, "--coupons") == 0) {
            a->coupons = true;
        } else if (strcmp(s, "--page") == 0) {
            a->page = true;
        } else if (s[0] == '-' && s[1]) {
            static const char *const known[] = {
                "--name",       "--date",    "--dir",       "--count",      "--json",
                "--keep-going", "--coupons", "--page",      "--svg",        "--dxf",
                "--glb",        "--stl",     "--from-part", "--again",      "--on",
                "--standing",   "--port",    "--listen",    "--passphrase", NULL};
            const char *near = kw_nearest_word(s, known);
            return cli_usage("unknown option \"%s\"%s%s", s, near ? ", did you mean " : "",
                             near ? near : "");
        } else if (a->word_count == 4) {
            return cli_usage("too many words: \"%s\"", s);
        } else {
            a->words[a->word_count++] = s;
        }
    }
    return 0;
}

static const struct cli_command *find_command(const char *name) {
    for (const struct cli_command *c = cli_commands; c->name; c++) {
        if (strcmp(c->name, name) == 0) return c;
    }
    return NULL;
}

int main(int argc, char **argv) {
    if (argc < 2 || strcmp(argv[1], "help") == 0 || strcmp(argv[1], "--help") == 0) {
        print_help(argc < 2 ? stderr : stdout);
        return argc < 2 ? 64 : 0;
    }
    const struct cli_command *command = find_command(argv[1]);
    if (!command) return cli_usage("unknown command \"%s\"; kitwright help lists them", argv[1]);
    struct sigaction action = {.sa_handler = on_signal};
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    struct progress progress = {.begun = seconds_now()};
    struct kw_watch watch = {.user = &progress, .stopped = is_stopped};
    if (isatty(STDERR_FILENO)) watch.progress = show_progress;
    struct cli_args args = {.watch = &watch};
    int code = read_options(argc, argv, &args);
    if (code == 0) code = command->run(&args);
    if (progress.any) fputs("\r\033[K", stderr);
    return code;
}
