// A machine of phases and events, run by a table: what happens in a phase at an event is one row.

/**
 * What an event does in a phase: the phase that follows, and the actions to take, in order.
 * @template {string} Phase
 * @template {string} Action
 * @typedef {{to: Phase, does: readonly Action[]}} Row
 */

/**
 * Rows by phase and event. An event without a row does nothing in that phase.
 * @template {string} Phase
 * @template {string} Event
 * @template {string} Action
 * @typedef {Record<Phase, Partial<Record<Event, Row<Phase, Action>>>>} Table
 */

/**
 * Return a table with the rows of a second one put into it.
 * @template {string} Phase
 * @template {string} Event
 * @template {string} Action
 * @param {Table<Phase, Event, Action>} table
 * @param {Partial<Table<Phase, Event, Action>>} more
 * @returns {Table<Phase, Event, Action>}
 */
export function extended(table, more) {
  const found = {...table};
  for (const phase of /** @type {Phase[]} */ (Object.keys(more))) {
    found[phase] = {...table[phase], ...more[phase]};
  }
  return found;
}

/**
 * Goes through the phases of a table. An event that comes while another is dealt with waits.
 * @template {string} Phase
 * @template {string} Event
 * @template {string} Action
 * @template Detail
 */
export class Machine {
  /**
   * @param {Table<Phase, Event, Action>} table
   * @param {Phase} first
   * @param {Record<Action, (event: Event, detail: Detail) => void>} actions
   * @param {{entering: (left: Phase) => void, entered: () => void}} around called before the actions, when
   *   the phase is another one by now, and after them
   */
  constructor(table, first, actions, around) {
    this.table = table;
    this.phase = first;
    this.actions = actions;
    this.around = around;
    /** Counts the changes of phase: what takes its time can see whether anything came between. */
    this.turn = 0;
    /** @type {[Event, Detail][]} */
    this.waiting = [];
    this.isBusy = false;
  }

  /**
   * Tell the machine what has happened.
   * @param {Event} event
   * @param {Detail} detail what the actions need to know
   */
  send(event, detail) {
    this.waiting.push([event, detail]);
    if (this.isBusy) return;
    this.isBusy = true;
    try {
      for (let next = this.waiting.shift(); next; next = this.waiting.shift()) this.step(...next);
    } finally {
      this.isBusy = false;
    }
  }

  /**
   * @param {Event} event
   * @param {Detail} detail
   */
  step(event, detail) {
    const row = this.table[this.phase][event];
    if (!row) return;
    const left = this.phase;
    this.phase = row.to;
    if (row.to !== left) {
      this.turn += 1;
      this.around.entering(left);
    }
    for (const action of row.does) this.actions[action](event, detail);
    this.around.entered();
  }
}
