// What the list of shows says.

export const words = {
  title: 'Shows',
  none: 'No show is kept here yet.',
  demo: 'Begin with the demonstration show',
  newName: 'Name of a new show', usualName: 'New show', demoName: 'Fenmoor Collection, to try out',
  empty: 'Begin an empty show',
  import: 'Bring in an exported show (.zip)',
  workbook: 'A workbook is taken into a show: open one, or begin an empty one, and go to Register, Workbook.',
  open: 'Open',
  duplicate: 'Duplicate',
  archive: 'Archive',
  unarchive: 'Take out of the archive',
  archived: 'archived',
  export: 'Export',
  name: 'Show', changed: 'Last changed', issues: 'Issues',
  actions: 'What to do',
};
