// node invariants.mjs PROFILES CASES: which invariants of our profiles each instance breaks, by fhirpath.js.
// PROFILES is the folder of differentials, CASES a file of [{ name, profile, resource }]; prints { name: [keys] }.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fhirpath from 'fhirpath';
import r4 from 'fhirpath/fhir-context/r4/index.js';

const [folder, file] = process.argv.slice(2);

/** From the root of the resource to the elements that an ElementDefinition speaks about; a slice by system becomes a filter. */
function path(element, elements) {
  const [, ...steps] = element.id.split('.');
  return steps.map((step, index) => {
    const [name, slice] = step.split(':');
    if (!slice) {
      return name.replace('[x]', '');
    }
    const id = [element.path.split('.')[0], ...steps.slice(0, index + 1)].join('.');
    const system = elements.find(other => other.id === `${id}.system`)?.patternUri;
    if (!system) {
      throw new Error(`${id} is no slice by system`);
    }
    return `${name}.where(system = '${system}')`;
  }).join('.');
}

const invariants = new Map(readdirSync(folder).filter(name => name.endsWith('.json')).map(name => {
  const profile = JSON.parse(readFileSync(join(folder, name), 'utf8'));
  const elements = profile.differential.element;
  return [profile.url, elements.flatMap(element => (element.constraint ?? []).map(({ key, expression }) => {
    const at = path(element, elements);
    return { key, holds: fhirpath.compile(at ? `${at}.all(${expression})` : expression, r4) };
  }))];
}));

const broken = {};
for (const { name, profile, resource } of JSON.parse(readFileSync(file, 'utf8'))) {
  broken[name] = invariants.get(profile)
    .filter(({ holds }) => holds(resource, { resource, rootResource: resource })[0] !== true)
    .map(({ key }) => key);
}
console.log(JSON.stringify(broken));
