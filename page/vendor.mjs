// Makes the two vendored modules of the page, once, when a version changes:
//   npm ci && node vendor.mjs
// What comes out is committed, so that nobody who uses or installs Barwright needs Node.
import { build } from "esbuild";
import { copyFile, mkdir, readFile, writeFile } from "node:fs/promises";

const out = new URL("../src/barwright/bench/assets/vendor/", import.meta.url).pathname;
const tests = new URL("../tests/browser/vendor/", import.meta.url).pathname;

/** Each module: what it is made from, and the packages whose licences go with it. */
const modules = [
  { name: "ui", of: ["preact", "htm", "@preact/signals", "@preact/signals-core"] },
  { name: "three", of: ["three"] },
];

await mkdir(out, { recursive: true });
for (const { name, of } of modules) {
  const notices = await Promise.all(of.map(notice));
  await build({
    entryPoints: [`vendor/${name}.js`],
    outfile: `${out}${name}.js`,
    bundle: true,
    minify: true,
    format: "esm",
    target: "es2022",
    legalComments: "none",
    banner: { js: `/* ${notices.map((n) => n.line).join("; ")}; licences in ${name}.LICENSE.txt */` },
  });
  const texts = notices.map((n) => `${n.line}\n\n${n.text.trim()}\n`);
  await writeFile(`${out}${name}.LICENSE.txt`, texts.join("\n----\n\n"));
}

await mkdir(tests, { recursive: true });
await copyFile("node_modules/axe-core/axe.min.js", `${tests}axe.min.js`);
await copyFile("node_modules/axe-core/LICENSE", `${tests}axe.LICENSE.txt`);

/** A package's name, version and licence text. @param {string} of */
async function notice(of) {
  const about = JSON.parse(await readFile(`node_modules/${of}/package.json`, "utf8"));
  const text = await readFile(`node_modules/${of}/LICENSE`, "utf8");
  return { line: `${about.name} ${about.version} (${about.license})`, text };
}
