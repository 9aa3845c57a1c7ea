// What a screen works out from its data over and over is worked out anew only when some of that data has changed, and
// what shows it is painted anew only when it has become something else. Without this one tap had most of the run page
// painted anew.

/** Makes these getters of a component remember: `life` is the component's. What they read of the component's data
 *  must be replaced, not changed inside; what else they read must not change without that. */
export function remembering(whole, names, life) {
  if (!names.length) return whole;
  const self = () => window.Alpine.reactive(whole);
  const asked = []; // what was asked for at least once
  const changes = { made: 0, isComing: false };
  // Before Alpine paints: the parts of the page that are to go must go before what is in them is worked out.
  const change = () => {
    changes.made += 1;
    if (changes.isComing) return;
    changes.isComing = true;
    queueMicrotask(() => {
      changes.isComing = false;
      if (!life.ended) for (const lookAgain of asked) lookAgain();
    });
  };
  const found = Object.getOwnPropertyDescriptors(whole);
  for (const [name, { get, set, value }] of Object.entries(found)) {
    if (!get && !set && typeof value !== "function") Object.defineProperty(whole, name, noticed(value, change));
  }
  for (const name of names) Object.defineProperty(whole, name, { get: remembered(found[name].get, self, changes, asked) });
  return whole;
}

// What the value that is being worked out now rests on: {version, lookAgain} -> the version that it read. A version
// is another when the value is.
let rests = null;

function noticed(first, change) {
  const held = window.Alpine.reactive({ value: first });
  const source = { version: 0, lookAgain() {} };
  let value = first;
  return {
    get() {
      rests?.set(source, source.version);
      return held.value;
    },
    set(next) {
      change();
      if (!Object.is(next, value)) source.version += 1;
      value = next;
      held.value = next;
    },
  };
}

// What is read meanwhile is nothing that the asking part of the page itself rests on.
const unwatched = (work) => window.Alpine.release(window.Alpine.effect(work));

const isAsItWas = ([source, version]) => {
  source.lookAgain();
  return source.version === version;
};

function remembered(get, self, changes, asked) {
  let looked = -1; // after which change
  let found = {}; // {value}, or the {failure} that is thrown at those who ask, and at nobody else
  let box = null; // those who asked are told through it
  const restsOn = new Map();
  const source = { version: 0, lookAgain };

  function lookAgain() {
    if (looked === changes.made) return;
    looked = changes.made;
    if (restsOn.size && [...restsOn].every(isAsItWas)) return;
    const outer = rests;
    const before = found;
    restsOn.clear();
    rests = restsOn;
    unwatched(workOut);
    rests = outer;
    if (Object.is(found.value, before.value) && found.failure === before.failure) return;
    source.version += 1;
    box.version = source.version;
  }
  function workOut() {
    try {
      found = { value: get.call(self()) };
    } catch (failure) {
      found = { failure };
    }
  }
  return () => {
    if (!box) {
      box = window.Alpine.reactive({ version: 0 });
      asked.push(lookAgain);
    }
    lookAgain(); // in the middle of a tap, too, it is never an old one
    rests?.set(source, source.version);
    void box.version;
    if (found.failure) throw found.failure;
    return found.value;
  };
}
