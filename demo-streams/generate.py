#!/usr/bin/env python3
"""Makes the demo streams of the invented farm, the same to the last byte each time: `python3 demo-streams/generate.py`."""

import json
from collections import Counter, defaultdict
from pathlib import Path
from random import Random

from simulation import laboratory
from simulation.drifting_sensor import SENSOR
from simulation.land import read_fields
from simulation.machines import work
from simulation.measuring import Machine, measure
from simulation.pit_troubles import DRIFTING_LEVEL, HOSE_LEAK, MIS_SCALED_METER, draw_unmetered
from simulation.records import records
from simulation.season import DAYS, DRAG_LINE, TANK_WAGON
from simulation.sending import SHARE_DELAYED, SHARE_RESENT, Message, cut, send, write
from simulation.surroundings import PITS, content_of, levels, weather
from simulation.truth import Truth

SEED = 20251001
HERE = Path(__file__).resolve().parent
STREAMS = HERE / "streams"
TOPIC = "agri/v1/larch-hollow"


def spread_days(fields, truth, drawn, counts):
    machines = {m["machine"]: Machine(m["meter_starts_at"]) for m in (DRAG_LINE, TANK_WAGON)}
    errors, reports = [], []
    for day in DAYS:
        seconds = work(day, fields, SEED)
        readings, error = measure(day, seconds, machines[day["machine"]], SEED)
        messages, never = send(day, readings, SEED)
        truth.add_day(day, seconds, readings, never)
        reports += laboratory.reports(day, seconds, SEED)
        for second in seconds:
            drawn[day["pit"]][second.time // 60 * 60 + 60] += second.litres / 1000
        write(STREAMS / f"{day['date']}-{day['machine']}.jsonl.gz", f"{TOPIC}/{day['machine']}/spread", messages)
        counts["spreadReadings"] += len(readings) - len(never)
        counts["spreadMessages"] += len(messages)
        errors.append({"date": day["date"], "machine": day["machine"], **{k: round(v, 6) for k, v in error.items()}})
    return errors, reports


def slow_streams(drawn, counts):
    ends = {}
    slow = [("weather-mast", "weather", weather(SEED))]
    for pit, facts in PITS.items():
        readings, ends[pit] = levels(pit, drawn[pit], SEED)
        slow.append((facts["equipment"], "store", readings))
    for equipment, stream, readings in slow:
        rng = Random(f"{SEED}/{equipment}/sending")
        messages = [Message(g[-1].true_ms + rng.randint(300, 1500), g) for g in cut(readings, 3, 5, rng)]
        write(STREAMS / f"{equipment}.jsonl.gz", f"{TOPIC}/{equipment}/{stream}", messages)
        counts[stream + "Readings"] += len(readings)
        counts[stream + "Messages"] += len(messages)
    return ends


def troubles(leaked):
    everywhere = [{"kind": "resentWhole", "shareOfMessages": SHARE_RESENT}, {"kind": "outOfOrder", "shareOfMessages": SHARE_DELAYED}]
    everywhere.append({**SENSOR, "laboratoryRelativeError": laboratory.RELATIVE_ERROR})
    listed = [(day, t) for day in DAYS for t in [*day["troubles"], *({"kind": kind} for kind in day["also"])]]
    return everywhere + [MIS_SCALED_METER, DRIFTING_LEVEL, {**HOSE_LEAK, "cubicMetres": round(leaked, 3)}] + [{"date": day["date"], "machine": day["machine"], **{k: v for k, v in t.items() if v}} for day, t in listed]


def main():
    STREAMS.mkdir(exist_ok=True)
    for old in STREAMS.glob("*.jsonl.gz"):
        old.unlink()
    fields = read_fields(HERE / "larch-hollow.geojson")
    truth, drawn, counts = Truth(fields), defaultdict(Counter), Counter()
    errors, reports = spread_days(fields, truth, drawn, counts)
    leaked = draw_unmetered(drawn, SEED)
    laboratory.write(HERE / "larch-hollow-laboratory.json", reports)
    ends = slow_streams(drawn, counts)
    written = records(lambda pit, time: content_of(pit, drawn[pit], time), SEED)
    lines = ",\n    ".join(json.dumps(record) for record in written)
    (HERE / "larch-hollow-records.json").write_text(f'{{\n  "farm": "larch-hollow",\n  "records": [\n    {lines}\n  ]\n}}\n', "utf-8")
    result = {
        "seed": SEED,
        "counts": dict(sorted(counts.items())),
        "troubles": troubles(leaked),
        "drawnRelativeErrors": errors,
        "litresWhileDisengaged": round(truth.lifted_litres, 1),
        "pitCubicMetresAtEnd": {pit: round(volume, 1) for pit, volume in ends.items()},
        "fields": truth.per_field(),
    }
    (HERE / "truth.json").write_text(json.dumps(result, indent=1) + "\n", "utf-8")
    print(json.dumps(result["counts"]))


if __name__ == "__main__":
    main()
