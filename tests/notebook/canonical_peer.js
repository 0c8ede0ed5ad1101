// Canonical JSON held against JavaScript's JSON.stringify and sort, by which RFC 8785 is defined.
// node canonical_peer.js PROGRAM [SEED], where PROGRAM is notebook_peer
'use strict';
const {spawnSync} = require('child_process');

const program = process.argv[2];
const seed = Number(process.argv[3] || Date.now() % 1000000);
console.log(`seed ${seed}`);

// mulberry32 (public domain, Tommy Ettinger): the same numbers for the same seed.
let state = seed >>> 0;
function random32() {
  state = (state + 0x6D2B79F5) >>> 0;
  let t = Math.imul(state ^ (state >>> 15), state | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return (t ^ (t >>> 14)) >>> 0;
}
const below = (count) => random32() % count;

const view = new DataView(new ArrayBuffer(8));
function anyDouble() {
  for (;;) {
    view.setUint32(0, random32());
    view.setUint32(4, random32());
    const value = view.getFloat64(0);
    if (Number.isFinite(value)) return value;
  }
}
// Where the notations meet, and what readings are like.
function nearDouble() {
  return (random32() / 4294967296 - 0.5) * Math.pow(10, below(34) - 10);
}
const decimal = () => (below(2000000) - 1000000) / Math.pow(10, below(7));

function anyText() {
  let text = '';
  for (let i = below(6); i > 0; --i) {
    const range = [[0, 0x80], [0x80, 0x780], [0x800, 0xD000], [0xE000, 0x2000],
                   [0x10000, 0x100000]][below(5)];
    text += String.fromCodePoint(range[0] + below(range[1]));
  }
  return text;
}

function anyValue(depth) {
  switch (below(depth > 0 ? 8 : 6)) {
    case 0: return null;
    case 1: return below(2) === 1;
    case 2: return anyDouble();
    case 3: return decimal();
    case 4: return below(1000000) - 500000;
    case 5: return anyText();
    case 6: return Array.from({length: below(5)}, () => anyValue(depth - 1));
    default: {
      const object = {};
      for (let i = below(6); i > 0; --i) object[anyText()] = anyValue(depth - 1);
      return object;
    }
  }
}

// JavaScript's sort() of strings goes by UTF-16 code units.
function canonical(value) {
  if (value === null || typeof value !== 'object') return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(canonical).join(',')}]`;
  const member = (key) => `${JSON.stringify(key)}:${canonical(value[key])}`;
  return `{${Object.keys(value).sort().map(member).join(',')}}`;
}

const texts = [];
const expected = [];
for (let i = 0; i < 20000; ++i) {
  const number = [anyDouble, nearDouble, decimal][i % 3]();
  // An exponent, so that whole numbers beyond 2^53 pass as the doubles that they are.
  texts.push(number.toExponential(i % 2 === 0 ? 16 : 25));
  expected.push(canonical(number));
}
for (let i = 0; i < 3000; ++i) {
  const value = anyValue(4);
  const text = JSON.stringify(value);
  texts.push(text);
  expected.push(canonical(value));
}

const told = spawnSync(program, ['canonical'],
                       {input: texts.join('\n') + '\n', encoding: 'utf8', maxBuffer: 1 << 28});
if (told.status !== 0) {
  console.error(told.stderr || told.error);
  process.exit(1);
}
const found = told.stdout.split('\n');
let wrong = found.length - 1 === expected.length ? 0 : 1;
expected.forEach((text, i) => {
  if (found[i] === text) return;
  if (wrong++ < 10) console.error(`${texts[i]}\n  expected ${text}\n  found    ${found[i]}`);
});
console.log(`${expected.length} texts, ${wrong} differ`);
process.exit(wrong === 0 ? 0 : 1);
