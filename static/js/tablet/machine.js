// Which machine this tablet stands at: chosen once, changed with two taps, and said by each run that begins here.

import { machine, setMachine } from "../device.js";

// The machine's name; "" where none was chosen, or the one that was is no longer on the shop's list.
export const machineOf = (shop) => (shop.machines.includes(machine()) ? machine() : "");

export function machines(shop) {
  return {
    machines: shop.machines,
    machine: machineOf(shop),

    askMachine() {
      this.open("machine");
    },
    standsAt(name) {
      setMachine(name);
      this.machine = name;
      this.shut();
    },
  };
}
