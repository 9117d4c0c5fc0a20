// SPDX-License-Identifier: Apache-2.0
// The assembled kit: its picture with numbered seams, and the list of welds with size and stitches.
#include "packet/cautions.h"
#include "packet/paper.h"

static void add_mesh(struct kw_arena *a, struct kw_mesh *all, const struct kw_mesh *m,
                     struct kw_move3 place) {
    int first = all->point_count;
    bool mirrored = kw_dot3(kw_cross3(kw_move3_direction(place, kw_v3(1, 0, 0)),
                                      kw_move3_direction(place, kw_v3(0, 1, 0))),
                            kw_move3_direction(place, kw_v3(0, 0, 1))) < 0;
    for (int i = 0; i < m->point_count; i++)
        kw_mesh_point(a, all, kw_move3_point(place, m->points[i]));
    for (int t = 0; t < m->triangle_count; t++) {
        const int *v = m->triangles[t];
        kw_mesh_triangle(a, all, first + v[0], first + v[mirrored ? 2 : 1],
                         first + v[mirrored ? 1 : 2]);
    }
}

static struct kw_mesh assembled(struct kw_arena *a, const struct kw_run_kit *k,
                                const struct kw_assembly *all) {
    struct kw_mesh mesh = {0};
    for (int i = 0; i < all->piece_count; i++) {
        const struct kw_body *body = k->parts[all->pieces[i].part].body;
        struct kw_mesh one = {0};
        if (!body || !kw_body_mesh(a, body, 1, KW_PI / 12, &one)) continue;
        add_mesh(a, &mesh, &one, all->pieces[i].place);
    }
    return mesh;
}

static void seam_numbers(const struct paper *p, const struct kw_assembly *all,
                         struct kw_view view) {
    struct kw_pen line = {.width = 0.9, .colour = KW_BLACK};
    for (int i = 0; i < all->seam_count; i++) {
        struct kw_vec2 a = kw_view_point(view, paper_project(all->seams[i].from));
        struct kw_vec2 b = kw_view_point(view, paper_project(all->seams[i].to));
        struct kw_vec2 m = kw_lerp2(a, b, 0.5);
        struct kw_pen disc = {
            .width = 0.3, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(1)};
        struct kw_path ring = kw_path_circle(p->scratch, m.x, m.y, 3.2, true, 0);
        kw_draw_line(&p->draw, a.x, a.y, b.x, b.y, line);
        p->draw.paths(p->draw.user, &ring, 1, disc);
        p->draw.text(p->draw.user, m.x, m.y + 1.3, PAPER_TEXT, KW_CENTRE, true, 0, KW_BLACK,
                     kw_format(p->scratch, "%d", i + 1));
    }
}

static const char *stitches(const struct paper *p, const struct kw_seam *s) {
    if (!(s->stitch > 0)) return "full length";
    if (s->stitches == 1) return kw_format(p->scratch, "one of %s", paper_tape(p, s->stitch));
    return kw_format(p->scratch, "%d of %s, every %s", s->stitches, paper_tape(p, s->stitch),
                     paper_tape(p, s->every));
}

static void seam_table(struct paper *p, const struct kw_assembly *all, struct paper_head head,
                       double y) {
    static const struct paper_column c[] = {{"no.", 12},  {"between", 62},  {">length", 26},
                                            {">leg", 22}, {"stitches", 48}, {"done", 16}};
    struct paper_table t = {c, 6, PAPER_MARGIN, y, 7.5, 3.4, head};
    paper_table_head(p, &t);
    for (int i = 0; i < all->seam_count; i++) {
        const struct kw_seam *s = &all->seams[i];
        const char *row[] = {kw_format(p->scratch, "%d", i + 1),
                             kw_format(p->scratch, "%s and %s",
                                       all->pieces[s->pieces[0]].standing->name,
                                       all->pieces[s->pieces[1]].standing->name),
                             paper_tape(p, s->length),
                             paper_length(p, s->size),
                             stitches(p, s),
                             ""};
        struct kw_pen tick = {.width = 0.4, .colour = KW_BLACK};
        paper_table_row(p, &t, row);
        kw_draw_box(&p->draw, PAPER_MARGIN + 172, t.y - t.row - 3.6, 4.5, 4.5, tick);
    }
    paper_wrapped(
        p, PAPER_MARGIN, t.y + 3, p->w - 2 * PAPER_MARGIN, 3, false,
        "Put all tabs into their slots, clamp, measure both diagonals. Tack every seam at "
        "its ends first, going round, then stitch from side to side; let it cool between "
        "rounds. Strip zinc, paint and scale beside the seams before. Fold hand tabs once "
        "only. The leg is that of the fillet; it is no claim of what the product bears.");
}

void paper_weld_lists(struct paper *p) {
    for (int i = 0; i < p->week->run_kit_count; i++) {
        const struct kw_run_kit *k = &p->week->run_kits[i];
        const struct kw_assembly *all = k->part_count ? k->parts[0].assembly : NULL;
        if (!all || k->boxed == 0) continue;
        struct paper_head head = {.kind = "Weld list",
                                  .job = "",
                                  .part = k->kit->title ? k->kit->title : k->kit->name,
                                  .revision = k->kit->revision,
                                  .count = kw_format(p->week->arena, "%d, one a box", k->boxed),
                                  .caution = CAUTION_WELD};
        paper_begin(p, head);
        struct kw_mesh mesh = assembled(p->scratch, k, all);
        double h = 95, w = p->w - 2 * PAPER_MARGIN;
        struct kw_view view = paper_mesh_picture(p, &mesh, PAPER_MARGIN, p->top, w, h);
        seam_numbers(p, all, view);
        paper_textf(p, PAPER_MARGIN, p->top + h + 5, 3.4, true, "%d pieces, %s assembled",
                    all->piece_count, paper_mass(p, all->mass));
        seam_table(p, all, head, p->top + h + 13);
    }
}
