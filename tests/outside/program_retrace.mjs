// SPDX-License-Identifier: Apache-2.0
// usage: node tests/outside/program_retrace.mjs PACKET_FOLDER [PACKET_FOLDER ...]
// Reads each program of a packet with a general parser from npm, retraces its moves in arithmetic of
// its own and holds them against the outlines that run.json places: every burn runs at half a kerf
// from one outline within 0.01 mm and comes back to its start, every outline is run along once, and
// where the length of the way round has a closed form it agrees; what a scribe etches are the marks
// of the placed blanks within 0.01 mm. One line a program; exit 1 when
// something is wrong.
import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);
const { parseStringSync } = require('gcode-parser');

const TOLERANCE = 0.01; // mm
const STEP = 0.5; // mm between the points that are compared

// ------------------------------------------------------------------ curves: straight or circular

const sub = (a, b) => [a[0] - b[0], a[1] - b[1]];
const len = (a) => Math.sqrt(a[0] * a[0] + a[1] * a[1]);
const cross = (a, b) => a[0] * b[1] - a[1] * b[0];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1];

function line(a, b) {
    return { a, b, turn: 0, length: len(sub(b, a)) };
}

function arc(a, b, c, turn) {
    const r = len(sub(a, c));
    return { a, b, c, r, turn, start: Math.atan2(a[1] - c[1], a[0] - c[0]), length: r * Math.abs(turn) };
}

function fromBulge(a, b, bulge) {
    if (bulge === 0) return line(a, b);
    const lift = (1 / bulge - bulge) / 4, d = sub(b, a);
    const c = [(a[0] + b[0]) / 2 - d[1] * lift, (a[1] + b[1]) / 2 + d[0] * lift];
    return arc(a, b, c, 4 * Math.atan(bulge));
}

function at(s, t) {
    if (s.turn === 0) return [s.a[0] + (s.b[0] - s.a[0]) * t, s.a[1] + (s.b[1] - s.a[1]) * t];
    const w = s.start + s.turn * t;
    return [s.c[0] + s.r * Math.cos(w), s.c[1] + s.r * Math.sin(w)];
}

function direction(s, t) {
    if (s.turn === 0) return sub(s.b, s.a).map((v) => v / s.length);
    const w = s.start + s.turn * t, way = Math.sign(s.turn);
    return [-way * Math.sin(w), way * Math.cos(w)];
}

function distance(s, p) {
    if (s.turn === 0) {
        const d = sub(s.b, s.a), l2 = dot(d, d);
        const t = l2 > 0 ? Math.min(1, Math.max(0, dot(sub(p, s.a), d) / l2)) : 0;
        return len(sub(p, [s.a[0] + d[0] * t, s.a[1] + d[1] * t]));
    }
    const v = sub(p, s.c);
    let w = (Math.atan2(v[1], v[0]) - s.start) * Math.sign(s.turn);
    w -= Math.floor(w / (2 * Math.PI)) * 2 * Math.PI;
    if (w <= Math.abs(s.turn)) return Math.abs(len(v) - s.r);
    return Math.min(len(sub(p, s.a)), len(sub(p, s.b)));
}

const nearest = (list, p) => list.reduce((best, s) => Math.min(best, distance(s, p)), Infinity);

function box(list, more) {
    const b = [Infinity, Infinity, -Infinity, -Infinity];
    for (const s of list) {
        const around = s.turn === 0 ? 0 : s.r;
        for (const p of s.turn === 0 ? [s.a, s.b] : [s.c]) {
            b[0] = Math.min(b[0], p[0] - around - more);
            b[1] = Math.min(b[1], p[1] - around - more);
            b[2] = Math.max(b[2], p[0] + around + more);
            b[3] = Math.max(b[3], p[1] + around + more);
        }
    }
    return b;
}

const inBox = (b, p) => p[0] >= b[0] && p[1] >= b[1] && p[0] <= b[2] && p[1] <= b[3];

// ------------------------------------------------------------------------------ placed outlines

function placedOutlines(run, sheet) {
    const list = [];
    for (const p of sheet.placements) {
        const blank = run.blanks.find((b) => b.part === p.part && (!p.hand || b.hand === p.hand));
        if (!blank) throw new Error(`no blank ${p.part}`);
        const w = (p.rotation * Math.PI) / 180, c = Math.cos(w), s = Math.sin(w), m = p.mirrored ? -1 : 1;
        const put = ([x, y]) => [m * x * c - y * s + p.x, m * x * s + y * c + p.y];
        [blank.outer, ...blank.holes].forEach((v, k) => {
            const segments = v.map((a, i) => fromBulge(put(a), put(v[(i + 1) % v.length]), m * a[2]));
            const name = `${p.part}#${p.copy} ${k === 0 ? 'outside' : `hole ${k}`}`;
            // Scrap on the right of the way round (outside counter-clockwise, holes clockwise), on
            // the left once mirrored.
            list.push({ name, segments, side: m, burns: [], tabs: [], shared: [], box: box(segments, sheet.kerf) });
        });
    }
    return list;
}

// Length of the way round at half a kerf, or null where it has no simple form: lines keep theirs,
// arcs change radius, outward corners add an arc, inward ones between lines take away.
function lengthAround(o, half) {
    const n = o.segments.length, cut = new Array(n).fill(0);
    let total = 0;
    for (let i = 0; i < n; i++) {
        const s = o.segments[i], next = o.segments[(i + 1) % n];
        const d = direction(s, 1), e = direction(next, 0);
        const turn = o.side * Math.atan2(cross(d, e), dot(d, e));
        total += s.length + (s.turn === 0 ? 0 : o.side * s.turn * half);
        if (s.turn !== 0 && s.r + o.side * Math.sign(s.turn) * half < 0.01) return null;
        if (turn >= 0) total += turn * half;
        if (turn < -1e-6) {
            if (s.turn !== 0 || next.turn !== 0) return null;
            const loss = half * Math.tan(-turn / 2);
            cut[i] += loss;
            cut[(i + 1) % n] += loss;
            total -= 2 * loss;
        }
    }
    return cut.every((c, i) => c === 0 || c < o.segments[i].length) ? total : null;
}

// ------------------------------------------------------------------------------------- programs

const words = (text, usual) => (text || usual).split('|').map((w) => w.trim().split(/\s+/));

// Of the shorter of the two arcs.
function centreByRadius(a, b, r, mode) {
    const d = sub(b, a), chord = len(d), rise = Math.sqrt(Math.max(0, r * r - (chord * chord) / 4));
    const side = (mode === 3 ? 1 : -1) * (rise / chord);
    return [(a[0] + b[0]) / 2 - side * d[1], (a[1] + b[1]) / 2 + side * d[0]];
}

function readBurns(text, onWords, offWords) {
    const on = words(onWords, 'M3|M4'), off = words(offWords, 'M5');
    let unit = 0, relative = false, mode = null, torch = null, here = [0, 0];
    const burns = [];
    parseStringSync(text).forEach(({ words: list }, index) => {
        const all = list.map(([letter, v]) => `${letter}${v}`);
        const said = (ways) => ways.some((way) => way.every((w) => all.includes(w)));
        const has = Object.fromEntries(list.filter(([c]) => c !== 'G' && c !== 'M'));
        if (said(on)) burns.push((torch = { moves: [], line: index + 1 }));
        if (said(off)) torch = null;
        for (const [letter, v] of list) {
            if (letter !== 'G') continue;
            if (v === 20) unit = 25.4;
            if (v === 21) unit = 1;
            if (v === 90 || v === 91) relative = v === 91;
            if (v <= 3) mode = v;
        }
        if (has.X === undefined && has.Y === undefined) return;
        if (!unit || mode === null) throw new Error(`line ${index + 1}: a move without unit or mode`);
        const to = ['X', 'Y'].map((c, k) => (has[c] === undefined ? here[k] : has[c] * unit + (relative ? here[k] : 0)));
        if (torch && mode === 0) throw new Error(`line ${index + 1}: a rapid with the torch on`);
        if (torch) {
            if (mode === 1) torch.moves.push(line(here, to));
            else {
                const c = has.R === undefined
                    ? [here[0] + (has.I || 0) * unit, here[1] + (has.J || 0) * unit]
                    : centreByRadius(here, to, has.R * unit, mode);
                const u = sub(here, c), v = sub(to, c);
                let turn = Math.atan2(cross(u, v), dot(u, v)) * (mode === 3 ? 1 : -1);
                if (turn <= 0) turn += 2 * Math.PI;
                if (Math.abs(len(u) - len(v)) > 0.0051) throw new Error(`line ${index + 1}: radius`);
                torch.moves.push(arc(here, to, c, mode === 3 ? turn : -turn));
            }
        }
        here = to;
    });
    return burns.map((b) => ({ ...b, moves: b.moves.filter((m) => m.length > 0) }));
}

// A straight burn from end to end of one of the lines.
const isAlong = (b, lines) => (lines || []).some((m) => b.moves.length > 0 && b.moves.every((v) => v.turn === 0) &&
    [[m.from, m.to], [m.to, m.from]].some(([f, t]) =>
        len(sub(b.moves[0].a, f)) < TOLERANCE && len(sub(b.moves[b.moves.length - 1].b, t)) < TOLERANCE));

// ------------------------------------------------------------------------------------- judging

function findOwner(b, outlines, half) {
    const end = b.moves[b.moves.length - 1].b;
    return outlines.find((o) => inBox(o.box, end) && Math.abs(nearest(o.segments, end) - half) <= TOLERANCE);
}

function checkBurn(b, outlines, half, say) {
    const o = findOwner(b, outlines, half);
    if (!o) return say(`line ${b.line}: a burn that ends on no outline`);
    // The moves that follow the outline to the end; what comes before is the way through scrap.
    const offLine = (m) => {
        const n = Math.ceil(m.length / STEP);
        for (let k = 0; k <= n; k++) {
            const q = at(m, k / n), off = Math.abs(nearest(o.segments, q) - half);
            if (off > TOLERANCE) return { off, q };
        }
        return null;
    };
    let first = b.moves.length;
    while (first > 0 && !offLine(b.moves[first - 1])) first--;
    if (first === b.moves.length) {
        const { off, q } = offLine(b.moves[first - 1]);
        return say(`line ${b.line}: ${off.toFixed(3)} mm off ${o.name} at ${q.map((v) => v.toFixed(2))}`);
    }
    // An arc that runs in, split near its end, is on the line already a little before it ends.
    const closes = (k) => b.moves.slice(k).some((m) => len(sub(m.b, b.moves[k].a)) <= TOLERANCE);
    while (o.tabs.length + o.shared.length === 0 && first < 6 && first + 1 < b.moves.length && !closes(first)) first++;
    if (first > 6) say(`line ${b.line}: ${first} moves before ${o.name}`);
    const around = b.moves.slice(first);
    if (o.tabs.length + o.shared.length > 0) return o.burns.push({ around, length: 0, line: b.line });
    // Closed: some move ends where the first began. What follows runs over the start again.
    let closing = around.length - 1;
    while (closing > 0 && len(sub(around[closing].b, around[0].a)) > TOLERANCE) closing--;
    if (len(sub(around[closing].b, around[0].a)) > TOLERANCE) return say(`line ${b.line}: ${o.name} stays open`);
    const length = around.slice(0, closing + 1).reduce((sum, m) => sum + m.length, 0);
    o.burns.push({ around: around.slice(0, closing + 1), length, line: b.line });
}

function checkOutline(o, half, burns, say) {
    const n = o.burns.length, most = o.tabs.length + o.shared.length + 1;
    if (n < 1 || n > most) return say(`${o.name} is cut ${n} times`);
    const around = o.burns.flatMap((b) => b.around), length = o.burns[0].length;
    const wanted = o.tabs.length + o.shared.length > 0 ? null : lengthAround(o, half);
    // Rounded to 0.0001 in, a centre moves by up to 0.0018 mm, a half circle's length by up to 0.006.
    if (wanted !== null && Math.abs(length - wanted) > TOLERANCE + 0.006 * around.length)
        say(`${o.name}: ${length.toFixed(3)} mm round, ${wanted.toFixed(3)} expected`);
    for (const s of o.segments) {
        const n = Math.ceil(s.length / STEP);
        for (let k = 0; k <= n; k++) {
            const q = at(s, k / n), d = direction(s, k / n);
            const torch = [q[0] + o.side * d[1] * half, q[1] - o.side * d[0] * half];
            if (nearest(o.segments, torch) < half - 0.001) continue; // an inside corner
            if (o.tabs.some((t) => len(sub(q, t.at)) < t.width / 2 + 2 * half)) continue;
            const shared = o.shared.some((l) => distance(l, q) <= half + TOLERANCE);
            const off = nearest(shared ? burns.flatMap((b) => b.moves) : around, torch);
            if (off > TOLERANCE)
                return say(`${o.name} is missed by ${off.toFixed(3)} mm at ${q.map((v) => v.toFixed(2))}`);
        }
    }
}

// What the scribe runs along: every mark of the placed blanks, and nothing else.
function checkEtching(run, sheet, text, say) {
    const scribe = sheet.controller?.scribe;
    if (!scribe) return 0;
    const by = scribe.from_torch;
    const lines = readBurns(text, scribe.down, scribe.up).flatMap((b) => b.moves);
    const marks = sheet.placements.flatMap((p) => {
        const blank = run.blanks.find((b) => b.part === p.part && (!p.hand || b.hand === p.hand));
        const w = (p.rotation * Math.PI) / 180, c = Math.cos(w), s = Math.sin(w);
        const put = ([x, y]) => [x * c - y * s + p.x - by[0], x * s + y * c + p.y - by[1]];
        const left = (k) => sheet.unetched.some((u) => u.part === p.part && u.copy === p.copy && u.mark === k);
        return (blank.marks || []).filter((_, k) => !left(k)).flatMap((m) =>
            m.slice(1).map((v, i) => fromBulge(put(m[i]), put(v), m[i][2])).filter((v) => v.length > 0));
    });
    const farthest = (from, to) => from.reduce((worst, s) => Math.max(worst, ...[0, 0.3, 0.7, 1].map((t) => {
        const q = at(s, t);
        return nearest(to.filter((o) => inBox(box([o], 1), q)), q);
    })), 0);
    const off = Math.max(farthest(lines, marks), farthest(marks, lines));
    if (!(off <= TOLERANCE)) say(`etched lines and marks are ${off} mm apart`);
    const length = (v) => v.reduce((sum, s) => sum + s.length, 0);
    if (Math.abs(length(lines) - length(marks)) > 0.01 * marks.length + 0.01)
        say(`etches ${length(lines)} mm where its marks are ${length(marks)} mm`);
    return marks.length;
}

function checkSheet(folder, run, sheet) {
    const faults = [], say = (text) => faults.push(text), half = sheet.kerf / 2;
    const outlines = placedOutlines(run, sheet);
    const text = fs.readFileSync(path.join(folder, sheet.program), 'latin1');
    const burns = readBurns(text, sheet.controller?.torch_on, sheet.controller?.torch_off);
    const etched = checkEtching(run, sheet, text, say);
    const lines = [...(sheet.marks || []), ...(sheet.scrap_cuts || [])];
    const marks = burns.filter((b) => isAlong(b, lines));
    if (marks.length !== lines.length) say(`${marks.length} of ${lines.length} marks and cuts in scrap`);
    for (const t of sheet.tabs || []) {
        outlines.reduce((best, o) => (nearest(o.segments, t.at) < nearest(best.segments, t.at) ? o : best)).tabs.push(t);
    }
    // A cut that two parts share lies half a kerf from both outlines.
    for (const l of (sheet.shared_cuts || []).map((v) => line(v.from, v.to))) {
        const sides = outlines.filter((o) => [0.1, 0.5, 0.9].every((t) =>
            Math.abs(nearest(o.segments, at(l, t)) - half) <= TOLERANCE));
        if (sides.length !== 2) say(`a shared cut between ${sides.length} parts`);
        sides.forEach((o) => o.shared.push(l));
        const along = burns.filter((b) => b.moves.some((m) => distance(m, at(l, 0.5)) <= TOLERANCE));
        if (along.length !== 1) say(`a shared cut is run along ${along.length} times`);
    }
    if (burns.length !== sheet.pierces) say(`${burns.length} pierces, run.json says ${sheet.pierces}`);
    burns.filter((b) => !marks.includes(b)).forEach((b) => {
        if (b.moves.length === 0) say(`line ${b.line}: a burn without a move`);
        else checkBurn(b, outlines, half, say);
    });
    outlines.forEach((o) => checkOutline(o, half, burns, say));
    console.log(`${sheet.program}: ${outlines.length} outlines, ${burns.length} burns, ${etched} etched lines, ` +
        (faults.length ? `${faults.length} FAULTS` : 'retraced within 0.01 mm'));
    faults.slice(0, 10).forEach((f) => console.log(`  ${f}`));
    return faults.length === 0;
}

const folders = process.argv.slice(2);
if (folders.length === 0) {
    console.error('usage: program_retrace.mjs PACKET_FOLDER [PACKET_FOLDER ...]');
    process.exit(64);
}
const good = folders.flatMap((folder) => {
    const run = JSON.parse(fs.readFileSync(path.join(folder, 'run.json'), 'utf8'));
    if (folders.length > 1) console.log(folder);
    return run.sheets.map((s) => {
        try {
            return checkSheet(folder, run, s);
        } catch (e) {
            console.log(`${s.program}: ${e.message}`);
            return false;
        }
    });
});
process.exit(good.length >= folders.length && good.every(Boolean) ? 0 : 1);
