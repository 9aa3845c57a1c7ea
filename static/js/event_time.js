/** An event's time by the server's clock, ms; an event not sent yet has no offset. */
export const when = (event) => event.at + (event.offset_ms ?? 0);
