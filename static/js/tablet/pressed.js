// What a finger comes down on is seen to be pressed in the next frame. A browser itself shows it only once the finger
// has lifted again, together with what the tap brings about, and that takes a slow tablet a while to paint.

const PRESSABLE = "button:not(:disabled), a[href], label";

export function showPresses() {
  let pressed = null;
  const letGo = () => {
    pressed?.classList.remove("is-pressed");
    pressed = null;
  };
  const press = ({ target }) => {
    letGo();
    pressed = target.closest(PRESSABLE);
    pressed?.classList.add("is-pressed");
  };
  document.addEventListener("pointerdown", press, { capture: true, passive: true });
  for (const type of ["pointerup", "pointercancel"]) document.addEventListener(type, letGo, { capture: true, passive: true });
}
