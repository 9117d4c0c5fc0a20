// SPDX-License-Identifier: Apache-2.0
// Every part of a kit, one after the other.
#include "check/inside.h"

#include <stdlib.h>
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

/// What stands on the kit as a whole falls on the parts that its findings name.
static void blame(const struct kw_findings *list, int first, int end, struct kw_examined *v,
                  int count) {
    for (int i = first; i < end; i++)
        for (int k = 0; list->v[i].level == KW_STOP && list->v[i].part && k < count; k++)
            if (strcmp(v[k].part->name, list->v[i].part) == 0) v[k].makeable = false;
}

/// "long-panel long": its finished size along x (long), y (wide) or z (high).
static void check_size(struct checking *c, const struct kw_examined *v, int count) {
    const char *said = c->kit->size_measured;
    if (!said || !c->kit->size) return;
    char *end;
    double number = strtod(c->kit->size, &end);
    const char *space = strrchr(said, ' ');
    struct kw_place where = check_place(c->kit->node, "size_measured");
    double unit = c->kit->units == (int)KW_IN ? KW_MM_PER_IN : 1, got = NAN;
    for (int i = 0; space && i < count; i++) {
        size_t n = strlen(v[i].part->name);
        if ((size_t)(space - said) != n || strncmp(said, v[i].part->name, n) != 0) continue;
        struct kw_vec3 d = kw_sub3(v[i].box.max, v[i].box.min);
        got = strcmp(space, " long") == 0 ? d.x : strcmp(space, " wide") == 0 ? d.y : d.z;
        if (v[i].part->stock.kind == KW_SHEET && !v[i].body) return; // told already
    }
    if (!isnan(got) && *end == 0 && fabs(got - number * unit) <= KW_MM_PER_IN / 32) return;
    struct kw_finding f =
        check_finding(c, "size-differs", NULL, where, isnan(got) ? 0 : got, number * unit);
    f.says = isnan(got) || *end != 0
                 ? kw_format(c->arena,
                             "size_measured: expected a part and long, wide or high, and a size "
                             "whose name is a number, got \"%s\" and size \"%s\"",
                             said, c->kit->size)
                 : kw_format(c->arena, "size %s: %s measures %s", c->kit->size, said,
                             check_length(c, got));
    kw_find(c->findings, f);
}

static void check_assembly(struct checking *c, struct kw_examined *v, int count) {
    struct kw_body **bodies = KW_NEW_ARRAY(c->arena, struct kw_body *, count ? count : 1);
    struct kw_assembly *all;
    for (int i = 0; i < count; i++)
        bodies[i] = v[i].body;
    kw_assembly_make(c->arena, c->shop, c->kit, bodies, c->findings, &all);
    for (int i = 0; i < count; i++)
        v[i].assembly = all;
}

static void check_kit(struct checking *c, struct kw_kit *kit, struct kw_examined *v) {
    int n = kit->parts.count, start = c->findings->count;
    check_overrides(c);
    kw_assembly_joints(c->arena, c->shop, kit, c->findings);
    check_fits(c, kit);
    int joints = c->findings->count;
    for (int i = 0; i < n; i++) {
        struct kw_examined *e = &v[i];
        int first = c->findings->count;
        e->kit = kit;
        e->part = KW_ITEM(struct kw_part, kit->parts, i);
        if (e->part->stock.kind == KW_SHEET)
            check_sheet(c, e);
        else
            check_stick(c, e);
        heavy(c, e);
        check_carton(c, e);
        e->makeable = !has_stop(c->findings, first);
    }
    int parts = c->findings->count;
    check_assembly(c, v, n);
    check_size(c, v, n);
    blame(c->findings, start, joints, v, n);
    blame(c->findings, parts, c->findings->count, v, n);
    fill_fixes(c->findings, start);
    kw_check_sign(c->arena, kit, c->findings, start);
    check_idle_signatures(c->arena, kit, c->findings, start);
}

void kw_check_kit(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *kit,
                  struct kw_findings *findings, struct kw_examined **out, int *count) {
    struct checking c = {.arena = a, .shop = shop, .kit = kit, .findings = findings};
    *count = kit->parts.count;
    *out = KW_NEW_ARRAY(a, struct kw_examined, *count ? *count : 1);
    check_kit(&c, kit, *out);
}

void kw_check_kit_look(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *kit,
                       struct kw_findings *findings, struct kw_examined **out, int *count) {
    struct checking c = {a, shop, kit, findings, .findings_only = true};
    *count = kit->parts.count;
    *out = KW_NEW_ARRAY(a, struct kw_examined, *count ? *count : 1);
    check_kit(&c, kit, *out);
}

struct kit_task {
    const struct kw_shop *shop;
    struct kw_kit *const *kits;
    int count;
    struct kw_arena *arenas;
    struct kw_findings *found; ///< of each kit
};

static void findings_of_kit(void *user, int i) {
    const struct kit_task *t = user;
    struct kw_arena *a = &t->arenas[i];
    t->found[i].arena = a;
    struct checking c = {a, t->shop, t->kits[i], &t->found[i], .findings_only = true};
    c.no_remedies = t->count > KW_CHECK_MOST_TRIED;
    int count = t->kits[i]->parts.count;
    check_kit(&c, t->kits[i], KW_NEW_ARRAY(a, struct kw_examined, count ? count : 1));
}

int kw_check_findings(struct kw_arena *a, const struct kw_shop *shop, struct kw_kit *const *kits,
                      int count, int threads, struct kw_findings *findings) {
    int parts = 0;
    struct kit_task t = {shop, kits, count, KW_NEW_ARRAY(a, struct kw_arena, count ? count : 1),
                         KW_NEW_ARRAY(a, struct kw_findings, count ? count : 1)};
    kw_team_run(findings_of_kit, &t, count, threads);
    for (int i = 0; i < count; i++) {
        for (int k = 0; k < t.found[i].count; k++)
            kw_find(findings, t.found[i].v[k]);
        kw_arena_take(a, &t.arenas[i]);
        parts += kits[i]->parts.count;
    }
    return parts;
}
