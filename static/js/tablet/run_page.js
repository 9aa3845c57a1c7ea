// The run page, put together from its parts.

import { component, compose, readPage } from "./page.js";
import { RunRecord } from "./record.js";
import { frame } from "./run_frame.js";
import { seen } from "./run_seen.js";
import { fitting } from "./run_fit.js";
import { entry } from "./run_entry.js";
import { pad } from "./pad.js";
import { placeDoubt } from "./place_doubt.js";
import { placeEntry } from "./place_entry.js";
import { placeJudged } from "./place_judged.js";
import { trouble } from "./run_trouble.js";
import { people } from "./run_people.js";
import { ending } from "./run_ending.js";
import { sheets } from "./sheets.js";

component("run", () => {
  const record = new RunRecord(readPage());
  record.steps = record.replayed().steps;
  const place = compose(placeEntry(), placeDoubt(), placeJudged(record), pad());
  return compose(frame(record), seen(record), fitting(), entry(record), place, trouble(), people(), ending(record), sheets());
});
