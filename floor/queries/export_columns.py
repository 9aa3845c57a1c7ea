"""The columns of each export, in order. Programs rely on them: add at the end, and never rename one."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

COLUMNS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "phases": (
            "job", "job_title", "customer", "revision", "run", "section", "section_title",
            "garments", "attempt", "first_piece", "run_status", "operator", "phase", "key",
            "phase_title", "who", "expected_s", "work_s", "rework_s", "waiting_s", "pause_s",
            "problem_s", "started", "ended", "times_begun", "clock_jumps",
        ),
        "runs": (
            "job", "job_title", "customer", "revision", "run", "section", "section_title",
            "garments", "scrapped", "attempt", "cause", "first_piece", "status", "set_aside",
            "sent_back_to", "phase", "phase_count", "operator", "opened", "ended", "approved",
            "span_s", "clock_jumps", "machine",
        ),
        "events": (
            "job", "run", "event", "device", "seq", "kind", "phase", "happened", "tablet_clock",
            "clock_offset_s", "received", "operator", "authority", "by", "applied", "in_force",
            "reason", "sentence", "data", "clock_adrift",
        ),
        "problems": (
            "job", "job_title", "run", "section_title", "garments", "problem", "kind", "words",
            "note", "phase", "phase_title", "operator", "told", "cleared", "open_s", "how",
            "decided_by",
        ),
    }
)  # fmt: skip
