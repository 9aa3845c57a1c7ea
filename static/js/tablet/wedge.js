// A wedge scanner types like a keyboard, 7 to 16 ms a character, and ends with Enter. It may type at any moment,
// whatever has the focus: what comes that fast and ends that way is a ticket.

import { go } from "./screens.js";

const LONGEST_GAP_MS = 50; // people do not type six characters in a row this fast
const SHORTEST_TICKET = 6;

export function listenForScans(found) {
  let typed = "";
  let last = 0;
  document.addEventListener(
    "keydown",
    (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey) return;
      if (event.timeStamp - last > LONGEST_GAP_MS) typed = "";
      last = event.timeStamp;
      if (event.key.length === 1) {
        typed += event.key;
      } else if (event.key === "Enter" && typed.length >= SHORTEST_TICKET) {
        event.preventDefault();
        event.stopPropagation();
        takeOut(document.activeElement, typed);
        found(typed);
        typed = "";
      } else if (event.key !== "Shift") {
        typed = "";
      }
    },
    true,
  );
}

export function openTicket(typed) {
  go(`/tablet/ticket?typed=${encodeURIComponent(typed)}`);
}

// The scanner also typed into whatever field had the focus: a note must not end in a ticket's address.
function takeOut(field, typed) {
  if (!field || typeof field.value !== "string" || !field.value.endsWith(typed)) return;
  field.value = field.value.slice(0, -typed.length);
  field.dispatchEvent(new Event("input", { bubbles: true }));
}
