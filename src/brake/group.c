// SPDX-License-Identifier: Apache-2.0
// Parts of a run in a row that changes tools least.
#include "brake/brake.h"

struct tools {
    int die, punch;
    bool turned;
};

static struct tools tools_at(const struct kw_brake_step *s) {
    return (struct tools){s->die, s->punch, s->punch_turned};
}

static struct tools tools_of(const struct kw_brake_plan *p, bool last) {
    if (p->step_count == 0) return (struct tools){-1, -1, false};
    return tools_at(&p->steps[last ? p->step_count - 1 : 0]);
}

static int changes(struct tools from, struct tools to) {
    if (from.die < 0 || to.die < 0) return 0; // nothing to bend, nothing to set up
    return (from.die != to.die) + (from.punch != to.punch || from.turned != to.turned);
}

static int own_changes(const struct kw_brake_plan *p) {
    int sum = 0;
    for (int i = 1; i < p->step_count; i++)
        sum += changes(tools_at(&p->steps[i - 1]), tools_at(&p->steps[i]));
    return sum;
}

/// Fills `order` greedily from `start`; returns the changes between parts.
static int row_from(const struct kw_brake_plan *const *plans, int count, int start, bool *used,
                    int *order) {
    int sum = 0;
    for (int i = 0; i < count; i++)
        used[i] = false;
    struct tools at = {-1, -1, false};
    for (int k = 0, next = start; k < count; k++) {
        if (k > 0) {
            next = -1;
            for (int i = 0; i < count; i++)
                if (!used[i] && (next < 0 || changes(at, tools_of(plans[i], false)) <
                                                 changes(at, tools_of(plans[next], false))))
                    next = i;
        }
        sum += changes(at, tools_of(plans[next], false));
        used[next] = true;
        order[k] = next;
        if (plans[next]->step_count > 0) at = tools_of(plans[next], true);
    }
    return sum;
}

int kw_brake_group(const struct kw_brake_plan *const *plans, int count, int *order) {
    struct kw_arena scratch = {0};
    bool *used = kw_alloc(&scratch, (size_t)count);
    int *row = kw_alloc(&scratch, (size_t)count * sizeof *row);
    int least = -1, own = 0;
    for (int i = 0; i < count; i++)
        own += own_changes(plans[i]);
    for (int start = 0; start < count; start++) {
        int sum = row_from(plans, count, start, used, row);
        if (least >= 0 && sum >= least) continue;
        least = sum;
        for (int i = 0; i < count; i++)
            order[i] = row[i];
    }
    kw_arena_free(&scratch);
    return own + (least > 0 ? least : 0);
}
