// SPDX-License-Identifier: Apache-2.0
// What ajv says of YAML files under one of our schemas, against what the reader said.
// usage: node schema_ajv.mjs schema.json list.json     list: [{ "file": "...", "valid": true }]
// YAML is parsed by npm's yaml (1.2 core schema), another reader than ours. A file that it can't
// parse counts as not valid.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(new URL("../package.json", import.meta.url));
const Ajv2020 = require("ajv/dist/2020.js").default;
const YAML = require("yaml");

const [schemaFile, listFile] = process.argv.slice(2);
if (!schemaFile || !listFile) {
    console.error("usage: node schema_ajv.mjs schema.json list.json");
    process.exit(64);
}
const ajv = new Ajv2020({ allErrors: false, strict: true, allowUnionTypes: true, strictRequired: false });
const validate = ajv.compile(JSON.parse(readFileSync(schemaFile, "utf8")));

function verdict(file) {
    const document = YAML.parseDocument(readFileSync(file, "utf8"), { version: "1.2" });
    if (document.errors.length > 0) {
        return { valid: false, why: document.errors[0].message.split("\n")[0] };
    }
    let value;
    try {
        value = document.toJS({ maxAliasCount: 0 });
    } catch (error) {
        return { valid: false, why: error.message };
    }
    if (validate(value)) return { valid: true, why: "" };
    const e = validate.errors[0];
    return { valid: false, why: `${e.instancePath} ${e.message}` };
}

const list = JSON.parse(readFileSync(listFile, "utf8"));
let apart = 0;
for (const { file, valid } of list) {
    const got = verdict(file);
    if (got.valid !== valid) {
        apart++;
        console.log(`${file}: reader says ${valid}, ajv says ${got.valid} ${got.why}`);
    }
}
console.log(`${list.length} files, ${apart} told apart`);
process.exit(apart > 0 ? 1 : 0);
