// A crate read by the RO-Crate library from npm, and looked at by its validator.
// node crate_peer.js FOLDER MODULES NAME, where FOLDER holds ro-crate-metadata.json with that name
'use strict';
const assert = require('assert');
const crypto = require('crypto');
const fs = require('fs');
const path = require('path');

const [folder, modules] = process.argv.slice(2, 4).map((word) => path.resolve(word));
const crateName = process.argv[4];
const library = path.join(modules, 'ro-crate');
const {ROCrate} = require(library);
const {Validator} = require(path.join(library, 'lib', 'validator.js'));
const text = fs.readFileSync(path.join(folder, 'ro-crate-metadata.json'), 'utf8');

// The library would fetch the context that the crate names; it gets the one that it carries instead
// (of RO-Crate 1.2, which has all terms of 1.1).
const document = JSON.parse(text);
assert.strictEqual(document['@context'], 'https://w3id.org/ro/crate/1.1/context');
const terms = JSON.parse(fs.readFileSync(path.join(library, 'lib', 'context.json')))['@context'];

async function validated() {
  const validator = new Validator();
  validator.parseJSON({...document, '@context': terms});
  await validator.crate.resolveContext();
  validator.rootDataEntity();
  validator.checkFiles(filesOf(folder));
  const wrong = validator.results.filter((result) => result.status === 'error');
  assert.deepStrictEqual(wrong, []);
  // Folders within a run need no entity of their own, and the metadata file is no data entity.
  const left = validator.results.filter((result) => result.status === 'warning' &&
    !/(\/charts|\/notes)\/$|^ro-crate-metadata\.json$/.test(result.entity));
  assert.deepStrictEqual(left, []);
  const passed = validator.results.filter((result) => result.status === 'success');
  assert(passed.length >= 8, `only ${passed.length} checks of the validator passed`);
  return passed.length;
}

// What lies in the folder, by references; letters beyond ASCII stay as they are (RFC 3987).
function filesOf(root) {
  const files = {};
  for (const name of fs.readdirSync(root, {recursive: true})) {
    const isDir = fs.lstatSync(path.join(root, name)).isDirectory();
    const id = encodeURI(name).replace(/#/g, '%23')
      .replace(/(%[89A-F][0-9A-F])+/g, decodeURIComponent) + (isDir ? '/' : '');
    files[id] = {exists: true, inCrate: false, isDir};
  }
  return files;
}

const crate = new ROCrate(document, {array: true, link: true});
assert.strictEqual(crate.rootId, './');
assert.deepStrictEqual(crate.rootDataset.name, [crateName]);

// Every reference leads somewhere, and all files and folders hang below the root.
const reached = new Set();
function follow(entity) {
  if (reached.has(entity['@id'])) return;
  reached.add(entity['@id']);
  for (const part of entity.hasPart || []) {
    assert(part['@type'], `${part['@id']} is in hasPart, but not in the graph`);
    follow(part);
  }
}
follow(crate.rootDataset);
let count = 0;
for (const entity of crate.entities()) {
  for (const [key, values] of Object.entries(entity.toJSON ? entity.toJSON() : entity)) {
    for (const value of [values].flat()) {
      if (!value || !value['@id'] || key === 'conformsTo') continue;
      assert(crate.getEntity(value['@id']), `${entity['@id']}.${key}: ${value['@id']} is nowhere`);
    }
  }
  if (!entity['@type'].includes('File')) continue;
  ++count;
  assert(reached.has(entity['@id']), `${entity['@id']} hangs below nothing`);
  const bytes = fs.readFileSync(path.join(folder, decodeURIComponent(entity['@id'])));
  assert.deepStrictEqual(entity.contentSize, [String(bytes.length)]);
  assert.deepStrictEqual(entity.sha256,
                         [crypto.createHash('sha256').update(bytes).digest('hex')]);
}
// All but the metadata itself.
const there = Object.values(filesOf(folder)).filter((file) => !file.isDir).length;
assert.strictEqual(count, there - 1);
assert(count >= 7);

// Every type and property is a term of RO-Crate's context.
for (const node of document['@graph']) {
  for (const term of Object.keys(node).concat(node['@type'])) {
    assert(term.startsWith('@') || terms[term], `${term} is no term of RO-Crate`);
  }
}
validated().then((passed) => {
  console.log(`${crate.graphSize} entities, ${count} files, ${passed} checks of the validator`);
}).catch((wrong) => {
  console.error(wrong);
  process.exit(1);
});
