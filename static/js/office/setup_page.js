// The set-up page: what is typed is kept, and the plan beside it drawn again, without anybody asking for it.

import { draw } from "./draw.js";
import { listFaults, showFaults } from "./faults.js";
import { keeper } from "./keeper.js";
import { replacePart } from "./parts.js";
import { planView } from "./plan_view.js";
import { stash } from "./stash.js";

const WORDS = { typing: "", sending: "Drawing…", kept: "All is kept." };

const form = document.getElementById("setup");
const file = form.elements.namedItem("outline");
const put = stash(`draft ${form.dataset.draft}`, form);
const plan = planView(
  `plan ${form.dataset.draft}`,
  document.getElementById("preview"),
  document.getElementById("stale"),
);
const kept = keeper({ read, send, told, answered });

form.classList.add("live");
form.addEventListener("input", (event) => {
  if (event.target === file) return;
  put.keep();
  kept.changed();
});
file.addEventListener("change", bringIn);
form.addEventListener("submit", leave);
addEventListener("pageshow", returned);
addEventListener("online", () => kept.pending() && kept.now());
addEventListener("pagehide", () => kept.pending() && navigator.sendBeacon(form.dataset.draw, fields()));
if (put.restore()) kept.now();

function fields() {
  const found = new FormData(form);
  found.delete("outline");
  return new URLSearchParams(found);
}

function read() {
  if (file.files.length === 0) return { body: fields(), file: null };
  return { body: new FormData(form), file: file.files[0] };
}

async function send({ body, file: sent }, signal) {
  const seen = form.elements.namedItem("seen");
  let answer;
  try {
    answer = await draw(form.dataset.draw, body, signal);
  } catch (failure) {
    seen.value = ""; // it may have arrived and only its answer been lost: that was no other page
    throw failure;
  }
  seen.value = answer.seen;
  if (sent && file.files[0] === sent) file.value = ""; // it is in the draft now, and need not go again
  return answer;
}

function bringIn() {
  if (file.files.length === 0) return;
  const tooLarge = file.files[0].size > Number(form.dataset.most);
  file.setCustomValidity("");
  if (tooLarge) {
    file.value = "";
    told("refused", form.dataset.tooLarge);
    return;
  }
  kept.now();
}

function answered(answer, newest) {
  if (!newest) return;
  put.forget();
  showFaults(form, answer.faults);
  if (form.elements.namedItem("tried").value) listFaults(document.getElementById("faults"), form, answer.listed);
  for (const [name, words] of Object.entries(answer.summaries)) {
    for (const place of form.querySelectorAll("[data-summary]")) {
      if (place.dataset.summary === name) place.textContent = words;
    }
  }
  for (const [name, words] of Object.entries(answer.words)) say(document.getElementById(name), words);
  for (const [name, html] of Object.entries(answer.parts)) replacePart(document.getElementById(name), html);
  plan.show(answer.preview, answer.stale);
}

function say(place, words) {
  if (!place) return; // the part of the page that would say it is not there just now
  if (place.textContent !== words) place.textContent = words;
  if (place.classList.contains("care")) place.hidden = !words;
}

function told(state, sentence) {
  const place = document.getElementById("kept");
  place.textContent = sentence || WORDS[state] || "";
  place.classList.toggle("trouble", state === "waiting" || state === "refused");
}

/** A button leaves the page only once all that was typed has arrived; pressed twice it goes once. */
async function leave(event) {
  if (form.dataset.settled) return;
  event.preventDefault();
  if (form.dataset.leaving) return;
  const button = event.submitter;
  form.dataset.leaving = "yes";
  const arrived = await kept.settled();
  delete form.dataset.leaving;
  if (!arrived || button?.classList.contains("by-enter")) return;
  form.dataset.settled = "yes";
  form.requestSubmit(button);
}

/** A page that Back brings out of the browser's memory is as it was left. */
function returned() {
  delete form.dataset.settled;
}
