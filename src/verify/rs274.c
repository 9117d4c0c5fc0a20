// SPDX-License-Identifier: Apache-2.0
// Reader of RS-274 programs. Rules after NISTIR 6556 (Kramer, Proctor, Messina 2000): which blocks
// are invalid, the order in which the words of a block act, the tolerance of arc radii.
#include "verify/rs274.h"

#include "verify/rs274_words.h"

#include <math.h>
#include <string.h>

#define PI        3.14159265358979323846
#define MM_PER_IN 25.4
// Largest difference of an arc's radius at its two ends: 0.002 mm, 0.0002 in.
#define RADIUS_SLACK_MM 0.002
#define RADIUS_SLACK_IN 0.0002
#define MOST_MM         1e6

struct reader {
    struct kw_arena *arena;
    struct kw_rs274_program *program;
    struct kw_error *err;
    struct kw_rs274_torch on, off;
    const char *const *known; ///< lines of the shop's own
    int known_count;
    int line;
    // modal state
    double unit; // mm a program unit; 0 until G20 or G21
    bool relative;
    int motion;  // tenths of the G number: 0, 10, 20, 30; -1 none (or G80)
    double feed; // program units a minute
    bool torch;
    double at[3]; // mm
    bool height_said;
    bool ended;
};

static enum kw_status refuse(struct reader *r, const char *what) {
    return kw_fail(r->err, KW_FORMAT, (struct kw_place){NULL, r->line, 0}, "%s", what);
}

// ------------------------------------------------------------------------------------ G and M
// words

static bool has_axis(const struct kw_rs274_block *b) {
    return b->has['X'] || b->has['Y'] || b->has['Z'];
}

// The explicit motion of the block in tenths, or -1.
static int block_motion(const struct kw_rs274_block *b) {
    for (int i = 0; i < b->g_count; i++)
        if (kw_rs274_g_group(b->g[i]) == 1) return b->g[i];
    return -1;
}

static bool has_g(const struct kw_rs274_block *b, int tenths) {
    for (int i = 0; i < b->g_count; i++)
        if (b->g[i] == tenths) return true;
    return false;
}

static enum kw_status check_g(struct reader *r, const struct kw_rs274_block *b) {
    bool moves_origin = false;
    for (int i = 0; i < b->g_count; i++) {
        int group = kw_rs274_g_group(b->g[i]);
        if (group < 0) return refuse(r, "a G word that is not known");
        for (int j = 0; j < i; j++)
            if (kw_rs274_g_group(b->g[j]) == group)
                return refuse(r, "two G words of one modal group");
        moves_origin = moves_origin || (group == 0 && b->g[i] != 40 && b->g[i] != 530);
    }
    if (moves_origin && block_motion(b) >= 0) return refuse(r, "two G words that both use axes");
    if (has_g(b, 530) && (r->relative || has_g(b, 910)))
        return refuse(r, "G53 in incremental mode");
    for (int i = 0; i < b->g_count; i++)
        if (!kw_rs274_g_judged(b->g[i]))
            return refuse(r, "a G word that is valid but can't be judged here");
    return KW_OK;
}

static enum kw_status check_m(struct reader *r, const struct kw_rs274_block *b) {
    if (b->m_count > 4) return refuse(r, "more than four M words");
    for (int i = 0; i < b->m_count; i++) {
        if (b->m[i] > 99) return refuse(r, "an M word over 99");
        bool torch = kw_rs274_torch_uses(&r->on, b->m[i]) || kw_rs274_torch_uses(&r->off, b->m[i]);
        int group = kw_rs274_m_group(b->m[i]);
        if (group < 0 && !torch) return refuse(r, "an M word that is not known");
        for (int j = 0; j < i; j++) {
            if (b->m[j] == b->m[i]) return refuse(r, "an M word twice");
            bool coolant = group == 8 && b->m[i] != 9 && b->m[j] != 9;
            if (group > 0 && kw_rs274_m_group(b->m[j]) == group && !coolant)
                return refuse(r, "two M words of one modal group");
        }
    }
    return KW_OK;
}

// Words that need a user: P, R, I, J, K, D, H, L, Q.
static enum kw_status check_users(struct reader *r, const struct kw_rs274_block *b, int said,
                                  bool torch_p) {
    int motion = said >= 0 ? said : r->motion;
    bool arc = (said >= 0 || has_axis(b)) && (motion == 20 || motion == 30);
    if (b->has['P'] && !has_g(b, 40) && !torch_p) return refuse(r, "a P word with no user");
    if (b->has['R'] && !arc) return refuse(r, "an R word with no user");
    if ((b->has['I'] || b->has['J']) && !arc) return refuse(r, "an I or J word with no arc");
    if (b->has['K']) return refuse(r, "a K word in the XY plane");
    if (b->has['D'] || b->has['H']) return refuse(r, "a D or H word without compensation");
    if (b->has['L'] || b->has['Q']) return refuse(r, "an L or Q word with no user");
    if (b->has['A'] || b->has['B'] || b->has['C'])
        return refuse(r, "a rotary axis on a flat sheet");
    return KW_OK;
}

static enum kw_status check_signs(struct reader *r, const struct kw_rs274_block *b) {
    const char *never = "FSTPDH";
    for (const char *c = never; *c; c++)
        if (b->has[(int)*c] && b->value[(int)*c] < 0)
            return refuse(r, "a negative F, S, T, P, D or H word");
    if (b->has['N'] && !(b->value['N'] >= 0 && b->value['N'] <= 99999))
        return refuse(r, "a line number outside 0 to 99999");
    return KW_OK;
}

// -------------------------------------------------------------------------------------------
// motion

static void target(const struct reader *r, const struct kw_rs274_block *b, double to[3]) {
    const char *axes = "XYZ";
    for (int i = 0; i < 3; i++) {
        int c = (unsigned char)axes[i];
        to[i] = r->at[i];
        if (b->has[c]) to[i] = b->value[c] * r->unit + (r->relative ? r->at[i] : 0);
    }
}

// Centre from I and J, increments from the start whatever the distance mode.
static enum kw_status centre_by_ij(struct reader *r, const struct kw_rs274_block *b,
                                   struct kw_rs274_move *m) {
    m->centre[0] = m->from[0] + (b->has['I'] ? b->value['I'] * r->unit : 0);
    m->centre[1] = m->from[1] + (b->has['J'] ? b->value['J'] * r->unit : 0);
    double start = hypot(m->from[0] - m->centre[0], m->from[1] - m->centre[1]);
    double end = hypot(m->to[0] - m->centre[0], m->to[1] - m->centre[1]);
    if (!(start > 0 && end > 0)) return refuse(r, "an arc of no radius");
    double slack = r->unit > 1 ? RADIUS_SLACK_IN * MM_PER_IN : RADIUS_SLACK_MM;
    if (!(fabs(start - end) <= slack + 1e-9))
        return refuse(r, "an arc whose radius differs at its two ends");
    return KW_OK;
}

// Centre from the radius: the shorter way for R > 0, the longer for R < 0.
static enum kw_status centre_by_r(struct reader *r, const struct kw_rs274_block *b,
                                  struct kw_rs274_move *m) {
    double radius = b->value['R'] * r->unit;
    double dx = m->to[0] - m->from[0], dy = m->to[1] - m->from[1], chord = hypot(dx, dy);
    if (!(fabs(radius) > 0)) return refuse(r, "an arc of no radius");
    if (!(chord > 0)) return refuse(r, "an arc by radius that ends where it starts");
    double rise = radius * radius - chord * chord / 4;
    double slack = (r->unit > 1 ? RADIUS_SLACK_IN * MM_PER_IN : RADIUS_SLACK_MM) / 2;
    if (fabs(radius) + slack < chord / 2)
        return refuse(r, "an arc whose radius is too small to reach its end");
    double h = rise > 0 ? sqrt(rise) / chord : 0;
    // The centre of the shorter clockwise arc lies on the right of the way.
    if ((m->motion == KW_RS274_CW) == (radius > 0)) h = -h;
    m->centre[0] = m->from[0] + dx / 2 - h * dy;
    m->centre[1] = m->from[1] + dy / 2 + h * dx;
    return KW_OK;
}

static double sweep_of(const struct kw_rs274_move *m) {
    double a = atan2(m->from[1] - m->centre[1], m->from[0] - m->centre[0]);
    double b = atan2(m->to[1] - m->centre[1], m->to[0] - m->centre[0]);
    double turn = m->motion == KW_RS274_CCW ? b - a : a - b;
    if (turn < 0) turn += 2 * PI;
    if (m->from[0] == m->to[0] && m->from[1] == m->to[1]) turn = 2 * PI;
    return m->motion == KW_RS274_CCW ? turn : -turn;
}

static enum kw_status read_arc(struct reader *r, const struct kw_rs274_block *b,
                               struct kw_rs274_move *m) {
    bool ij = b->has['I'] || b->has['J'];
    if (!b->has['X'] && !b->has['Y']) return refuse(r, "an arc without X and Y");
    if (ij && b->has['R']) return refuse(r, "an arc with both R and I or J");
    if (!ij && !b->has['R']) return refuse(r, "an arc without centre or radius");
    enum kw_status s = ij ? centre_by_ij(r, b, m) : centre_by_r(r, b, m);
    if (s == KW_OK) m->sweep = sweep_of(m);
    return s;
}

static enum kw_status move(struct reader *r, const struct kw_rs274_block *b) {
    double to[3];
    if (!(r->unit > 0)) return refuse(r, "a move before G20 or G21 says the unit");
    if (r->motion != 0 && !(r->feed > 0)) return refuse(r, "a cut with no feed");
    target(r, b, to);
    for (int i = 0; i < 3; i++)
        if (!(fabs(to[i]) <= MOST_MM)) return refuse(r, "a coordinate beyond 1 km");
    struct kw_rs274_move m = {.motion = (enum kw_rs274_motion)(r->motion / 10),
                              .from = {r->at[0], r->at[1]},
                              .to = {to[0], to[1]},
                              .height = {r->height_said ? r->at[2] : NAN, NAN},
                              .feed = r->motion == 0 ? 0 : r->feed * r->unit,
                              .burn = r->torch ? r->program->burns - 1 : -1,
                              .line = r->line};
    r->height_said = r->height_said || b->has['Z'];
    if (r->height_said) m.height[1] = to[2];
    if (r->motion >= 20) {
        enum kw_status s = read_arc(r, b, &m);
        if (s != KW_OK) return s;
    }
    if (r->program->move_count >= KW_RS274_MOST_MOVES)
        return kw_fail(r->err, KW_LIMIT, (struct kw_place){NULL, r->line, 0}, "too many moves");
    KW_PUSH(r->arena, r->program->moves, r->program->move_count) = m;
    memcpy(r->at, to, sizeof to);
    return KW_OK;
}

// --------------------------------------------------------------------------------------------
// block

static enum kw_status set_modes(struct reader *r, const struct kw_rs274_block *b) {
    if (has_g(b, 40) && !b->has['P']) return refuse(r, "a dwell without P");
    if (has_g(b, 200)) r->unit = MM_PER_IN;
    if (has_g(b, 210)) r->unit = 1;
    if (has_g(b, 900)) r->relative = false;
    if (has_g(b, 910)) r->relative = true;
    return KW_OK;
}

static enum kw_status set_torch(struct reader *r, bool on, bool off) {
    if (on && off) return refuse(r, "the torch on and off in one line");
    if (on && r->torch) return refuse(r, "the torch on while it is on");
    if (on) r->program->burns++;
    r->torch = (r->torch || on) && !off;
    return KW_OK;
}

static enum kw_status run_motion(struct reader *r, const struct kw_rs274_block *b, int said) {
    if (said == 800) {
        if (has_axis(b)) return refuse(r, "axis words with G80");
        r->motion = -1;
        return KW_OK;
    }
    if (said >= 0) r->motion = said;
    if (said >= 0 && !has_axis(b)) return refuse(r, "a motion word without an axis word");
    if (has_axis(b) && r->motion < 0) return refuse(r, "axis words with no motion in force");
    return has_axis(b) ? move(r, b) : KW_OK;
}

// The words of a block act in the order of the report, section 3.8: feed, torch, dwell, units,
// distance mode, motion, stop.
static enum kw_status run_block(struct reader *r, const struct kw_rs274_block *b) {
    int said = block_motion(b);
    bool on = kw_rs274_torch_match(&r->on, b), off = kw_rs274_torch_match(&r->off, b);
    bool torch_p = (on && r->on.uses_p) || (off && r->off.uses_p);
    enum kw_status s = check_signs(r, b);
    if (s == KW_OK) s = check_g(r, b);
    if (s == KW_OK) s = check_m(r, b);
    if (s == KW_OK) s = check_users(r, b, said, torch_p);
    if (s != KW_OK) return s;
    if (b->has['F']) r->feed = b->value['F'];
    s = set_torch(r, on, off);
    if (s == KW_OK) s = set_modes(r, b);
    if (s == KW_OK) s = run_motion(r, b, said);
    for (int i = 0; i < b->m_count; i++)
        if (b->m[i] == 2 || b->m[i] == 30) r->ended = true;
    return s;
}

static bool is_percent(const char *line, size_t length) {
    size_t marks = 0;
    for (size_t i = 0; i < length; i++) {
        if (line[i] == '%')
            marks++;
        else if (line[i] != ' ' && line[i] != '\t')
            return false;
    }
    return marks == 1;
}

// Where the words begin, behind a line number.
static size_t words_from(const char *line, size_t length) {
    size_t from = 0;
    if (length > 0 && (*line == 'N' || *line == 'n'))
        for (from = 1; from < length && line[from] >= '0' && line[from] <= '9';)
            from++;
    while (from < length && line[from] == ' ')
        from++;
    return from;
}

// One of the shop's own lines. Those that move an axis or hold a motion word are read like any
// other.
static bool is_known(const struct reader *r, const char *line, size_t length) {
    size_t from = words_from(line, length);
    for (int i = 0; i < r->known_count; i++) {
        const char *k = r->known[i];
        bool moves = strpbrk(k, "XYZABCUVWFIJKxyzabcuvwfijk%") != NULL;
        if (!moves && strlen(k) == length - from && memcmp(k, line + from, length - from) == 0)
            return true;
    }
    return false;
}

// Whether the report knows all words of the block, so that it can be read.
static bool has_meaning(const struct reader *r, const struct kw_rs274_block *b) {
    for (int i = 0; i < b->g_count; i++)
        if (kw_rs274_g_group(b->g[i]) < 0) return false;
    for (int i = 0; i < b->m_count; i++)
        if (b->m[i] > 99 || kw_rs274_m_group(b->m[i]) < 0)
            return kw_rs274_torch_uses(&r->on, b->m[i]) || kw_rs274_torch_uses(&r->off, b->m[i]);
    return b->g_count + b->m_count > 0;
}

static bool stops(const struct kw_rs274_block *b) {
    for (int i = 0; i < b->m_count; i++)
        if (b->m[i] == 0 || b->m[i] == 1 || b->m[i] == 60) return true;
    return false;
}

static void add_event(struct reader *r, const char *line, size_t length, bool stop, double dwell) {
    size_t from = words_from(line, length);
    struct kw_rs274_event e = {.line = r->line,
                               .moves = r->program->move_count,
                               .burns = r->program->burns,
                               .torch = r->torch,
                               .stop = stop,
                               .dwell = dwell,
                               .text = line + from,
                               .length = length - from};
    KW_PUSH(r->arena, r->program->events, r->program->event_count) = e;
}

static enum kw_status read_line(struct reader *r, const char *line, size_t length) {
    struct kw_rs274_block block;
    if (length > KW_RS274_LONGEST_LINE) return refuse(r, "a line of more than 256 characters");
    const char *why = kw_rs274_split(line, length, &block);
    bool known = is_known(r, line, length), read = !why && !(known && !has_meaning(r, &block));
    if (why && !known) return refuse(r, why);
    enum kw_status s = read ? run_block(r, &block) : KW_OK;
    bool stop = read && stops(&block);
    double dwell = read && has_g(&block, 40) ? block.value['P'] : 0;
    if (s == KW_OK && (known || stop || dwell > 0)) add_event(r, line, length, stop, dwell);
    return s;
}

enum kw_status kw_rs274_read(struct kw_arena *a, const char *text, size_t length,
                             const char *torch_on, const char *torch_off, const char *const *known,
                             int known_count, struct kw_rs274_program *program,
                             struct kw_error *err) {
    struct reader r = {.arena = a,
                       .program = program,
                       .err = err,
                       .known = known,
                       .known_count = known_count,
                       .motion = -1};
    *program = (struct kw_rs274_program){0};
    if (!kw_rs274_torch_make(&r.on, torch_on ? torch_on : "M3|M4") ||
        !kw_rs274_torch_make(&r.off, torch_off ? torch_off : "M5"))
        return refuse(&r, "torch words that are not RS-274 words");
    bool percent = false, seen = false;
    for (size_t i = 0; i < length && !r.ended;) {
        const char *nl = memchr(text + i, '\n', length - i);
        size_t n = nl ? (size_t)(nl - text) - i : length - i, next = i + n + 1;
        if (n > 0 && text[i + n - 1] == '\r') n--;
        r.line++;
        if (is_percent(text + i, n)) {
            if (seen && !percent) return refuse(&r, "a percent sign in the middle of a program");
            if (percent) r.ended = true;
            percent = true;
        } else {
            enum kw_status s = read_line(&r, text + i, n);
            if (s != KW_OK) return s;
        }
        for (size_t k = 0; k < n; k++)
            seen = seen || (text[i + k] != ' ' && text[i + k] != '\t');
        i = next;
    }
    if (!r.ended) return refuse(&r, "a program without an end (M2, M30 or a second percent sign)");
    program->ends_burning = r.torch;
    program->lines = r.line;
    return KW_OK;
}

bool kw_rs274_draws(const struct kw_rs274_move *m) {
    return m->burn < 0 && m->motion != KW_RS274_RAPID;
}

double kw_rs274_length(const struct kw_rs274_move *m) {
    if (m->motion == KW_RS274_RAPID || m->motion == KW_RS274_LINE)
        return hypot(m->to[0] - m->from[0], m->to[1] - m->from[1]);
    return fabs(m->sweep) * hypot(m->from[0] - m->centre[0], m->from[1] - m->centre[1]);
}
