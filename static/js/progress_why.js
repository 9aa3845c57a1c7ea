// Why a run may not exist, given those opened before it, in the server's own sentences (floor/domain/progress.py).

import { overBy } from "./progress_moments.js";

/** "" when it may. `fold`: what the runs before it left. */
export function whyNot(fold, facts) {
  const terms = fold.termsOf(facts);
  const section = terms.sections.find(({ key }) => key === facts.section);
  if (!section) return `This job has no section "${facts.section}".`;
  if (section.scope === "job") return whyNotJob(fold, facts, section);
  return whyNotLoad(fold, facts, section, terms) || clash(fold, facts) || whyNotYet(fold, facts, section, terms);
}

const sizesOf = (terms) => new Map(terms.garments.map(({ number, size }) => [number, size]));

function whyNotLoad(fold, { garments }, section, terms) {
  if (!garments.length) return `${section.title} needs at least one garment.`;
  const [sizes, newest] = [sizesOf(terms), sizesOf(fold.newest)];
  for (const number of garments) {
    const [was, is] = [sizes.get(number), newest.get(number)];
    if (was === undefined) return `This job has no garment ${number}; it has 1 to ${sizes.size}.`;
    if (is === undefined) {
      return `Garment ${number} was taken off this job by a newer revision; it has 1 to ${newest.size} now.`;
    }
    if (was !== is) return `Garment ${number} is of size ${is} now; by the revision of this run, ${was}.`;
  }
  if (garments.length > terms.load_size) {
    return `A load of this job holds ${terms.load_size}; ${garments.length} garments were loaded.`;
  }
  if (terms.opens && new Set(garments.map((number) => sizes.get(number))).size > 1) {
    return "Garments of different sizes cannot share a load: their openings differ.";
  }
  return "";
}

function whyNotJob(fold, facts, section) {
  if (facts.garments.length) return `${section.title} is done once for the whole job, not for single garments.`;
  const going = fold.kept.some((other) => other.section === section.key && !overBy(other, facts.opened_at));
  return going ? `${section.title} was already under way on another tablet.` : "";
}

function clash(fold, facts) {
  for (const number of facts.garments) {
    const other = fold.holderOf(number, facts.opened_at);
    if (!other) continue;
    const { title } = fold.termsOf(other).sections.find(({ key }) => key === other.section);
    return `Garment ${number} was already under way: ${title}.`;
  }
  return "";
}

function whyNotYet(fold, facts, section, terms) {
  for (const owed of terms.sections) {
    if (owed.key === section.key) break;
    if (owed.scope === "job" && !fold.jobDid(owed.key, facts.opened_at)) {
      return `${owed.title} comes first for the whole job.`;
    }
    const lacking = facts.garments.find((number) => owed.scope === "load" && !(owed.key in fold.garments[number].done));
    if (lacking !== undefined) return `${owed.title} comes first for garment ${lacking}.`;
  }
  const again = facts.garments.find((number) => section.key in fold.garments[number].done);
  if (again !== undefined && !facts.cause) {
    return `Garment ${again} has ${section.title} behind it; doing it again needs a cause.`;
  }
  return terms.approval_needed && !fold.approvedBy(facts.opened_at) ? whyNotApproved(fold, facts) : "";
}

function whyNotApproved(fold, facts) {
  const first = fold.firstPieceOf(facts.opened_at);
  if (first.length && !facts.garments.every((number) => first.includes(number))) {
    return `The first piece (garment ${first[0]}) is not approved yet; the batch waits for it.`;
  }
  return facts.first_piece ? "" : "Nothing of this job is approved yet, so this run is the first piece's.";
}
