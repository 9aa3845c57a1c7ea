// The pages of runs that were shown or begun here, kept so that they open when no server answers. In the store "runs" by
// the run's id; which there are, and of which jobs, stands in memory and in "meta".

import { deviceId } from "../device.js";
import { pending } from "../outbox.js";
import { get, many } from "../store.js";
import { hear, tell } from "../tabs.js";

const INDEX = "runs kept";
const MOST_KEPT = 120; // the newest; more than two weeks of one machine

let index = new Map(); // run -> {code, others: how many events of other tablets its page has, at}
const unkept = new Map(); // pages that no database would take

/** Resolves when it is known which there are. Never rejects. */
export const ready = read().catch(() => null);

async function read() {
  index = new Map((await get("meta", INDEX)) ?? []);
}

/** The runs of a job whose pages are kept: [run, {others}]. */
export const keptOf = (code) => [...index].filter(([, kept]) => kept.code === code);

/** The page as it was kept; null where it was not. */
export async function keptPage(run) {
  if (unkept.has(run)) return unkept.get(run);
  return index.has(run) ? ((await get("runs", run).catch(() => null)) ?? null) : null;
}

/** Keeps the page in place of the one before. Resolves when the tablet has it; never rejects. */
export async function keepRun(page) {
  const others = page.events.filter(({ device }) => device !== deviceId()).length;
  index.delete(page.run); // the newest stands last
  index.set(page.run, { code: page.job.code, others });
  const dropped = tooMany();
  for (const run of dropped) index.delete(run);
  const gone = dropped.map((run) => ({ store: "runs", key: run }));
  const writes = [{ store: "runs", key: page.run, value: page }, { store: "meta", key: INDEX, value: [...index] }, ...gone];
  await many(writes).then(
    () => unkept.delete(page.run),
    () => unkept.set(page.run, page),
  );
  tell("runs", null);
}

/** The oldest beyond what is kept, never one with taps that the server has not answered for. */
function tooMany() {
  const unsent = new Set(pending().map(({ run }) => run));
  return [...index.keys()].slice(0, -MOST_KEPT).filter((run) => !unsent.has(run));
}

hear("runs", () => read().catch(() => null));
