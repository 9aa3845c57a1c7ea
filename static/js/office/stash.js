// What is typed and not yet at the server outlives a reload of this tab.

/** `name`: of this draft. The form's fields are kept by their names. */
export function stash(name, form) {
  function keep() {
    const words = [...new FormData(form)].filter(([, value]) => typeof value === "string");
    try {
      sessionStorage.setItem(name, JSON.stringify(words));
    } catch {
      // A browser may give no room; then the page and the server are all that keep it.
    }
  }

  /** Puts back what had not arrived; whether there was any. */
  function restore() {
    const words = JSON.parse(sessionStorage.getItem(name) ?? "[]");
    for (const [key, value] of words) {
      const field = form.elements.namedItem(key);
      if (field instanceof Element && field.type !== "hidden" && field.type !== "file") field.value = value;
    }
    return words.length > 0;
  }

  return { keep, restore, forget: () => sessionStorage.removeItem(name) };
}
