"""Floors of the statuses of mentions in narrations, just below the figures of DEVELOPERS.md."""

from __future__ import annotations

from stated import accuracy, other, score


def test_statuses_of_narrations() -> None:
    found = score(tune=True)
    assert accuracy(found) >= 0.915
    assert other(found) >= 0.74
