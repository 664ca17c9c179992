"""One table of ratios: `python tests/bench` (not under any test; figures depend on the machine)."""

from __future__ import annotations

import check_speed
import control
import findings
import key
import plate_speed
import preview_speed
import review
import start


def main() -> None:
    """Measure and print."""
    print(f"{'what':50} {'ours ms':>9} {'base ms':>9} {'ratio':>6} {'limit':>6}")  # noqa: T201
    rows = start.measure() + key.measure() + control.measure() + plate_speed.measure() + check_speed.measure()
    rows += preview_speed.measure() + review.measure() + findings.measure()
    for what, ours, base, limit in rows:
        verdict = "" if ours / base <= limit else "  over"
        print(f"{what:50} {ours:9.1f} {base:9.1f} {ours / base:6.2f} {limit:6.1f}{verdict}")  # noqa: T201


if __name__ == "__main__":
    main()
