"""What people of the farm wrote down by hand: tape readings, set rates, loads, a transfer, and what runs into the pits."""

import math
import random
from datetime import datetime

from .farm_time import ZONE, clock_on
from .pit_troubles import HAULED, MOVED
from .season import DAYS
from .surroundings import PITS, depth_of

TAPE_SD_METRES = 0.004
WALLS = {"north-basin": (math.hypot(4, 12), math.degrees(math.atan(1 / 3))), "round-tank": (5.0, 90.0)}
ANIMALS = {"north-basin": (200, 0.065), "round-tank": (46, 0.05)}
WRITER = "J. Larch"


def records(volumes, seed):
    """The records in the order of their days; `volumes` gives the true content of a pit at a moment."""
    def moment(date, clock):
        return datetime.fromtimestamp(clock_on(date, clock)[0], ZONE).isoformat()

    begin = moment("2025-10-01", "00:00:00")
    written = []
    for pit in PITS:
        animals, each = ANIMALS[pit]
        written.append({"kind": "surroundings", "by": WRITER, "pit": pit, "runoffSquareMetres": 0, "runoffShare": 0,
                        "cover": "covered", "from": begin})  # fmt: skip
        written.append({"kind": "dailyInflow", "by": WRITER, "pit": pit, "of": "manure", "animals": animals,
                        "cubicMetresPerAnimalDay": each, "from": begin})  # fmt: skip
    for day in DAYS:
        rng = random.Random(f"{seed}/{day['date']}/{day['machine']}/tape")
        rate = 10 * day["flow"] / (day["speed"] * day["width"])
        written.append({"kind": "setRate", "by": WRITER, "applicator": day["machine"],
                        "cubicMetresPerHectare": round(rate, 1), "from": moment(day["date"], "05:00:00")})  # fmt: skip
        wall, slope = WALLS[day["pit"]]
        for clock in ("06:10:00", "20:30:00"):
            depth = depth_of(day["pit"], volumes(day["pit"], clock_on(day["date"], clock)[0])) + rng.gauss(0, TAPE_SD_METRES)
            dry = wall - depth / math.sin(math.radians(slope))
            written.append({"kind": "tape", "by": WRITER, "at": moment(day["date"], clock), "pit": day["pit"],
                            "wallMetres": round(wall, 3), "dryMetres": round(dry, 3), "slopeDegrees": round(slope, 3),
                            "deviationMetres": TAPE_SD_METRES, "deviationKnownFrom": "estimatedFromData"})  # fmt: skip
    written.append({"kind": "loads", "by": WRITER, "at": moment(HAULED["date"], HAULED["at"]), "pit": HAULED["pit"],
                    "loads": HAULED["loads"], "fillVolumeCubicMetres": HAULED["fill"], "shareFilled": HAULED["share"]})  # fmt: skip
    written.append({"kind": "transfer", "by": WRITER, "at": moment(MOVED["date"], MOVED["at"]), "fromPit": MOVED["from"],
                    "toPit": MOVED["to"], "volumeCubicMetres": MOVED["cubic_metres"]})  # fmt: skip
    return written
