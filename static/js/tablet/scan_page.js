// The page that reads a ticket with the tablet's camera. What it reads is treated as if it had been typed.

import { component } from "./page.js";
import { mayAsk, showCamera } from "./scan_camera.js";
import { makeReader } from "./scan_reader.js";
import { listenForScans } from "./wedge.js";

const LOOK_EVERY_MS = 150;
const HELP_AFTER_LOOKS = 60; // some nine seconds: then it says what may help

const isHidden = () => document.visibilityState !== "visible";
const openTicket = (typed) => window.location.assign(`/tablet/ticket?typed=${encodeURIComponent(typed)}`);

function scan(life) {
  let stop = null;
  let read = null;
  let isAsking = false;

  return {
    isPlainHttp: !window.isSecureContext,
    mayAsk: mayAsk(),
    isLooking: false,
    looks: 0,
    error: "",

    init() {
      listenForScans(openTicket);
      if (!this.mayAsk) return;
      life.on(document, "visibilitychange", () => (isHidden() ? this.letGo() : this.look()));
      life.on(window, "pagehide", () => this.letGo());
      this.$nextTick(() => this.look());
    },

    get words() {
      if (!this.isLooking) return "Waiting for the camera";
      if (this.looks < HELP_AFTER_LOOKS) return "Hold the code on the ticket into the frame";
      return "Nothing read yet: hold the ticket flat, a hand's length away, and give it light";
    },

    async look() {
      if (stop || isAsking || isHidden()) return;
      isAsking = true;
      this.error = "";
      try {
        stop = await showCamera(this.$refs.video);
        read ??= await makeReader();
      } catch (failure) {
        this.fail(failure);
      }
      isAsking = false;
      if (isHidden()) this.letGo(); // nobody looks any more
      if (stop) this.readOn(stop);
    },
    fail(failure) {
      this.letGo();
      this.error = failure.message;
    },
    letGo() {
      if (stop) stop();
      stop = null;
      this.isLooking = false;
    },
    // Goes on until a code is read, or until the camera that it began with was let go of.
    async readOn(camera) {
      this.isLooking = true;
      this.looks = 0;
      try {
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
      } catch (failure) {
        this.fail(failure);
      }
    },
  };
}

component("scan", scan);
