// SPDX-License-Identifier: Apache-2.0
// JSON Schemas: of the files from the tables that their readers use, of answers from schemas/.
#include "server/inside.h"

#include <string.h>

#define EMBED(symbol, path)                                                                        \
    __asm__(".section .rodata\n"                                                                   \
            ".global " #symbol "\n" #symbol ":\n.incbin \"" path "\"\n.byte 0\n.previous\n");      \
    extern const char symbol[]
EMBED(schema_api_text, "server/schemas/api.json");
EMBED(schema_orders_text, "server/schemas/orders.json");
EMBED(schema_run_text, "server/schemas/run.json");

HANDLER(get_schema) {
    struct kw_response *r = c->response;
    const char *which = c->parts[0], *fixed = strcmp(which, "api") == 0      ? schema_api_text
                                              : strcmp(which, "orders") == 0 ? schema_orders_text
                                              : strcmp(which, "run") == 0    ? schema_run_text
                                                                             : NULL;
    r->status = 200;
    r->type = "application/schema+json";
    if (fixed) {
        r->fixed = fixed;
        r->fixed_length = strlen(fixed);
    } else if (strcmp(which, "kit") == 0) {
        kw_form_schema(&kw_kit_form, "kits/NAME.yaml", true, &r->body);
    } else if (strcmp(which, "shop") == 0) {
        kw_form_schema(&kw_shop_form, "shop.yaml", false, &r->body);
    } else {
        answer_says(r, 404, "schemas: expected kit, shop, orders, run or api");
    }
}
