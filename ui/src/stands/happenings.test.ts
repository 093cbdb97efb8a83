import { describe, expect, test } from 'vitest';
import { happenWords, words } from '../words/stands';
import { happening, happeningKinds } from './happenings';
import { Outbox, Refused } from './outbox.svelte';
import { answerSays } from './says';

const days = [{ name: 'Friday' }, { name: 'Saturday' }], at = 'D2 08:00';

describe('other happenings', () => {
  test('every kind has words', () => expect(happeningKinds.filter((k) => !happenWords.kinds[k.kind])).toEqual([]));
  test('times of the same day, spans in minutes', () => {
    expect(happening('late start', { unit: 'avocet', until: '11.05' }, at, days)).toEqual({ happening: { kind: 'late start', at, unit: 'avocet', until: 'D2 11:05' } });
    expect(happening('serial delayed', { serial: '3', by_s: '10' }, at, days)).toEqual({ happening: { kind: 'serial delayed', at, serial: '3', by_s: 600 } });
    expect(happening('lane closed', { lane: 'A1' }, at, days)).toEqual({ happening: { kind: 'lane closed', at, lane: 'A1' } });
    expect(happening('team lost', {}, at, days)).toEqual({ happening: { kind: 'team lost', at } });
  });
  test('says what is wrong at each field, all at once', () => {
    expect(happening('late start', { until: '07:00' }, at, days)).toEqual({ wrong: { unit: happenWords.needed, until: words.untilEarly('Saturday 08:00') } });
    expect(happening('serials swapped', { serial: '3', other: '3' }, at, days)).toEqual({ wrong: { other: happenWords.twice } });
    expect(happening('serial delayed', { serial: '3', by_s: 'soon' }, at, days)).toEqual({ wrong: { by_s: happenWords.minutesWrong } });
  });
  test('findings in a few words', () => {
    expect(answerSays([{ kind: 'fit with limits', no_reverse: true, max_runs: 2 }, { kind: 'late start', until: 'D2 11:00' }], days)).toBe('may not reverse, 2 runs a day at most, not before Saturday 11:00');
    expect(answerSays([{ kind: 'elsewhere', lane: 'B2', place: 1 }], days)).toBe('in B2, number 1 from the mouth');
  });
});

class Memory {
  kept = new Map<string, string>();
  getItem(key: string) { return this.kept.get(key) ?? null; }
  setItem(key: string, value: string) { this.kept.set(key, value); }
}

const rest = () => new Promise((resolve) => setTimeout(resolve, 0));
const here = (unit: string) => [{ kind: 'here', unit }];

describe('the outbox', () => {
  test('sends what is said, in order, and keeps nothing that was sent', async () => {
    const memory = new Memory(), sent: string[] = [];
    const box = new Outbox(3, memory, async (list) => { sent.push(...list.map((h) => h.unit!)); });
    box.moment(at);
    box.say('avocet', here('avocet'));
    box.say('bittern', here('bittern'));
    await rest();
    expect(sent).toEqual(['avocet', 'bittern']);
    expect(box.left).toEqual([]);
    expect(new Outbox(3, memory, async () => {}).answers).toEqual([]);
    expect(new Outbox(3, memory, async () => {}).at).toBe(at);
  });
  test('keeps what could not be sent, over a reload too, and sends it later', async () => {
    const memory = new Memory();
    const box = new Outbox(3, memory, async () => { throw new TypeError('no network'); });
    box.moment(at);
    box.say('avocet', here('avocet'));
    await rest();
    box.stop();
    expect(box.left.map((a) => a.unit)).toEqual(['avocet']);
    const sent: string[] = [];
    const again = new Outbox(3, memory, async (list) => { sent.push(...list.map((h) => h.unit!)); });
    await again.send();
    expect(sent).toEqual(['avocet']);
  });
  test('finds the one that is refused and sends the others', async () => {
    const sent: string[] = [];
    let up = false;
    const box = new Outbox(3, new Memory(), async (list) => {
      if (!up) throw new TypeError('no network');
      if (list.some((h) => h.unit === 'nobody')) throw new Refused('there is no vehicle "nobody"');
      sent.push(...list.map((h) => h.unit!));
    });
    box.moment(at);
    for (const unit of ['avocet', 'nobody', 'crake']) box.say(unit, here(unit));
    await rest();
    box.stop();
    up = true;
    await box.send();
    expect(sent).toEqual(['avocet', 'crake']);
    expect(box.refused.map((a) => [a.unit, a.refused])).toEqual([['nobody', 'there is no vehicle "nobody"']]);
    box.drop(box.refused[0]!.key);
    expect(box.left).toEqual([]);
  });
});
