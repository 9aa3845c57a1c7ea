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

// Asked by most of the page at each tap, and mostly as they were.
const OF_THE_RUN = ["phase", "ended", "stillborn", "isElsewhere", "isHere", "pausedFor", "blocking", "working", "isPaused", "isStopped", "canScrap", "main", "mainKind", "isOver", "isOfScrapped", "isSeam", "lastLarge"];
const OF_A_PLACE = ["isPlace", "tries", "isNewRound", "placeMode", "placeValue", "shownValue", "layout", "isReading", "isJudged", "target", "kept", "question", "weighed", "hasStrips"];
export const REMEMBERED = [...OF_THE_RUN, ...OF_A_PLACE];

export function run(life) {
  const record = new RunRecord(shownPage());
  const place = compose(placeEntry(life), placeDoubt(), placeJudged(record), pad());
  return compose(frame(record, life), keeping(life), elsewhere(record), seen(record), fitting(), entry(record, life), place, trouble(), photo(record, life), people(), ending(record), sheets());
}
