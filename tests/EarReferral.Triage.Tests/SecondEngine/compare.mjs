// node compare.mjs <folder of the rule book> <results of the first engine>: exit code 1 and one line for every difference.
import { readFileSync } from 'node:fs';
import { Engine } from './engine.mjs';
import { readRuleBook } from './rule-book.mjs';

const [, , rules, results] = process.argv;
const engine = new Engine(readRuleBook(rules));
const vectors = JSON.parse(readFileSync(results, 'utf8'));
let differences = 0;
for (const vector of vectors) {
  const second = engine.decide(vector);
  for (const list of ['fired', 'suppressed', 'questions']) {
    const only = (some, others) => some.filter(rule => !others.includes(rule));
    for (const [who, ids] of [['first', only(vector[list], second[list])], ['second', only(second[list], vector[list])]]) {
      if (ids.length > 0) {
        differences++;
        console.log(`${vector.id}: ${list} only by the ${who} engine: ${ids.join(', ')}`);
      }
    }
  }
}
console.log(`compared ${vectors.length} vectors, ${differences} differences`);
process.exitCode = differences === 0 && vectors.length > 0 ? 0 : 1;
