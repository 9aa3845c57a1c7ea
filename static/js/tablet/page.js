// How a screen's component is put together from parts, and what ends with it: the document stays when a screen goes,
// so a timer or a listener that a screen began must not outlive it.

import { remembering } from "./remembered.js";

// Object spread would run getters once and keep their value; descriptors keep them alive.
export function compose(...parts) {
  const whole = {};
  for (const part of parts) Object.defineProperties(whole, Object.getOwnPropertyDescriptors(part));
  return whole;
}

/** A component by its name; `build` gets the life that the component's timers and listeners end with. `remembered`:
 *  the getters that are worked out once for each change. */
export function component(name, build, remembered = []) {
  const register = () =>
    window.Alpine.data(name, () => {
      const own = life();
      return remembering(compose(build(own), { destroy: () => own.end() }), remembered, own);
    });
  if (window.Alpine) register(); // a part that came after the first screen
  else document.addEventListener("alpine:init", register);
}

// x-seen="words": the element is there while they are. Alpine's own x-show shows a task later, when what fits has been
// measured already, and the part comes a frame after what stands beside it.
document.addEventListener("alpine:init", () => {
  window.Alpine.directive("seen", (element, { expression }, { effect, evaluateLater }) => {
    const look = evaluateLater(expression);
    effect(() => look((isSeen) => (element.hidden = !isSeen)));
  });
});

export function life() {
  const endings = [];
  return {
    ended: false,
    on(target, type, callback, options) {
      target.addEventListener(type, callback, options);
      endings.push(() => target.removeEventListener(type, callback, options));
    },
    every(ms, callback) {
      const timer = setInterval(callback, ms);
      endings.push(() => clearInterval(timer));
    },
    /** `ending` is called when the screen goes. */
    until(ending) {
      endings.push(ending);
    },
    end() {
      this.ended = true;
      for (const ending of endings.splice(0)) ending();
    },
  };
}

/** What is never changed, only replaced, need not be watched part by part: a checklist has thousands. */
export function still(object) {
  if (object && !object.__v_skip) Object.defineProperty(object, "__v_skip", { value: true });
  return object;
}

/** Once what is on its way to the screen has been painted: what can wait must not make a tap slow. */
export function afterPaint(callback) {
  requestAnimationFrame(() => setTimeout(callback));
}
