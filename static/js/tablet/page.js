// What the server put into the page, and how a component is put together from parts.

export function readPage() {
  return JSON.parse(document.getElementById("page").textContent);
}

// Object spread would run getters once and keep their value; descriptors keep them alive.
export function compose(...parts) {
  const whole = {};
  for (const part of parts) Object.defineProperties(whole, Object.getOwnPropertyDescriptors(part));
  return whole;
}

export function component(name, build) {
  document.addEventListener("alpine:init", () => window.Alpine.data(name, build));
}
