// Who works, and who answers for what only some may decide.

import { setOperator } from "../device.js";
import { find } from "./phase_view.js";
import { said } from "./place_view.js";
import { mm } from "./words.js";

const PATIENCE_MS = 20000;

const REASONS = {
  check: ["it was looked at in another way", "it does not matter for this garment"],
  reading: ["measured twice, and it is so", "this cloth allows it"],
  place: ["it does not show on this garment", "the customer has agreed"],
  count: ["searched everywhere, nothing found", "one was miscounted on the way out"],
};

export function people() {
  return {
    authority: { name: "", password: "", error: "", busy: false },
    taking: null, // what is to be taken as it is: { what, name, words, supervisor, reason }

    handOver(name) {
      setOperator(name);
      this.shut();
      if (name !== this.state.operator) this.emit(["hand_over", { to: name }]);
    },
    get supervisors() {
      return this.people.filter((person) => person.supervisor);
    },
    openWithAuthority(sheet) {
      const only = this.supervisors.length === 1 ? this.supervisors[0].name : "";
      this.authority = { name: only, password: "", error: "", busy: false };
      this.open(sheet);
    },

    // What to do while the server is away: only it knows the passwords. The office can give nothing but the approval.
    get authorityWords() {
      if (this.authority.error) return this.authority.error;
      const isAsked = !this.alone && (this.sheet !== "accept" || this.taking.supervisor);
      return isAsked && !this.sync.online ? `The server is not reached, and only it can check a supervisor's password. ${this.authorityWaits}` : "";
    },
    get authorityWaits() {
      if (this.sheet === "approve") return "Approve here once it is back, or let the supervisor approve in the office then: what was tapped here is sent by itself.";
      return "Decide once it is back. Until then pause this run, or go on with another.";
    },
    // {token} of a supervisor who gave a password just now; {} in a shop of one; null when refused, with the reason shown.
    async authorised() {
      if (this.alone) return {};
      const { name, password } = this.authority;
      if (!name || !password) {
        this.authority.error = name ? "The password is missing." : "Choose who decides.";
        return null;
      }
      this.authority.busy = true;
      this.authority.error = "";
      try {
        const answer = await fetch("/tablet/authority", {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify({ name, password }),
          signal: AbortSignal.timeout(PATIENCE_MS),
        });
        const said = await answer.json();
        if (answer.ok) return { token: said.token };
        this.authority.error = said.error.message;
      } catch (unreachable) {
        this.authority.error = `The password could not be checked: the server did not answer. ${this.authorityWaits}`;
      } finally {
        this.authority.busy = false;
        this.authority.password = "";
      }
      return null;
    },

    approve() {
      if (this.unsettled) return;
      if (this.alone) this.emit(["approve", {}], ["done", {}]);
      else this.openWithAuthority("approve");
    },
    async approveNow() {
      const token = await this.authorised();
      if (token === null) return;
      this.shut();
      this.emit(["approve", token], ["done", {}]);
    },

    takeAsItIs(missing) {
      const item = find(this.phase, missing);
      const value = missing.what === "reading" ? `${this.takingWords(item, missing.name)}. ` : "";
      this.taking = {
        what: missing.what,
        name: missing.name,
        words: missing.what === "place" ? this.takingPlaceWords : value + item.ask,
        supervisor: missing.accept === "supervisor" && !this.alone,
        reason: "",
      };
      this.openWithAuthority("accept");
    },
    takingWords(reading, name) {
      const value = this.state.readings[this.state.phase][name];
      return reading.plus ? said(reading, value, this.unit) : `${mm(value)} mm`;
    },
    takeMissing(what, name) {
      const missing = this.state.missing.find((one) => one.what === what && one.name === name);
      if (missing) this.takeAsItIs(missing);
    },
    get reasons() {
      return REASONS[this.taking.what];
    },
    async take() {
      const { what, name, supervisor } = this.taking;
      const reason = this.taking.reason.trim();
      if (!reason) {
        this.authority.error = "Say why it is taken as it is.";
        return;
      }
      const token = supervisor ? await this.authorised() : {};
      if (token === null) return;
      this.shut();
      this.emit(["accept", { what, name, reason, ...token }]);
    },
  };
}
