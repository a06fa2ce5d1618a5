// Decides a record by the published rule book with fhirpath.js. Conditions are evaluated whole; nothing is split or indexed.
import fhirpath from 'fhirpath';
import r4 from 'fhirpath/fhir-context/r4/index.js';
import { readings } from './clinic-time.mjs';

const ears = { right: '25577004', left: '89644007' };
const elapsed = new Set(['days-since', 'hours-since', 'age']);

export class Engine {
  #book;
  #variables = new Map();
  #expressions = new Map();

  constructor(book) {
    this.#book = book;
    book.variables.forEach(variable => this.#variables.set(variable.name, variable));
  }

  decide({ record, evaluatedAt, zone }) {
    const examined = Object.keys(ears).filter(side => this.#speaksOf(record, ears[side]));
    const decision = { fired: [], suppressed: [], questions: [] };
    const now = Date.parse(evaluatedAt);
    for (const side of [...(examined.length > 0 ? examined : Object.keys(ears)), undefined]) {
      const facts = new Map();
      const fact = name => {
        if (!facts.has(name)) {
          facts.set(name, this.#fact(name, { record, now, zone, side }, fact));
        }
        return facts.get(name);
      };
      const investigated = () => fact('earlierCareAlreadyInvestigatedUnchanged')[0] === true;
      for (const rule of this.#book.rules.filter(candidate => candidate.level === (side ? 'ear' : 'patient'))) {
        const answer = this.#answer(rule, fact, side);
        const list = answer === true ? (rule.suppressible && investigated() ? 'suppressed' : 'fired') : answer === undefined && rule.asks ? 'questions' : null;
        if (list) {
          decision[list].push(`${rule.id} ${side ?? 'patient'}`);
        }
      }
    }
    return decision;
  }

  #speaksOf(record, ear) {
    return this.#evaluate(record, `entry.resource.ofType(Observation).bodySite.coding.where(system = 'http://snomed.info/sct' and code = '${ear}').exists()`, {})[0];
  }

  /** Readings of a variable: none when unknown, two when a partial date leaves it open. */
  #fact(name, scope, fact) {
    const variable = this.#variables.get(name);
    if (!variable) {
      throw new Error(`unknown variable %${name}`);
    }
    const side = { ear: scope.side, 'other-ear': scope.side === 'right' ? 'left' : 'right', 'right-ear': 'right', 'left-ear': 'left' }[variable.level];
    const values = this.#evaluate(scope.record, variable.expression, {
      ear: side ? ears[side] : [],
      otherEar: side ? ears[side === 'right' ? 'left' : 'right'] : [],
    });
    if (values.length === 0 && variable.falseWith && fact(variable.falseWith)[0] === false) {
      return [false];
    }
    if (values.length !== 1) {
      return [];
    }
    return elapsed.has(variable.kind) ? readings(variable.kind, String(values[0]), scope.now, scope.zone) : values;
  }

  /** true, false, or undefined where the rule cannot be excluded. */
  #answer(rule, fact, side) {
    let assignments = [{ side: side ?? [] }];
    for (const name of rule.variables.filter(candidate => candidate !== 'side')) {
      const values = fact(name);
      assignments = assignments.flatMap(assignment => (values.length === 0 ? [[]] : values).map(value => ({ ...assignment, [name]: value })));
    }
    const answers = new Set(assignments.map(assignment => this.#holds(rule.condition, assignment)));
    if (answers.size === 1) {
      return [...answers][0];
    }
    return !rule.emergency && answers.has(true) ? true : undefined;
  }

  #holds(condition, assignment) {
    const result = this.#evaluate({ resourceType: 'Basic' }, condition, assignment);
    return result.length === 1 && typeof result[0] === 'boolean' ? result[0] : undefined;
  }

  #evaluate(resource, expression, environment) {
    if (!this.#expressions.has(expression)) {
      this.#expressions.set(expression, fhirpath.compile(expression, r4));
    }
    return this.#expressions.get(expression)(resource, environment);
  }
}
