// SPDX-License-Identifier: Apache-2.0
// Rules by name, with the shop's own limits, and the page that lists them.
#include "check/inside.h"

#include <string.h>

static const struct kw_rule *find(const char *id) {
    for (const struct kw_rule *r = kw_rules; r->id; r++)
        if (strcmp(r->id, id) == 0) return r;
    return NULL;
}

const struct kw_rule *kw_rule_named(const char *id) {
    const struct kw_rule *r = find(id);
    kw_assert(r != NULL);
    return r;
}

double kw_rule_limit(const struct kw_shop *shop, const char *id) {
    const struct kw_rule *r = kw_rule_named(id);
    for (int i = 0; r->own && i < shop->rules.count; i++) {
        const struct kw_rule_override *o = KW_ITEM(struct kw_rule_override, shop->rules, i);
        if (strcmp(o->name, id) == 0) return o->limit;
    }
    return r->limit;
}

struct kw_finding kw_rule_finding(const char *id, const struct kw_kit *kit,
                                  const struct kw_part *part, struct kw_place where) {
    const struct kw_rule *r = kw_rule_named(id);
    return (struct kw_finding){.level = r->level,
                               .rule = r->id,
                               .kit = kit ? kit->name : NULL,
                               .part = part ? part->name : NULL,
                               .where = where,
                               .frame = "",
                               .limit = r->limit,
                               .unit = r->unit,
                               .says = r->says,
                               .fix = r->fix};
}

/// Said once, though every kit is checked by itself.
static bool already_said(const struct kw_findings *list, const char *rule, struct kw_place at) {
    for (int i = 0; i < list->count; i++) {
        const struct kw_finding *f = &list->v[i];
        if (strcmp(f->rule, rule) == 0 && f->where.line == at.line && f->where.column == at.column)
            return true;
    }
    return false;
}

void check_overrides(struct checking *c) {
    for (int i = 0; i < c->shop->rules.count; i++) {
        const struct kw_rule_override *o = KW_ITEM(struct kw_rule_override, c->shop->rules, i);
        const struct kw_rule *r = find(o->name);
        struct kw_place at = check_place(o->node, "limit");
        if ((r && r->own) || already_said(c->findings, "rule-override", at)) continue;
        struct kw_finding f = kw_rule_finding("rule-override", NULL, NULL, at);
        f.says = kw_format(
            c->arena, r ? "rule %s takes no limit from the shop" : "there is no rule %s", o->name);
        kw_find(c->findings, f);
    }
}

void kw_rules_page(struct kw_text *out) {
    kw_text_add(out, "# Rules\n\nWhat `kitwright check` and `kitwright run` look for. A stop can't "
                     "be made here; a risk can, when\nsomebody signs it in the kit file; a note is "
                     "only told. t is the thickness, V the die opening.\nRules marked *own* take "
                     "another limit from `rules:` in shop.yaml.\n\n");
    kw_text_add(out, "| rule | level | says | formula | limit | what to do | source |\n"
                     "|---|---|---|---|---|---|---|\n");
    for (const struct kw_rule *r = kw_rules; r->id; r++) {
        char limit[KW_NUMBER_SIZE] = "";
        if (r->limit > 0) kw_number(limit, r->limit, 3);
        kw_text_addf(out, "| %s | %s | %s | %s | %s%s | %s | %s |\n", r->id,
                     kw_level_name(r->level), r->says, r->formula, limit, r->own ? " *own*" : "",
                     r->fix, r->source);
    }
}
