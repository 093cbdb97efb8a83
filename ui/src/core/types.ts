// What the server sends and takes. Shows, plans, faults and costs are the JSON
// of docs/format.md and docs/commands.md; the rest is of the planning table
// (docs/table.md). Moments are text, "D3 10:30"; lengths centimetres; spans
// seconds; chances 1/10,000. Fields that may be missing are optional.

export type Instant = string; // "D3 10:30" or "D3 10:30:15"; "" or missing: not given
export type Centimetres = number;
export type Seconds = number;
export type Amount = number; // weighted people-seconds

export interface Window { from?: Instant; to?: Instant }

export interface Home { lane?: string; binding?: 'free' | 'told' | 'fixed'; reason?: string }

export interface Vehicle {
  id: string; name: string; number?: string; nicknames?: string[]; owner?: string; contingent?: string; class?: string;
  length_cm?: Centimetres; width_cm?: Centimetres; height_cm?: Centimetres; mass_kg?: number;
  gap_ahead_cm?: Centimetres; gap_behind_cm?: Centimetres;
  gear?: 'wheeled' | 'half-tracked' | 'tracked' | 'steam' | 'towed';
  reverse?: 'yes' | 'short' | 'never'; reverse_limit_cm?: Centimetres;
  start?: 'self' | 'slave lead' | 'hand crank' | 'tow'; start_clear_cm?: Centimetres; hand_people?: number;
  turning_circle_cm?: Centimetres; turns_on_spot?: boolean; park_speed_cm_s?: number;
  warm_up_s?: Seconds; warm_where?: 'in lane' | 'at the mouth' | 'on the line'; longest_idle_s?: Seconds;
  hot_rest_s?: Seconds; cool_down_s?: Seconds; light_up_s?: Seconds; never_alone?: boolean;
  max_runs?: number; max_running_s?: Seconds;
  start_chance?: number; starts_tried?: number; starts_failed?: number;
  start_word?: 'starts well' | 'needs coaxing' | 'doubtful' | 'never seen'; fail_chance?: number;
  zones?: string[]; home?: Home; stands_alone?: boolean; keep_together?: string[]; keep_apart?: string[];
  standby?: boolean; owner_only?: boolean; arrive?: Window; depart?: Window; off_road?: Window;
  usual_driver?: string; drivers?: string[]; placeholder?: boolean; note?: string; extra?: Record<string, string>;
}

export interface Combination {
  id: string; name: string; tower: string; towed: string[]; length_cm?: Centimetres;
  reverse?: 'yes' | 'short' | 'never'; reverse_limit_cm?: Centimetres; couple_at?: string; takes_s?: Seconds; home?: Home;
}

export interface Zone { id: string; name?: string; public?: boolean; engines_with_public?: boolean }

export interface Lane {
  id: string; name?: string; zone?: string; kind?: 'dead-end' | 'through' | 'open';
  length_cm: Centimetres; width_cm?: Centimetres; max_mass_kg?: number; max_deep?: number;
  drive_in?: 'reversed' | 'nose first' | 'either'; gap_cm?: Centimetres; beside?: boolean;
  mouth?: string; tail?: string; closed?: Window[]; x_cm?: Centimetres; y_cm?: Centimetres; heading?: number;
}

export interface Stretch { id: string; name?: string; depth_cm?: Centimetres }

export interface Line {
  id: string; name?: string; zone?: string; length_cm?: Centimetres; gap_cm?: Centimetres;
  out?: 'strict' | 'free'; home?: 'in order' | 'any order'; tail_leads?: boolean;
  fouls?: { from_cm: Centimetres; to_cm: Centimetres; lanes: string[] }[];
  emergency_route?: boolean; x_cm?: Centimetres; y_cm?: Centimetres; heading?: number;
}

export interface Spot {
  id: string; name?: string; use: 'waiting aside' | 'breakdown bay' | 'loading' | 'coupling';
  length_cm?: Centimetres; gap_cm?: Centimetres; zones?: string[]; emergency_route?: boolean; x_cm?: Centimetres; y_cm?: Centimetres;
}

export interface Park {
  zones?: Zone[]; lanes: Lane[]; stretches?: Stretch[]; lines?: Line[]; spots?: Spot[]; teams?: number; tow_percent?: number;
  paces?: { kind?: string; gear?: string; takes_s: Seconds }[];
}

export interface Entry {
  id: string; unit: string; driver?: string; crew?: string[]; reserves?: string[]; value?: number; join?: 'line' | 'arena';
}

export interface Serial {
  id: string; name?: string; line?: string; home_line?: string;
  form_from?: Instant; form_up?: Instant; arena_in?: Instant; arena_out?: Instant; home_by?: Instant;
  travel_s?: Seconds; entries: Entry[]; leaving?: string[]; note?: string;
}

export interface Duty { id: string; unit: string; what: string; place?: string; from: Instant; to: Instant; driver?: string }
export interface Person { id: string; name: string; roles?: string[]; extra?: Record<string, string> }
export interface Day {
  name: string; kind?: 'build-up' | 'show' | 'break-down'; public_from?: Instant; public_to?: Instant;
  engine_from?: Instant; engine_to?: Instant; teams?: number;
}
export interface Closing { zone: string; closed: Instant; to_clear_s?: Seconds; clear?: Instant; reopened: Instant }
export interface ResetWindow { id: string; from: Instant; to: Instant; awkward?: number }

export interface Show {
  format: string; name: string; first_date?: string; time_zone?: string; days: Day[]; park: Park; vehicles: Vehicle[];
  combinations?: Combination[]; serials: Serial[]; duties?: Duty[]; people?: Person[]; closings?: Closing[];
  resets?: ResetWindow[]; classes?: unknown[]; weights?: Record<string, unknown>;
}

export interface Pos { kind: 'away' | 'lane' | 'line' | 'arena' | 'spot' | 'duty'; id?: string; end?: 'mouth' | 'tail' }
export interface Wait { move?: string; begun?: string; line?: string; clear?: string }

export interface Move {
  id: string; kind: string; unit?: string; units?: string[]; from: Pos; to: Pos; via?: string; serial?: string; entry?: string;
  duty?: string; window?: string; reverse?: boolean; by_hand?: boolean; helper?: string; start: Instant; takes_s: Seconds;
  nominal?: Instant; driver?: string; marshals?: number; after?: Wait[];
}

export interface Plan {
  format: string; show: string; key?: { version: string; seed: number; steps: number; show: string; bound?: Amount };
  start: { lane: string; units: string[]; nose_in?: string[] }[]; moves: Move[]; unserved?: string[];
  from?: unknown; past?: Move[]; happened?: Happening[];
}

export interface Fault {
  rule: string; place?: string; at?: Instant; units?: string[]; serial?: string; entry?: string; move?: string; sentence: string;
}
export interface Assumption { subject: string; field: string; value: string; why: string; effect: string }
export interface CostItem { amount: Amount; units: string[]; move?: string; serial?: string; lane?: string; at?: Instant; why: string }
export interface CostTerm { name: string; amount: Amount; count: number; items?: CostItem[] }
export interface Cost { lost: number; total: Amount; terms: CostTerm[] }

export interface Happening {
  kind: string; at?: Instant; unit?: string; where?: string; until?: Instant; lane?: string; place?: number; serial?: string;
  other?: string; by_s?: Seconds; reserve?: string; from?: Instant; to?: Instant; no_reverse?: boolean; max_runs?: number;
}

// A problem of a show or a file: what, where, and what to do.
export interface Problem { message: string; hint?: string; where?: string; subject?: string; field?: string }

// Every answer that is an error (RFC 9457, application/problem+json).
export interface Trouble {
  status: number; code: string; title: string; detail: string; hint?: string; problems?: Problem[];
  theirs?: DraftInfo; // with code "conflict": the version that is kept
}

// ---- the planning table -------------------------------------------------

export interface ShowLine { id: number; name: string; created: string; changed: string; archived?: string; issues: number; version: number }
export interface DraftInfo { version: number; author: string; saved: string; what: string }

// Where one unit is. from_cm: of its nearer edge from the mouth line of its
// lane; on lines and spots from the head.
export interface Place {
  in: 'lane' | 'line' | 'spot' | 'arena' | 'duty' | 'away'; id?: string; from_cm?: Centimetres; nose_in?: boolean; off_road?: boolean;
}

// How the park changes: start, then each move with the places of all units that
// it changes. Steps are in the order in which they are played (order of start).
export interface Film {
  from: Instant; to: Instant;
  start: Record<string, Place>; // by unit
  steps: { move: string; at: Instant; ends: Instant; to: Record<string, Place> }[];
}

// One stay: a unit in one lane, unbroken. lane "" means it found no room.
export interface Stay {
  id: string; // unit + "/" + after
  unit: string; after: string; // serial, duty or reset after which it begins; "": from the start
  lane: string; from: Instant; to: Instant; // to "": to the end
  fixed?: boolean;
}

export interface Step { what: string; author: string; version: number } // that undo or redo would take back or make again

// All that the screens show of a draft or of an issue.
export interface Table {
  id: number; name: string; version: number; author: string; saved: string; archived?: boolean;
  issue?: number; // when this is an issue, not the draft
  issued: number; // number of the newest issue, 0: none
  show: Show; // as given
  complete: Show; // with every gap filled
  plan?: Plan;
  problems: Problem[]; // contradictions; then nothing is planned
  notes: string[]; // worth a look in the show
  workable: boolean; best_possible: boolean; bound: Amount; // bound 0: not known
  verdict: string[]; why?: string[]; faults: Fault[]; order_alone: Fault[]; cost?: Cost;
  not_checked: string[]; assumed: Assumption[];
  stays: Stay[]; film?: Film;
  undo?: Step; redo?: Step;
}

// Would it do to put a unit's stay into a lane?
export interface Held {
  lane: string; version: number;
  fits: boolean; // nothing new is broken
  cost: Amount; lost: number; // more (or less) than now
  says: string[]; // who is blocked and when, what is overfull …, worst first; empty: nothing changes
  faults: Fault[]; // new ones
  not_checked?: string[];
}

export interface Clash { rule: string; serial?: string; entry?: string; duty?: string; units?: string[]; people?: string[]; at?: Instant; sentence: string; hint?: string }

export type JobKind = 'plan' | 'variants' | 'advise' | 'failures' | 'explain' | 'replan';
export interface Job {
  id: string; kind: JobKind; show: number; version: number; author: string; begun: string; ended?: string;
  state: 'waiting' | 'working' | 'done' | 'stopped' | 'failed';
  phase?: string; done?: number; all?: number; // progress where it can be counted
  steps?: number; cost?: Cost; bound?: Amount; workable?: boolean; // of a search, so far
  saved?: number; // version of the draft in which the result was kept
  kept?: number; // number of the saved copy, when the draft had changed meanwhile
  trouble?: Trouble;
}
export interface JobAsk {
  kind: JobKind; seconds?: number; steps?: number; seed?: number;
  stand?: boolean; most?: number; only?: string[]; keep?: string[]; // plan, advise
  at?: Instant; // replan
}

export interface CopyLine { number: number; kept: string; author: string; note: string; version: number }
export interface IssueLine { number: number; published: string; author: string; note: string; version: number }
export interface LogLine { number: number; said: string; author: string; happening: Happening; says: string }

// One thing that people have to be told.
export interface Notice {
  at: Instant; unit?: string; vehicle: string; serial?: string; people?: string[]; was?: string; now: string; why?: string; line: string;
}

// Two states side by side.
export interface Comparison {
  a: string; b: string; // "Issue 2", "Draft 17"
  events: { serial: string; entry?: string; what: string; was: string; now: string; people: string[] }[];
  moved: { unit: string; after: string; was: string; now: string }[];
  notices: Notice[];
  cost: { term: string; was: Amount; now: Amount }[]; total: { was: Amount; now: Amount };
  says: string[];
}

export interface Difference { sheet: string; id: string; name: string; change: 'new' | 'changed' | 'gone'; fields: { field: string; was: string; now: string }[] }
export interface Preview { token: string; file: string; problems: Problem[]; notes: string[]; differences: Difference[] }

export type Role = 'planner' | 'marshal' | 'crew' | 'viewer';
// role is '' while nobody is signed in; account: with a password of one's own;
// first: nobody can sign in yet, the first account is to be made.
export interface Session { name: string; role: Role | ''; solo: boolean; signed_in: boolean; account: boolean; first?: boolean; addresses: string[]; version: string }
export interface Account { id: number; name: string; role: Role; added: string; last?: string; blocked?: boolean }
export interface JoinLink { id: number; role: Role; note: string; made: string; until: string; used?: string; by?: string; ended?: string; url?: string; code?: string; qr?: string } // url, code and qr (SVG) only when made
export interface AuditLine { number: number; at: string; who: string; role: Role | ''; from: string; what: string; show?: number }
