// One sheet at a time, in the page's own <dialog>: it keeps the focus inside and closes on Escape by itself.

// $refs would look from the button that was tapped, and that may be gone from the page by then.
const theSheet = () => document.querySelector("dialog.sheet");

export function sheets() {
  return {
    sheet: "",
    open(name) {
      this.sheet = name;
      this.$nextTick(() => {
        const dialog = theSheet();
        if (!dialog.open) dialog.showModal();
        dialog.scrollTop = 0;
        const body = dialog.querySelector(".sheet-body");
        if (body) body.scrollTop = 0;
        const heading = dialog.querySelector("h2");
        if (heading) heading.focus();
      });
    },
    shut() {
      if (theSheet().open) theSheet().close();
      this.sheet = "";
    },
  };
}
