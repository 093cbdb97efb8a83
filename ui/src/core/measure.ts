// Lengths, masses and spans as people type and read them. Stored are whole
// centimetres, kilograms and seconds.

export type System = 'metric' | 'imperial';

const cmPerInch = 2.54;
export const kgPerPound = 0.45359237;

// metres returns centimetres with two decimals and no unit: "14.50".
export function metres(cm: number): string {
  const sign = cm < 0 ? '-' : '';
  const whole = Math.abs(Math.round(cm));
  return `${sign}${Math.floor(whole / 100)}.${String(whole % 100).padStart(2, '0')}`;
}

// feet returns centimetres as feet and inches, to half an inch: 47' 7".
export function feet(cm: number): string {
  const sign = cm < 0 ? '-' : '';
  const halves = Math.round(Math.abs(cm) / cmPerInch * 2);
  const ft = Math.floor(halves / 24);
  const rest = (halves - ft * 24) / 2;
  return `${sign}${ft}' ${Math.floor(rest)}${rest % 1 ? '½' : ''}"`;
}

// lengthSays returns centimetres with their unit.
export const lengthSays = (cm: number, system: System) => (system === 'imperial' ? feet(cm) : `${metres(cm)} m`);

// decimal reads a number with a point or a comma; undefined: it is none.
export function decimal(text: string): number | undefined {
  const t = text.trim().replace(',', '.');
  return /^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(t) ? Number(t) : undefined;
}

const lengthUnits: [RegExp, number][] = [
  [/^(m|metres?|meters?)$/i, 100], [/^cm$/i, 1], [/^mm$/i, 0.1], [/^(ft|feet|foot|')$/i, 12 * cmPerInch], [/^(in|inch|inches|")$/i, cmPerInch], [/^(yd|yds|yards?)$/i, 36 * cmPerInch],
];

// readLength reads "14.5", "14,5 m", "1450 cm", 47' 7", "47 ft 7 in"; without
// a unit metres, or feet in the imperial display. undefined: not a length.
export function readLength(text: string, system: System): number | undefined {
  const t = text.trim().replace(/½/g, '.5').replace(/[’′]/g, "'").replace(/[”″]/g, '"');
  const both = /^(-?[\d.,]+)\s*(?:ft|feet|foot|')\s*([\d.,]+)\s*(?:in|inch|inches|")?$/i.exec(t);
  if (both) {
    const ft = decimal(both[1]!), inch = decimal(both[2]!);
    return ft === undefined || inch === undefined ? undefined : Math.round((Math.abs(ft) * 12 + inch) * cmPerInch) * (t.startsWith('-') ? -1 : 1);
  }
  const one = /^([+-]?[\d.,]+)\s*(\D*)$/.exec(t);
  const n = one && decimal(one[1]!);
  if (!one || n === undefined || n === null) return undefined;
  const unit = one[2]!.trim();
  const times = unit === '' ? (system === 'metric' ? 100 : 12 * cmPerInch) : lengthUnits.find(([u]) => u.test(unit))?.[1];
  return times === undefined ? undefined : Math.round(n * times);
}

// readMass reads kilograms, "8.9 t", "19600 lb", "175 cwt" (of 112 lb); without
// a unit kilograms, or pounds in the imperial display.
export function readMass(text: string, system: System): number | undefined {
  const one = /^([\d.,\s]+?)\s*([a-z]*)$/i.exec(text.trim());
  const n = one && decimal(one[1]!.replace(/\s/g, '').replace(/,(?=\d{3}\b)/g, ''));
  if (!one || n === undefined || n === null) return undefined;
  const unit = one[2]!.toLowerCase() || (system === 'metric' ? 'kg' : 'lb');
  const times = { kg: 1, t: 1000, tonne: 1000, tonnes: 1000, lb: kgPerPound, lbs: kgPerPound, cwt: 112 * kgPerPound }[unit];
  return times === undefined ? undefined : Math.round(n * times);
}

// readSpan reads minutes ("12", "1.5"), "1 h 05 min", "90 s", "0:12" (hours and
// minutes) into seconds.
export function readSpan(text: string, bare: 'minutes' | 'seconds' = 'minutes'): number | undefined {
  const t = text.trim().toLowerCase();
  const clock = /^(\d+):([0-5]\d)$/.exec(t);
  if (clock) return (Number(clock[1]) * 60 + Number(clock[2])) * 60;
  const n = decimal(t);
  if (n !== undefined) return Math.round(n * (bare === 'minutes' ? 60 : 1));
  let seconds = 0, rest = t;
  for (const [unit, times] of [[/^([\d.,]+)\s*(?:hours?|h)\s*/, 3600], [/^([\d.,]+)\s*(?:minutes?|mins?|m)\s*/, 60], [/^([\d.,]+)\s*(?:seconds?|secs?|s)\s*/, 1]] as const) {
    const m = unit.exec(rest);
    const v = m && decimal(m[1]!);
    if (m && v !== undefined && v !== null) { seconds += v * times; rest = rest.slice(m[0].length); }
  }
  return rest === '' && t !== '' ? Math.round(seconds) : undefined;
}
