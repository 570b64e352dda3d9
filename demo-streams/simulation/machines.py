"""What really happens at an applicator, second by second: where it is, what flows, what the liquid holds."""

import math
import random
from dataclasses import dataclass

from .driving import Driver, Leg, passes_over, tour
from .farm_time import clock_on
from .season import YARD_NORTH, YARD_ROUND

ANALYTES = ("dm", "tn", "nh4n", "p", "k")


@dataclass(frozen=True, slots=True)
class Second:
    """The state at a second and the litres that flow until the next one."""

    time: int
    x: float
    y: float
    engaged: bool
    speed: float
    litres: float
    liquid: tuple


class Liquid:
    """The composition drifts slowly within a day and jumps a little from load to load."""

    def __init__(self, mean, rng):
        self._rng, self._drift = rng, [0.0] * 6
        day = rng.gauss(0, 0.04)
        self._mean = [mean[name] * (1 + day + rng.gauss(0, 0.015)) for name in ANALYTES]

    def flow_on(self):
        keep = math.exp(-1 / 1800)
        step = math.sqrt(1 - keep * keep)
        self._drift = [d * keep + self._rng.gauss(0, s * step) for d, s in zip(self._drift, (0.03, 0.02, 0.01, 0.01, 0.015, 0.01))]
        return tuple(m * (1 + self._drift[0] + d) for m, d in zip(self._mean, self._drift[1:]))

    def new_load(self):
        self._drift[0] = self._rng.gauss(0, 0.035)


def legs_of(day, fields, rng):
    passes = passes_over([fields[field] for field in day["fields"]], day["heading"], day["spacing"])
    first, last = (round(share * len(passes)) for share in day["share"])
    legs = tour(passes[first:last], day["gate"], day["speed"], rng)
    if "overlap_pass" in day:
        (start, end), = passes[day["overlap_pass"]]
        again = [(start[0] + 3.2, start[1]), (end[0] + 3.2, end[1])]
        legs += tour([[tuple(again)]], legs[-1].points[-1], day["speed"], rng)
    if "outside" in day:
        legs += tour([[tuple(day["outside"])]], legs[-1].points[-1], day["speed"], rng)
    return [*legs, Leg([legs[-1].points[-1], day["gate"]], False, 2.5)]


def work(day, fields, seed):
    """The seconds of one working day of one applicator."""
    name = f"{seed}/{day['date']}/{day['machine']}"
    driver_rng, flow_rng = random.Random(name + "/driver"), random.Random(name + "/flow")
    driver, liquid = Driver(legs_of(day, fields, driver_rng), driver_rng), Liquid(day["liquid"], random.Random(name + "/liquid"))
    running = [clock_on(day["date"], t["begins"], t["seconds"]) for t in day["troubles"] if t["kind"] == "meterRunning"]
    yard = YARD_NORTH if day["pit"] == "north-basin" else YARD_ROUND
    time, noon = clock_on(day["date"], day["begins"])[0], clock_on(day["date"], "11:30")[0]
    load, flow, sway, seconds = day["load"], 0.0, 0.0, []
    while True:
        sway = 0.97 * sway + flow_rng.gauss(0, 0.007)
        aim = day["flow"] * (1 + sway) if driver.engaged else 0.0
        flow += (aim - flow) * 0.6
        if not driver.engaged:
            flow = 8.0 if any(a <= time < b for a, b in running) else (0.0 if flow < 0.5 else flow)
        seconds.append(Second(time, *driver.position, driver.engaged, driver.speed, flow, liquid.flow_on()))
        if load is not None:
            load -= flow / 1000
            if load < 0.05 and driver.engaged:
                here, load = driver.position, day["load"]
                driver.detour([Leg([here, yard], False, 4.6), Leg([yard], False, 0.0, 190), Leg([yard, here], False, 4.6)])
                liquid.new_load()
        if not driver.drive_a_second():
            return seconds
        time += 1
        if noon and time >= noon and not driver.engaged and flow == 0:
            time, noon = time + (1740 if time < noon + 3600 else 0), None
