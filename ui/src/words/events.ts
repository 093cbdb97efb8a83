// What the order of events says.

const minutes = (n: number) => `${n} ${n === 1 ? 'minute' : 'minutes'}`;
const count = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;

export const words = {
  title: 'Order of events',
  days: 'Days',
  dayN: (n: number) => `Day ${n}`,
  serials: (n: number, entries: number) => (n === 0 ? 'no serials' : `${count(n, 'serial', 'serials')}, ${count(entries, 'entry', 'entries')}`),
  notHere: 'This is an issue: it can be read, not changed.',
  mayNot: 'Only a planner changes the order of events.',

  heads: {
    name: 'Serial',
    line: 'Line',
    formUp: 'Form-up',
    arenaIn: 'Arena in',
    arenaOut: 'Arena out',
    homeBy: 'Home by',
    vehicle: 'Vehicle',
    driver: 'Driver',
    crew: 'Crew',
    reserves: 'Reserves',
    value: 'Value',
    join: 'Joined',
  },
  tableName: (day: string) => `Order of events, ${day}`,
  assumed: 'assumed',
  combination: 'combination',
  newPerson: (name: string) => `${name}, new to the list of people`,
  choicesFor: (head: string) => `${head}: what it may be`,
  noneOf: 'nothing has that name',

  join: {
    none: 'no',
    noneSays: 'comes home to a lane between',
    line: 'line',
    lineSays: 'from line to line, no lane between',
    arena: 'arena',
    arenaSays: 'stays in the arena',
  },

  // buttons over the table
  newEntry: 'New entry',
  newSerialButton: 'New serial',
  up: 'Move up',
  down: 'Move down',
  takeOut: 'Take out',
  keys: 'Keys',
  keyList: [
    ['arrows, Page up and down', 'to the next cell; to the next serial'],
    ['type', 'replaces what is in the cell'],
    ['F2 or Enter', 'changes what is in the cell'],
    ['Tab; Enter; Escape', 'keeps it and goes on; keeps it and goes down; leaves it as it was'],
    ['+10 or -5 in a time', 'moves the whole serial by so many minutes'],
    ['Ctrl+Enter', 'a new row below: an entry'],
    ['Ctrl+Shift+Enter', 'a new serial'],
    ['Alt+↑ and Alt+↓', 'moves the entry; lets the serial change places with its neighbour'],
    ['Delete', 'empties the cell; on a name it asks whether the whole row goes'],
    ['Shift+arrows, Ctrl+C, X, V', 'marks several cells; copies, cuts and pastes, also from and to a spreadsheet'],
    ['Escape, then Tab', 'leaves the table'],
  ] as [string, string][],
  timesHint: 'Times: 1030, 10:30 or 10.30. Figures and names in italics are assumed.',

  // what the history calls an edit
  entryIn: (vehicle: string, serial: string) => `${vehicle} in ${serial}`,
  newSerial: 'New serial',
  did: {
    time: (row: string, head: string, clock: string) => `${row}: ${head.toLowerCase()} ${clock}`,
    cleared: (row: string, head: string) => `${row}: ${head.toLowerCase()} not given`,
    shifted: (row: string, by: number) => `${row}: all ${minutes(Math.abs(by))} ${by < 0 ? 'earlier' : 'later'}`,
    named: (row: string, name: string) => (name === '' ? `${row}: no name` : `${row}: now called ${name}`),
    line: (row: string, line: string) => (line === '' ? `${row}: line not given` : `${row}: on ${line}`),
    newSerial: (clock: string) => `new serial at ${clock}`,
    added: (vehicle: string, serial: string) => `${vehicle} put into ${serial}`,
    replaced: (vehicle: string, row: string) => `${vehicle} in place of ${row}`,
    set: (row: string, head: string, text: string) => `${row}: ${head.toLowerCase()} ${text === '' ? 'not given' : text}`,
    moved: (row: string, up: boolean) => `${row}: ${up ? 'one earlier' : 'one later'} in the order`,
    movedOver: (row: string, serial: string) => `${row}: into ${serial}`,
    swapped: (one: string, other: string) => `${one} and ${other} change places`,
    takenOut: (row: string) => `${row} taken out`,
    filledCells: (n: number, first: string) => `${first}, and ${count(n - 1, 'cell', 'cells')} more`,
    clearedCells: (n: number, first: string) => `${first}, and ${count(n - 1, 'cell', 'cells')} more`,
    pasted: (serials: number, entries: number) => `pasted: ${count(serials, 'serial', 'serials')}, ${count(entries, 'entry', 'entries')}`,
  },

  // what is refused
  noTime: (text: string) => `“${text}” is not a time. Write 1030, 10:30 or 10.30; +10 moves the serial by ten minutes.`,
  serialNeedsTime: 'A new serial needs the time at which it enters the arena.',
  arenaInFirst: 'Give first when the new serial enters the arena.',
  vehicleFirst: 'Give first which vehicle it is.',
  noLine: (text: string) => `There is no forming-up line “${text}”.`,
  noUnit: (text: string) => (text === '' ? 'An entry needs a vehicle. Delete takes the row out.' : `No vehicle is called “${text}”. Add it in the register first.`),
  twice: (vehicle: string, serial: string) => `${vehicle} is in ${serial} already.`,
  noValue: (text: string) => `“${text}” is not a value. Write a whole number from 1 on.`,
  noJoin: (text: string) => `“${text}” is none of: no, line, arena.`,
  pastTheEnd: (text: string) => `“${text}” would stand below or beside the table.`,
  nowhere: 'There is nowhere further to go on this day.',
  pastedWrong: (n: number) => `Nothing was pasted: ${count(n, 'cell is', 'cells are')} not understood.`,
  saved: (what: string) => `Kept: ${what}.`,
  saving: 'Keeping …',

  // questions
  ask: {
    entryTitle: 'Take the entry out?',
    entry: (vehicle: string, serial: string) => `${vehicle} no longer goes in ${serial}. Undo brings it back.`,
    serialTitle: 'Take the serial out?',
    serial: (serial: string, entries: number) => `${serial} leaves the order of events with its ${count(entries, 'entry', 'entries')}. Undo brings it back.`,
    yes: 'Take out',
  },

  paste: {
    title: 'What was pasted',
    where: (row: number, column: number) => `row ${row}, column ${column}`,
    reading: 'Reading what was pasted …',
    changes: 'What it would change',
    nothing: 'It changes nothing.',
    problems: (n: number) => `${count(n, 'row or cell is', 'rows or cells are')} not understood`,
    newSerial: (serial: string, clock: string, entries: number) => `${serial}${clock === '' ? '' : ` at ${clock}`} is new, with ${count(entries, 'entry', 'entries')}`,
    changed: (serial: string) => `${serial} is changed`,
    newEntry: (vehicle: string, serial: string) => `${vehicle} is put into ${serial}`,
    gone: (vehicle: string, serial: string) => `${vehicle} is taken out of ${serial}`,
    goneSerial: (serial: string) => `${serial} is taken out`,
    newPeople: (names: string) => `New people: ${names}`,
    newVehicles: (names: string) => `New vehicles: ${names}`,
    take: 'Take it',
    takeRest: 'Take what is understood',
  },

  clashes: {
    title: 'Clashes',
    none: 'Nothing clashes with anything in the order of events itself.',
    looking: 'Looking for clashes …',
    failed: 'Clashes could not be looked for',
    mark: (numbers: string) => `clash ${numbers}`,
    goTo: (n: number) => `Go to clash ${n} in the table`,
    notChecked: 'Looked at without a plan: who blocks whom in the park is not part of this list.',
  },

  chart: {
    title: 'The day by time',
    label: (day: string) => `${day} by time: serials down, hours across`,
    band: (name: string, from: string, arenaIn: string, arenaOut: string, to: string, entries: number) =>
      `${name}: formed up from ${from}, in the arena ${arenaIn} to ${arenaOut}, home by ${to}; ${count(entries, 'entry', 'entries')}. Choose to go to its row.`,
    turn: (vehicle: string, from: string, to: string, spare: number) =>
      spare < 0 ? `${vehicle}: due out ${minutes(Math.round(-spare / 60))} before ${from} is home` : `${vehicle}: ${minutes(Math.round(spare / 60))} between ${from} and ${to}`,
    joined: (vehicle: string, from: string, to: string) => `${vehicle}: straight from ${from} to ${to}`,
    closed: (zone: string) => `${zone} closed to the public`,
    legend: 'Outline: from the first pull-out until all are home. Solid: in the arena. Thin lines: vehicles that go again; broken: due out before they are home. Hatched: a zone closed to the public.',
    nothing: 'Nothing has a time on this day.',
  },
  empty: 'There are no serials on this day. Start with the time at which the first one enters the arena, or paste rows from a spreadsheet.',
};
