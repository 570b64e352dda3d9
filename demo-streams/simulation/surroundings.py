"""The pits' levels and the weather mast: slow streams round the working days."""

import math
import random

from .farm_time import midnight
from .measuring import Reading
from .pit_troubles import drift_metres
from .season import DAYS

SEASON = ("2025-10-01", "2026-11-01")
PITS = {
    "north-basin": {"equipment": "north-basin-level", "holds": 6500.0, "inflow_a_day": 13.0, "warmth": 11.0},
    "round-tank": {"equipment": "round-tank-level", "holds": 760.0, "inflow_a_day": 2.3, "warmth": 12.5},
}


def volume_at(pit, depth):
    if pit == "round-tank":
        return math.pi * 12.0**2 * depth
    return 60 * 30 * depth + 3 * depth**2 * (60 + 30) + 4 / 3 * 9 * depth**3


def depth_of(pit, volume):
    low, high = 0.0, 5.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if volume_at(pit, middle) < volume else (low, middle)
    return low


def season_part(time):
    """-1 in mid January, +1 in mid July."""
    return -math.cos(2 * math.pi * (time - midnight("2026-01-18")) / (365.25 * 86400))


def content_of(pit, drawn_by_minute, time):
    """Cubic metres in a pit at a moment."""
    facts, begins = PITS[pit], midnight(SEASON[0])
    drawn = sum(volume for minute, volume in drawn_by_minute.items() if minute <= time)
    return facts["holds"] + facts["inflow_a_day"] * (time - begins) / 86400 - drawn


def levels(pit, drawn_by_minute, seed):
    """Once a minute from 05:00 to 21:00 of a working day, every six hours otherwise; a new battery in March."""
    facts, rng = PITS[pit], random.Random(f"{seed}/{pit}/level")
    begins, ends, battery = midnight(SEASON[0]), midnight(SEASON[1]), midnight("2026-03-17") + 36000
    days = {midnight(d["date"]) for d in DAYS}
    minutes = set(range(begins + 1800, ends, 21600))
    for start in days:
        minutes.update(range(start + 5 * 3600, start + 21 * 3600, 60))
    drawn, draws = 0.0, sorted(drawn_by_minute.items(), reverse=True)
    readings, boot, seq = [], 1, 0
    for time in sorted(minutes):
        while draws and draws[-1][0] <= time:
            drawn += draws.pop()[1]
        if boot == 1 and time >= battery:
            boot, seq = 2, 0
        seq += 1
        volume = facts["holds"] + facts["inflow_a_day"] * (time - begins) / 86400 - drawn
        level = depth_of(pit, volume) + drift_metres(pit, time) + rng.gauss(0, 0.0015)
        warmth = facts["warmth"] + 7.5 * season_part(time - 20 * 86400) + rng.gauss(0, 0.05)
        ms = time * 1000 + 400
        readings.append(Reading(0, boot, seq, ms, ms, [("level", "m", f"{level:.3f}"), ("temp", "Cel", f"{warmth:.1f}")]))
    return readings, facts["holds"] + facts["inflow_a_day"] * (ends - begins) / 86400 - drawn


def weather(seed):
    """Once a minute from the morning of a working day to the end of the third day after."""
    rng = random.Random(f"{seed}/weather")
    minutes = set()
    for d in DAYS:
        minutes.update(range(midnight(d["date"]), midnight(d["date"], 4), 60))
    sway, gust, rain, wet, last = 0.0, 2.5, 0.2842, 0, 0
    readings = []
    for seq, time in enumerate(sorted(minutes), 1):
        if time - last > 60:
            sway, rain = rng.gauss(0, 3), rain + (rng.uniform(0.01, 0.09) if last else 0)
        hour = (time - midnight("2026-01-18")) % 86400 / 3600
        sway += -sway / 3000 + rng.gauss(0, 0.06)
        gust = max(0.2, gust + (2.8 - gust) / 90 + rng.gauss(0, 0.18))
        if wet == 0 and rng.random() < 1 / 5200:
            wet = rng.randint(30, 240)
        if wet:
            wet -= 1
            rain += 0.0002 if rng.random() < 0.25 else 0
        warmth = 9 + 14 * season_part(time - 10 * 86400) - 5 * math.cos((hour - 3.5) * math.pi / 12) + sway
        damp = min(99, max(28, 70 + 18 * math.cos((hour - 4) * math.pi / 12) - 2 * sway + (12 if wet else 0)))
        values = [("temp", "Cel", f"{warmth:.1f}"), ("wind", "m/s", f"{gust:.1f}"), ("rain", "m", f"{rain:.4f}"), ("rh", "%RH", f"{damp:.0f}")]
        readings.append(Reading(0, 1, seq, time * 1000, time * 1000, values))
        last = time
    return readings
