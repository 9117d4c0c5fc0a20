// SPDX-License-Identifier: Apache-2.0
// Private to verify: short straight and round pieces, the distance to them, and a grid that finds
// those near a place. Written for the judges alone; shares nothing with geom.
#pragma once

#include "verify/run_file.h"

#define KW_PIECE_LONGEST 25.0 ///< mm: longer ones are split, so that a cell of the grid holds few

struct kw_piece { // straight, or an arc of at most a quarter turn
    double a[2], b[2];
    double c[2], r; ///< r 0: straight
    double turn;    ///< signed radians of the arc
    double length;
    double s;  ///< way along its outline or burn to `a`
    int owner; ///< index of the outline or burn
    int line;  ///< of the program; 0 for outlines
};

struct kw_pieces {
    struct kw_piece *v;
    int count;
};

/// Adds a straight way or an arc about `c` (turn != 0), split as needed, from way `s` on. Returns
/// the way at its end.
double kw_pieces_add(struct kw_arena *a, struct kw_pieces *list, const double from[2],
                     const double to[2], const double c[2], double turn, struct kw_piece like);
void kw_piece_point(const struct kw_piece *p, double part, double at[2]);
void kw_piece_direction(const struct kw_piece *p, double part, double d[2]); ///< unit
double kw_piece_distance(const struct kw_piece *p, const double q[2]);

struct kw_grid {
    const struct kw_pieces *pieces;
    double x, y, cell;
    int nx, ny;
    int *start, *item; ///< cell c holds item[start[c] .. start[c+1])
    int *seen, stamp;  ///< by piece: last query that returned it
    int *found;        ///< of the last query
};
void kw_grid_make(struct kw_arena *a, struct kw_grid *g, const struct kw_pieces *pieces);
/// Indices into g->found of the pieces within `reach` of p's box. owner >= 0: of that owner alone.
int kw_grid_near(struct kw_grid *g, const struct kw_piece *p, double reach, int owner);
int kw_grid_near_point(struct kw_grid *g, const double q[2], double reach, int owner);
/// Least distance from q to the first `count` of g->found; owner_out (may be NULL) says whose.
double kw_grid_distance(const struct kw_grid *g, int count, const double q[2], int *owner_out);
