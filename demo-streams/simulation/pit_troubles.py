"""What goes wrong between pit and field: a mis-scaled meter, a level sensor that drifts, a leak in the hose. Draws of its own."""

import random

from .farm_time import clock_on, midnight

# The wagon's pulse factor was entered for another pipe, and put right the day after: it counts 8 % too much.
MIS_SCALED_METER = {"date": "2026-06-16", "machine": "tank-wagon", "kind": "misScaledMeter", "relativeError": 0.08}
# Splashes build up on the antenna while the wagon is filled, and dry off over three weeks.
DRIFTING_LEVEL = {
    "date": "2026-07-21", "pit": "round-tank", "kind": "driftingLevelSensor",
    "begins": "07:00:00", "seconds": 36_000, "millimetres": 70, "driesInDays": 21,
}  # fmt: skip
# A coupling near the pit, before the meter, is torn; it is found when the day is reconciled.
HOSE_LEAK = {
    "date": "2026-04-22", "pit": "north-basin", "kind": "leakInHose",
    "begins": "08:10:00", "seconds": 9_000, "litresASecond": 13.0,
}  # fmt: skip
# What nobody's meter counted, but somebody wrote down: a borrowed tanker, and a pump between the pits.
HAULED = {"date": "2026-06-30", "at": "10:00:00", "pit": "round-tank", "loads": 3, "fill": 14.0, "share": 0.95}
MOVED = {"date": "2026-09-02", "at": "09:00:00", "from": "round-tank", "to": "north-basin", "cubic_metres": 80.0}


def scale_of(day):
    """How much too much a day's meter counts, as a share."""
    trouble = MIS_SCALED_METER
    return trouble["relativeError"] if (day["date"], day["machine"]) == (trouble["date"], trouble["machine"]) else 0.0


def drift_metres(pit, time):
    """How much too high a pit's level sensor reads."""
    begins, ends = clock_on(DRIFTING_LEVEL["date"], DRIFTING_LEVEL["begins"], DRIFTING_LEVEL["seconds"])
    dry = midnight(DRIFTING_LEVEL["date"], 1 + DRIFTING_LEVEL["driesInDays"])
    if pit != DRIFTING_LEVEL["pit"] or not begins < time < dry:
        return 0.0
    share = (time - begins) / (ends - begins) if time < ends else (dry - time) / (dry - ends)
    return share * DRIFTING_LEVEL["millimetres"] / 1000


def draw_unmetered(drawn, seed):
    """Takes what no meter counts out of the pits, minute by minute; returns the cubic metres that leaked."""
    rng, leaked = random.Random(f"{seed}/leak"), 0.0
    begins, ends = clock_on(HOSE_LEAK["date"], HOSE_LEAK["begins"], HOSE_LEAK["seconds"])
    for minute in range(begins, ends, 60):
        lost = HOSE_LEAK["litresASecond"] * 60 * (1 + rng.gauss(0, 0.05)) / 1000
        leaked += lost
        drawn[HOSE_LEAK["pit"]][minute // 60 * 60 + 60] += lost
    drawn[HAULED["pit"]][clock_on(HAULED["date"], HAULED["at"])[0]] += HAULED["loads"] * HAULED["fill"] * HAULED["share"]
    moved = clock_on(MOVED["date"], MOVED["at"])[0]
    drawn[MOVED["from"]][moved] += MOVED["cubic_metres"]
    drawn[MOVED["to"]][moved] -= MOVED["cubic_metres"]
    return leaked
