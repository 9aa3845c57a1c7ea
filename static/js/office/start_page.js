// The list of earlier jobs grows shorter as one types.

const find = document.getElementById("find");

find?.addEventListener("input", () => {
  const words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
  let left = 0;
  for (const line of document.querySelectorAll("#jobs > li")) {
    line.hidden = !words.every((word) => line.dataset.words.includes(word));
    left += line.hidden ? 0 : 1;
  }
  document.getElementById("none").hidden = left > 0;
});
find?.closest("form").classList.add("live");
