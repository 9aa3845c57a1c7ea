// What is typed or scanned -> a ticket's code and garment, or the sentence why it is none: the tablet's reading of
// floor/domain/ticket.py, whose own sentences these are.

const ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const CHECK_MODULUS = 37;
const CODE_CHARACTERS = 6;
const MAX_GARMENT_NUMBER = 2000;
const MAX_TYPED_CHARACTERS = 300;

// What the server calls a space: the browser's own \s goes by another list.
const SPACE = "\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000";
const SEPARATORS = new RegExp(`[${SPACE}\\-\\u2010-\\u2013\\u2212]+`, "gu");
const AROUND = new RegExp(`^[${SPACE}]+|[${SPACE}]+$`, "gu");
const ADDRESS = /^(?:[^\n]*\/)?[Tt]\/([^/?#]+)(?:\/([^/?#]*))?\/?(?:[?#][^\n]*)?$/;
const CODE_AND_GARMENT = /^([^/]+)\/([^/]*)\/?$/;

/** What was typed or scanned is no ticket code; the message says what to look at. */
export class CodeMistyped extends Error {}

/** {code, garment}: the number, or null for the whole job. Throws CodeMistyped. */
export function readTicket(typed) {
  const text = typed.replace(AROUND, "");
  if ([...text].length > MAX_TYPED_CHARACTERS) {
    throw new CodeMistyped("That is too long for a ticket: scan Floor's own code, or type its six characters.");
  }
  const match = text.match(ADDRESS) || text.match(CODE_AND_GARMENT);
  if (match) return { code: readCode(match[1]), garment: garmentNumber(match[2]) };
  if (text.includes("/")) {
    throw new CodeMistyped("That is not the address of a ticket: scan the code at the ticket's top.");
  }
  return { code: readCode(text), garment: null };
}

/** The code as issued, from what a person typed: any case, spaces and hyphens, O for 0, I or L for 1. */
export function readCode(typed) {
  const plain = [...typed].slice(0, MAX_TYPED_CHARACTERS).join("").replace(SEPARATORS, "");
  const code = plain.replace(/[a-z]/g, (letter) => letter.toUpperCase()).replace(/O/g, "0").replace(/[IL]/g, "1");
  const characters = [...code];
  if (characters.length !== CODE_CHARACTERS) {
    throw new CodeMistyped(
      `A ticket code has ${CODE_CHARACTERS} characters and this has ${characters.length}: look at it again.`,
    );
  }
  characters.forEach((character, at) => {
    if (ALPHABET.includes(character)) return;
    const hint = character === "U" ? "perhaps it is a V" : "codes have only digits and letters";
    throw new CodeMistyped(`Character ${at + 1} is ${shown(character)}, which no ticket code has: ${hint}.`);
  });
  if (checkValue(code.slice(0, -1)) !== ALPHABET.indexOf(code.at(-1))) {
    const [half, rest] = [code.slice(0, CODE_CHARACTERS / 2), code.slice(CODE_CHARACTERS / 2)];
    throw new CodeMistyped(`${half}-${rest} is not a ticket code: one character is wrong or two have changed places.`);
  }
  return code;
}

const shown = (character) => (/[\p{C}\p{Z}]/u.test(character) ? "an unprintable sign" : `"${character}"`);

function garmentNumber(typed) {
  if (!typed) return null;
  const number = /^[0-9]{1,6}$/.test(typed) ? Number(typed) : 0;
  if (number >= 1 && number <= MAX_GARMENT_NUMBER) return number;
  throw new CodeMistyped(
    `After the code comes a garment's number from 1 to ${MAX_GARMENT_NUMBER}, as in K7Q2M4/12.`,
  );
}

const checkValue = (body) =>
  [...body].reduce((value, character) => (value * ALPHABET.length + ALPHABET.indexOf(character)) % CHECK_MODULUS, 0);
