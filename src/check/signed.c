// SPDX-License-Identifier: Apache-2.0
// Risks that somebody signed in the kit file.
#include "check/inside.h"

#include <string.h>

// A signature for one of these waits for the run that meets it.
bool kw_risk_of_runs(const char *rule) {
    static const char *const of_run[] = {"no-lead-in",   "cut-too-near", "slot-narrow",
                                         "sheets-short", "sticks-short", "hours-short",
                                         "cartons-short"};
    for (size_t i = 0; rule && i < sizeof of_run / sizeof *of_run; i++)
        if (strcmp(rule, of_run[i]) == 0) return true;
    return false;
}

static bool about(const struct kw_finding *f, const struct kw_kit *kit,
                  const struct kw_signature *s) {
    if (f->level != KW_RISK || !f->kit || strcmp(f->kit, kit->name) != 0) return false;
    if (!s->risk || strcmp(f->rule, s->risk) != 0) return false;
    return s->part ? f->part && strcmp(f->part, s->part) == 0 : f->part == NULL;
}

static const char *code_of(const struct kw_kit *kit, const struct kw_signature *s) {
    for (int i = 0; s->part && i < kit->parts.count; i++) {
        const struct kw_part *p = KW_ITEM(struct kw_part, kit->parts, i);
        if (strcmp(p->name, s->part) == 0) return p->code;
    }
    return kit->code;
}

static const char *signature_text(struct kw_arena *a, const struct kw_signature *s) {
    return kw_format(a, "%s, %04d-%02d-%02d: %s", s->by ? s->by : "", s->date / 10000,
                     s->date / 100 % 100, s->date % 100, s->reason ? s->reason : "");
}

static void note(struct kw_findings *list, const char *rule, const struct kw_kit *kit,
                 const struct kw_signature *s, const char *says) {
    struct kw_finding f = kw_rule_finding(rule, kit, NULL, check_place(s->node, "risk"));
    f.part = s->part;
    f.says = says;
    kw_find(list, f);
}

/// Whether any signature of the kit holds for the risk as it is: a kit in sizes has one a size.
static bool signed_for_code(const struct kw_kit *kit, const struct kw_finding *f,
                            const char *code) {
    for (int i = 0; i < kit->signed_risks.count; i++) {
        const struct kw_signature *s = KW_ITEM(struct kw_signature, kit->signed_risks, i);
        if (about(f, kit, s) && s->code && strcmp(s->code, code) == 0) return true;
    }
    return false;
}

void kw_check_sign(struct kw_arena *a, const struct kw_kit *kit, struct kw_findings *findings,
                   int from) {
    int last = findings->count;
    for (int i = 0; i < kit->signed_risks.count; i++) {
        const struct kw_signature *s = KW_ITEM(struct kw_signature, kit->signed_risks, i);
        const char *code = code_of(kit, s);
        bool valid = s->code && strcmp(s->code, code) == 0, met = false, open = false;
        for (int k = from; k < last; k++) {
            struct kw_finding *f = &findings->v[k];
            if (!about(f, kit, s)) continue;
            met = true;
            if (valid) f->signed_by = signature_text(a, s);
            open = open || !signed_for_code(kit, f, code);
        }
        if (!met || valid || !open) continue;
        note(findings, "signed-for-older-form", kit, s,
             kw_format(a, "%s of %s was signed by %s for code %s, the code is now %s", s->risk,
                       s->part ? s->part : kit->name, s->by ? s->by : "nobody",
                       s->code ? s->code : "none", code));
    }
}

void check_idle_signatures(struct kw_arena *a, const struct kw_kit *kit,
                           struct kw_findings *findings, int first) {
    int last = findings->count;
    for (int i = 0; i < kit->signed_risks.count; i++) {
        const struct kw_signature *s = KW_ITEM(struct kw_signature, kit->signed_risks, i);
        bool met = kw_risk_of_runs(s->risk);
        for (int k = first; k < last && !met; k++)
            met = about(&findings->v[k], kit, s);
        if (!met)
            note(findings, "signed-not-needed", kit, s,
                 kw_format(a, "%s of %s is signed, but nothing here runs that risk",
                           s->risk ? s->risk : "a risk", s->part ? s->part : kit->name));
    }
}
