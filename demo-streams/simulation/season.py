"""What is done on the farm and what goes wrong: the working days of the invented season, in farm time."""

NORTH_BASIN = {"dm": 0.066, "tn": 4.6, "nh4n": 2.45, "p": 0.80, "k": 3.10}
ROUND_TANK = {"dm": 0.043, "tn": 3.4, "nh4n": 1.95, "p": 0.56, "k": 2.60}
YARD_NORTH, YARD_ROUND = (-20.0, 25.0), (40.0, 10.0)

DRAG_LINE = {
    "machine": "drag-line", "width": 12.0, "spacing": 11.8, "sends_width": True, "has_p_and_k": True,
    "pit": "north-basin", "liquid": NORTH_BASIN, "meter_starts_at": 41873.412, "modulus": None, "load": None,
}  # fmt: skip
TANK_WAGON = {
    "machine": "tank-wagon", "width": 9.0, "spacing": 8.8, "sends_width": False, "has_p_and_k": False,
    "pit": "round-tank", "liquid": ROUND_TANK, "meter_starts_at": 9931.207, "modulus": 10000.0, "load": 18.0,
}  # fmt: skip
FROM_NORTH = {"pit": "north-basin", "liquid": NORTH_BASIN}


def trouble(kind, begins, seconds=0, **more):
    return {"kind": kind, "begins": begins, "seconds": seconds, **more}


def day(date, machine, fields, **more):
    return {**machine, "date": date, "fields": fields, "begins": "08:05", "share": (0.0, 1.0), "troubles": [], "also": [], **more}


DAYS = [
    day("2025-10-14", DRAG_LINE, ["far-eighty"], heading=1, share=(0.0, 0.5), flow=54, speed=1.95, gate=(-100, 670),
        troubles=[trouble("resentInOtherCuts", "10:31:20", 290, sent="10:37:00")]),
    day("2025-10-15", DRAG_LINE, ["far-eighty"], heading=1, share=(0.5, 1.0), flow=54, speed=1.95, gate=(-100, 670),
        troubles=[trouble("gap", "09:12:40", 70), trouble("compositionMissing", "10:48:00", 300)]),
    day("2025-10-29", DRAG_LINE, ["mill-bend"], heading=17, flow=52, speed=2.05, gate=(-60, -100),
        troubles=[trouble("backlog", "09:40:00", 7200, sent="12:35:00")]),
    day("2025-11-06", DRAG_LINE, ["home-flat", "long-forty"], heading=2, share=(0.5, 1.0), flow=56, speed=1.9, gate=(-90, 290),
        also=["passesCrossTwoFields"],
        troubles=[trouble("gpsLoss", "10:20:15", 90)]),
    day("2025-11-07", DRAG_LINE, ["home-flat", "long-forty"], heading=2, share=(0.0, 0.5), flow=56, speed=1.9, gate=(-90, 290),
        also=["passesCrossTwoFields"],
        troubles=[trouble("clockWrong", "08:05:00", 720)]),
    day("2025-11-07", TANK_WAGON, ["pump-paddock"], heading=86, flow=36, speed=2.0, gate=(615, 130), begins="09:20",
        also=["meterRollsOver"]),
    day("2026-04-22", DRAG_LINE, ["creek-side"], heading=-4, flow=55, speed=1.95, gate=(100, -80), begins="07:40",
        troubles=[trouble("reboot", "09:26:30", 41), trouble("totalMissing", "10:15:00", 360)]),
    day("2026-05-06", DRAG_LINE, ["knoll-ell"], heading=88, flow=50, speed=2.1, gate=(100, 50), begins="07:50",
        overlap_pass=6, outside=[(150, 46), (330, 55)], also=["passOverlapsEarlierPass", "passOutsideAnyField"],
        troubles=[trouble("fouledWindow", "08:41:00", 120), trouble("meterReset", "09:30:30")]),
    day("2026-06-16", TANK_WAGON, ["knoll-ell"], heading=88, flow=36, speed=2.05, gate=(115, 70), begins="06:50",
        troubles=[trouble("meterRunning", "09:05:00", 240), trouble("meterRunning", "11:58:00", 240)]),
    day("2026-07-21", TANK_WAGON, ["pump-paddock"], heading=86, flow=33, speed=2.2, gate=(615, 130), begins="07:15"),
    day("2026-08-19", {**TANK_WAGON, **FROM_NORTH}, ["mill-bend"], heading=107, flow=30, speed=2.3, gate=(-80, -100),
        begins="07:00", share=(0.0, 0.7)),
    day("2026-10-07", DRAG_LINE, ["far-eighty"], heading=1, share=(0.0, 0.65), flow=48, speed=2.1, gate=(-100, 670)),
]  # fmt: skip
