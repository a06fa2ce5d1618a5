// Reads the published rule book: a Library that declares the variables and one PlanDefinition per rule.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

const base = 'https://ear-referral.example/fhir/StructureDefinition/';

const value = extension => extension && Object.entries(extension).find(([name]) => name.startsWith('value'))?.[1];
const part = (holder, url) => value(holder.extension?.find(extension => extension.url === url));

function readVariable(parameter) {
  const declaration = parameter.extension.find(extension => extension.url === `${base}rule-variable`);
  return {
    name: parameter.name,
    kind: part(declaration, 'kind'),
    level: part(declaration, 'level'),
    moment: part(declaration, 'moment'),
    findings: declaration.extension.filter(extension => extension.url === 'finding').map(value),
    expression: part(declaration, 'expression').expression,
    falseWith: part(declaration, 'false-with'),
  };
}

function readRule(plan, definitions) {
  const tier = part(plan, `${base}rule-tier`);
  const condition = expand(plan.action[0].condition[0].expression.expression, definitions);
  return {
    id: plan.id,
    level: part(plan, `${base}rule-level`),
    tier,
    emergency: tier === 'T0' || tier === 'T1',
    asks: tier === 'T0' || tier === 'T1' || part(plan, `${base}rule-asks-when-unknown`) === true,
    suppressible: part(plan, `${base}rule-suppressible`) === true,
    condition,
    variables: [...new Set([...condition.matchAll(/%([A-Za-z][A-Za-z0-9]*)/g)].map(match => match[1]))],
  };
}

/** Puts the definitions of derived variables in until none is left. */
function expand(condition, definitions) {
  let text = condition;
  for (let depth = 0; depth <= definitions.size; depth++) {
    const next = text.replace(/%([A-Za-z][A-Za-z0-9]*)/g, (whole, name) => (definitions.has(name) ? `(${definitions.get(name)})` : whole));
    if (next === text) {
      return text;
    }
    text = next;
  }
  throw new Error(`derived variables refer to each other in a circle: ${condition}`);
}

export function readRuleBook(folder) {
  const read = name => JSON.parse(readFileSync(join(folder, name), 'utf8'));
  const library = read('rule-book.json');
  const declared = library.parameter.map(readVariable);
  const definitions = new Map(declared.filter(variable => variable.kind === 'derived').map(variable => [variable.name, variable.expression]));
  const rules = library.relatedArtifact.filter(artifact => artifact.type === 'composed-of')
    .map(artifact => readRule(read(`${artifact.resource.split('|')[0].split('/').at(-1)}.json`), definitions));
  return { variables: declared.filter(variable => variable.kind !== 'derived'), rules };
}
