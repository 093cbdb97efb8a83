import { describe, expect, it } from 'vitest';
import { clockAt, dayAt, momentAt, readClock, readMoment, secondsAt, secondsOf, shownOn, writeMoment } from './time';

describe('moments', () => {
  it('go to seconds and back', () => {
    for (const m of ['D1 00:00', 'D3 10:30', 'D3 10:30:15', 'D12 23:59:59']) expect(momentAt(secondsAt(m)!)).toBe(m);
  });
  it('that are none have no seconds', () => {
    for (const m of ['', undefined, '10:30', 'D3', 'Friday 10:30']) expect([secondsAt(m), secondsOf(m)]).toEqual([null, 0]);
  });
  it('show the day only when it is another', () => {
    expect(shownOn(3, 'D3 10:30')).toBe('10:30');
    expect(shownOn(3, 'D4 00:20')).toBe('D4 00:20');
    expect(shownOn(3, undefined)).toBe('');
  });
  it('before the first day keep their time of day', () => {
    expect(clockAt(-60)).toBe('23:59');
    expect(dayAt(-60)).toBe(0);
  });
});

describe('typed times', () => {
  const moments: [string, string][] = [
    ['1030', 'D3 10:30'],
    ['930', 'D3 09:30'],
    ['0930', 'D3 09:30'],
    ['10:30', 'D3 10:30'],
    ['10.30', 'D3 10:30'],
    ['10h30', 'D3 10:30'],
    ['10 30', 'D3 10:30'],
    [' 9 ', 'D3 09:00'],
    ['10:30:15', 'D3 10:30:15'],
    ['24:00', 'D4 00:00'],
    ['d4 0:20', 'D4 00:20'],
    ['D4 0020', 'D4 00:20'],
  ];
  it.each(moments)('%s is %s', (text, moment) => {
    expect(readClock(text, 3)).toEqual({ kind: 'moment', moment });
  });
  it.each(['25:00', '10:60', '1075', '10:3', 'noon', '24:01', '10:30:75', 'D0 10:00', '10:30 pm'])('%s is no time', (text) => {
    expect(readClock(text, 3)).toEqual({ kind: 'wrong' });
  });
  it('with a sign are minutes to move by', () => {
    expect(readClock('+10', 3)).toEqual({ kind: 'by', minutes: 10 });
    expect(readClock('-5', 3)).toEqual({ kind: 'by', minutes: -5 });
  });
  it('that are empty give no time', () => {
    expect(readClock('  ', 3)).toEqual({ kind: 'none' });
  });
});

describe('moments with a day', () => {
  const days = [{ name: 'Friday' }, { name: 'Saturday' }, { name: 'Sunday' }];
  it.each([
    ['Sat 10.30', 'D2 10:30'], ['saturday 1030', 'D2 10:30'], ['D3 6:05', 'D3 06:05'], ['Fri 24:00', 'D2 00:00'], ['day 2 9:00', 'D2 09:00'], ['Sat 10:30:05', 'D2 10:30:05'],
  ])('%s is %s', (text, moment) => expect(readMoment(text, days)).toBe(moment));
  it.each(['S 10:30', '10:30', 'Fri 10:75', 'Fri 24:01', 'D5 10:00', 'noon'])('%s is none', (text) => expect(readMoment(text, days)).toBeUndefined());
  it('take the day of another when none is typed', () => expect(readMoment('10:30', days, 'D2 08:00')).toBe('D2 10:30'));
  it('are written with the name of the day', () => {
    expect(writeMoment('D2 10:30', days)).toBe('Saturday 10:30');
    expect(writeMoment('D9 10:30', days)).toBe('D9 10:30');
  });
});
