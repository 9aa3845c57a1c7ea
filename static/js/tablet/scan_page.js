// The page that reads a ticket with the tablet's camera. What it reads is treated as if it had been typed.

import { component } from "./page.js";
import { mayAsk, showCamera } from "./scan_camera.js";
import { makeReader } from "./scan_reader.js";
import { listenForScans } from "./wedge.js";

const LOOK_EVERY_MS = 150;
const HELP_AFTER_LOOKS = 60; // some nine seconds: then it says what may help

const openTicket = (typed) => window.location.assign(`/tablet/ticket?typed=${encodeURIComponent(typed)}`);

function scan(life) {
  let stop = null;
  let read = null;

  return {
    isPlainHttp: !window.isSecureContext,
    mayAsk: mayAsk(),
    isLooking: false,
    looks: 0,
    error: "",

    init() {
      listenForScans(openTicket);
      if (!this.mayAsk) return;
      life.on(document, "visibilitychange", () => (document.visibilityState === "visible" ? this.look() : this.letGo()));
      life.on(window, "pagehide", () => this.letGo());
      this.$nextTick(() => this.look());
    },

    get words() {
      if (!this.isLooking) return "Waiting for the camera";
      if (this.looks < HELP_AFTER_LOOKS) return "Hold the code on the ticket into the frame";
      return "Nothing read yet: hold the ticket flat, a hand's length away, and give it light";
    },

    async look() {
      if (stop || document.visibilityState !== "visible") return;
      this.error = "";
      try {
        stop = await showCamera(this.$refs.video);
        read ??= await makeReader();
        this.isLooking = true;
        this.looks = 0;
        await this.readOn(stop);
      } catch (failure) {
        this.letGo();
        this.error = failure.message;
      }
    },
    letGo() {
      if (stop) stop();
      stop = null;
      this.isLooking = false;
    },
    // Goes on until a code is read, or until the camera that it began with was let go of.
    async readOn(camera) {
      while (stop === camera) {
        const [found] = await read(this.$refs.video);
        if (found && stop === camera) {
          this.letGo();
          openTicket(found);
          return;
        }
        this.looks += 1;
        await new Promise((later) => setTimeout(later, LOOK_EVERY_MS));
      }
    },
  };
}

component("scan", scan);
