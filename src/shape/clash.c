// SPDX-License-Identifier: Apache-2.0
// Whether flats of the finished part run into each other.
#include "shape/prism.h"

static bool joined(const struct kw_body *body, int i, int k) {
    int a = body->faces[i].bend, b = body->faces[k].bend;
    return (a >= 0 && body->bends[a].parent == k) || (b >= 0 && body->bends[b].parent == i);
}

bool kw_body_clash(const struct kw_body *body, int faces[2], struct kw_vec3 *at) {
    struct kw_arena scratch = {0};
    bool found = false;
    struct kw_move3 *m = kw_body_fold(&scratch, body, 1);
    struct prisms *all = KW_NEW_ARRAY(&scratch, struct prisms, body->face_count);
    for (int i = 0; i < body->face_count; i++)
        shape_face_prisms(&scratch, body, i, m[i], &all[i]);
    for (int i = 0; i < body->face_count && !found; i++)
        for (int k = i + 1; k < body->face_count && !found; k++) {
            if (joined(body, i, k) || !shape_prisms_meet(&all[i], &all[k], at)) continue;
            found = true;
            faces[0] = i;
            faces[1] = k;
        }
    kw_arena_free(&scratch);
    return found;
}
