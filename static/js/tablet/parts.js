// What the first screen does without comes once that stands: the run's screen, and what lays pages and runs out
// without a server. All of it is fetched ahead of need, since the server may be gone by then.

const LOADS = {
  run: async () => (await Promise.all([import("./run_page.js"), laterStyles()]))[0],
  pages: async () => ({ ...(await import("./own_runs.js")), ...(await import("./own_pages.js")) }),
  start: () => import("./start.js"),
};
const GONE = "Floor's server is not reached, and this tablet has not fetched this part of the page yet. Try again.";

const coming = {};
const here = {};

/** The styles that the document names for later, all on. */
function laterStyles() {
  return Promise.all([...document.querySelectorAll("link[data-later]")].map(putOn));
}

function putOn(link) {
  if (link.sheet) return null;
  return new Promise((done, failed) => {
    link.onload = done;
    link.onerror = () => {
      link.removeAttribute("rel");
      failed(new Error("A style could not be fetched."));
    };
    Object.assign(link, { rel: "stylesheet", href: link.dataset.later });
  });
}

/** The part if it is here already, else undefined. */
export const partNow = (name) => here[name];

/** A promise of the part's module; it rejects with one sentence where it cannot be fetched. */
export function part(name) {
  coming[name] ??= LOADS[name]().then(
    (module) => (here[name] = module),
    () => {
      coming[name] = null;
      throw new Error(GONE);
    },
  );
  return coming[name];
}

/** Fetches what is missing; what fails now is fetched when it is needed, or when the network is back. */
export const fetchParts = () => Promise.allSettled(Object.keys(LOADS).map(part));

addEventListener("online", fetchParts);
