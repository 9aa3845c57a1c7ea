// Moving between the tablet's screens without loading a document: an address says which screen it is, its page comes
// from page_data.js, and the shell shows it.

import { ready, unsaved } from "../outbox.js";
import { came, getPage } from "./page_data.js";
import { newer } from "./worker.js";

const RUN = /^\/tablet\/run\/([0-9a-f-]{36})\/?$/i;
const JOB = /^\/t\/([^/]+)(?:\/(\d+))?\/?$/i;
const HOME = { screen: "home" };

const shown = { where: null, page: null, key: 0 };
const scrolls = new Map(); // by address: how far each part of that screen was scrolled
let shell = null; // what paints: { show(view), hurry(isGoing) }
let journey = 0; // the newest one; what an older one finds out is of no interest any more

/** The page that the screen on show is made of, and where that is. */
export const shownPage = () => shown.page;
export const shownWhere = () => shown.where;

/** Which screen an address means; null when it is none of the tablet's. */
export function whereOf(address) {
  const { origin, pathname, searchParams } = new URL(address, location.href);
  if (origin !== location.origin) return null;
  if (pathname === "/tablet" || pathname === "/tablet/") return HOME;
  if (pathname === "/tablet/ticket") return { screen: "ticket", typed: searchParams.get("typed") || "" };
  const run = pathname.match(RUN);
  if (run) return { screen: "run", run: run[1].toLowerCase() };
  const job = pathname.match(JOB);
  return job ? { screen: "job", code: decodeURIComponent(job[1]), garment: job[2] ? Number(job[2]) : null } : null;
}

// A tablet's page stays open for days: on the way home, between two runs, it becomes the newest version.
const isBehind = (where) => where.screen === "home" && newer() && unsaved().taps === 0;

/** Shows the screen of that address; one that is not the tablet's is loaded as a document. */
export async function go(address, { replace = false } = {}) {
  const where = whereOf(address);
  if (!where || isBehind(where)) {
    location.assign(address);
    return;
  }
  const found = await fetched(address);
  if (!found) return;
  keepScroll();
  history[replace ? "replaceState" : "pushState"](null, "", found.address);
  show(found.page, whereOf(found.address));
}

/** The screen on show once more, from what is known now. */
export const goAgain = () => go(location.href, { replace: true });

/** Begins with the page that came with the document, or else with what its address means. */
export async function begin(painter, page) {
  shell = painter;
  history.scrollRestoration = "manual";
  addEventListener("popstate", comeBack);
  document.addEventListener("click", follow);
  const where = whereOf(location.href);
  if (where.screen === "run") await ready; // a run is shown with all that was tapped here
  if (page.screen && page.screen !== "lost") {
    came(page);
    show(page, where);
    return;
  }
  // A run that was begun without a server is known here alone.
  if (page.screen === "lost" && where.screen !== "run") show(page, where);
  else await goAgain();
}

async function comeBack() {
  const found = await fetched(location.href);
  if (!found) return;
  show(found.page, whereOf(location.href));
  const kept = scrolls.get(location.pathname) || [];
  window.Alpine.nextTick(() => {
    const parts = scrolled();
    kept.forEach((top, at) => parts[at] && (parts[at].scrollTop = top));
  });
}

function follow(event) {
  const link = event.target.closest("a[href]");
  if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (!whereOf(link.href)) return;
  event.preventDefault();
  go(link.href);
}

/** {page, address}; null when the operator has gone elsewhere meanwhile. */
async function fetched(address) {
  const mine = (journey += 1);
  shell.hurry(true);
  const found = await pageOf(address);
  if (mine !== journey) return null;
  shell.hurry(false);
  return found;
}

async function pageOf(address) {
  const where = whereOf(address);
  try {
    const page = await getPage(where);
    return { page, address: where.screen === "ticket" ? addressOfJob(page) : address };
  } catch (missing) {
    if (where.screen !== "ticket") return { page: lost(missing.message), address };
    return { page: await homeWith(missing.message, where.typed), address: "/tablet" };
  }
}

const lost = (sentence) => ({ screen: "lost", error: sentence });
const addressOfJob = (page) => `/T/${page.job.code}${page.chosen ? `/${page.chosen}` : ""}`;

async function homeWith(error, typed) {
  try {
    return { ...(await getPage(HOME)), error, typed };
  } catch (missing) {
    return lost(error);
  }
}

function show(page, where) {
  const isFirst = shown.page === null;
  Object.assign(shown, { page, where, key: shown.key + 1 });
  document.title = titleOf(page);
  shell.show({ key: shown.key, screen: page.screen });
  if (isFirst) return;
  window.Alpine.nextTick(() => {
    const heading = document.querySelector(".view h1");
    if (!heading || heading.contains(document.activeElement)) return;
    heading.tabIndex = -1;
    heading.focus({ preventScroll: true });
  });
}

function titleOf(page) {
  const of = { job: () => page.job.title, run: () => page.section.title }[page.screen];
  return of ? `${of()} – Floor` : "Floor";
}

const scrolled = () => [...document.querySelectorAll("[data-scroll]")];

function keepScroll() {
  scrolls.set(location.pathname, scrolled().map((part) => part.scrollTop));
}
