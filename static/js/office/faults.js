// Each fault's sentence beside its field, and the folds that hold one opened.

/** `faults`: the sentence of each field that has one, by the field's name. */
export function showFaults(form, faults) {
  for (const field of form.querySelectorAll("[data-field]")) {
    const sentence = faults[field.dataset.field] ?? "";
    const words = field.querySelector(".fault");
    const input = field.querySelector("input, select, textarea");
    if (words.textContent !== sentence) words.textContent = sentence;
    words.hidden = !sentence;
    input.setAttribute("aria-invalid", sentence ? "true" : "false");
    const fold = field.closest("details");
    if (sentence && fold) fold.open = true;
  }
}

/** The list on top, once a job could not be saved: it grows shorter as faults are put right. */
export function listFaults(list, form, faults) {
  const found = Object.entries(faults);
  list.hidden = found.length === 0;
  list.querySelector("ol").replaceChildren(...found.map(([name, sentence]) => entry(form, name, sentence)));
}

function entry(form, name, sentence) {
  const line = document.createElement("li");
  const field = [...form.querySelectorAll("[data-field]")].find((one) => one.dataset.field === name);
  const input = field?.querySelector("input, select, textarea");
  if (!input) {
    line.textContent = sentence;
    return line;
  }
  const link = document.createElement("a");
  link.href = `#${input.id}`;
  link.textContent = sentence;
  line.append(link);
  return line;
}
