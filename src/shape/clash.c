// SPDX-License-Identifier: Apache-2.0
// Whether flats and bend zones of the finished part run into each other.
#include "shape/prism.h"

/// Piece i of a body: its faces, then its bends.
static bool joined(const struct kw_body *body, int i, int k) {
    int n = body->face_count;
    if (i >= n && k >= n) return false;
    if (i >= n || k >= n) {
        const struct kw_bend *b = &body->bends[(i >= n ? i : k) - n];
        int face = i >= n ? k : i;
        return b->parent == face || b->child == face;
    }
    int a = body->faces[i].bend, b = body->faces[k].bend;
    return (a >= 0 && body->bends[a].parent == k) || (b >= 0 && body->bends[b].parent == i);
}

static int face_of(const struct kw_body *body, int piece) {
    return piece < body->face_count ? piece : body->bends[piece - body->face_count].child;
}

bool kw_body_clash(const struct kw_body *body, int faces[2], struct kw_vec3 *at) {
    struct kw_arena scratch = {0};
    bool found = false;
    int n = body->face_count + body->bend_count;
    struct kw_move3 *m = kw_body_fold(&scratch, body, 1);
    struct prisms *all = KW_NEW_ARRAY(&scratch, struct prisms, n);
    for (int i = 0; i < body->face_count; i++)
        shape_face_prisms(&scratch, body, i, m[i], &all[i]);
    for (int i = 0; i < body->bend_count; i++)
        shape_bend_prisms(&scratch, body, i, m[body->bends[i].parent], &all[body->face_count + i]);
    for (int i = 0; i < n && !found; i++)
        for (int k = i + 1; k < n && !found; k++) {
            if (joined(body, i, k) || !shape_prisms_meet(&all[i], &all[k], at)) continue;
            int f = face_of(body, i), g = face_of(body, k);
            found = true;
            faces[0] = f < g ? f : g;
            faces[1] = f < g ? g : f;
        }
    kw_arena_free(&scratch);
    return found;
}
