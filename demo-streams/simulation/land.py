"""The invented farm's ground in metres: a flat sheet laid over the fields, good to a few parts in ten thousand."""

import json
import math
from pathlib import Path

ORIGIN_LATITUDE, ORIGIN_LONGITUDE = 43.1, -91.4
FLATTENING = 1 / 298.257223563
ECCENTRICITY_SQUARED = FLATTENING * (2 - FLATTENING)
EQUATOR_METRES = 6378137.0

_sine = math.sin(math.radians(ORIGIN_LATITUDE))
_bend = 1 - ECCENTRICITY_SQUARED * _sine * _sine
METRES_PER_DEGREE_NORTH = math.radians(EQUATOR_METRES * (1 - ECCENTRICITY_SQUARED) / _bend**1.5)
METRES_PER_DEGREE_EAST = math.radians(EQUATOR_METRES / math.sqrt(_bend) * math.cos(math.radians(ORIGIN_LATITUDE)))


def to_metres(longitude, latitude):
    return ((longitude - ORIGIN_LONGITUDE) * METRES_PER_DEGREE_EAST, (latitude - ORIGIN_LATITUDE) * METRES_PER_DEGREE_NORTH)


def to_degrees(x, y):
    """Latitude, longitude."""
    return ORIGIN_LATITUDE + y / METRES_PER_DEGREE_NORTH, ORIGIN_LONGITUDE + x / METRES_PER_DEGREE_EAST


def edges_of(rings):
    return [(ring[i], ring[i + 1]) for ring in rings for i in range(len(ring) - 1)]


def read_fields(path: Path):
    """Field id to the edges of its boundary, holes included, in metres."""
    fields = {}
    for feature in json.loads(path.read_text("utf-8"))["features"]:
        rings = [[to_metres(*point) for point in ring] for ring in feature["geometry"]["coordinates"]]
        fields[feature["properties"]["id"]] = edges_of(rings)
    return fields


def contains(edges, x, y):
    inside = False
    for (px, py), (qx, qy) in edges:
        if (py > y) != (qy > y) and px + (y - py) * (qx - px) / (qy - py) > x:
            inside = not inside
    return inside


def field_at(fields, x, y):
    """The id of the field that holds the point, empty outside all."""
    return next((field for field, edges in fields.items() if contains(edges, x, y)), "")


def distance_to_boundary(edges, x, y):
    nearest = math.inf
    for (px, py), (qx, qy) in edges:
        ex, ey = qx - px, qy - py
        along = max(0.0, min(1.0, ((x - px) * ex + (y - py) * ey) / (ex * ex + ey * ey)))
        nearest = min(nearest, math.hypot(x - px - along * ex, y - py - along * ey))
    return nearest
