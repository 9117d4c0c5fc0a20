// SPDX-License-Identifier: Apache-2.0
// Every part of a kit, one after the other.
#include "check/inside.h"

#include <string.h>

struct kw_place check_place(const struct kw_node *node, const char *key) {
    return node ? kw_place_of(node, key) : (struct kw_place){0};
}

const char *check_length(const struct checking *c, double mm) {
    char buf[48];
    return kw_format(c->arena, "%s", kw_length_text(buf, mm, (enum kw_length_unit)c->shop->units));
}

const char *check_mass(const struct checking *c, double kg) {
    char buf[48];
    return kw_format(c->arena, "%s", kw_mass_text(buf, kg, (enum kw_length_unit)c->shop->units));
}

const char *check_force(const struct checking *c, double newton) {
    char buf[48];
    return kw_format(c->arena, "%s",
                     kw_force_text(buf, newton, (enum kw_length_unit)c->shop->units));
}

struct kw_finding check_finding(const struct checking *c, const char *rule,
                                const struct kw_part *part, struct kw_place where, double measured,
                                double limit) {
    struct kw_finding f = kw_rule_finding(rule, c->kit, part, where);
    f.measured = measured;
    f.limit = limit;
    return f;
}

void check_at(struct kw_finding *f, const char *frame, double x, double y, double z) {
    f->frame = frame;
    f->at[0] = x;
    f->at[1] = y;
    f->at[2] = z;
}

/// Findings from other modules carry their own words; the remedy stands in the table.
static void fill_fixes(struct kw_findings *list, int first) {
    for (int i = first; i < list->count; i++)
        if (!list->v[i].fix || !*list->v[i].fix)
            list->v[i].fix = kw_rule_named(list->v[i].rule)->fix;
}

static bool has_stop(const struct kw_findings *list, int first) {
    for (int i = first; i < list->count; i++)
        if (list->v[i].level == KW_STOP) return true;
    return false;
}

static void heavy(struct checking *c, const struct kw_examined *e) {
    double most = c->shop->press.one_person;
    if (!(most > 0) || !(e->mass > most)) return;
    struct kw_finding f =
        check_finding(c, "heavy-part", e->part, check_place(e->part->node, "from"), e->mass, most);
    f.says = kw_format(c->arena, "%s weighs %s: two people lift over %s", e->part->name,
                       check_mass(c, e->mass), check_mass(c, most));
    kw_find(c->findings, f);
}

void kw_check_kit(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                  struct kw_findings *findings, struct kw_examined **out, int *count) {
    struct checking c = {a, shop, kit, findings};
    int n = kit->parts.count, start = findings->count;
    *out = KW_NEW_ARRAY(a, struct kw_examined, n ? n : 1);
    *count = n;
    check_overrides(&c);
    for (int i = 0; i < n; i++) {
        struct kw_examined *e = &(*out)[i];
        int first = findings->count;
        e->kit = kit;
        e->part = KW_ITEM(struct kw_part, kit->parts, i);
        if (e->part->stock.kind == KW_SHEET)
            check_sheet(&c, e);
        else
            check_stick(&c, e);
        heavy(&c, e);
        e->makeable = !has_stop(findings, first);
    }
    fill_fixes(findings, start);
    kw_check_sign(a, kit, findings, start);
    check_idle_signatures(a, kit, findings, start);
}
