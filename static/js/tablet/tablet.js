// The tablet's one document: all its components, and the scanner, which is heard on every screen.

import { begin as holdAhead } from "./held.js";
import { home } from "./home_page.js";
import { job } from "./job_page.js";
import { component } from "./page.js";
import { fetchParts } from "./parts.js";
import { showPresses } from "./pressed.js";
import { goAgain } from "./screens.js";
import { lost, shell, standing } from "./shell.js";
import { listenForScans, openTicket } from "./wedge.js";
import { register } from "./worker.js";

const QUIET_MS = 2000; // the first screen, and the first tap on it, come before what is fetched ahead of need

component("shell", shell);
component("home", home);
component("job", job);
component("lost", lost);

listenForScans(openTicket);
showPresses();
standing.then(holdAhead);
addEventListener("load", () => setTimeout(aheadOfNeed, QUIET_MS));
addEventListener("pageshow", (event) => event.persisted && goAgain());

async function aheadOfNeed() {
  await fetchParts();
  register();
}
