"""Intervals to ledger lines and covered cells, rule by rule as the README of src/NutrientLedger.Ledger numbers them."""

import math

from decisions import Decisions
from ground import Grid, contains, displacement
from wire import whole

ANALYTES = ("dm", "tn", "nh4n", "p", "k")
LATE_MS = 300_000
STEP_SECONDS, PAUSE_SECONDS = 20, 72 * 3600
RULES = ("Any", "AmmoniumAboveTotal", "ContentOutOfRange", "ContentMissing", "EngagedWithoutFlow", "FlowOutOfRange", "SpeedOutOfRange",
         "WidthOutOfRange", "FlowWhileDisengaged", "InsideNoSpreadZone")  # fmt: skip
LIMITED_CONTENTS = {"dm": "dryMatter", "tn": "totalNitrogen", "nh4n": "ammoniumNitrogen", "p": "phosphorus", "k": "potassium"}


class Line:
    """The amounts of one ledger line."""

    def __init__(self):
        self.volume = self.disengaged = self.not_placed = self.unknown = self.intervals = self.area = self.last = 0
        self.sums, self.without = dict.fromkeys(ANALYTES, 0), dict.fromkeys(ANALYTES, 0)
        self.flags = {}

    def flag(self, rule, volume, sums, without):
        """Adds an interval to what a rule flags: number, mL, raw sums and volumes without content."""
        own = self.flags.setdefault(rule, [0] * 12)
        own[:] = [have + more for have, more in zip(own, [1, volume, *sums, *without])]

    def amounts(self):
        return [self.volume, self.disengaged, self.not_placed, self.unknown, self.intervals, self.flags.get("Any", [0, 0])[1], self.area, self.last,
                *self.sums.values(), *self.without.values()]  # fmt: skip


COLUMNS = ["field", "season", "hourMs", "applicator", "pit", "sensor", "volumeMl", "disengagedMl", "notPlacedMl", "unknownIntervals",
           "intervals", "flaggedMl", "areaTravelledCm2", "lastMeasuredMs",
           *(f"{name}Sum" for name in ANALYTES), *(f"{name}WithoutMl" for name in ANALYTES)]  # fmt: skip


def volume_between(a, b, modulus):
    """Rule 1: mL between two readings, or None when unknown."""
    dt = b["time"] - a["time"]
    if "total" in a and "total" in b:
        d = b["total"] - a["total"]
        if d < 0:
            d += modulus or 0
        return d if 0 <= d <= 500 * min(max(dt, 1000), 3_600_000) else None
    if "flow" in a and "flow" in b and 0 < dt <= 10_000:
        return ((a["flow"] + b["flow"]) * dt + 1000) // 2000
    return None


def flags_of(a, volume, dt, sensor, limits):
    """The rules that flag an engaged interval, by the limits in force: quantity to (min, max), either may be None."""
    def outside(quantity, name):
        low, high = limits.get(quantity, (None, None))
        return name in a and ((low is not None and a[name] < low) or (high is not None and a[name] > high))

    low, high = limits.get("flowWhileEngaged", (1, None))
    held = {
        "AmmoniumAboveTotal": "nh4n" in a and "tn" in a and a["nh4n"] > a["tn"],
        "ContentOutOfRange": any(outside(quantity, name) for name, quantity in LIMITED_CONTENTS.items()),
        "ContentMissing": bool(sensor) and not a.get("contentVoid") and not any(name in a for name in ANALYTES),
        "EngagedWithoutFlow": a.get("engaged") is True and volume * 1000 < (1 if low is None else low) * dt,
        "FlowOutOfRange": high is not None and volume * 1000 > high * dt,
        "SpeedOutOfRange": outside("speed", "speed"),
        "WidthOutOfRange": outside("width", "width"),
    }
    found = [rule for rule, holds in held.items() if holds]
    return ["Any", *found] if found else []


class Ledger:
    """Lines and visited cells of a farm."""

    def __init__(self, farm, recorded_ms, decisions=()):
        self._farm, self._recorded, self._decisions = farm, recorded_ms, Decisions(decisions)
        self.lines, self.visits = {}, {}
        self.grid = Grid(farm.step["latitudeE7"], farm.step["longitudeE7"])

    def is_questionable(self, reading):
        return reading["time"] > self._recorded + LATE_MS or reading["time"] < self._farm.begins

    def post(self, equipment, boots):
        applicator = self._farm.applicators.get(equipment)
        if applicator is None:
            return
        for boot, known in boots.items():
            read = {number: reading for number, reading in self.read(equipment, "spread", boot, known)}
            for number in sorted(read):
                a, b = read[number], read.get(number + 1)
                if b is not None:
                    self._post_interval(applicator, a, b)

    def read(self, equipment, stream, boot, known):
        """The readings of one boot that count, by number, as people decided; what stays out breaks the run."""
        for number, reading in known.items():
            counts = self._decisions.read(equipment, stream, boot, number, reading, self.is_questionable)
            if counts is not None:
                yield number, counts

    def _line(self, field, applicator, sensor, time):
        hour, season = self._farm.hour_and_season(time)
        key = (field, season, hour, applicator["id"], self._farm.pit_of(applicator["id"], time), sensor["id"] if sensor else "")
        return self.lines.setdefault(key, Line()), season

    def _post_interval(self, applicator, a, b):
        time, dt = a["time"], b["time"] - a["time"]
        sensor = self._farm.sensor_of(applicator["id"], "onApplicator", time)
        volume = volume_between(a, b, whole(applicator.get("meterStartsAgainAtCubicMetres", 0), 1e6))
        if volume is None:
            self._line("", applicator, sensor, time)[0].unknown += 1
            return
        placed = applicator["meterCounts"] == "spreading" and 0 < dt <= 10_000 and all(n in r for r in (a, b) for n in ("lat", "lon"))
        length = displacement(a, b)[2] if placed else math.inf
        if not placed or length * 1000 > 15 * dt:
            self._line("", applicator, sensor, time)[0].not_placed += volume
            return
        middle = (a["lat"] + b["lat"]) // 2, (a["lon"] + b["lon"]) // 2
        field = self._field_at(*middle, time)
        line, season = self._line(field, applicator, sensor, time)
        if not a.get("engaged", True):
            line.disengaged += volume
            if volume * 1000 > (self._farm.limits_of(applicator["id"], time).get("flowWhileDisengaged", (None, 0))[1] or 0) * dt:
                line.flag("FlowWhileDisengaged", volume, [0] * 5, [0] * 5)
            return
        width = a.get("width", whole(applicator["workingWidthMetres"], 1e3))
        self._add(line, a, b, volume, whole(length * width * 10, 1), sensor)
        sums = [volume * a[name] if name in a and sensor else 0 for name in ANALYTES]
        without = [0 if name in a and sensor else volume for name in ANALYTES]
        for rule in flags_of(a, volume, dt, sensor, self._farm.limits_of(applicator["id"], time)):
            line.flag(rule, volume, sums, without)
        if any(contains(rings, *middle) for rings in self._farm.zones(time)):
            line.flag("InsideNoSpreadZone", volume, sums, without)
        if field and length > 0:
            self._visit(self.visits.setdefault((field, season), {}), applicator["id"], a, b, width)

    @staticmethod
    def _add(line, a, b, volume, area, sensor):
        line.volume += volume
        line.intervals += 1
        line.area += area
        for name in ANALYTES:
            if name in a and sensor:
                line.sums[name] += volume * a[name]
            else:
                line.without[name] += volume
        line.last = max(line.last, b["time"])

    def _field_at(self, latitude, longitude, time):
        return next((field for field, rings in self._farm.boundaries(time) if contains(rings, latitude, longitude)), "")

    def _visit(self, cells, applicator, a, b, width):
        day, second = self._farm.day_start(a["time"]), a["time"] // 1000
        step = (second - day) // STEP_SECONDS
        for cell in self.grid.cells(a, b, width):
            days = cells.setdefault(cell, {})
            first, last = days.get((applicator, day), (step, step))
            days[applicator, day] = min(first, step), max(last, step)


def is_overlapped(days):
    """Whether a cell was visited again within one application; first and last step by (applicator, start of the day)."""
    visits = sorted((day + first * STEP_SECONDS, day + last * STEP_SECONDS, applicator) for (applicator, day), (first, last) in days.items())
    applications = []
    for first, last, applicator in visits:
        if not applications or first - applications[-1]["last"] >= PAUSE_SECONDS:
            applications.append({"first": first, "last": last, "applicators": set()})
        one = applications[-1]
        one["last"] = max(one["last"], last)
        one["applicators"].add(applicator)
    return any(len(one["applicators"]) > 1 or one["last"] - one["first"] > 3 * STEP_SECONDS for one in applications)
