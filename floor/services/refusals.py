"""What could not be taken as an event: kept whole, once, for a supervisor to see."""

from __future__ import annotations

import hashlib
import json

from sqlalchemy import select

from floor.domain.events import UNKEEPABLE
from floor.services.batch import MAX_NUMBER
from floor.store.models import Refusal, db

MAX_BODY_BYTES = 8_192


def keep_refusal(device: str, text: str, reason: str, number: int | None, now_ms: int) -> None:
    body = text if len(text.encode()) <= MAX_BODY_BYTES else text[: MAX_BODY_BYTES // 4] + "…"
    digest = hashlib.sha256(f"{reason}\n{body}".encode()).hexdigest()
    before = db.session.scalar(
        select(Refusal.id).where(Refusal.device == device, Refusal.digest == digest).limit(1)
    )
    if before is None:
        db.session.add(
            Refusal(device=device, body=body, reason=reason, received_at=now_ms, seq=number, digest=digest)
        )
        db.session.flush()


def kept_text(raw: object) -> str:
    """What was sent, as it is kept if it must be refused: without a supervisor's token, and in characters that
    every database takes."""
    if isinstance(raw, dict) and isinstance(raw.get("data"), dict) and "token" in raw["data"]:
        raw = {**raw, "data": {key: value for key, value in raw["data"].items() if key != "token"}}
    text = json.dumps(raw, sort_keys=True, ensure_ascii=False)
    return UNKEEPABLE.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def number_of(raw: object) -> int | None:
    """The number that it names, if it names one that an event may have."""
    seq = raw.get("seq") if isinstance(raw, dict) else None
    return seq if type(seq) is int and 1 <= seq <= MAX_NUMBER else None
