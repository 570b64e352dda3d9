"""The raw streams, read as the README of src/NutrientLedger.Ledger says under Readings and Questionable times: whole numbers, each known once."""

import gzip
import json

SCALES = {
    "lat": 1e7, "lon": 1e7, "speed": 1e3, "width": 1e3, "flow": 1e6, "total": 1e6, "dm": 1e6, "tn": 1e3, "nh4n": 1e3, "p": 1e3, "k": 1e3,
    "level": 1e3, "temp": 1e3, "wind": 1e3, "rain": 1e3, "rh": 1e3,
}  # fmt: skip


def whole(value, scale):
    """The IEEE double times the scale, rounded half away from zero; the leftover of a truncated double is exact."""
    scaled = float(value) * scale
    cut = int(scaled)
    if abs(scaled - cut) >= 0.5:
        cut += 1 if scaled > 0 else -1
    return cut


def readings_of(payload):
    """Boot, number of the first reading, and the readings in the order in which their times appear."""
    boot = seq = None
    base, by_time = float(payload[0]["bt"]), {}
    for record in payload:
        name = record["n"]
        if name in ("boot", "seq"):
            boot, seq = (record["v"], seq) if name == "boot" else (boot, record["v"])
            continue
        time = whole(base + record.get("t", 0), 1e3)
        reading = by_time.setdefault(time, {"time": time})
        reading[name] = record["vb"] if name == "engaged" else whole(record["v"], SCALES[name])
    return boot, seq, list(by_time.values())


def messages(folder, streams=None):
    """All messages of all files, or of those named, by the moment of sending; equal moments by file name, then by line."""
    found = []
    for path in sorted(p for p in folder.glob("*.jsonl.gz") if streams is None or p.name.removesuffix(".jsonl.gz") in streams):
        with gzip.open(path, "rt", encoding="utf-8") as lines:
            for number, line in enumerate(lines):
                found.append((int(line[10 : line.index(",")]), path.name, number, line))
    for *_, line in sorted(found):
        message = json.loads(line)
        yield message["topic"].split("/")[2:], message["payload"]


class Journal:
    """Per (farm, equipment, stream): readings by boot and number. The first to arrive under a number counts."""

    def __init__(self):
        self.streams, self.duplicates, self.messages = {}, {}, {}

    def take(self, farm, equipment, stream, payload):
        key = (farm, equipment, stream)
        boot, seq, readings = readings_of(payload)
        boots = self.streams.setdefault(key, {})
        self.messages[key] = self.messages.get(key, 0) + 1
        known = boots.setdefault(boot, {})
        for number, reading in enumerate(readings, seq):
            if number in known:
                self.duplicates[key] = self.duplicates.get(key, 0) + 1
            else:
                known[number] = reading


def gaps(boots):
    """The gaps between the numbers received: boot, first missing, last missing."""
    found = []
    for boot, known in sorted(boots.items()):
        numbers = sorted(known)
        found += [[boot, a + 1, b - 1] for a, b in zip(numbers, numbers[1:]) if b > a + 1]
    return found
