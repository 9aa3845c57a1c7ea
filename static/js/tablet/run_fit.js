// Fits the words beside the picture, and leads to what does not fit.

const MOST_CROWDED = 2;
// $refs would look from the button that was tapped, and that may be gone from the page by then.
const wordsColumn = () => document.querySelector(".words");

export function fitting() {
  let scrolledTo = 0;
  return {
    more: false,

    refit() {
      requestAnimationFrame(() => {
        const words = wordsColumn();
        if (!words) return;
        // Only where it is otherwise: to write either has the page laid out once more.
        if (scrolledTo) words.scrollTop = scrolledTo = 0;
        if (words.parentElement.dataset.crowd !== "0") words.parentElement.dataset.crowd = 0;
      });
      this.fit();
    },
    // What does not fit beside the picture goes below it, first the clock, then the cautions: the picture shrinks
    // before any text does. Measured in the frame that paints it, so nothing is seen to jump.
    fit() {
      requestAnimationFrame(() => {
        const words = wordsColumn();
        if (!words) return;
        const { dataset } = words.parentElement;
        // Within a phase it only grows: nothing moves back under a finger.
        const most = this.isPlace || this.isSeam ? 0 : MOST_CROWDED; // a place is pointed at in its picture: that keeps its size
        while (words.scrollHeight > words.clientHeight + 2 && Number(dataset.crowd) < most) dataset.crowd = Number(dataset.crowd) + 1;
        this.scrolled();
      });
    },
    scrolled() {
      const words = wordsColumn();
      scrolledTo = words ? words.scrollTop : 0;
      this.more = Boolean(words) && words.scrollHeight - scrolledTo - words.clientHeight > 24;
    },
    showMore() {
      wordsColumn().scrollBy({ top: wordsColumn().clientHeight * 0.8 });
    },
    // The button that says what is wanted first also leads there.
    showMissing() {
      const { what } = this.main;
      if (what.what === "reading" && !this.isPlace) this.choose(what.name);
      const place = wordsColumn().querySelector(".question, .place-tiles, .readings, .count, .check");
      if (place) place.scrollIntoView({ block: "nearest" });
    },
  };
}
