"""Moments as records keep them."""

from __future__ import annotations

from datetime import UTC, datetime


def utc_stamp(moment: datetime | None = None) -> str:
    """"2026-11-20T09:00:00Z" of a moment with a zone, by default now."""
    return (moment or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
