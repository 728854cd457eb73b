// Uses the WebAssembly module as the page does and holds every report and drawing against the native build's.
// Usage: node page_side.mjs MODULE FOLDER NAME...
import { existsSync, readFileSync } from "node:fs";

const [modulePath, folder, ...names] = process.argv.slice(2);
const compiled = new WebAssembly.Module(readFileSync(modulePath));
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

class Core {
  constructor() {
    this.to = new WebAssembly.Instance(compiled, {}).exports;
    this.to._initialize();
  }
  put(address, bytes) {
    new Uint8Array(this.to.memory.buffer, address, bytes.length).set(bytes);
    return bytes.length;
  }
  bytes(address) {
    const memory = Buffer.from(this.to.memory.buffer);
    return address ? memory.subarray(address, memory.indexOf(0, address)) : Buffer.alloc(0);
  }
  read(text) {
    return this.to.read(this.put(this.to.text(), Buffer.from(text)));
  }
  takeSky(bytes) {
    return this.to.take_sky(this.put(this.to.sky(), bytes));
  }
  report(kind) {
    return JSON.parse(this.bytes(this.to.report(kind)).toString());
  }
  place(section, nth, field) {
    const form = this.report(1);
    const found = form.sections.find((one) => one.name === section && one.nth === nth);
    return [found, found?.fields.find((one) => one.name === field)];
  }
  change(section, nth, field, words) {
    const [found, entry] = this.place(section, nth, field);
    const length = this.put(this.to.words(), Buffer.from(words));
    return this.to.change(found.section, nth, entry.field, length);
  }
  text(length) {
    return Buffer.from(this.to.memory.buffer, this.to.text(), length).toString();
  }
}

function checkForm(core, name) {
  const form = core.report(1);
  const kinds = new Set(form.sections.map((one) => one.name));
  verdict(form.sections.length >= 10 && kinds.has("camera") && kinds.has("lens"), `${name}: the form has its sections`);
  const fields = form.sections.flatMap((one) => one.fields);
  verdict(fields.every((one) => one.help && one.example && (one.choices === null || one.choices.length > 1)),
    `${name}: every field of the form tells what it means`);
  verdict(fields.every((one) => !one.given || (one.line > 0 && one.words)), `${name}: what is given has line and words`);
}

function checkWarnings(core, name, text) {
  for (const warning of core.report(4).warnings) {
    for (const one of warning.do) {
      const length = core.change(one.section, one.nth, one.field, one.words);
      verdict(length > 0, `${name}: '${warning["change words"]}' can be done`);
      verdict(core.read(core.text(length)) === 0, `${name}: and the plan is sound with it`);
    }
    core.read(text);
    core.to.evaluate();
  }
}

function checkChange(core, name, text) {
  const remark = text.split("\n").filter((line) => line.includes("#")).length;
  const length = core.change("camera", 0, "aperture", "f/11");
  const changed = length > 0 ? core.text(length) : "";
  verdict(core.read(changed) === 0 && core.place("camera", 0, "aperture")[1].words === "f/11",
    `${name}: a changed aperture reads back`);
  verdict(changed.split("\n").filter((line) => line.includes("#")).length === remark, `${name}: remarks stay`);
  verdict(core.change("camera", 0, "aperture", "11 m") === -1, `${name}: a wrong unit is refused`);
  verdict(core.bytes(core.to.complain_change()).length > 10, `${name}: and it is told why`);
  verdict(core.change("camera", 0, "aperture", "f/8 # x") === -1, `${name}: no remark in a value`);
  verdict(core.to.change(0, 99, 0, 1) === -1 && core.to.change(99, 0, 0, 1) === -1 && core.to.change(0, 0, -1, 1) === -1,
    `${name}: no change beyond the table`);
  // A change may make the plan unsound, and the next one mend it.
  const narrow = core.change("lens", 0, "widest aperture", "f/16");
  verdict(core.read(core.text(narrow)) > 0 && core.report(0).complaints.length > 0, `${name}: a plan can become unsound`);
  verdict(core.place("lens", 0, "widest aperture")[1].words === "f/16", `${name}: the form shows the unsound text`);
  const back = core.change("lens", 0, "widest aperture", "f/2");
  verdict(core.read(core.text(back)) === 0, `${name}: and sound again`);
  verdict(core.read(text) === 0, `${name}: the old text is read again`);
}

function checkPlan(core, name) {
  const part = (kind) => readFileSync(`${folder}/${name}.${kind}`);
  const text = part("text").toString();
  verdict(core.read(text) === 0, `${name} is read`);
  verdict(core.to.evaluate() === -2, `${name}: not evaluated under another sky`);
  verdict(core.bytes(core.to.sky_key()).equals(part("key")), `${name}: the key of its sky`);
  verdict(core.takeSky(part("sky").subarray(0, -1)) === 1, `${name}: a sky cut short is refused`);
  verdict(core.takeSky(part("sky")) === 0, `${name}: its sky is taken`);
  verdict(core.to.evaluate() * 8 === part("values").length, `${name}: evaluated under it`);
  const count = part("values").length;
  verdict(Buffer.from(core.to.memory.buffer, core.to.values(), count).equals(part("values")), `${name}: figures to the bit`);
  core.to.rehearse_begin(7);
  for (let from = 0; from < 200; from += 50) core.to.rehearse_run(from, from + 50);
  core.to.rehearse_sum(200);
  for (let kind = 1; kind <= 5; kind += 1)
    verdict(core.bytes(core.to.report(kind)).equals(part(`report${kind}`)), `${name}: report ${kind} is the native one`);
  for (let kind = 0; kind <= 5; kind += 1)
    verdict(core.bytes(core.to.draw(kind)).equals(part(`draw${kind}`)), `${name}: drawing ${kind} is the native one`);
  for (const one of core.report(2).results) {
    const working = core.bytes(core.to.working(core.put(core.to.words(), Buffer.from(one.key)))).toString();
    verdict(working.startsWith(`${one.key}: ${one.label}`), `${name}: the working of ${one.key}`);
  }
  checkForm(core, name);
  checkChange(core, name, text);
  core.to.evaluate();
  checkWarnings(core, name, text);
  if (existsSync(`${folder}/${name}.advice`)) {
    verdict(core.to.advise_begin(7) === 0, `${name}: advice is begun`);
    let steps = 0;
    while (core.to.advise_step() === 1) steps += 1;
    verdict(steps > 10 && core.bytes(core.to.report(6)).equals(part("advice")), `${name}: the advice is the native one`);
  }
}

const core = new Core();
verdict(core.to.evaluate() === -2 && core.to.report(2) === 0 && core.to.draw(0) === 0, "nothing before a plan");
verdict(core.report(1).sections.length > 5, "an empty plan has a form");
verdict(core.report(7).animals.length > 10, "the animals behind the choices");
for (const name of names) checkPlan(core, name);

function timed(times, work) {
  const took = [];
  for (let i = 0; i < times; i += 1) {
    const began = performance.now();
    work(i);
    took.push(performance.now() - began);
  }
  return took.sort((a, b) => a - b)[times >> 1];
}

if (names.includes("marten")) {
  const text = readFileSync(`${folder}/marten.text`).toString();
  core.read(text);
  core.takeSky(readFileSync(`${folder}/marten.sky`));
  core.to.evaluate();
  const stops = ["f/8", "f/9", "f/10", "f/11"];
  const slide = timed(40, (i) => {
    const [section, field] = [4, core.apertureField ??= core.place("camera", 0, "aperture")[1].field];
    const length = core.to.change(section, 0, field, core.put(core.to.words(), Buffer.from(stops[i % 4])));
    core.to.read(length);
    core.to.evaluate();
    JSON.parse(core.bytes(core.to.report(2)).toString());
    JSON.parse(core.bytes(core.to.report(4)).toString());
  });
  const quick = timed(10, () => {
    core.to.rehearse_begin(1);
    core.to.rehearse_run(0, 200);
    core.to.rehearse_sum(200);
    core.report(5);
  });
  console.log(`marten: a slider to new numbers ${slide.toFixed(1)} ms, 200 seasons ${quick.toFixed(1)} ms`);
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
