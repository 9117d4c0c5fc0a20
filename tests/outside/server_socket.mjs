// SPDX-License-Identifier: Apache-2.0
// The server over a real socket: what each route answers under the schemas that it gives (read by
// ajv, JSON Schema 2020-12), its headers, and bad manners of HTTP.
// usage: node server_socket.mjs build/kitwright
import { spawn, spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import http from "node:http";
import net from "node:net";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import path from "node:path";
import { gunzipSync } from "node:zlib";

const require = createRequire(new URL("../package.json", import.meta.url));
const Ajv2020 = require("ajv/dist/2020.js").default;

const program = process.argv[2];
const root = new URL("../../", import.meta.url).pathname;
const shop = mkdtempSync(path.join(tmpdir(), "kw-socket-"));
for (const name of ["shop.yaml", "coupons.csv", "orders.csv", "kits", "drawings"])
    cpSync(path.join(root, "demo", name), path.join(shop, name), { recursive: true });

let looked = 0;
let failed = 0;
function expect(claim, what) {
    looked++;
    if (claim) return;
    failed++;
    console.log(`not so: ${what}`);
}

const server = spawn(program, ["serve", shop, "--port", "0", "--json"], { stdio: ["ignore", "pipe", "inherit"] });
const first = await new Promise((resolve) => server.stdout.once("data", resolve));
const { address } = JSON.parse(first.toString());
const port = Number(new URL(address).port);
const host = `127.0.0.1:${port}`;

function ask(method, target, body, headers = {}) {
    return new Promise((resolve, reject) => {
        const request = http.request({ host: "127.0.0.1", port, method, path: target, headers: { Host: host, ...headers } }, (answer) => {
            const parts = [];
            answer.on("data", (d) => parts.push(d));
            answer.on("end", () => resolve({ status: answer.statusCode, headers: answer.headers, bytes: Buffer.concat(parts) }));
        });
        request.on("error", reject);
        if (body !== undefined) request.write(body);
        request.end();
    });
}

/// Raw bytes on a connection of its own; what comes back until it is closed or quiet.
function raw(text, wait = 1500) {
    return new Promise((resolve) => {
        const socket = net.connect(port, "127.0.0.1");
        let got = "";
        const end = () => {
            socket.destroy();
            resolve(got);
        };
        socket.on("data", (d) => (got += d.toString("latin1")));
        socket.on("close", end);
        socket.on("error", end);
        setTimeout(end, wait);
        socket.write(text);
    });
}

try {
    // ---------------------------------------------------------------------------- the page
    const page = await ask("GET", "/");
    const html = page.bytes.toString();
    const token = /<meta name="token" content="([0-9a-f]{32})">/.exec(html)?.[1];
    const key = /<meta name="style-key" content="([0-9a-f]{32})">/.exec(html)?.[1];
    expect(page.status === 200 && token && key, "the page holds a token and a key for styles");
    const policy = page.headers["content-security-policy"];
    for (const part of ["default-src 'none'", "script-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", `'nonce-${key}'`])
        expect(policy.includes(part), `policy has ${part}`);
    expect(!/script-src[^;]*(unsafe|\*|http)/.test(policy), "no script but the program's own");
    for (const [name, value] of [["x-content-type-options", "nosniff"], ["referrer-policy", "no-referrer"], ["x-frame-options", "DENY"],
        ["cross-origin-resource-policy", "same-origin"], ["cache-control", "no-store"]])
        expect(page.headers[name] === value, `${name}: ${page.headers[name]}`);
    expect(!/<script(?![^>]*\bsrc=)[^>]*>/.test(html) && !/\son\w+=/.test(html), "no script in the page's own text");
    expect(!/(src|href)="https?:/.test(html), "nothing from elsewhere");
    const second = /style-key" content="([0-9a-f]{32})"/.exec((await ask("GET", "/")).bytes.toString())[1];
    expect(second !== key, "the key is for one answer");
    for (const [, name] of html.matchAll(/(?:src|href)="(\/[^"]+)"/g)) {
        const asset = await ask("GET", name);
        expect(asset.status === 200 && asset.bytes.length > 0, name);
        const packed = await ask("GET", name, undefined, { "Accept-Encoding": "gzip, br" });
        const plain = packed.headers["content-encoding"] === "gzip" ? gunzipSync(packed.bytes) : packed.bytes;
        expect(plain.equals(asset.bytes) && packed.bytes.length <= asset.bytes.length, `${name} packed is the same`);
        if (name.startsWith("/assets/")) expect(/immutable/.test(asset.headers["cache-control"]), `${name} may be kept`);
    }

    // ---------------------------------------------------------------------------- every answer
    const ajv = new Ajv2020({ allErrors: false, strict: true, allowUnionTypes: true, strictRequired: false, formats: { date: true } });
    const api = JSON.parse((await ask("GET", "/api/schemas/api")).bytes);
    expect(JSON.stringify(api) === JSON.stringify(JSON.parse(readFileSync(path.join(root, "server/schemas/api.json"), "utf8"))), "the schema is the file's");
    ajv.addSchema(api, "api");
    for (const which of ["kit", "shop", "orders", "run"]) ajv.addSchema(JSON.parse((await ask("GET", `/api/schemas/${which}`)).bytes), `${which}-file`);
    async function judged(schema, method, target, body, status = 200) {
        const headers = method === "GET" ? {} : { "X-Kitwright-Token": token, Origin: `http://${host}` };
        const data = body === undefined || typeof body === "string" ? body : JSON.stringify(body);
        const a = await ask(method, target, data, headers);
        const json = JSON.parse(a.bytes);
        const validate = ajv.getSchema(`api#/$defs/${schema}`);
        const fits = validate(json);
        const e = validate.errors?.[0];
        expect(a.status === status && fits, `${method} ${target} is ${schema}: ${a.status} ${e ? `${e.instancePath} ${e.message} ${JSON.stringify(e.params)}` : ""}`);
        expect(a.headers["content-type"] === "application/json", `${target}: ${a.headers["content-type"]}`);
        return json;
    }
    const glance = await judged("shop", "GET", "/api/shop");
    for (const kit of glance.kits) {
        for (const size of kit.sizes.length ? kit.sizes : [""]) {
            const look = await judged("look", "GET", `/api/kits/${kit.kit}?size=${encodeURIComponent(size)}`);
            expect(look.parts.length > 0 && look.pieces.length > 0, `${kit.kit} has parts and pieces`);
            expect(new Set(look.pieces.map((p) => p.part)).size === look.parts.filter((p) => p.form).length, `${kit.kit}: every part stands somewhere`);
            for (const part of look.parts.filter((p) => p.kind === "sheet" && p.bends.length > 0)) {
                const a = await ask("GET", `/api/looks/${look.look}/${encodeURIComponent(part.part)}/brake`);
                if (a.status !== 200) continue; // no bend order: told in the findings
                const validate = ajv.getSchema("api#/$defs/brake");
                expect(validate(JSON.parse(a.bytes)), `${part.part}: ${JSON.stringify(validate.errors?.[0])}`);
            }
        }
    }
    const rack = await judged("look", "GET", "/api/kits/firewood-rack");
    await judged("look", "POST", "/api/kits/firewood-rack/look", { text: "kit: [" });
    const set = await judged("look", "POST", "/api/kits/firewood-rack/set", { path: ["parts", "foot", "bends", "A", "height"], value: "1-3/4", was: rack.hash });
    expect(set.written && set.hash !== rack.hash, "set writes");
    await judged("failure", "POST", "/api/kits/firewood-rack/set", { path: ["name"], value: "x", was: rack.hash }, 409);
    await judged("look", "PUT", "/api/kits/firewood-rack", { text: rack.text, was: set.hash });
    await judged("look", "POST", "/api/kits", { kit: "new-plate", example: "plate" });
    await judged("quote", "GET", "/api/kits/new-plate/quote?count=3");
    for (const { name } of glance.drawings) await judged("drawing", "GET", `/api/drawings/${name}`);
    await judged("drawing", "PUT", "/api/drawings/again.dxf", readFileSync(path.join(shop, "drawings/rack-side.dxf"), "utf8"));
    const shown = await judged("orders", "GET", "/api/orders");
    const rowSchema = ajv.getSchema("orders-file");
    for (const { row, ...cells } of shown.rows) expect(rowSchema(cells), `row ${row} of orders.csv: ${JSON.stringify(rowSchema.errors?.[0])}`);

    const { job } = await judged("started", "POST", "/api/runs", { name: "w", date: "2026-11-30" }, 202);
    let state;
    const stages = new Set();
    let whole = 0;
    do {
        state = await judged("job", "GET", `/api/jobs/${job}`);
        stages.add(state.stage);
        expect(state.whole >= whole, `${state.stage}: ${state.whole} after ${whole} of the run`);
        whole = state.whole;
        await new Promise((done) => setTimeout(done, 200));
    } while (state.state === "running");
    expect(state.state === "done", `the week is ${state.state}: ${JSON.stringify(state.error)}`);
    expect(stages.size > 1, `stages seen: ${[...stages]}`);
    const run = JSON.parse((await ask("GET", "/api/runs/w")).bytes);
    const runSchema = ajv.getSchema("run-file");
    expect(runSchema(run), `run.json: ${JSON.stringify(runSchema.errors?.[0])}`);
    for (const sheet of run.sheets) await judged("torch", "GET", `/api/runs/w/sheets/${sheet.id}/torch`);
    for (const { part } of run.brake) await judged("brake", "GET", `/api/runs/w/brake/${part.split("/").map(encodeURIComponent).join("/")}`);
    await judged("monday", "GET", "/api/monday?date=2026-11-30");
    await judged("shop", "GET", "/api/shop");
    const pdf = await ask("GET", "/api/runs/w/files/packet.pdf");
    expect(pdf.bytes.subarray(0, 5).toString() === "%PDF-" && pdf.headers["content-type"] === "application/pdf", "the packet");
    expect(/sandbox/.test((await ask("GET", "/api/runs/w/files/sheets/S1.svg")).headers["content-security-policy"]), "a picture of the packet runs nothing");
    const again = await ask("GET", "/api/runs/w/files/packet.pdf", undefined, { "If-None-Match": pdf.headers.etag });
    expect(again.status === 304 && again.bytes.length === 0, "it is not sent twice");

    // ---------------------------------------------------------------------------- bad manners
    const statusOf = (text) => Number(/^HTTP\/1\.1 (\d+)/.exec(text)?.[1] ?? 0);
    expect((await ask("HEAD", "/api/shop")).bytes.length === 0, "HEAD has no body");
    expect((await ask("PATCH", "/api/shop", undefined, { "X-Kitwright-Token": token })).status === 405, "PATCH");
    expect((await ask("GET", "/api/shop", undefined, { Host: "example.org" })).status === 403, "another host");
    expect((await ask("GET", "/api/shop", undefined, { Origin: "http://example.org" })).status === 403, "another origin");
    expect((await ask("POST", "/api/kits", "{}", { "Content-Type": "text/plain" })).status === 403, "a form of another page has no token");
    expect(statusOf(await raw("GET /api/shop HTTP/1.1\r\n\r\n")) >= 400, "no Host");
    expect(statusOf(await raw(`GET /%00 HTTP/1.1\r\nHost: ${host}\r\n\r\n`)) === 400, "a NUL");
    expect(statusOf(await raw(`GET /api/kits/..%2f..%2fetc HTTP/1.1\r\nHost: ${host}\r\n\r\n`)) === 400, "dots in escapes");
    expect(statusOf(await raw(`GET /api/kits/../../../../etc/passwd HTTP/1.1\r\nHost: ${host}\r\n\r\n`)) === 400, "dots");
    expect(statusOf(await raw(`GET / HTTP/1.1\r\nHost: ${host}\r\nX: ${"x".repeat(100000)}\r\n\r\n`)) >= 400, "headers without end");
    const put = (more) => `PUT /api/orders HTTP/1.1\r\nHost: ${host}\r\nX-Kitwright-Token: ${token}\r\n${more}`;
    expect(statusOf(await raw(put(`Content-Length: ${5 << 20}\r\n\r\n`))) === 413, "a body told to be too large is refused before it comes");
    const chunk = "10000\r\n" + "x".repeat(65536) + "\r\n";
    expect(!/HTTP\/1\.1 2/.test(await raw(put("Transfer-Encoding: chunked\r\n\r\n") + chunk.repeat(80), 4000)), "chunks without end");
    expect(statusOf(await raw(put("Content-Length: 9000000000000000000000\r\n\r\n"))) >= 400, "a length that is no number");
    expect(statusOf(await raw("\x00\x01\x02\r\n\r\n")) !== 200, "no HTTP at all");
    expect((await ask("GET", "/api/shop")).status === 200, "after all that it still answers");

    // It listens on this machine's own address alone.
    const outside = Object.values((await import("node:os")).networkInterfaces()).flat().find((a) => a.family === "IPv4" && !a.internal);
    if (outside) {
        const reached = await new Promise((resolve) => {
            const socket = net.connect(port, outside.address);
            socket.on("connect", () => resolve(true));
            socket.on("error", () => resolve(false));
        });
        expect(!reached, `reached at ${outside.address}`);
    }
    // Wider listening: not without a passphrase, and then nothing without it.
    const bare = spawnSync(program, ["serve", shop, "--listen", "0.0.0.0", "--port", "0"], { encoding: "utf8", timeout: 10000 });
    expect(bare.status === 64 && /passphrase/.test(bare.stderr), `--listen alone: ${bare.status} ${bare.stderr}`);
    const phrase = path.join(shop, ".phrase");
    writeFileSync(phrase, "a phrase for tests\n");
    const wide = spawn(program, ["serve", shop, "--listen", "127.0.0.2", "--port", "0", "--passphrase", phrase], { stdio: ["ignore", "pipe", "inherit"] });
    const says = (await new Promise((resolve) => wide.stdout.once("data", resolve))).toString();
    expect(/Other machines can reach/.test(says), "it says what that means");
    const wideAddress = new URL(/http:\S+/.exec(says)[0]);
    for (const [header, status] of [[{}, 401], [{ Authorization: "Basic " + Buffer.from("x:a phrase for tests").toString("base64") }, 200], [{ Authorization: "Basic " + Buffer.from("x:another phrase").toString("base64") }, 401]]) {
        const got = await new Promise((resolve) => http.get({ host: wideAddress.hostname, port: wideAddress.port, path: "/api/shop", headers: header }, (a) => { a.resume(); resolve(a); }));
        expect(got.statusCode === status && (status !== 401 || /^Basic/.test(got.headers["www-authenticate"])), `passphrase: ${got.statusCode}, expected ${status}`);
    }
    wide.kill("SIGTERM");
    await new Promise((resolve) => wide.once("exit", resolve));
} finally {
    server.kill("SIGTERM");
    const code = await new Promise((resolve) => server.once("exit", resolve));
    expect(code === 0, `it ends with ${code}`);
    rmSync(shop, { recursive: true });
}
console.log(`${looked} things looked at, ${failed} not so`);
process.exit(failed > 0 ? 1 : 0);
