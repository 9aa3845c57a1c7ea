// What one tab of this browser tells the others. Where there is no BroadcastChannel a key in localStorage carries it:
// browsers tell other tabs of each change there.

const NAME = "floor.tabs";

const channel = "BroadcastChannel" in globalThis ? new BroadcastChannel(NAME) : null;
const hearers = new Map(); // kind -> callbacks

let count = 0;

/** Tells the other tabs. What cannot be told they find when they look at the database, on becoming visible. */
export function tell(kind, message) {
  if (channel) channel.postMessage({ kind, message });
  else byStorage({ kind, message });
}

/** Calls back with what other tabs tell of this kind. */
export function hear(kind, callback) {
  if (!hearers.has(kind)) hearers.set(kind, new Set());
  hearers.get(kind).add(callback);
}

function heard({ kind, message }) {
  for (const callback of hearers.get(kind) ?? []) callback(message);
}

function byStorage(said) {
  try {
    localStorage.setItem(NAME, JSON.stringify({ ...said, count: (count += 1), at: Math.random() })); // never the same twice
    localStorage.removeItem(NAME);
  } catch {
    return; // a full storage: the others look for themselves
  }
}

if (channel) channel.onmessage = ({ data }) => heard(data);
else {
  addEventListener("storage", ({ key, newValue }) => {
    if (key === NAME && newValue) heard(JSON.parse(newValue));
  });
}
