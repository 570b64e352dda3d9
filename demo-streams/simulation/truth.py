"""The record that only a simulation can keep: what truly went on each field, and how far a right ledger may be off."""

import math
from collections import defaultdict

from .drifting_sensor import as_read
from .farm_time import season_of
from .land import contains, distance_to_boundary, field_at
from .machines import ANALYTES
from .measuring import COMPOSITION_NOISE, COMPOSITION_SD, FOULED_SHARE, METER_NOISE, METER_SD, POSITION_DRIFT_METRES
from .pit_troubles import scale_of

AMOUNTS = ("volume", *ANALYTES)


class Truth:
    """Adds up seconds; asks of each which part of it no right ledger can have seen, and why."""

    def __init__(self, fields):
        self._fields = fields
        self._true = defaultdict(lambda: dict.fromkeys((*AMOUNTS, "travelled", "seconds"), 0.0))
        self._unseen = defaultdict(lambda: defaultdict(lambda: dict.fromkeys(AMOUNTS, 0.0)))
        self._misread = defaultdict(lambda: dict.fromkeys(AMOUNTS, 0.0))
        self._by_day = defaultdict(lambda: defaultdict(lambda: dict.fromkeys(AMOUNTS, 0.0)))
        self._boundary = defaultdict(lambda: dict.fromkeys(AMOUNTS, 0.0))
        self.lifted_litres = 0.0

    def add_day(self, day, seconds, readings, never):
        by_second = {r.second: r for r in readings}
        last, season = "", season_of(day["date"])
        for index in range(len(seconds) - 1):
            now, then = seconds[index], seconds[index + 1]
            if not now.engaged:
                self.lifted_litres += now.litres
                continue
            x, y = (now.x + then.x) / 2, (now.y + then.y) / 2
            if not (last and contains(self._fields[last], x, y)):
                last = field_at(self._fields, x, y)
            amounts = self._amounts(now)
            key = (last, season)
            for name in AMOUNTS:
                self._true[key][name] += amounts[name]
                self._by_day[key][day["date"], day["machine"]][name] += amounts[name]
            self._true[key]["travelled"] += math.hypot(then.x - now.x, then.y - now.y) * day["width"]
            self._true[key]["seconds"] += 1
            self._unseen_part(key, day, now, by_second.get(index), by_second.get(index + 1), never, amounts)
            self._near_the_boundary(season, x, y, amounts)

    @staticmethod
    def _amounts(now):
        cubic_metres = now.litres / 1000
        kilograms = {name: cubic_metres * value for name, value in zip(ANALYTES, now.liquid)}
        return {"volume": cubic_metres, **kilograms, "dm": kilograms["dm"] * 1000}

    def _unseen_part(self, key, day, now, a, b, never, amounts):
        unseen, whole = self._unseen[key], ""
        if a is None or b is None or a.boot != b.boot:
            whole = "reboot"
        elif (a.boot, a.seq) in never or (b.boot, b.seq) in never:
            whole = "gap"
        elif a.lost or b.lost or b.meter_reset:
            whole = a.lost or b.lost or "meterReset"
        if whole:
            for name in AMOUNTS:
                unseen[whole][name] += amounts[name]
            return
        # A ledger cannot see that a meter counts too much: what it shows beyond the truth is taken off here, so that it is expected.
        for name in AMOUNTS:
            if scale_of(day) and (day["has_p_and_k"] or name not in ("p", "k")):
                unseen["misScaledMeter"][name] -= amounts[name] * scale_of(day)
        if a.no_liquid:
            for name in ANALYTES:
                unseen["compositionMissing"][name] += amounts[name]
        elif not day["has_p_and_k"]:
            for name in ("p", "k"):
                unseen["notMeasured"][name] += amounts[name]
        if a.fouled:
            unseen["fouledWindow"]["tn"] += amounts["tn"] * (1 - FOULED_SHARE)
        if not a.no_liquid:
            for name, content in zip(ANALYTES, now.liquid):
                if (read := as_read(day, name, content)) != content:
                    self._misread[key][name] += now.litres / 1000 * (content - read)

    def _near_the_boundary(self, season, x, y, amounts):
        for field, edges in self._fields.items():
            distance = distance_to_boundary(edges, x, y) if self._close(edges, x, y) else math.inf
            if distance < 4 * POSITION_DRIFT_METRES:
                misplaced = math.erfc(distance / POSITION_DRIFT_METRES / math.sqrt(2)) / 2
                for name in AMOUNTS:
                    self._boundary[field, season][name] += misplaced * amounts[name]
                    self._boundary["", season][name] += misplaced * amounts[name]

    @staticmethod
    def _close(edges, x, y):
        return any(min(p[0], q[0]) - 2 < x < max(p[0], q[0]) + 2 and min(p[1], q[1]) - 2 < y < max(p[1], q[1]) + 2 for p, q in edges)

    def per_field(self):
        rows = []
        for (field, season), true in sorted(self._true.items()):
            days = self._by_day[field, season].values()
            unseen = self._unseen[field, season]
            expected, sd = {}, {}
            for name in AMOUNTS:
                expected[name] = true[name] - sum(part[name] for part in unseen.values())
                bias = METER_SD**2 + (COMPOSITION_SD[name] ** 2 if name in COMPOSITION_SD else 0)
                noise = (METER_NOISE**2 + (COMPOSITION_NOISE**2 if name in COMPOSITION_SD else 0)) / max(1.0, true["seconds"])
                sd[name] = math.sqrt(sum(part[name] ** 2 for part in days) * bias + true[name] ** 2 * noise)
            allowed = {name: 4 * sd[name] + self._boundary[field, season][name] for name in AMOUNTS}
            rows.append({
                "field": field, "season": season, "travelledSquareMetres": round(true["travelled"], 1), "true": _spell(true),
                "unseen": {why: _spell(part) for why, part in sorted(unseen.items())},
                "expected": _spell(expected), "standardDeviation": _spell(sd), "allowedDifference": _spell(allowed),
            })  # fmt: skip
            if (field, season) in self._misread:
                misread = self._misread[field, season]
                rows[-1]["expectedUncorrected"] = _spell({name: expected[name] - misread[name] for name in AMOUNTS})
        return rows


def _spell(amounts):
    names = {"volume": "volumeCubicMetres", "dm": "dryMatterKilograms", "tn": "totalNitrogenKilograms",
             "nh4n": "ammoniumNitrogenKilograms", "p": "phosphorusKilograms", "k": "potassiumKilograms"}  # fmt: skip
    return {spelled: round(amounts[name], 3) for name, spelled in names.items()}
