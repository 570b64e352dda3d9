"""Distances, point in polygon, swaths and cells, as the README of src/NutrientLedger.Ledger says under Intervals and Coverage."""

import math

EQUATOR_METRES = 6378137.0
FLATTENING = 1 / 298.257223563
ECCENTRICITY_SQUARED = FLATTENING * (2 - FLATTENING)
RADIANS_PER_UNIT = math.pi / 180 / 1e7


def metres_per_unit(latitude_e7):
    """Metres north and metres east that 1e-7 degree is worth at this latitude."""
    latitude = latitude_e7 * RADIANS_PER_UNIT
    bend = 1 - ECCENTRICITY_SQUARED * math.sin(latitude) ** 2
    north = EQUATOR_METRES * (1 - ECCENTRICITY_SQUARED) / bend**1.5
    east = EQUATOR_METRES / math.sqrt(bend) * math.cos(latitude)
    return north * RADIANS_PER_UNIT, east * RADIANS_PER_UNIT


def displacement(a, b):
    """The step from reading a to reading b: metres north, metres east, length, and the two metres per unit."""
    north, east = metres_per_unit((a["lat"] + b["lat"]) / 2)
    y, x = north * (b["lat"] - a["lat"]), east * (b["lon"] - a["lon"])
    return y, x, math.sqrt(y * y + x * x), north, east


def contains(rings, latitude, longitude):
    """Half-open, in whole numbers; rings are closed lists of (longitude, latitude) in 1e-7 degree."""
    inside = False
    for ring in rings:
        for (px, py), (qx, qy) in zip(ring, ring[1:]):
            if (py > latitude) != (qy > latitude):
                # The crossing px + (latitude - py)(qx - px)/(qy - py) > longitude, multiplied by the denominator.
                left, right = (latitude - py) * (qx - px), (longitude - px) * (qy - py)
                if (left > right) if qy > py else (left < right):
                    inside = not inside
    return inside


class Grid:
    """The farm's cells."""

    def __init__(self, step_latitude, step_longitude):
        self.step_latitude, self.step_longitude = step_latitude, step_longitude

    def cells(self, a, b, width_mm):
        """The cells (row, column) whose centre lies in the swath from a to b."""
        y_ab, x_ab, length, north, east = displacement(a, b)
        if length == 0:
            return
        half, ux, uy = width_mm / 1000 / 2, x_ab / length, y_ab / length
        lat, lon, dlat, dlon = a["lat"], a["lon"], self.step_latitude, self.step_longitude
        reach_y, reach_x = half * abs(ux), half * abs(uy)
        first_row = math.floor((lat + (min(0, y_ab) - reach_y) / north) / dlat) - 1
        last_row = math.floor((lat + (max(0, y_ab) + reach_y) / north) / dlat) + 1
        first_column = math.floor((lon + (min(0, x_ab) - reach_x) / east) / dlon) - 1
        last_column = math.floor((lon + (max(0, x_ab) + reach_x) / east) / dlon) + 1
        columns = [(c, east * (c * dlon + dlon // 2 - lon)) for c in range(first_column, last_column + 1)]
        for row in range(first_row, last_row + 1):
            y = north * (row * dlat + dlat // 2 - lat)
            for column, x in columns:
                s, t = x * ux + y * uy, x * uy - y * ux
                if 0 <= s < length and -half <= t < half:
                    yield row, column

    def cell_area(self, row):
        north, east = metres_per_unit(row * self.step_latitude + self.step_latitude // 2)
        return north * self.step_latitude * east * self.step_longitude
