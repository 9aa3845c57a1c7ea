// What a screen works out from its data over and over is worked out once after each change, and what shows it is
// painted anew only when it has become something else. Without this one tap had most of the run page painted anew.

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

function noticed(value, change) {
  const held = window.Alpine.reactive({ value });
  return {
    get: () => held.value,
    set(next) {
      change();
      held.value = next;
    },
  };
}

// What is read meanwhile is nothing that the asking part of the page itself rests on.
const unwatched = (work) => window.Alpine.release(window.Alpine.effect(work));

function remembered(get, self, changes, asked) {
  let worked = -1; // after which change
  let value;
  let failure = null; // is thrown at those who ask, and at nobody else
  let box = null; // those who asked are told through it
  const lookAgain = () => {
    if (worked === changes.made) return;
    worked = changes.made;
    unwatched(workOut);
    box.value = failure ?? value;
  };
  const workOut = () => {
    failure = null;
    try {
      value = get.call(self());
    } catch (broken) {
      failure = broken;
    }
  };
  return () => {
    if (!box) {
      box = window.Alpine.reactive({ value: null });
      asked.push(lookAgain);
    }
    lookAgain(); // in the middle of a tap, too, it is never an old one
    void box.value;
    if (failure) throw failure;
    return value;
  };
}
