// Names for ids of a show.

import type { Show } from '../core/types';
import type { Names } from '../words/park';

export function namesOf(show: Show): Names {
  const units = new Map<string, string>([...show.vehicles, ...(show.combinations ?? [])].map((v) => [v.id, v.name]));
  const places = new Map<string, string>([...show.park.lanes, ...(show.park.lines ?? []), ...(show.park.spots ?? []), ...(show.park.zones ?? [])].map((p) => [p.id, p.name || p.id]));
  const stretches = new Map((show.park.stretches ?? []).map((x) => [x.id, x.name || x.id]));
  const serials = new Map(show.serials.map((s) => [s.id, s.name || s.id]));
  const people = new Map((show.people ?? []).map((p) => [p.id, p.name]));
  const of = (map: Map<string, string>) => (id: string) => map.get(id) ?? id;
  return { unit: of(units), place: of(places), stretch: of(stretches), serial: of(serials), driver: of(people) };
}
