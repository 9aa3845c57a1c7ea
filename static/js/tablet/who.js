// Who is at the machine: a name on this tablet, asked for once and changed with two taps.

import { operator, setOperator } from "../device.js";

const LONGEST_NAME = 120;

export function who() {
  return {
    operator: operator(),
    typedName: "",
    afterName: null,

    askWho(then = null) {
      this.afterName = then;
      this.open("who");
    },
    isHere(name) {
      setOperator(name.slice(0, LONGEST_NAME));
      this.operator = name;
      this.shut();
      const then = this.afterName;
      this.afterName = null;
      if (then) then();
    },
    typedIsHere() {
      if (this.typedName.trim()) this.isHere(this.typedName.trim());
    },
  };
}
