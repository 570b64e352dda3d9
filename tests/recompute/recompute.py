#!/usr/bin/env python3
"""The ledger of the demo farm a second time, from the raw streams and the README of src/NutrientLedger.Ledger alone; shares no code with the hub.

    python3 tests/recompute/recompute.py           writes demo-streams/expected.json, and tests/recompute/expected-decided.json:
                                                   some of the streams under the decisions of decided.json
    python3 tests/recompute/recompute.py --check   compares with them; exit code 1 on any difference
"""

import argparse
import json
import math
import sys
from pathlib import Path

from farm import Farm, milliseconds
from posting import ANALYTES, COLUMNS, RULES, Ledger, is_overlapped
from wire import Journal, gaps, messages

DECIDED = Path(__file__).resolve().with_name("decided.json")
STREAMS_FOLDER = Path(__file__).resolve().parents[2] / "demo-streams"
# The streams end before November 2026 and are played after that, so no reading lies in the future of its recording.
RECORDED = "2026-11-24T00:00:00+00:00"
# Amounts that pass through floating point may differ by this share between mathematics libraries.
TOLERANCE = 1e-6
FLOATING = {"areaTravelledCm2", "coveredSquareMetres", "coveredCells", "overlappedCells"}


def fields_of(ledger):
    totals = {}
    for (field, season, *_), line in ledger.lines.items():
        own = totals.setdefault((field, season), [0] * len(line.amounts()))
        latest = max(own[7], line.last)
        own[:] = [a + b for a, b in zip(own, line.amounts())]
        own[7] = latest
    rows = []
    for (field, season), own in sorted(totals.items()):
        cells = ledger.visits.get((field, season), {})
        rows.append({
            "field": field, "season": season, **dict(zip(COLUMNS[6:], own)), "coveredCells": len(cells),
            "overlappedCells": sum(map(is_overlapped, cells.values())),
            "coveredSquareMetres": round(covered_area(ledger.grid, cells), 3),
        })  # fmt: skip
    return rows


def covered_area(grid, cells):
    rows = {}
    for row, _ in cells:
        rows[row] = rows.get(row, 0) + 1
    return math.fsum(grid.cell_area(row) * count for row, count in rows.items())


def pits_of(farm, ledger, journal):
    levels = {pit: [] for pit in farm.pits}
    for (_, equipment, stream), boots in journal.streams.items():
        counting = (r for boot, known in boots.items() for _, r in ledger.read(equipment, stream, boot, known))
        for reading in (r for r in counting if stream == "store" and "level" in r):
            sensor = farm.sensor_of(equipment, "inPit", reading["time"])
            if sensor:
                levels[sensor["host"]].append((reading["time"], reading["level"]))
    return [
        {"pit": pit, "levels": len(found), "sumMm": sum(level for _, level in found), "lowestMm": min(level for _, level in found),
         "highestMm": max(level for _, level in found), "lastMs": max(found)[0], "lastMm": max(found)[1]}
        for pit, found in levels.items() if found
    ]  # fmt: skip


def devices_of(ledger, journal):
    rows = []
    for key, boots in sorted(journal.streams.items()):
        stored = [reading for known in boots.values() for reading in known.values()]
        rows.append({
            "equipment": key[1], "stream": key[2], "messages": journal.messages[key], "stored": len(stored),
            "duplicates": journal.duplicates.get(key, 0), "questionable": sum(map(ledger.is_questionable, stored)),
            "boots": len(boots), "gaps": gaps(boots),
        })  # fmt: skip
    return rows


def recompute(folder, streams=None, decisions=()):
    """The ledger of all streams, or of some, under no decisions or some."""
    farm = Farm(folder / "larch-hollow.json")
    journal, ledger = Journal(), Ledger(farm, milliseconds(RECORDED), decisions)
    for (farm_id, equipment, stream), payload in messages(folder / "streams", streams):
        journal.take(farm_id, equipment, stream, payload)
    for (farm_id, equipment, stream), boots in journal.streams.items():
        if farm_id == farm.id and stream == "spread":
            ledger.post(equipment, boots)
    return {
        "relativeTolerance": dict.fromkeys(sorted(FLOATING), TOLERANCE),
        "analytes": list(ANALYTES),
        "fields": fields_of(ledger),
        "pits": pits_of(farm, ledger, journal),
        "devices": devices_of(ledger, journal),
        "lineColumns": COLUMNS,
        "flagColumns": [*COLUMNS[:6], "rule", "intervals", "volumeMl", *COLUMNS[-10:]],
        "flags": [[*key, rule, *line.flags[rule]] for key, line in sorted(ledger.lines.items()) for rule in RULES if rule in line.flags],
        "lines": [[*key, *line.amounts()] for key, line in sorted(ledger.lines.items()) if any(line.amounts())],
    }


def differences(expected, found, path="", name=""):
    """Every place where two results differ, in words."""
    if isinstance(expected, dict) and isinstance(found, dict):
        for key in sorted(expected.keys() | found.keys()):
            yield from differences(expected.get(key), found.get(key), f"{path}/{key}", key)
    elif isinstance(expected, list) and isinstance(found, list) and len(expected) == len(found):
        columns = COLUMNS if len(expected) == len(COLUMNS) and path.startswith("/lines/") else [name] * len(expected)
        for index, (a, b) in enumerate(zip(expected, found)):
            yield from differences(a, b, f"{path}/{index}", columns[index])
    elif isinstance(expected, list) and isinstance(found, list):
        for rows, others, where in ((expected, found, "only in the file"), (found, expected, "only recomputed")):
            yield from (f"{path} {where}: {str(row)[:160]}" for row in rows if row not in others)
    elif name in FLOATING and None not in (expected, found):
        if not math.isclose(expected, found, rel_tol=TOLERANCE):
            yield f"{path}: {expected} in the file, {found} recomputed"
    elif expected != found:
        yield f"{path}: {expected} in the file, {found} recomputed"


def as_text(result):
    """One row a line, so that a change shows as the lines it touches."""
    parts = []
    for key, value in result.items():
        if key in ("fields", "pits", "devices", "flags", "lines"):
            rows = ",\n".join("  " + json.dumps(row, separators=(",", ":")) for row in value)
            parts.append(f' "{key}": [\n{rows}\n ]')
        else:
            parts.append(f' "{key}": {json.dumps(value)}')
    return "{\n" + ",\n".join(parts) + "\n}\n"


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", action="store_true", help="compare with expected.json instead of writing it")
    parser.add_argument("--folder", type=Path, default=STREAMS_FOLDER, help="folder with the farm file and the streams")
    arguments = parser.parse_args()
    decided = json.loads(DECIDED.read_text("utf-8"))
    results = {
        arguments.folder / "expected.json": recompute(arguments.folder),
        DECIDED.with_name("expected-decided.json"): recompute(arguments.folder, decided["streams"], decided["decisions"]),
    }
    wrong = False
    for path, result in results.items():
        if not arguments.check:
            path.write_text(as_text(result), "utf-8")
            continue
        found = list(differences(json.loads(path.read_text("utf-8")), json.loads(as_text(result))))
        print("\n".join([f"{path.name}:", *found[:40]]) if found else f"The recomputation agrees with {path.name}.")
        wrong = wrong or bool(found)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
