// node round-trip.mjs FOLDER: for every NAME.json the XML that npm fhir makes of it (NAME.theirs.xml) and the JSON it makes of
// our XML NAME.ours.xml (NAME.theirs.json). Prints how many.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import library from 'fhir';

const [folder] = process.argv.slice(2);
const fhir = new library.Fhir();
const names = readdirSync(folder).filter(name => name.endsWith('.ours.xml')).map(name => name.slice(0, -'.ours.xml'.length));
for (const name of names) {
  writeFileSync(join(folder, `${name}.theirs.xml`), fhir.jsonToXml(readFileSync(join(folder, `${name}.json`), 'utf8')));
  writeFileSync(join(folder, `${name}.theirs.json`), fhir.xmlToJson(readFileSync(join(folder, `${name}.ours.xml`), 'utf8')));
}
console.log(`converted ${names.length} bundles`);
