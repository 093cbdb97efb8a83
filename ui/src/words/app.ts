// What the shell around the screens says.

const count = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;

export const words = {
  program: 'Sallyport',
  skip: 'Go to the screen',
  screens: { park: 'Park', events: 'Order of events', stands: 'As it stands', register: 'Register', plan: 'Plan', issues: 'Issues' },
  shows: 'All shows',
  who: 'Who may',
  signOut: 'Sign out',
  loading: 'One moment …',
  close: 'Close',
  undo: (what?: string) => (what ? `Undo: ${what}` : 'Nothing to undo'),
  redo: (what?: string) => (what ? `Redo: ${what}` : 'Nothing to redo'),
  light: { label: 'Light', auto: 'as the device', light: 'light', dark: 'dark' },
  measure: { label: 'Measures', metric: 'metric', imperial: 'feet' },
  here: (names: string[]) => `Also here: ${names.join(', ')}`,
  saving: 'Saving …',
  saved: (version: number) => `Draft ${version}, saved`,
  issue: (n: number) => `Issue ${n}, not to be changed`,
  archived: 'Archived, not to be changed',
  unsaved: 'Not saved yet: the server gives no answer. The edit is kept here and sent again.',
  gone: 'The server gives no answer. Trying again …',
  noPlan: 'No plan yet.',
  faults: (n: number) => count(n, 'rule broken', 'rules broken'),
  problems: (n: number) => count(n, 'thing to put right', 'things to put right'),
  notChecked: (n: number) => `Not checked: ${n}`,
  assumed: (n: number) => `Assumed: ${n}`,
  trouble: { noAnswer: 'The server gives no answer.', notFound: 'This show is not there.' },
  conflict: {
    title: 'Somebody else has changed this show',
    theirs: (author: string, what: string) => `Kept: ${author || 'somebody'} – ${what || 'a change'}`,
    mine: (what: string) => `Yours, not kept yet: ${what}`,
    take: 'Put mine in its place',
    leave: 'Leave what is kept',
    note: 'Nothing has been overwritten. What you replace can be brought back with Undo.',
  },
};
