// What holds the screens: one at a time, and a thin line above it while the next one is fetched.

import { afterPaint, component } from "./page.js";
import { part, partNow } from "./parts.js";
import { begin, goAgain, shownPage } from "./screens.js";

const SLOW_MS = 200; // a page that comes sooner needs no line that says it is coming

let tellStanding;

/** Resolves when the first screen has been painted: what is fetched ahead of need waits for it. */
export const standing = new Promise((resolve) => (tellStanding = resolve));

export function shell() {
  let slow = null;
  let shown = null;
  let isRunKnown = false;
  return {
    views: [],
    isGoing: false,

    init() {
      begin(this, JSON.parse(document.getElementById("page").textContent));
    },
    show(view) {
      shown = view.key;
      if (view.screen !== "run" || partNow("run")) {
        this.paint(view);
        return;
      }
      this.hurry(true);
      part("run").then(
        () => shown === view.key && this.paint(view),
        (failure) => shown === view.key && this.fail(view, failure),
      );
    },
    paint(view) {
      this.hurry(false);
      if (view.screen === "run" && !isRunKnown) component("run", partNow("run").run, partNow("run").REMEMBERED);
      isRunKnown ||= view.screen === "run";
      this.views = [view];
      afterPaint(tellStanding);
    },
    fail(view, failure) {
      shownPage().error = failure.message;
      this.paint({ ...view, screen: "lost" });
    },
    hurry(isGoing) {
      clearTimeout(slow);
      this.isGoing = false;
      if (isGoing) slow = setTimeout(() => (this.isGoing = true), SLOW_MS);
    },
  };
}

/** What is shown where a page is not: one sentence, and the ways on. */
export function lost() {
  return { error: shownPage().error, tryAgain: () => goAgain() };
}
