// The sample crate read by the RO-Crate library from npm, and looked at by its validator.
// node crate_peer.js FOLDER MODULES, where FOLDER holds ro-crate-metadata.json
'use strict';
const assert = require('assert');
const crypto = require('crypto');
const fs = require('fs');
const path = require('path');

const [folder, modules] = process.argv.slice(2);
const library = path.join(modules, 'ro-crate');
const {ROCrate} = require(library);
const {Validator} = require(path.join(library, 'lib', 'validator.js'));
const text = fs.readFileSync(path.join(folder, 'ro-crate-metadata.json'), 'utf8');

// Everything but validateContext, which asks the network.
const validator = new Validator();
validator.parseJSON(text);
validator.rootDataEntity();
const files = {};
for (const name of fs.readdirSync(folder, {recursive: true})) {
  const isDir = fs.lstatSync(path.join(folder, name)).isDirectory();
  const id = encodeURI(name).replace(/#/g, '%23') + (isDir ? '/' : '');
  files[decodeIfWide(id)] = {exists: true, inCrate: false, isDir};
}
// The crate keeps letters beyond ASCII as they are (RFC 3987).
function decodeIfWide(id) {
  return id.replace(/(%[89A-F][0-9A-F])+/g, decodeURIComponent);
}
validator.checkFiles(files);
const faults = validator.results.filter((result) => result.status === 'error');
// Folders within a run need no entity of their own, and the metadata file is no data entity.
const real = faults.filter((fault) => !(fault.id === 'validCrateDataEntityInCrateDir' &&
  /(charts|notes)\/$|ro-crate-metadata\.json$/.test(fault.entity)));
assert.deepStrictEqual(real, []);
const good = validator.results.filter((result) => result.status === 'success');
assert(good.length >= 5, `only ${good.length} checks of the validator passed`);

const crate = new ROCrate(JSON.parse(text), {array: true, link: true});
assert.strictEqual(crate.rootId, './');
assert.deepStrictEqual(crate.rootDataset.name, ['Formation enthalpy of magnesium oxide']);

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
assert.strictEqual(count, 7);

// Every type and property is a term of RO-Crate's context (the library carries that of 1.2, which
// has all terms of 1.1).
const terms = JSON.parse(fs.readFileSync(path.join(library, 'lib', 'context.json')))['@context'];
for (const node of JSON.parse(text)['@graph']) {
  for (const term of Object.keys(node).concat(node['@type'])) {
    assert(term.startsWith('@') || terms[term], `${term} is no term of RO-Crate`);
  }
}
console.log(`${crate.graphSize} entities, ${count} files, ${good.length} checks of the validator`);
