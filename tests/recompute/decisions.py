"""What people decided about readings, as the README of src/NutrientLedger.Ledger says under Decisions about readings."""

EARLIEST_MS, BEYOND_MS = 631_152_000_000, 4_102_444_800_000  # 1990-01-01 and 2100-01-01, 00:00 UTC
VOIDED = {"composition": ("dm", "tn", "nh4n", "p", "k"), "level": ("level",), "total": ("total",)}


class Decisions:
    """Voids and clock decisions in the order of the journal, each a dictionary as it is posted to the hub's API."""

    def __init__(self, decisions=()):
        # A withdrawal names the void it takes back by its place in the list, from 1.
        withdrawn = {decision["withdraws"] for decision in decisions if "withdraws" in decision}
        in_force = [decision for place, decision in enumerate(decisions, 1) if place not in withdrawn and "withdraws" not in decision]
        self._series = {}
        for decision in in_force:
            self._series.setdefault((decision["equipment"], decision["stream"], decision["boot"]), []).append(decision)

    def read(self, equipment, stream, boot, number, reading, is_questionable):
        """The reading as it counts, or None where it stays out."""
        about = [e for e in self._series.get((equipment, stream, boot), ()) if e["firstSeq"] <= number <= e["lastSeq"]]
        void = {e["part"] for e in about if "part" in e}
        clock = next((e for e in reversed(about) if "decision" in e), None)
        if "reading" in void or (clock and clock["decision"] == "leftOut"):
            return None
        time = reading["time"] + (clock.get("shiftMilliseconds", 0) if clock else 0)
        if (clock and not EARLIEST_MS <= time < BEYOND_MS) or (not clock and is_questionable(reading)):
            return None
        gone = {name for part in void for name in VOIDED[part]}
        read = {name: value for name, value in reading.items() if name not in gone}
        if "total" in void:
            last = next(e for e in reversed(about) if e.get("part") == "total")
            first, across = last["firstSeq"], last["across"]
            read["total"] = across["totalBeforeMillilitres"] + across["ranMillilitres"] * (number - first + 1) // (last["lastSeq"] - first + 2)
        return {**read, "time": time, "contentVoid": "composition" in void}
