// Only one tab of this browser sends at a time. Browsers have locks for that, but on https and localhost alone; on plain
// http a lease in the database does, which runs out when its tab has gone to sleep or died. If all fails two tabs send
// the same events, which the server knows by their ids.

import { newId } from "./device.js";
import { change } from "./store.js";

const LEASE_MS = 45000; // longer than a post may take
const RENEW_MS = 10000;
const LOOK_AGAIN_MS = 300;

const me = newId();

/** Runs the work when no other tab runs work of this name; resolves as the work does. */
export const alone = (name, work) => (navigator.locks ? navigator.locks.request(name, work) : leased(name, work));

async function leased(name, work) {
  while (!(await lease(name))) await new Promise((later) => setTimeout(later, LOOK_AGAIN_MS));
  const renewing = setInterval(lease, RENEW_MS, name);
  try {
    return await work();
  } finally {
    clearInterval(renewing);
    await giveBack(name);
  }
}

/** True when the lease is this tab's, for a while from now. One transaction: two tabs never both have it. */
const lease = (name) =>
  change(["meta"], "readwrite", (tx, give) => {
    const meta = tx.objectStore("meta");
    meta.get(`lease ${name}`).onsuccess = ({ target }) => {
      const now = Date.now();
      const held = target.result;
      // A clock that was set back must not make a lease of years.
      const isOthers = held && held.tab !== me && held.until > now && held.until <= now + LEASE_MS;
      if (!isOthers) meta.put({ tab: me, until: now + LEASE_MS }, `lease ${name}`);
      give(!isOthers);
    };
  }).catch(() => true); // no database: the other tab has none either, and neither can wait for it

const giveBack = (name) =>
  change(["meta"], "readwrite", (tx) => {
    const meta = tx.objectStore("meta");
    meta.get(`lease ${name}`).onsuccess = ({ target }) => {
      if (target.result?.tab === me) meta.delete(`lease ${name}`);
    };
  }).catch(() => null); // it runs out by itself
