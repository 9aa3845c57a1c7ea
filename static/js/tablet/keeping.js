// What is said of where the taps are: with the server, kept here and to send, or nowhere; and whether this tablet goes
// on without the server. Never more than is so.

import { onChange } from "../sync.js";
import { heldCodes } from "./held.js";
import { onChange as onWorker } from "./worker.js";

export function keeping(life) {
  return {
    sync: { unsent: 0, photos: 0, refused: 0, online: true, reached: true, lastError: "", unsaved: "", aside: [] },
    worker: "getting ready",
    heldCount: 0,

    watchKeeping(heard = () => {}) {
      life.until(
        onChange((sync) => {
          if (JSON.stringify(this.sync) !== JSON.stringify(sync)) this.sync = sync;
          heard(sync);
        }),
      );
      life.until(onWorker((state) => (this.worker = state)));
      const count = () => (this.heldCount = heldCodes().length);
      life.every(5000, count);
      count();
    },
    get unsent() {
      return this.sync.unsent;
    },
    get isUnsent() {
      return Boolean(this.sync.unsent || this.sync.photos || this.sync.unsaved);
    },
    // The few words at the head of a screen.
    get saved() {
      const { unsent, photos, online, unsaved } = this.sync;
      if (unsaved) return "not kept!";
      if (!unsent && photos) return photos === 1 ? "1 picture to send" : `${photos} pictures to send`;
      if (!unsent) return "saved";
      return online ? `${unsent} to send` : `kept here, ${unsent} to send`;
    },
    // The same in whole sentences, for whoever taps on them.
    get keptSentence() {
      const { unsent, photos, unsaved } = this.sync;
      if (unsaved) return unsaved;
      if (!unsent && !photos) return "Every tap made here is with the server.";
      const taps = unsent === 1 ? "1 tap is" : `${unsent} taps are`;
      const pictures = photos === 1 ? "1 picture" : `${photos} pictures`;
      const what = !unsent ? `${pictures} ${photos === 1 ? "is" : "are"}` : photos ? `${taps.replace(/ (is|are)$/, "")} and ${pictures} are` : taps;
      return `${what} kept on this tablet and will be sent as soon as the server can take ${unsent + photos === 1 ? "it" : "them"}. A reload or an empty battery loses nothing.`;
    },
    get serverSentence() {
      const { online, reached, lastError } = this.sync;
      if (!lastError) return online ? "" : "This tablet has no network just now. Go on as usual.";
      return reached ? `The server was reached, and says: ${lastError}` : `${lastError} Go on as usual; look whether the server is on and the tablet is in the shop's network.`;
    },
    // Whether this tablet goes on by itself.
    get aloneSentence() {
      const jobs = this.heldCount === 1 ? "1 job is" : `${this.heldCount} jobs are`;
      if (this.worker === "ready") return this.heldCount ? `Ready to go on without the server: ${jobs} kept here.` : "This tablet opens without the server, but no job is kept here yet.";
      if (this.worker === "getting ready") return "Getting ready to go on without the server.";
      return "Without the server this tablet goes on, but a reload needs it.";
    },
    get isAloneIncomplete() {
      return this.worker === "plain http" || this.worker === "not here";
    },
  };
}
