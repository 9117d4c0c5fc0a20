// SPDX-License-Identifier: Apache-2.0
// The command line: one table of commands, one file a command. Every command reads a shop folder,
// takes --json, prints to standard output, and explains what went wrong on standard error.
#pragma once

#include "base/base.h"
#include "form/form.h"
#include "kit/kit.h"
#include "packet/packet.h"
#include "shop/shop.h"

#define KW_MADE_BY "kitwright 0.1"

struct cli_args {
    const char *words[4]; ///< what is not an option, in order
    int word_count;
    bool json, keep_going, page, coupons;
    const char *name, *date, *dir, *count, *from_part, *again, *on, *standing;
    const char *svg, *dxf, *glb, *stl; ///< files to write
    const char *port, *listen, *passphrase;
    const struct kw_watch *watch;
};

struct cli_command {
    const char *name, *takes, *help;
    int (*run)(const struct cli_args *args); ///< returns the exit status
};
extern const struct cli_command cli_commands[]; ///< ended by a row without name

int cmd_new(const struct cli_args *args);
int cmd_check(const struct cli_args *args);
int cmd_part(const struct cli_args *args);
int cmd_run(const struct cli_args *args);
int cmd_quote(const struct cli_args *args);
int cmd_learn(const struct cli_args *args);
int cmd_schema(const struct cli_args *args);
int cmd_serve(const struct cli_args *args);

/// Prints "kitwright: file:line:column: text" and returns the exit status of the error.
int cli_fail(const struct kw_error *err);
/// Usage error: prints the sentence, returns 64.
int cli_usage(const char *fmt, ...) __attribute__((format(printf, 1, 2)));
/// Prints to standard output; 0, or 74 when it can't be written.
int cli_print(struct kw_text *text);
/// The shop folder: --dir, else the word at `index`, else ".".
const char *cli_folder(const struct cli_args *args, int index);
/// --date, or today; yyyymmdd. 0 and a message when it is not a date.
int cli_date(const struct cli_args *args);

/// The folder as read: shop with its coupons, kits; orders where asked.
struct cli_shop {
    struct kw_arena arena;
    const char *folder;
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_orders orders;
};
enum kw_status cli_read(struct cli_shop *s, const char *folder, bool orders, struct kw_error *err);
void cli_free(struct cli_shop *s);
