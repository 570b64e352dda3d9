"""Checks of the recomputation's own parts: `python3 -m unittest discover -s tests/recompute`."""

import json
import math
import tempfile
import unittest
from pathlib import Path

from decisions import Decisions
from farm import Farm
from ground import Grid, contains, displacement
from posting import COLUMNS, Ledger, is_overlapped, volume_between
from recompute import differences
from wire import Journal, gaps, whole

DEMO = Path(__file__).resolve().parents[2] / "demo-streams"


class WholeNumbers(unittest.TestCase):
    def test_halves_go_away_from_zero(self):
        self.assertEqual([3, -3, 2, 0], [whole(2.5, 1), whole(-2.5, 1), whole(2.4999999999999996, 1), whole(0.49999999999999994, 1)])

    def test_the_decimal_is_read_as_a_double_before_it_is_scaled(self):
        # 1.0005 is the double 1.000499999999999989...; times 1000 it rounds to exactly 1000.5, which goes up.
        self.assertEqual(1001, whole(1.0005, 1000))


class PointInPolygon(unittest.TestCase):
    SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)]

    def test_the_south_and_west_edges_belong_to_the_field_and_the_others_do_not(self):
        self.assertTrue(contains([self.SQUARE], 0, 0))
        self.assertTrue(contains([self.SQUARE], 5, 0))
        self.assertFalse(contains([self.SQUARE], 10, 5))
        self.assertFalse(contains([self.SQUARE], 5, 10))

    def test_a_point_on_a_shared_edge_lies_in_exactly_one_neighbour(self):
        west, east = [(0, 0), (7, 0), (3, 10), (0, 10), (0, 0)], [(7, 0), (20, 0), (20, 10), (3, 10), (7, 0)]
        for latitude, longitude in ((0, 7), (5, 5), (3, 6), (9, 3)):
            self.assertEqual(1, contains([west], latitude, longitude) + contains([east], latitude, longitude))

    def test_the_direction_in_which_a_ring_runs_does_not_matter(self):
        for latitude in range(-1, 12):
            for longitude in range(-1, 12):
                self.assertEqual(contains([self.SQUARE], latitude, longitude), contains([self.SQUARE[::-1]], latitude, longitude))

    def test_a_hole_is_outside(self):
        hole = [(4, 4), (4, 6), (6, 6), (6, 4), (4, 4)]
        self.assertFalse(contains([self.SQUARE, hole], 5, 5))
        self.assertTrue(contains([self.SQUARE, hole], 7, 5))


class Volumes(unittest.TestCase):
    MODULUS = 10_000_000_000

    @staticmethod
    def between(total_a, total_b, dt=1000, modulus=MODULUS):
        return volume_between({"time": 0, "total": total_a}, {"time": dt, "total": total_b}, modulus)

    def test_a_meter_that_starts_again_goes_on_counting(self):
        self.assertEqual(50_000, self.between(9_999_980_000, 30_000))

    def test_a_falling_total_that_the_modulus_cannot_explain_is_unknown(self):
        self.assertIsNone(self.between(1_200_000_000, 0))
        self.assertIsNone(self.between(9_999_980_000, 30_000, modulus=0))

    def test_half_a_cubic_metre_a_second_is_the_most_that_runs(self):
        self.assertEqual(500_000, self.between(9_999_500_000, 0))
        self.assertIsNone(self.between(9_999_499_999, 0))
        self.assertEqual(500_000, self.between(0, 500_000, dt=0))
        self.assertIsNone(self.between(0, 500_001))
        self.assertEqual(1_000_000, self.between(0, 1_000_000, dt=2000))
        self.assertEqual(1_800_000_000, self.between(0, 1_800_000_000, dt=86_400_000))
        self.assertIsNone(self.between(0, 1_800_000_001, dt=86_400_000))

    def test_without_totals_the_mean_flow_counts_up_to_ten_seconds(self):
        a, b = {"time": 0, "flow": 50_000}, {"time": 1000, "flow": 50_001}
        self.assertEqual(50_001, volume_between(a, b, 0))  # 50000.5 goes up, as (100001·1000 + 1000) div 2000 says.
        self.assertIsNone(volume_between(a, {**b, "time": 10_001}, 0))
        self.assertIsNone(volume_between(a, {"time": 1000}, 0))


class SwathsAndCells(unittest.TestCase):
    A = {"lat": 431_000_000, "lon": -914_000_000}

    def test_a_degree_of_latitude_at_the_equator_has_its_known_length(self):
        # 110574 m: the WGS84 meridian degree at the equator, from memory; the mid-latitude formula is good to a metre here.
        self.assertAlmostEqual(110574, displacement({"lat": -5_000_000, "lon": 0}, {"lat": 5_000_000, "lon": 0})[2], delta=1)

    def test_neighbouring_swaths_share_no_cell_and_leave_none_out(self):
        grid = Grid(90, 124)
        b = {"lat": 431_000_137, "lon": -913_999_611}
        c = {"lat": b["lat"] * 2 - self.A["lat"], "lon": b["lon"] * 2 - self.A["lon"]}
        first, second, both = (set(grid.cells(*ends, 12_000)) for ends in ((self.A, b), (b, c), (self.A, c)))
        self.assertFalse(first & second)
        self.assertEqual(both, first | second)

    def test_the_cells_of_a_long_swath_add_up_to_length_times_width(self):
        grid, b = Grid(90, 124), {"lat": 431_030_000, "lon": -913_970_000}
        cells = list(grid.cells(self.A, b, 12_000))
        area = math.fsum(grid.cell_area(row) for row, _ in cells)
        self.assertEqual(len(cells), len(set(cells)))
        self.assertAlmostEqual(1, area / (displacement(self.A, b)[2] * 12), delta=0.01)

    def test_standing_still_covers_nothing(self):
        self.assertEqual([], list(Grid(90, 124).cells(self.A, self.A, 12_000)))


class Overlaps(unittest.TestCase):
    DAY = 86_400

    def test_one_machine_overlaps_its_own_work_after_more_than_three_steps_also_over_midnight(self):
        self.assertFalse(is_overlapped({("m", 0): (10, 13)}))
        self.assertTrue(is_overlapped({("m", 0): (10, 14)}))
        self.assertFalse(is_overlapped({("m", 0): (4319, 4319), ("m", self.DAY): (2, 2)}))
        self.assertTrue(is_overlapped({("m", 0): (4319, 4319), ("m", self.DAY): (3, 3)}))

    def test_two_machines_overlap_however_soon_one_follows_the_other(self):
        self.assertTrue(is_overlapped({("m", 0): (10, 10), ("n", 0): (10, 10)}))

    def test_after_a_pause_of_72_hours_it_is_another_application(self):
        self.assertTrue(is_overlapped({("m", 0): (10, 10), ("n", 3 * self.DAY): (9, 9)}))
        self.assertFalse(is_overlapped({("m", 0): (10, 10), ("n", 3 * self.DAY): (10, 10)}))


class Arrival(unittest.TestCase):
    @staticmethod
    def payload(seq, *totals):
        first = {"bt": 1_760_000_000.25, "n": "boot", "v": 1}
        return [first, {"n": "seq", "v": seq}, *({"n": "total", "u": "m3", "v": v, "t": i} for i, v in enumerate(totals))]

    def test_the_first_reading_under_a_number_counts_and_gaps_are_named(self):
        journal = Journal()
        journal.take("f", "m", "spread", self.payload(1, 1.0, 2.0))
        journal.take("f", "m", "spread", self.payload(2, 9.0, 3.0))
        journal.take("f", "m", "spread", self.payload(6, 6.0))
        boots = journal.streams["f", "m", "spread"]
        self.assertEqual([1_000_000, 2_000_000, 3_000_000], [boots[1][n]["total"] for n in (1, 2, 3)])
        self.assertEqual(1, journal.duplicates["f", "m", "spread"])
        self.assertEqual([[1, 4, 5]], gaps(boots))


class DecidedReadings(unittest.TestCase):
    READING = {"time": 1_760_000_000_000, "total": 5, "tn": 4_000, "level": 7}

    def read(self, *decisions, number=10, questionable=False):
        about = {"equipment": "m", "stream": "spread", "boot": 1, "firstSeq": 10, "lastSeq": 20}
        decisions = Decisions([decision if "withdraws" in decision else {**about, **decision} for decision in decisions])
        return decisions.read("m", "spread", 1, number, self.READING, lambda _: questionable)

    def test_without_a_decision_a_questionable_reading_stays_out_and_a_sound_one_is_as_it_is(self):
        self.assertIsNone(self.read(questionable=True))
        self.assertEqual({**self.READING, "contentVoid": False}, self.read())

    def test_a_decided_reading_is_never_questionable_and_of_several_decisions_the_last_holds(self):
        shift = {"decision": "shifted", "shiftMilliseconds": -500}
        self.assertEqual(1_760_000_000_000, self.read({"decision": "asMeasured"}, questionable=True)["time"])
        self.assertEqual(1_759_999_999_500, self.read({"decision": "leftOut"}, shift)["time"])
        self.assertIsNone(self.read(shift, {"decision": "leftOut"}))

    def test_both_ends_are_included_and_the_numbers_beyond_are_not(self):
        out = {"decision": "leftOut"}
        self.assertEqual([False, True, True, False], [self.read(out, number=n) is None for n in (9, 10, 20, 21)])

    def test_a_shift_to_before_1990_or_to_2100_stays_out(self):
        for time, out in ((631_152_000_000, False), (631_151_999_999, True), (4_102_444_799_999, False), (4_102_444_800_000, True)):
            shift = {"decision": "shifted", "shiftMilliseconds": time - self.READING["time"]}
            self.assertEqual(out, self.read(shift) is None)

    def test_void_totals_grow_evenly_from_the_one_before_to_the_one_after(self):
        total = {"part": "total", "firstSeq": 9, "lastSeq": 11, "across": {"totalBeforeMillilitres": 100, "ranMillilitres": 7}}
        self.assertEqual(103, self.read(total)["total"])
        later = {**total, "firstSeq": 10, "lastSeq": 10, "across": {"totalBeforeMillilitres": 200, "ranMillilitres": 7}}
        self.assertEqual([203, 103], [self.read(total, {"part": "level"}, later)["total"], self.read(later, total)["total"]])

    def test_voids_add_up_and_one_that_was_withdrawn_never_was(self):
        contents, level, whole_reading = ({"part": part} for part in ("composition", "level", "reading"))
        self.assertEqual({"time", "total", "contentVoid"}, set(self.read(contents, level)))
        self.assertIsNone(self.read(contents, whole_reading))
        self.assertEqual({"time", "total", "level", "contentVoid"}, set(self.read(contents, whole_reading, {"withdraws": 2})))


class DemoFarm(unittest.TestCase):
    FARM = Farm(DEMO / "larch-hollow.json")

    def test_the_season_turns_at_midnight_farm_time(self):
        turn = self.FARM.midnight("2026-10-01")
        self.assertEqual((2026, 2027), (self.FARM.hour_and_season(turn - 1)[1], self.FARM.hour_and_season(turn)[1]))

    def test_a_day_of_tiles_starts_at_midnight_farm_time(self):
        noon = self.FARM.midnight("2025-11-02") + 43_200_000  # A day of 25 hours in Chicago.
        self.assertEqual([1_762_059_600] * 2, [self.FARM.day_start(noon - 43_200_000), self.FARM.day_start(noon + 46_799_999)])

    def test_the_ledger_begins_at_midnight_farm_time(self):
        self.assertEqual(1_759_294_800_000, self.FARM.begins)  # 2025-10-01T05:00:00Z

    def test_what_was_measured_lies_within_what_the_sensors_allow_of_what_they_could_read(self):
        measured = {(f["field"], f["season"]): f for f in json.loads((DEMO / "expected.json").read_text("utf-8"))["fields"]}
        truth = json.loads((DEMO / "truth.json").read_text("utf-8"))["fields"]
        self.assertEqual(measured.keys(), {(row["field"], row["season"]) for row in truth})
        for row in truth:
            found = measured[row["field"], row["season"]]
            amounts = {
                "volumeCubicMetres": found["volumeMl"] / 1e6, "dryMatterKilograms": found["dmSum"] / 1e9,
                "totalNitrogenKilograms": found["tnSum"] / 1e9, "ammoniumNitrogenKilograms": found["nh4nSum"] / 1e9,
                "phosphorusKilograms": found["pSum"] / 1e9, "potassiumKilograms": found["kSum"] / 1e9,
            }  # fmt: skip
            for name, amount in amounts.items():
                with self.subTest(field=row["field"], season=row["season"], amount=name):
                    self.assertAlmostEqual(row.get("expectedUncorrected", row["expected"])[name], amount, delta=row["allowedDifference"][name])


class NoSpreadZones(unittest.TestCase):
    """The demo farm with two zones about one place: one until a day, one from another day on."""

    PLACE = (400_000_000, -800_000_000)

    def setUp(self):
        ring = [[-80.001, 39.999], [-79.999, 39.999], [-79.999, 40.001], [-80.001, 40.001], [-80.001, 39.999]]
        spans = {"validTo": "2026-04-10"}, {"validFrom": "2026-04-09", "validTo": "2026-04-20"}
        zones = [{"properties": span, "geometry": {"type": "Polygon", "coordinates": [ring]}} for span in spans]
        with tempfile.TemporaryDirectory() as folder:
            farm = json.loads((DEMO / "larch-hollow.json").read_text("utf-8")) | {"noSpreadZones": "zones.geojson"}
            (Path(folder) / "farm.json").write_text(json.dumps(farm), "utf-8")
            (Path(folder) / farm["fields"]).write_text((DEMO / farm["fields"]).read_text("utf-8"), "utf-8")
            (Path(folder) / "zones.geojson").write_text(json.dumps({"features": zones}), "utf-8")
            self.farm = Farm(Path(folder) / "farm.json")

    def test_a_zone_is_in_force_from_its_first_day_on_to_before_its_last(self):
        days = {"2026-04-08": 1, "2026-04-09": 2, "2026-04-10": 1, "2026-04-19": 1, "2026-04-20": 0}
        self.assertEqual(days, {day: len(self.farm.zones(self.farm.midnight(day))) for day in days})

    def test_an_interval_in_two_zones_counts_once_and_is_no_flagged_reading(self):
        ledger, time = Ledger(self.farm, self.farm.midnight("2026-05-01")), self.farm.midnight("2026-04-09")
        applicator = next(id for id, one in self.farm.applicators.items() if one["meterCounts"] == "spreading")
        a = {"time": time, "total": 0, "lat": self.PLACE[0], "lon": self.PLACE[1], "tn": 4_000}
        ledger.post(applicator, {1: {1: a, 2: {**a, "time": time + 1000, "total": 30_000}}})
        (line,) = ledger.lines.values()
        self.assertEqual([1, 30_000], line.flags["InsideNoSpreadZone"][:2])
        self.assertEqual((30_000, 0), (line.volume, line.flags.get("Any", [0, 0])[1]))


class Comparison(unittest.TestCase):
    def test_a_millilitre_too_much_is_seen_and_the_last_digit_of_a_floating_amount_is_not(self):
        file = {"fields": [{"volumeMl": 5, "coveredSquareMetres": 1000.0}]}
        self.assertEqual([], list(differences(file, {"fields": [{"volumeMl": 5, "coveredSquareMetres": 1000.0001}]})))
        self.assertEqual(1, len(list(differences(file, {"fields": [{"volumeMl": 6, "coveredSquareMetres": 1000.0}]}))))
        self.assertEqual(1, len(list(differences(file, {"fields": [{"volumeMl": 5, "coveredSquareMetres": 1001.0}]}))))
        self.assertEqual(1, len(list(differences(file, {"fields": []}))))

    def test_the_floating_columns_of_a_line_are_known_by_their_place(self):
        line = list(range(len(COLUMNS)))
        area, volume = COLUMNS.index("areaTravelledCm2"), COLUMNS.index("volumeMl")
        line[area] = line[volume] = 10_000_000
        for place, seen in ((area, 0), (volume, 1)):
            other = [value + (1 if i == place else 0) for i, value in enumerate(line)]
            self.assertEqual(seen, len(list(differences({"lines": [line]}, {"lines": [other]}))))


if __name__ == "__main__":
    unittest.main()
