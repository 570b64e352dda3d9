"""What the sensors say about it: position, meter and composition with their errors, gaps in the signals included."""

import math
import random
from dataclasses import dataclass, field

from .drifting_sensor import as_read
from .farm_time import clock_on
from .land import to_degrees
from .machines import ANALYTES
from .pit_troubles import scale_of

METER_SD, METER_NOISE = 0.005, 0.004
COMPOSITION_SD = {"dm": 0.015, "tn": 0.02, "nh4n": 0.02, "p": 0.04, "k": 0.04}
COMPOSITION_NOISE = 0.015
POSITION_DRIFT_METRES, POSITION_NOISE_METRES = 0.25, 0.012
WRONG_CLOCK_BEGINS_MS = 946_684_800_000
FOULED_SHARE = 0.4


@dataclass(slots=True)
class Reading:
    """One reading as the machine numbers and words it; `second` is its place in the true day."""

    second: int
    boot: int
    seq: int
    true_ms: int
    stamped_ms: int
    values: list = field(default_factory=list)
    lost: str = ""
    no_liquid: bool = False
    fouled: bool = False
    meter_reset: bool = False


@dataclass
class Machine:
    """What an applicator carries from day to day: the meter's running total and the count of its starts."""

    total: float
    boot: int = 0


def windows(day, kind):
    return [clock_on(day["date"], t["begins"], t["seconds"]) for t in day["troubles"] if t["kind"] == kind]


def measure(day, seconds, machine, seed):
    """The day's readings, and the errors that were drawn for the day."""
    rng = random.Random(f"{seed}/{day['date']}/{day['machine']}/sensors")
    meter = (1 + rng.gauss(0, METER_SD)) * (1 + scale_of(day)) - 1
    bias = {name: rng.gauss(0, COMPOSITION_SD[name]) for name in ANALYTES}
    at = {kind: windows(day, kind) for kind in
          ("gpsLoss", "compositionMissing", "fouledWindow", "totalMissing", "clockWrong", "reboot", "meterReset")}  # fmt: skip
    holds = lambda kind, time: any(a <= time < b for a, b in at[kind])  # noqa: E731
    resets = {a for a, _ in at["meterReset"]}
    restarts = {b for _, b in at["reboot"]}
    phase = rng.randrange(0, 1000, 50)
    machine.boot += 1
    seq, readings, before, drift = 0, [], 0.0, [0.0, 0.0]
    keep = math.exp(-1 / 900)
    for index, now in enumerate(seconds):
        if now.time in resets:
            machine.total = 0.0
        if now.time in restarts:
            machine.boot, seq = machine.boot + 1, 0
        drift = [d * keep + rng.gauss(0, POSITION_DRIFT_METRES * math.sqrt(1 - keep * keep)) for d in drift]
        values = []
        if not holds("gpsLoss", now.time):
            x, y = (t + d + rng.gauss(0, POSITION_NOISE_METRES) for t, d in zip((now.x, now.y), drift))
            latitude, longitude = to_degrees(x, y)
            values += [("lat", "lat", f"{latitude:.7f}"), ("lon", "lon", f"{longitude:.7f}"), ("speed", "m/s", f"{now.speed:.2f}")]
        if day["sends_width"]:
            values.append(("width", "m", f"{day['width']:.1f}"))
        values.append(("engaged", None, "true" if now.engaged else "false"))
        values.append(("flow", "m3/s", f"{max(0.0, (before + now.litres) / 2 * (1 + meter + rng.gauss(0, METER_NOISE))) / 1000:.5f}"))
        if not holds("totalMissing", now.time):
            values.append(("total", "m3", f"{machine.total:.3f}"))
        no_liquid, fouled = holds("compositionMissing", now.time), holds("fouledWindow", now.time)
        if not no_liquid:
            values += _composition(day, now.liquid, bias, fouled, rng)
        if not holds("reboot", now.time):
            seq += 1
            true_ms = now.time * 1000 + phase
            wrong = holds("clockWrong", now.time)
            stamped = true_ms - at["clockWrong"][0][0] * 1000 + WRONG_CLOCK_BEGINS_MS if wrong else true_ms
            lost = "clockWrong" if wrong else ("gpsLoss" if holds("gpsLoss", now.time) else "")
            readings.append(Reading(index, machine.boot, seq, true_ms, stamped, values, lost, no_liquid, fouled, now.time in resets))
        machine.total += max(0.0, now.litres * (1 + meter) * (1 + rng.gauss(0, METER_NOISE))) / 1000
        if day["modulus"] and machine.total >= day["modulus"]:
            machine.total -= day["modulus"]
        before = now.litres
    return readings, {"meter": meter, **bias}


def _composition(day, liquid, bias, fouled, rng):
    spoken = []
    for name, value in zip(ANALYTES, liquid):
        error = bias[name] + rng.gauss(0, COMPOSITION_NOISE)
        measured = as_read(day, name, value) * (1 + error) * (FOULED_SHARE if fouled and name == "tn" else 1)
        if name == "dm":
            spoken.append((name, "/", f"{measured:.4f}"))
        elif day["has_p_and_k"] or name in ("tn", "nh4n"):
            spoken.append((name, "kg/m3", f"{measured:.2f}"))
    return spoken
