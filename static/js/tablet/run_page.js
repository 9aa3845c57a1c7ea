// The run page, put together from its parts.

import { compose } from "./page.js";
import { RunRecord } from "./record.js";
import { elsewhere } from "./elsewhere.js";
import { frame } from "./run_frame.js";
import { seen } from "./run_seen.js";
import { keeping } from "./keeping.js";
import { fitting } from "./run_fit.js";
import { entry } from "./run_entry.js";
import { pad } from "./pad.js";
import { placeDoubt } from "./place_doubt.js";
import { placeEntry } from "./place_entry.js";
import { placeJudged } from "./place_judged.js";
import { trouble } from "./run_trouble.js";
import { photo } from "./photo.js";
import { people } from "./run_people.js";
import { ending } from "./run_ending.js";
import { shownPage } from "./screens.js";
import { sheets } from "./sheets.js";

export function run(life) {
  const record = new RunRecord(shownPage());
  const place = compose(placeEntry(life), placeDoubt(), placeJudged(record), pad());
  return compose(frame(record, life), keeping(life), elsewhere(record), seen(record), fitting(), entry(record, life), place, trouble(), photo(record, life), people(), ending(record), sheets());
}
