// Gives a 0-1 program to one of the rivals and prints what it finds, one JSON
// object a line: {"t": seconds, "cost": …, "solution": true variables} for
// every better solution, {"t": …, "bound": …} for every better bound where the
// solver tells, and last {"t": …, "done": true, "status": …}.
//
//   node solve.mjs cp-sat|highs PROGRAM.json SECONDS [PARAMETERS as JSON]
//
// The seconds are the solver's own: loading it and reading the program come on
// top, in the rival's favour. Both builds search on one thread.
import { readFileSync, writeSync } from 'node:fs';

const [solver, file, secondsText, parametersText] = process.argv.slice(2);
const seconds = Number(secondsText);
const parameters = JSON.parse(parametersText ?? '{}');
const program = JSON.parse(readFileSync(file, 'utf8'));
const variables = program.costs.length;
const say = (object) => writeSync(1, JSON.stringify(object) + '\n');
const trueOnes = (values) => Array.from(values).flatMap((value, v) => (Number(value) > 0.5 ? [v] : []));

const rivals = { 'cp-sat': cpSat, highs };
if (!rivals[solver]) throw new Error(`no rival ${solver}`);
await rivals[solver]();
process.exit(0);

async function cpSat() {
  const { CpSat } = await import('or-tools-wasm/cp-sat');
  const constraints = [
    ...(program.exactly ?? []).map((literals) => ({ exactlyOne: { literals } })),
    ...(program.clauses ?? []).map((literals) => ({ boolOr: { literals } })),
    ...(program.rows ?? []).map((r) => ({ linear: { vars: r.vars, coeffs: r.coefs, domain: [-9e15, r.most] } })),
  ];
  const priced = [...program.costs.keys()].filter((v) => program.costs[v] !== 0);
  const proto = {
    variables: program.costs.map(() => ({ domain: [0, 1] })),
    constraints,
    objective: { vars: priced, coeffs: priced.map((v) => program.costs[v]) },
  };
  if (program.hint) {
    const vars = program.hint.map((lit) => (lit < 0 ? ~lit : lit));
    proto.solutionHint = { vars, values: program.hint.map((lit) => (lit < 0 ? 0 : 1)) };
  }
  const model = await CpSat.createModel(proto);
  const { ok, message } = await CpSat.validate(model);
  if (!ok) throw new Error(message);
  const start = process.hrtime.bigint();
  const now = () => Number(process.hrtime.bigint() - start) / 1e9;
  const { response } = await CpSat.solve(
    model,
    { maxTimeInSeconds: seconds, numWorkers: 1, ...parameters },
    {
      onSolution: (r) => say({ t: r.wallTime, cost: r.objectiveValue, bound: r.bestObjectiveBound, solution: trueOnes(r.solution) }),
      onBestBound: (bound) => say({ t: now(), bound }),
    },
  );
  say({ t: now(), done: true, status: String(response.status), bound: response.bestObjectiveBound });
}

async function highs() {
  const load = (await import('highs')).default;
  const h = await load();
  const rows = [
    ...(program.exactly ?? []).map((vars) => ({ vars, coefs: vars.map(() => 1), least: 1, most: 1 })),
    ...(program.clauses ?? []).map(asRow),
    ...(program.rows ?? []).map((r) => ({ ...r, least: -h.infinity })),
  ];
  const starts = [0];
  for (const r of rows) starts.push(starts[starts.length - 1] + r.vars.length);
  const model = h.createModel({
    numCols: variables, numRows: rows.length,
    colCost: Float64Array.from(program.costs), colLower: new Float64Array(variables), colUpper: new Float64Array(variables).fill(1),
    rowLower: Float64Array.from(rows, (r) => r.least), rowUpper: Float64Array.from(rows, (r) => r.most),
    integrality: new Int32Array(variables).fill(h.constants.variableType.integer),
    matrix: {
      format: 'csr', numRows: rows.length, numCols: variables, starts: Int32Array.from(starts),
      indices: Int32Array.from(rows.flatMap((r) => r.vars)), values: Float64Array.from(rows.flatMap((r) => r.coefs)),
    },
  });
  model.options.set({ output_flag: false, time_limit: seconds, mip_rel_gap: 0, mip_abs_gap: 0.5, ...parameters });
  if (program.hint) setHint(model, program.hint);
  const start = process.hrtime.bigint();
  const now = () => Number(process.hrtime.bigint() - start) / 1e9;
  const { mipImprovingSolution } = h.constants.callbackType;
  // Bounds are read at the end only: while HiGHS fills in a start that names
  // some of the variables, its callbacks tell the bound of that smaller program.
  const run = model.run({
    [mipImprovingSolution](event) {
      say({ t: now(), cost: event.data.objective_function_value, solution: trueOnes(event.data.mip_solution) });
    },
  });
  if (model.info.get('primal_solution_status') === 2) {
    say({ t: now(), cost: model.getObjectiveValue(), solution: trueOnes(model.getSolution().colValue) });
  }
  say({ t: now(), done: true, status: String(run?.modelStatus ?? model.getModelStatus()), bound: model.info.get('mip_dual_bound') });
}

// setHint hands over a start: whole when it names every variable, else the
// variables it names.
function setHint(model, hint) {
  const index = hint.map((lit) => (lit < 0 ? ~lit : lit));
  const value = hint.map((lit) => (lit < 0 ? 0 : 1));
  if (index.length < variables) {
    model.setSolution({ indices: Int32Array.from(index), values: Float64Array.from(value) });
    return;
  }
  const colValue = new Float64Array(variables);
  index.forEach((v, i) => { colValue[v] = value[i]; });
  model.setSolution({ colValue });
}

// asRow writes "at least one literal is true" as a row.
function asRow(literals) {
  const negative = literals.filter((lit) => lit < 0).length;
  return {
    vars: literals.map((lit) => (lit < 0 ? ~lit : lit)), coefs: literals.map((lit) => (lit < 0 ? -1 : 1)),
    least: 1 - negative, most: Infinity,
  };
}
