// What jobs give, as the server writes it.

import type { Amount, Assumption, Cost, CostItem, Fault } from '../core/types';

export interface Row {
  variant: string;
  workable: boolean;
  faults: number;
  lost: number;
  moves_aside: number;
  reset_moves: number;
  lane_changes: number;
  held_back_min: number;
  shut_in_risk: Amount;
  total: Amount;
  bound: Amount;
}

interface Footed {
  not_checked?: string[];
  assumed?: Assumption[];
}

export interface PlanResult extends Footed {
  workable: boolean;
  best_possible: boolean;
  bound: Amount;
  verdict: string[];
  why?: string[];
  says?: string[];
  cost: Cost;
  faults: Fault[];
}

export interface VariantsResult extends Footed {
  rows: Row[] | null;
  answers: PlanResult[] | null;
}

export interface Advice {
  changes: { kind: string; what: string; people: string[] | null }[];
  asks_much: boolean;
  saves: number;
  mends: number;
  terms: { term: string; before: Amount; after: Amount }[] | null;
  stays: number;
  row: Row;
}

export interface AdviseResult extends Footed {
  present: Row;
  base: Row;
  sets: Advice[] | null;
  looked: number;
  planned: number;
  left_out: number;
  not_tried: string[] | null;
  interrupted?: boolean;
  says: string[];
}

export interface FailuresResult extends Footed {
  rows: unknown[] | null;
  stands: boolean;
  part?: boolean;
  says: string[];
  svg: string;
}

export interface Reason {
  term: string;
  item: CostItem;
  forced: string[] | null;
  cure?: { change: string; people: string[] | null; total_after: Amount; saves: number };
  tried: number;
}

export interface ExplainResult extends Footed {
  cost: Cost;
  reasons: Reason[] | null;
  left_out: number;
  not_tried: string[] | null;
  part?: boolean;
  says: string[];
}

export interface Results {
  plan: PlanResult;
  variants: VariantsResult;
  advise: AdviseResult;
  failures: FailuresResult;
  explain: ExplainResult;
}
