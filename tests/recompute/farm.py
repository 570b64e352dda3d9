"""The farm file and its fields: who is where from when, and the farm's own clock."""

import json
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from wire import whole


def milliseconds(text):
    return round(datetime.fromisoformat(text).timestamp() * 1000)


def latest(rows, time):
    """The row in force: the latest moment not after the time; of equal moments the later in the file."""
    best = None
    for row in rows:
        if row["fromMs"] <= time and (best is None or row["fromMs"] >= best["fromMs"]):
            best = row
    return best


DEFAULT_LIMITS = Path(__file__).resolve().parents[2] / "src/NutrientLedger.Agronomy/Sampling/default-limits.json"


def limits_in(row):
    """Limits as the farm file writes them, in whole units of the reading: the default ones, then those given one by one instead of them."""
    defaults = json.loads(DEFAULT_LIMITS.read_text("utf-8"))["limits"] if row.get("defaults") == "liquidManure" else []
    found = {}
    for limit in (*defaults, *row.get("given", [])):
        scale = 1e4 if limit["of"] == "dryMatter" else 1e3
        found[limit["of"]] = tuple(None if limit.get(end) is None else whole(limit[end], scale) for end in ("min", "max"))
    return {"applicator": row.get("applicator"), "fromMs": milliseconds(row["from"]), "whole": found}


def rings_of(geometry):
    """All rings of a geometry, in 1e-7 degree."""
    shapes = [geometry["coordinates"]] if geometry["type"] == "Polygon" else geometry["coordinates"]
    return [[(whole(x, 1e7), whole(y, 1e7)) for x, y in ring] for shape in shapes for ring in shape]


class Farm:
    """The configuration of the farm, as its file states it."""

    def __init__(self, path):
        farm = json.loads(path.read_text("utf-8"))
        self.id, facts = farm["farm"]["id"], farm["farm"]
        self.zone, self.step = ZoneInfo(facts["timeZone"]), facts["coverageStep"]
        self.season_month, self.season_day = map(int, facts["seasonBegins"].split("-"))
        self.begins = self.midnight(facts["ledgerBegins"])
        self.applicators = {a["id"]: a for a in farm["applicators"]}
        self.pits = [pit["id"] for pit in farm["pits"]]
        for row in (*farm["sensors"], *farm["sources"]):
            row["fromMs"] = milliseconds(row["from"])
        self._sensors, self._sources = farm["sensors"], farm["sources"]
        self._limits = [limits_in(row) for row in farm.get("limits", [])]
        self._boundaries = {}
        for feature in json.loads((path.parent / farm["fields"]).read_text("utf-8"))["features"]:
            self._add(feature["properties"], feature["geometry"])
        self._zones = list(self._zones_in(path.parent / farm["noSpreadZones"])) if "noSpreadZones" in farm else []
        self._hours, self._days = {}, {}

    def _add(self, properties, geometry):
        boundary = {"fromMs": self.midnight(properties["validFrom"]), "rings": rings_of(geometry)}
        self._boundaries.setdefault(properties["id"], []).append(boundary)

    def _zones_in(self, path):
        """The no-spread zones: first moment, the first one without it (None: for good), and rings."""
        for feature in json.loads(path.read_text("utf-8"))["features"]:
            start, end = (feature["properties"].get(name) for name in ("validFrom", "validTo"))
            yield self.midnight(start) if start else self.begins, self.midnight(end) if end else None, rings_of(feature["geometry"])

    def zones(self, time):
        """Rings of the no-spread zones in force."""
        return [rings for start, end, rings in self._zones if start <= time and (end is None or time < end)]

    def midnight(self, day):
        return round(datetime.combine(date.fromisoformat(day), datetime.min.time(), self.zone).timestamp() * 1000)

    def day_start(self, time):
        """00:00 farm time of the day that holds a moment, in seconds since 1970."""
        quarter = time // 900_000
        if quarter not in self._days:
            self._days[quarter] = self.midnight(datetime.fromtimestamp(time // 1000, self.zone).date().isoformat()) // 1000
        return self._days[quarter]

    def boundaries(self, time):
        """Field id and rings in force, by id in ordinal order."""
        for field in sorted(self._boundaries):
            boundary = latest(self._boundaries[field], time)
            if boundary:
                yield field, boundary["rings"]

    def pit_of(self, applicator, time):
        source = latest([s for s in self._sources if s["applicator"] == applicator], time)
        return source["pit"] if source else ""

    def sensor_of(self, equipment, place, time):
        return latest([s for s in self._sensors if s["equipment"] == equipment and s["place"] == place], time)

    def limits_of(self, equipment, time):
        """The limits for a device's readings, its own or else the farm's: quantity to (min, max) in whole units of the reading."""
        own = latest([one for one in self._limits if one["applicator"] == equipment], time)
        found = own or latest([one for one in self._limits if one["applicator"] is None], time)
        return found["whole"] if found else {}

    def hour_and_season(self, time):
        """The start of the farm-time hour in ms since 1970 and the year in which the crop year ends."""
        found = self._hours.get(time // 900_000)
        if found is None:
            local = datetime.fromtimestamp(time // 1000, self.zone)
            hour = time // 1000 - local.minute * 60 - local.second
            turned = (local.month, local.day) >= (self.season_month, self.season_day)
            later = turned and (self.season_month, self.season_day) != (1, 1)
            found = self._hours[time // 900_000] = hour * 1000, local.year + (1 if later else 0)
        return found
