// Pictures of a run: taking one, and what became of each.

import { newId } from "../device.js";
import { addPhoto, photoSent, photosHere, photosWait } from "../outbox.js";
import { onChange } from "../sync.js";
import { smaller } from "./picture_file.js";

const MOST = 12; // of one run, as the server has it
const MOST_SHOWN = 2;

const refusalOf = ({ apart }) => (apart ? `The server did not take a picture, and it stays on this tablet: ${apart}` : "");

export function photo(record, life) {
  return {
    isTaking: false,
    photosHere: [], // of this run, not with the server yet
    photosWait: "",

    watchPhotos() {
      const told = new Set([""]);
      const look = () => {
        this.photosHere = photosHere().filter(({ run }) => run === record.page.run);
        this.photosWait = this.photosHere.length ? photosWait() : "";
        for (const trouble of [this.photosWait, ...this.photosHere.map(refusalOf)]) {
          if (!told.has(trouble)) this.notice = trouble;
          told.add(trouble);
        }
      };
      life.until(onChange(look));
    },

    /** Something was chosen in a file field. `of`: what it shows; `problem`: whose picture it is, null for none. */
    async takePhoto(event, of, problem) {
      const field = event.target;
      const [file] = field.files;
      if (!file || this.isTaking) return;
      if (this.sheet) this.shut();
      this.isTaking = true;
      try {
        await this.keepPhoto(file, of, problem);
      } catch (trouble) {
        this.notice = trouble.message;
      } finally {
        this.isTaking = false;
        field.value = ""; // the same one may be chosen again
      }
    },
    // The picture is on the disk before it is told of: an event never promises a picture that was not kept.
    async keepPhoto(file, of, problem) {
      if (this.photos.length >= MOST) throw new Error(`This run has ${MOST} pictures already; more are not kept.`);
      const id = newId();
      const { blob, width, height, small } = await smaller(file);
      await addPhoto({ id, run: record.page.run, blob, of, small });
      const shows = problem ? { problem: problem.event } : {};
      const isTold = this.emit(["photo", { photo: id, of, ...shows, width, height, bytes: blob.size }]);
      if (!isTold) await photoSent(id); // it stays out, and the notice says why
    },

    // All that count, oldest first: {id, problem, address, wait, apart}.
    get photos() {
      if (!this.last) return []; // painted anew with each tap, and so are these
      const told = record.steps.map(({ event }) => event).filter(({ kind }) => kind === "photo");
      return told.map(({ data }) => this.shownPhoto(data));
    },
    shownPhoto({ photo: id, problem }) {
      const here = this.photosHere.find((one) => one.id === id);
      const address = here ? here.small : `/tablet/photo/${id}.jpg`;
      return { id, problem: problem || "", address, waits: Boolean(here), apart: (here && here.apart) || "" };
    },
    photosOf(problem) {
      return this.photos.filter((one) => one.problem === problem.event);
    },
    get photosOfWork() {
      return this.photos.filter((one) => !one.problem);
    },
    newestPhotos: (shown) => shown.slice(-MOST_SHOWN),
    /** As short as can be: "2 to send" while the server has not got them all. */
    photoCount(shown) {
      if (this.isTaking) return "…";
      if (!shown.length) return "";
      return shown.some((one) => one.waits) ? `${shown.length} to send` : `${shown.length} sent`;
    },
    /** One line for some of them: how many there are, and what keeps those that are still here. */
    photoWords(shown) {
      if (this.isTaking) return "Keeping the picture…";
      const apart = shown.find((one) => one.apart);
      if (apart) return refusalOf(apart);
      const waiting = shown.filter((one) => one.waits).length;
      if (waiting && this.photosWait) return this.photosWait;
      const count = shown.length === 1 ? "1 picture" : `${shown.length} pictures`;
      if (!shown.length) return "";
      return waiting ? `${count}, kept here till sent` : `${count}, sent`;
    },
  };
}
