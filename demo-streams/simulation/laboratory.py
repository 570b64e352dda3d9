"""Samples of the flow that passed the drifting sensor, and what an invented laboratory made of them weeks later; draws of its own."""

import json
import random
from datetime import datetime

from .drifting_sensor import SENSOR, is_wrong
from .farm_time import ZONE, clock_on
from .machines import ANALYTES

# One standard deviation of a laboratory value, sampling included (common practice, no source).
RELATIVE_ERROR = 0.025
TAKEN_AT, SECONDS = ("08:30:00", "09:10:00", "09:50:00", "10:40:00"), 600
REPORTED_ON = "2025-12-09"
PRINTED = {"tn": "totalNitrogen", "nh4n": "ammoniumNitrogen"}


def reports(day, seconds, seed):
    """A day's reports in the words of the laboratory file; none for a day on which the sensor was right."""
    if not is_wrong(day):
        return []
    rng, written = random.Random(f"{seed}/{day['date']}/{day['machine']}/laboratory"), []
    for number, clock in enumerate(TAKEN_AT, 1):
        begins, ends = clock_on(day["date"], clock, SECONDS)
        passed = [s for s in seconds if begins <= s.time < ends and s.engaged]
        litres = sum(s.litres for s in passed)
        values = []
        for name, word in PRINTED.items():
            true = sum(s.litres * s.liquid[ANALYTES.index(name)] for s in passed) / litres
            found = f"{true * (1 + rng.gauss(0, RELATIVE_ERROR)):.2f}"
            values.append({"what": word, "value": float(found), "unit": "kg/m3"})
        written.append({
            "id": f"tern-mill-{day['date']}-{number}", "sample": f"{day['date']} {clock[:5]}", "laboratory": "Laboratory at Tern Mill (invented)",
            "sampledFrom": _moment(begins), "sampledTo": _moment(ends), "sensor": SENSOR["sensor"],
            "method": "Kjeldahl nitrogen, distilled ammonia", "reportedOn": REPORTED_ON, "by": "J. Larch", "values": values,
        })  # fmt: skip
    return written


def write(path, written):
    lines = ",\n    ".join(json.dumps(report) for report in written)
    path.write_text(f'{{\n  "reports": [\n    {lines}\n  ]\n}}\n', "utf-8")


def _moment(seconds):
    return datetime.fromtimestamp(seconds, ZONE).isoformat()
