// Texts of As it stands.

export const words = {
  title: 'As it stands', first: 'First parade', rest: 'Other things that happened', replan: 'Replan', log: 'Log of the day',
  noPlan: 'There is no plan yet, so it is not known who should stand where. Plan the show first.',
  noneHere: 'By the plan nobody stands in the park at this moment. Choose another day or time.',
  day: 'Day', time: 'Time', now: 'Now', nowIs: (when: string) => `Now, ${when}`,
  progress: (n: number, of: number, where: string) => `${n} of ${of}, ${where}`,
  lane: (id: string) => `lane ${id}`, spot: (id: string) => `spot ${id}`,
  place: (n: number, of: number) => (of === 1 ? 'alone in it' : n === 1 ? `at the mouth, first of ${of}` : `number ${n} of ${of} from the mouth`),
  nose: (inward: boolean) => (inward ? 'nose inward' : 'nose to the mouth'), offRoad: 'off the road',
  mayNot: 'Marshals and planners say what is found; you may read what was said.', viewer: 'What has happened on the day is read by planners, marshals and crews.',
  number: (n: string) => `number ${n}`,
  firstSerial: (id: string, name: string, when: string) => `First today: serial ${id}${name ? ` ${name}` : ''}, formed up ${when}`, noSerial: 'No serial today',
  here: 'Here', elsewhere: 'Elsewhere', limits: 'Limits', doNotMove: 'Do not move',
  keys: { here: 'H or Enter', elsewhere: 'E', limits: 'L', doNotMove: 'D', back: 'B', skip: 'S' },
  back: 'Back', skip: 'Skip', cancel: 'Not this', say: 'Say so',
  whichLane: 'In which lane does it stand?', roomHint: 'Left: about what is free by the plan and by what was said.', whichPlace: 'Number from the mouth', laneUnknown: (t: string) => `there is no lane “${t}”`, placeWrong: 'a number from 1, or nothing',
  noReverse: 'May not reverse', maxRuns: 'Runs a day at most', notBefore: 'Not before', noLimit: 'Say at least one limit.', runsWrong: 'a whole number from 1, or nothing',
  until: 'Until', untilHint: 'nothing: for the rest of the show', untilWrong: (t: string) => `“${t}” is no moment of this show: write a time, or a day and a time`, untilEarly: (when: string) => `it must be later than ${when}`,
  left: (length: string) => `${length} left`,
  done: (n: number) => `All ${n} looked at.`, doneSkipped: (n: number, left: number) => `${n - left} of ${n} looked at, ${left} skipped.`, again: 'Go through the skipped ones', toReplan: 'On to replanning', fromStart: 'Go through all again',
  findings: (n: number) => (n === 0 ? 'Everything is as planned.' : n === 1 ? 'One is not as planned:' : `${n} are not as planned:`),
  sent: 'sent', notSent: 'not sent yet, kept here', allSent: 'All answers are sent.', someUnsent: (n: number) => (n === 1 ? 'One answer is not sent yet. It is kept on this device.' : `${n} answers are not sent yet. They are kept on this device.`), sendAgain: 'Send again now', sending: 'Sending …',
  refused: 'The server did not take it:', drop: 'Leave it out',
  saidBefore: (what: string) => `Said before: ${what}`,
  list: 'Everyone in this round', open: 'not looked at', goTo: (name: string) => `Go to ${name}`,
  caution: 'Where somebody pushes, tows or moves among the public, local rules and licensed practice come first.',
};

export const happenWords = {
  kind: 'What happened', add: 'Say so', at: 'When', unit: 'Vehicle', until: 'Until', mended: 'Mended by', where: 'Where', lane: 'Lane', serial: 'Serial', other: 'and serial', minutes: 'Late by, min', reserve: 'Reserve', from: 'From', to: 'Until', choose: 'choose …',
  kinds: { 'late start': 'starts late', failed: 'has failed', 'serial cancelled': 'serial cancelled', 'serial delayed': 'serial delayed', 'serials swapped': 'serials swapped', reserve: 'a reserve takes an entry', 'lane closed': 'lane closed', 'team lost': 'a marshal team is lost' } as Record<string, string>,
  needed: 'this is needed', optional: 'may stay empty', minutesWrong: 'whole minutes from 1', twice: 'choose another one',
  said: 'It is in the log.', waiting: 'It is kept here and sent as soon as the server answers.',
};

export const answerWords = {
  here: 'here', elsewhere: (lane: string, place?: number) => `in ${lane}${place ? `, number ${place} from the mouth` : ''}`,
  limits: (noReverse: boolean, maxRuns: number) => [noReverse ? 'may not reverse' : '', maxRuns > 0 ? `${maxRuns} ${maxRuns === 1 ? 'run' : 'runs'} a day at most` : ''].filter((x) => x).join(', '),
  late: (when: string) => `not before ${when}`, doNotMove: (when: string) => (when ? `do not move until ${when}` : 'do not move'), failed: (where: string) => `failed ${where}`,
};

export const replanWords = {
  title: (when: string) => `Replan from ${when}`, from: 'Replan from', start: 'Replan', about: 'Looks for the cheapest way on from what stands where now, and counts what it costs to tell people.',
  leftOut: (issue: number) => `The show was changed after Issue ${issue}. Replanning goes on from Issue ${issue}, which people have: those changes are not in its answer, and the answer takes their place in the draft. Say delays, swaps and cancellations under Other things that happened; publish other changes first.`,
  unsentFirst: 'Send the answers first: a plan that does not know them would be wrong.',
  working: 'Working', waiting: 'Waiting for another job', notYet: 'no workable answer yet', stop: 'Stop, keep what there is', stopped: 'Stopped. This is what there was so far.', failed: 'It could not be replanned', elsewhereKept: (n: number) => `Somebody changed the draft meanwhile. The answer is kept as saved copy ${n}.`,
  cost: (total: string, lost: number) => `Cost ${total}` + (lost > 0 ? `, value lost ${lost}` : ''),
  nothing: 'Nothing changes: the plan goes on as it is.', changes: (n: number) => (n === 1 ? 'One thing changes' : `${n} things change, in order of time`), soFar: 'So far; it may still get better.',
  when: 'When', who: 'Vehicle', now: 'Now', was: 'Was', why: 'Why', tell: 'Tell', nobody: 'nobody named', serial: (id: string) => `serial ${id}`,
  lost: 'What is lost or does not work', reasons: 'Why so', today: (n: number) => `To tell on this day (${n})`, later: (n: number) => `To tell on later days (${n})`, notChecked: (n: number) => `Not checked (${n})`, assumed: (n: number) => `Assumed (${n})`, take: 'Take it into the draft', taken: 'It is in the draft. Undo takes it back.', publish: 'Publish', note: 'Note for the issue', noteDefault: (when: string) => `Replanned from ${when}`, published: (n: number) => `Published as Issue ${n}.`, publishAsk: 'People see the new plan only when it is published.', leave: 'Leave it',
  print: 'Print',
  cannot: 'Marshals replan; a planner takes it into the draft and publishes.',
};

export const logWords = {
  none: 'Nothing has been said on this day yet.', at: 'Holds at', says: 'What', by: 'Said by', day: (name: string) => `Log of ${name}`, all: 'All days',
};
