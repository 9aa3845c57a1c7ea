// Numbers, times and lists as people say them.

const SECONDS_PER_MINUTE = 60;
const IN_SECONDS_BELOW = 50; // a shorter step is said in seconds: "40 s" tells more than "1 min"

export function clock(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / SECONDS_PER_MINUTE) % 60;
  const two = (number) => String(number).padStart(2, "0");
  return hours ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

export function roughly(seconds) {
  if (seconds < IN_SECONDS_BELOW) return `${Math.max(5, Math.round(seconds / 5) * 5)} s`;
  return `${minutes(seconds)} min`;
}

export function usually([low, high]) {
  if (high < IN_SECONDS_BELOW) return `usually ${rounded(low)}–${rounded(high)} s`;
  const [from, to] = [minutes(low), minutes(high)];
  return from === to ? `usually ${from} min` : `usually ${from}–${to} min`;
}

export function minutes(seconds) {
  const value = seconds / SECONDS_PER_MINUTE;
  return value < 2 ? String(Math.round(value * 2) / 2).replace("0.5", "½").replace(".5", "½") : String(Math.round(value));
}

function rounded(seconds) {
  return Math.round(seconds / 5) * 5;
}

// Within a sentence: "Trim the letters" becomes "trim the letters", "USA" stays.
export function plain(title) {
  const rest = title.slice(1);
  return rest === rest.toLowerCase() || title.includes(" ") ? title.slice(0, 1).toLowerCase() + rest : title;
}

export function capital(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

export function listed(items) {
  if (items.length < 2) return items.join("");
  return `${items.slice(0, -1).join(", ")} and ${items[items.length - 1]}`;
}

export function garmentsNamed(numbers) {
  const sorted = [...numbers].sort((a, b) => a - b);
  if (!sorted.length) return "the whole job";
  if (sorted.length === 1) return `garment ${sorted[0]}`;
  const inARow = sorted.every((number, at) => number === sorted[0] + at);
  if (sorted.length > 2 && inARow) return `garments ${sorted[0]} to ${sorted[sorted.length - 1]}`;
  return `garments ${listed(sorted.map(String))}`;
}

export function ordinal(number) {
  const last = [11, 12, 13].includes(number % 100) ? 0 : number % 10;
  return `${number}${{ 1: "st", 2: "nd", 3: "rd" }[last] || "th"}`;
}

// To a tenth; quarters, as a tape is read at a seam, stay whole.
export function mm(value) {
  const quarters = Math.round(value * 4) / 4;
  const text = String(Math.abs(value - quarters) < 1e-6 ? quarters : Math.round(value * 10) / 10);
  return text.replace("-", "−");
}

export function day(iso) {
  const date = new Date(`${iso}T12:00:00`);
  return date.toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long" });
}
