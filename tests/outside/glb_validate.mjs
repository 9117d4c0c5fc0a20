// SPDX-License-Identifier: Apache-2.0
// Puts GLB files before the validator of the standard's own publisher (npm gltf-validator): no
// error, no warning. usage: glb_validate.mjs FILE...
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const require = createRequire(new URL("../package.json", import.meta.url));
const validator = require("gltf-validator");
let bad = 0;
for (const file of process.argv.slice(2)) {
    const report = await validator.validateBytes(new Uint8Array(readFileSync(file)));
    const { numErrors, numWarnings, messages } = report.issues;
    if (numErrors + numWarnings > 0 || report.info.totalTriangleCount < 4) {
        bad++;
        console.log(file, JSON.stringify(messages.slice(0, 5)));
    }
}
console.log(`${process.argv.length - 2} GLB files, ${bad} with errors or warnings`);
process.exit(bad || process.argv.length < 3 ? 1 : 0);
