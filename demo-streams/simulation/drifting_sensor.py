"""A sensor that reads nitrogen wrong after its lamp was changed, and a little more so every day, until it is serviced."""

from .farm_time import midnight

SENSOR = {
    "kind": "driftingSensor", "sensor": "nir-1", "machine": "drag-line", "date": "2025-10-28", "until": "2026-03-30",
    # What is read is (slope - slopeLostADay x days) x true content + offset, in kg/m3.
    "reads": {
        "tn": {"slope": 0.86, "slopeLostADay": 0.002, "offsetKilogramsPerCubicMetre": 0.05},
        "nh4n": {"slope": 0.80, "slopeLostADay": 0.003, "offsetKilogramsPerCubicMetre": 0.05},
    },
}  # fmt: skip


def is_wrong(day):
    return day["machine"] == SENSOR["machine"] and SENSOR["date"] <= day["date"] < SENSOR["until"]


def as_read(day, name, content):
    """What the sensor makes of a true content, before its ordinary errors."""
    if not is_wrong(day) or name not in SENSOR["reads"]:
        return content
    wrong = SENSOR["reads"][name]
    days = round((midnight(day["date"]) - midnight(SENSOR["date"])) / 86400)
    return (wrong["slope"] - wrong["slopeLostADay"] * days) * content + wrong["offsetKilogramsPerCubicMetre"]
