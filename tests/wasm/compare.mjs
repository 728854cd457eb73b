// Gives the WebAssembly module the same plans and nights as the native build and compares every figure,
// bit by bit. Usage: node compare.mjs MODULE FOLDER NAME...
import { readFileSync } from "node:fs";

const [modulePath, folder, ...names] = process.argv.slice(2);
const compiled = new WebAssembly.Module(readFileSync(modulePath));
const imports = WebAssembly.Module.imports(compiled);
let passed = 0;
let failed = 0;

function verdict(good, what) {
  if (good) {
    passed += 1;
  } else {
    failed += 1;
    console.log(`FAILED ${what}`);
  }
}

verdict(imports.length === 0, `the module imports ${imports.map((i) => i.name)}`);
const core = new WebAssembly.Instance(compiled, {}).exports;
core._initialize();

function put(address, bytes) {
  new Uint8Array(core.memory.buffer, address, bytes.length).set(bytes);
}

for (const name of names) {
  const part = (kind) => readFileSync(`${folder}/${name}.${kind}`);
  const text = part("text");
  const want = part("values");
  put(core.text(), text);
  verdict(core.read(text.length) === 0, `${name} is read`);
  put(core.nights(), part("nights"));
  put(core.rows(), part("rows"));
  const count = core.evaluate();
  verdict(count * 8 === want.length, `${name}: ${count} figures, natively ${want.length / 8}`);
  const got = Buffer.from(core.memory.buffer, core.values(), Math.max(count, 0) * 8);
  for (let i = 0; i < count; i += 1) {
    const same = got.subarray(8 * i, 8 * i + 8).equals(want.subarray(8 * i, 8 * i + 8));
    verdict(same, `${name}: figure ${i} is ${got.readDoubleLE(8 * i)}, natively ${want.readDoubleLE(8 * i)}`);
  }
  const seasons = part("rehearsal");
  const size = core.rehearse(200, 7);
  const rehearsed = Buffer.from(core.memory.buffer, core.rehearsal(), Math.max(size, 0));
  verdict(rehearsed.equals(seasons), `${name}: 200 seasons come out the same`);
  core.desk_begin(120, 80, 0.05, 1);
  core.desk_pass(8, 0, 0, 80);
  core.desk_pass(1, 8, 0, 80);
  core.desk_smooth(0, 80);
  const picture = Buffer.from(core.memory.buffer, core.desk_expose(0.5), 3 * 120 * 80);
  verdict(picture.equals(part("picture")), `${name}: the light desk's picture comes out the same`);
}

put(core.text(), Buffer.from("[camera]\niso = many\n"));
verdict(core.read(20) > 0, "a wrong plan is refused");
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
