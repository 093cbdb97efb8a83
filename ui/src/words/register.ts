// Texts of the register and the park editor.

import type { Kind, TableName } from '../core/register/fields';
import type { Referrer } from '../core/register/references';
import type { System } from '../core/measure';
import type { Says } from '../core/register/values';

type Noun = { one: string; many: string };

export const tableWords: Record<TableName, Noun & { about: string }> = {
  vehicles: { one: 'vehicle', many: 'Vehicles', about: 'Only the name is needed. What is not given is assumed from the class.' },
  combinations: { one: 'combination', many: 'Combinations', about: 'A towing vehicle with what it tows: stands and moves as one.' },
  lanes: { one: 'lane', many: 'Lanes', about: 'Strips where vehicles stand nose to tail. Only the name and the length are needed.' },
  lines: { one: 'line', many: 'Lines', about: 'Where a serial is put in order before it leaves, and stops on the way home.' },
  spots: { one: 'spot', many: 'Spots', about: 'Places off the lanes: waiting aside, breakdown bay, loading, coupling.' },
  zones: { one: 'zone', many: 'Zones', about: 'Parts of the park that are opened and closed to the public as one.' },
  stretches: { one: 'stretch', many: 'Stretches', about: 'Frontage before several mouths: while one reverses there, nothing else moves.' },
  people: { one: 'person', many: 'People', about: 'Drivers, crew and marshals, as far as they are known.' },
  days: { one: 'day', many: 'Days', about: 'Days are counted, so they are added and removed at the end.' },
  closings: { one: 'closing', many: 'Closings', about: 'When a zone is closed to the public, declared clear and reopened.' },
  resets: { one: 'reset window', many: 'Reset windows', about: 'Times in which the park may be put right outside the serials.' },
  duties: { one: 'duty', many: 'Duties', about: 'Other times away from the lane: fuel, rides, static display, recovery cover.' },
  classes: { one: 'class', many: 'Classes', about: 'Figures assumed for vehicles of a kind. The usual ones are from memory and meant to be edited.' },
  paces: { one: 'pace', many: 'Paces', about: 'How long each kind of move takes. The first that fits counts; the usual ones are from memory.' },
  weights: { one: 'weights', many: 'Weights', about: 'What a plan is criticised for, and at what price. The usual ones are common practice or from memory.' },
  show: { one: 'show', many: 'Show', about: 'What holds for the show as a whole.' },
};

const lane = { id: 'Lane', name: 'Further name', zone: 'Zone', kind: 'Kind', length_cm: 'Length', width_cm: 'Width', max_mass_kg: 'Greatest mass of one vehicle', max_deep: 'Most vehicles at once', gap_cm: 'Least gap between neighbours', beside: 'Room alongside for a slave lead', drive_in: 'Driven in', mouth: 'Stretch before its mouth', tail: 'Stretch before its tail', closed: 'Closed', x_cm: 'Mouth, to the right', y_cm: 'Mouth, down the sheet', heading: 'Heading out of the mouth' };
const home = { 'home.lane': 'Home lane', 'home.binding': 'Home is', 'home.reason': 'Reason for this home' };

export const fieldWords: Record<TableName, Record<string, string>> = {
  vehicles: {
    name: 'Name', id: 'Id', number: 'Number', nicknames: 'Nicknames', owner: 'Owner', contingent: 'Contingent', class: 'Class', placeholder: 'To be confirmed',
    length_cm: 'Length as parked', width_cm: 'Width', height_cm: 'Height', mass_kg: 'Mass', gap_ahead_cm: 'Own gap in front', gap_behind_cm: 'Own gap behind',
    gear: 'Running gear', reverse: 'Reverse', reverse_limit_cm: 'Reverse at most', turning_circle_cm: 'Turning circle', turns_on_spot: 'Turns on the spot', park_speed_cm_s: 'Speed in the park', hand_people: 'People to push it by hand (0: not by hand)',
    start: 'Start', start_clear_cm: 'Clear ahead for a tow start', start_word: 'Starting, in words', start_chance: 'Chance that it starts', starts_tried: 'Starts tried', starts_failed: 'Starts failed', fail_chance: 'Chance of failing in a run',
    warm_up_s: 'Warm-up', warm_where: 'Warmed up', longest_idle_s: 'Longest idle (0: no limit)', hot_rest_s: 'Rest before a hot restart', cool_down_s: 'Cool-down', light_up_s: 'Lighting up (steam)', never_alone: 'Never left alone', max_runs: 'Most runs a day (0: no limit)', max_running_s: 'Most time in the arena a day (0: no limit)',
    ...home, zones: 'Zones allowed (none: any)', stands_alone: 'Stands alone in its lane', keep_together: 'Keep together with', keep_apart: 'Keep apart from', standby: 'Must be able to leave at any time', owner_only: 'Not moved in a reset without its owner',
    arrive: 'Comes', depart: 'Leaves', off_road: 'Off the road', usual_driver: 'Usual driver', drivers: 'Others who may drive', note: 'Note', extra: 'Further columns',
  },
  combinations: { name: 'Name', id: 'Id', tower: 'Towing vehicle', towed: 'Towed, nearest first', length_cm: 'Length', reverse: 'Reverse', reverse_limit_cm: 'Reverse at most', couple_at: 'Coupled and parted at', takes_s: 'Coupling or parting takes', ...home },
  lanes: lane,
  lines: { name: 'Name', id: 'Id', zone: 'Zone', length_cm: 'Length', gap_cm: 'Gap between vehicles', out: 'Filled', home: 'Left on the way home', tail_leads: 'The tail leads on the way home', fouls: 'Marks that bar mouths', emergency_route: 'Lies on an emergency route', x_cm: 'Head, to the right', y_cm: 'Head, down the sheet', heading: 'Heading of the vehicles' },
  spots: { name: 'Name', id: 'Id', use: 'For', length_cm: 'Length', gap_cm: 'Gap between vehicles', zones: 'Serves zones (none: all)', emergency_route: 'Lies on an emergency route', x_cm: 'Head, to the right', y_cm: 'Head, down the sheet' },
  zones: { name: 'Name', id: 'Id', public: 'The public walk in it', engines_with_public: 'Engines may run with public inside' },
  stretches: { name: 'Name', id: 'Id', depth_cm: 'Depth' },
  people: { name: 'Name', id: 'Id', roles: 'Roles', extra: 'Further columns' },
  days: { name: 'Day', kind: 'For', public_from: 'Public from', public_to: 'Public until', engine_from: 'Engines from', engine_to: 'Engines until', teams: 'Marshal teams' },
  closings: { zone: 'Zone', closed: 'Closed at', to_clear_s: 'Clearing takes', clear: 'Declared clear by', reopened: 'Reopened at' },
  resets: { id: 'Id', from: 'From', to: 'Until', awkward: 'Awkwardness' },
  duties: { unit: 'Vehicle', what: 'What', id: 'Id', place: 'Where', from: 'There from', to: 'Until', driver: 'Driver' },
  classes: { name: 'Class', gear: 'Running gear', length_cm: 'Length', reverse: 'Reverse', start: 'Start', start_chance: 'Chance that it starts', fail_chance: 'Chance of failing in a run', warm_up_s: 'Warm-up', warm_where: 'Warmed up', longest_idle_s: 'Longest idle', hot_rest_s: 'Rest before a hot restart', cool_down_s: 'Cool-down', park_speed_cm_s: 'Speed in the park', awkward: 'Awkwardness (100: a light car)' },
  paces: { kind: 'Move', gear: 'Running gear', takes_s: 'Takes' },
  weights: {
    people: 'People for one driven move', entry: 'One entry at risk', change: 'A change of lane', told: 'A stay outside a told lane', issue: 'A stay elsewhere than in the last issue', together: 'A night apart of a kept-together pair', idle_percent: 'Held back or early, of a person-second', heavy_from_kg: 'Reversing counts from', heavy_metre: 'One metre reversed by a heavy vehicle',
    'start_words.starts well': '“Starts well” means', 'start_words.needs coaxing': '“Needs coaxing” means', 'start_words.doubtful': '“Doubtful” means', 'start_words.never seen': '“Never seen” means',
  },
  show: { name: 'Name', first_date: 'Date of the first day, as 2027-06-24', time_zone: 'Time zone, as Europe/London', 'park.teams': 'Marshal teams on duty at once', 'park.tow_percent': 'Towed mass at most, of the towing vehicle’s' },
};

export const groupWords: Record<string, string> = {
  who: 'What it is', size: 'Size', moving: 'Moving', starting: 'Starting', engine: 'Engine and runs', place: 'Where it stands', there: 'When',
  people: 'People', notes: 'Notes', public: 'The public and engines', ground: 'On the sheet', prices: 'Prices',
};

// unitOf returns the unit that stands in a label: "m"; "" when there is none.
export function unitOf(kind: Kind, key: string, system: System): string {
  if (key === 'park_speed_cm_s') return 'cm in a second';
  const metric = system === 'metric';
  switch (kind) {
    case 'length': return metric ? 'm' : 'ft';
    case 'mass': return metric ? 'kg' : 'lb';
    case 'minutes': return 'min';
    case 'seconds': return 's';
    case 'chance': case 'percent': return '%';
    case 'degrees': return '° from up the sheet';
    case 'amount': return 'people-seconds';
    default: return '';
  }
}

// How a kind of value is typed, where that is not plain.
export const hintOf: Partial<Record<Kind, string>> = {
  moment: 'day and time: Sat 10:30', window: 'Fri 10:00 – Fri 16:00, or from …, or until …', windows: 'Fri 10:00 – Fri 16:00; more after a semicolon',
  texts: 'more after a semicolon', many: 'names, more after a semicolon', fouls: 'one a line: 0–12.50: A1, A2', extra: 'one a line: Insurance: paid',
};

const ofWords: Record<string, string> = { units: 'vehicle', serials: 'serial', entries: 'entry' };
const nounOf = (of: string) => ofWords[of] ?? tableWords[of as TableName]?.one ?? of;

export const says: Says = {
  length: (t) => `“${t}” is no length: write it as 14.50, 1450 cm or 47' 7"`,
  mass: (t) => `“${t}” is no mass: write it as 8900, 8.9 t or 19600 lb`,
  number: (t) => `“${t}” is no number that fits here`,
  chance: (t) => `“${t}” is no chance: write it as 97 or 97 %`,
  moment: (t) => `“${t}” is no moment of this show: write a day and a time, as Sat 10:30`,
  choice: (t, choices) => `“${t}” is not one of: ${choices.join(', ')}`,
  unknown: (t, of) => `there is no ${nounOf(of)} “${t}”: choose one of the list, or add it first`,
  least: (least) => `it must be at least ${least}`,
  most: (most) => `it must be at most ${most}`,
  required: 'this is needed',
  window: 'write two moments with a dash between them',
  foul: (line) => `“${line}” cannot be read: write it as 0–12.50: A1, A2`,
  extra: (line) => `“${line}” cannot be read: write a heading, a colon and the text`,
  yes: 'yes', no: 'no', from: 'from', to: 'to', until: 'until',
};

function referrer(r: Referrer): string {
  const gone = r.gone ? ', which goes too' : '';
  switch (r.kind) {
    case 'entries': return `its entry in ${r.name}${gone}`;
    case 'serials': return `serial ${r.name}`;
    default: return `${tableWords[r.kind].one} ${r.name}${gone}`;
  }
}

export const words = {
  title: 'Register',
  tables: 'Tables',
  search: 'Search', searchHint: 'Search in all fields',
  only: 'Only', onlyAll: 'all', onlyAssumed: 'with something assumed', onlyTbc: 'to be confirmed',
  shown: (n: number, of: number) => (n === of ? `All ${n} shown.` : `${n} of ${of} shown.`),
  nothing: 'Nothing fits what you search for.',
  none: (many: string) => `There are no ${many.toLowerCase()} yet.`,
  add: (one: string) => `Add a ${one}`,
  duplicate: 'Duplicate', remove: 'Remove', close: 'Back to the list',
  unread: (fields: string[]) => `To put right first: ${fields.join(', ')}.`,
  stillNeeded: (labels: string[]) => `still needed: ${labels.join(', ')}`,
  newName: (one: string) => `New ${one}`,
  assumed: 'assumed', notGiven: 'not given', notAssumed: 'not given, and never assumed: what depends on it is not checked',
  asIs: 'not given',
  sortBy: (label: string) => `Sort by ${label}`, up: 'rising', down: 'falling',
  saving: 'Saving …',
  changed: (name: string, label: string, now: string) => (now === '' ? `${name}: ${label} no longer given` : `${name}: ${label} ${now}`),
  added: (one: string, name: string) => `Added ${one} ${name}`,
  duplicated: (one: string, name: string) => `Duplicated ${one} ${name}`,
  removed: (one: string, name: string) => `Removed ${one} ${name}`,
  removeAsk: (one: string, name: string) => `Remove ${one} ${name}?`,
  removeFree: 'Nothing else refers to it.',
  removeRefers: (n: number) => (n === 1 ? 'One thing refers to it and will be without it:' : `${n} things refer to it and will be without it:`),
  referrer,
  removeStays: (n: number) => (n === 1 ? 'One stay of the plan is with it; it will have to be planned anew.' : `${n} stays of the plan are with it; they will have to be planned anew.`),
  removeDay: 'Days are counted: remove the last one first.',
  more: (n: number) => `and ${n} more`,
  goneMeanwhile: 'Somebody has changed or removed it meanwhile. Look at it again.',
  keep: 'Keep it', removeYes: 'Remove it',
  taken: (id: string) => `“${id}” is the id of another one`,
  problemsHere: 'What is wrong here',
  readOnly: 'You may look at the register; a planner changes it.',
  park: 'Park editor', workbook: 'Workbook',
};

export const workbookWords = {
  title: 'Workbook in and out',
  choose: 'Choose a workbook (.xlsx) or a show (.json)',
  reading: 'Reading …',
  exportAs: 'Take the draft away as', xlsx: 'workbook (.xlsx)', zip: 'whole show with issues and log (.zip)', plan: 'plan (.json)',
  from: (file: string) => `${file}: what would change`,
  nothing: 'Nothing would change: the workbook says what the draft says.',
  counts: (fresh: number, changed: number, gone: number) => `${fresh} new, ${changed} changed, ${gone} gone`,
  sheet: 'Sheet', which: 'Which', change: 'Change', field: 'Field', was: 'Was', now: 'Now',
  change_new: 'new', change_changed: 'changed', change_gone: 'gone', empty: 'nothing',
  problems: (n: number) => (n === 1 ? 'One thing cannot be taken as it is' : `${n} things cannot be taken as they are`),
  problemsHint: 'Put these right in the workbook and choose it again. Nothing has been changed.',
  notes: 'Worth a look',
  take: 'Take it into the draft', leave: 'Leave it', taken: 'The workbook is in the draft. Undo takes it back.',
};

export const editorWords = {
  title: 'Park editor',
  about: 'Drag from a mouth inward to draw a lane. Everything can be done with the keyboard too.',
  sheet: 'Plan of the park, drawn by hand',
  tool: 'Tool', choose: 'Choose and move', pan: 'Move the sheet',
  draw: { lane: 'Draw a lane', line: 'Draw a line', spot: 'Draw a spot' }, stretch: 'Draw a stretch', scale: 'Set the picture’s scale', shiftPicture: 'Move the picture',
  toolHint: {
    choose: 'Drag a lane to move it, its round handle to turn it, its square handle to make it longer. Arrows move by 10 cm, with Shift by 1 m; [ and ] turn by 1°, with Shift by 15°; comma and full stop make it shorter and longer.',
    lane: 'Press at the mouth, drag inward, let go at the closed end.', line: 'Press at the head, drag back to the tail.', spot: 'Press where it begins. It runs to the right.',
    stretch: 'Drag a frame over the mouths that face one stretch of frontage.', scale: 'Press on two points of the picture of which you know the distance, then say how far they are apart.', picture: 'Drag the picture to where it belongs.',
  },
  nextTo: 'Draw', another: 'a new one',
  zoomIn: 'Larger', zoomOut: 'Smaller', fit: 'All of it',
  notPlaced: 'Not on the sheet yet', noneNotPlaced: 'Everything is on the sheet.', drawThis: (id: string) => `Draw ${id}`,
  putInMiddle: 'Put one in the middle',
  chosen: (kind: string, id: string) => `${kind} ${id}`, noneChosen: 'Choose a lane, line or spot on the sheet to see its figures.',
  kinds: { lane: 'Lane', line: 'Line', spot: 'Spot' },
  x: 'To the right', y: 'Down the sheet', heading: 'Heading', length: 'Length', degrees: '°',
  duplicate: 'Duplicate', copies: 'How many', spacing: 'From middle to middle', duplicateDo: 'Put them beside it',
  takeOff: 'Take it off the sheet', removeFromPark: 'Remove it from the park',
  picture: 'Site picture', choosePicture: 'Choose an image file', pictureKept: 'It stays in this browser and is not sent anywhere.', removePicture: 'Take the picture away', opacity: 'Strength', apart: 'These two points are apart', setScale: 'Set the scale',
  badPicture: 'This file is no image that the browser can show.', noStore: 'This browser keeps no pictures for this page; it is gone when you leave.',
  metre: 'm', scaleBar: (text: string) => text, north: 'Up the sheet is north',
  said: {
    drew: (kind: string, id: string) => `Drew ${kind} ${id}`, moved: (id: string) => `Moved ${id} on the sheet`, turned: (id: string, to: number) => `Turned ${id} to ${to}°`, longer: (id: string, length: string) => `${id} is ${length} long`,
    copied: (id: string, n: number) => `Duplicated ${id} ${n === 1 ? 'once' : `${n} times`}`, off: (id: string) => `Took ${id} off the sheet`, stretch: (id: string, lanes: string[]) => `Stretch ${id} before ${lanes.join(', ')}`,
  },
  stretchNone: 'No mouth lies in this frame.', stretchName: (n: number) => `Frontage ${n}`,
};
