// SPDX-License-Identifier: Apache-2.0
// A risk signed from the page: one line in the kit file's `signed`, with the part's code as it is
// now; and taken out again.
#include "server/change.h"
#include "server/planning.h"

#include <string.h>

struct risk {
    const char *rule, *part; ///< part NULL: the kit itself
    const char *code;        ///< as it is now
};

/// Whether the look runs the risk (or a run may), and with what code.
static bool is_run(const struct look *look, struct risk *risk) {
    bool met = false;
    for (int i = 0; i < look->findings.count && !met; i++) {
        const struct kw_finding *f = &look->findings.v[i];
        bool same = risk->part ? f->part && strcmp(f->part, risk->part) == 0 : !f->part;
        met = f->level == KW_RISK && same && strcmp(f->rule, risk->rule) == 0;
    }
    met = met || kw_risk_of_runs(risk->rule);
    risk->code = risk->part ? NULL : look->kit->code;
    for (int i = 0; risk->part && i < look->kit->parts.count; i++) {
        const struct kw_part *p = KW_ITEM(struct kw_part, look->kit->parts, i);
        if (strcmp(p->name, risk->part) == 0) risk->code = p->code;
    }
    return met && risk->code;
}

static bool says(const struct kw_node *item, const char *key, const char *text) {
    const struct kw_node *said = kw_node_get(item, key);
    if (!text || !said) return !text && !said;
    return said->kind == KW_SCALAR && strcmp(said->text, text) == 0;
}

/// The number of the last signature of the risk in the text, of a kit in sizes of the code too:
/// each size is signed by itself. -1: none.
static int signature_at(struct kw_arena *a, const char *file, const struct look_wish *wish,
                        const struct risk *risk, bool sized) {
    const struct kw_node *root;
    int found = -1;
    if (kw_yaml_parse(a, file, wish->text, wish->length, &root, NULL) != KW_OK) return -1;
    const struct kw_node *list = kw_node_get(root, "signed");
    for (int i = 0; list && list->kind == KW_LIST && i < list->count; i++)
        if (says(&list->items[i], "risk", risk->rule) &&
            says(&list->items[i], "part", risk->part) &&
            (!sized || says(&list->items[i], "code", risk->code)))
            found = i;
    return found;
}

/// Who, when, why and for what code, in the old signature's own place.
static enum kw_status sign_again(struct call *c, const char *file, const struct look_wish *wish,
                                 int item, const char *const values[4], struct kw_text *out,
                                 struct kw_error *err) {
    static const char *const keys[] = {"by", "date", "reason", "code"};
    kw_text_addn(out, wish->text, wish->length);
    for (int i = 0; i < 4; i++) {
        const char *text = kw_copy_text(&c->arena, out->s, out->length);
        json_t *path = json_pack("[sis]", "signed", item, keys[i]);
        enum kw_status s =
            splice_value(&c->arena, file, text, out->length, path, values[i], out, err);
        json_decref(path);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

static enum kw_status sign(struct call *c, const struct look_wish *wish, const struct risk *risk,
                           const char *by, const char *reason, bool sized, struct kw_text *out,
                           struct kw_error *err) {
    char day[KW_NUMBER_SIZE];
    struct kw_arena *a = &c->arena;
    const char *file = kit_file(c, wish->kit);
    const char *values[] = {by, kw_date_text(day, today()), reason, risk->code};
    int item = signature_at(a, file, wish, risk, sized);
    if (item >= 0) return sign_again(c, file, wish, item, values, out, err);
    const char *part = risk->part ? kw_format(a, "part: %s, ", splice_word(a, risk->part)) : "";
    const char *flow = kw_format(a, "{ risk: %s, %sby: %s, date: %s, reason: %s, code: \"%s\" }",
                                 splice_word(a, risk->rule), part, splice_word(a, by), values[1],
                                 splice_word(a, reason), risk->code);
    return splice_item(a, file, wish->text, wish->length, "signed", flow, out, err);
}

static bool one_line(const char *s, size_t most) {
    size_t n = s ? strlen(s) : 0;
    for (size_t i = 0; i < n; i++)
        if ((unsigned char)s[i] < ' ' || s[i] == 0x7f) return false;
    return n > 0 && n <= most && strspn(s, " ") < n;
}

HANDLER(post_signature) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    struct look_wish wish = read_wish(c, body);
    struct kw_text out = {0};
    struct kw_error err = {0};
    struct risk risk = {body_text(body, "risk"), body_text(body, "part"), NULL};
    const char *by = body_text(body, "by"), *reason = body_text(body, "reason"), *was;
    if (!one_line(risk.rule, 100) || !one_line(by, 100) || !one_line(reason, 400)) {
        answer_says(
            c->response, 400,
            "expected \"risk\", \"by\" (to 100 bytes) and \"reason\" (to 400), a line each");
    } else if (begin_change(c, body, &wish, &was)) {
        struct look *look = look_take(c->server, &wish);
        enum kw_status s = KW_OK;
        if (!look->kit)
            answer_error(c->response, 422, &look->error);
        else if (!is_run(look, &risk))
            answer_says(c->response, 422, "nothing here runs the risk %.100s", risk.rule);
        else
            s = sign(c, &wish, &risk, by, reason, look->kit->size != NULL, &out, &err);
        look_drop(c->server, look);
        if (out.length > 0 || s != KW_OK) end_change(c, &wish, was, s, &out, &err);
    }
    kw_text_free(&out);
    json_decref(body);
}
