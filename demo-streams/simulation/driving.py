"""How a tractor works a field: passes back and forth, headland turns, trips to the pit; one state a second."""

import math
from collections import deque
from dataclasses import dataclass


@dataclass(frozen=True)
class Leg:
    """A stretch driven in one manner; a leg of one point is a stop of so many seconds."""

    points: list
    engaged: bool
    speed: float
    seconds: int = 0


def passes_over(edge_sets, heading_degrees, spacing):
    """Parallel passes over one field or over neighbours worked as one: per pass the (start, end) pieces inside."""
    cosine, sine = math.cos(math.radians(heading_degrees)), math.sin(math.radians(heading_degrees))
    turned = [[[(x * cosine + y * sine, y * cosine - x * sine) for x, y in edge] for edge in edges] for edges in edge_sets]
    across = [v for edges in turned for edge in edges for _, v in edge]
    found, v = [], min(across) + spacing / 2
    while v < max(across):
        pieces = sorted(piece for edges in turned for piece in _pieces_inside(edges, v))
        joined = _joined(pieces)
        if joined:
            found.append([tuple((u * cosine - v * sine, u * sine + v * cosine) for u in piece) for piece in joined])
        v += spacing
    return found


def _pieces_inside(edges, v):
    cuts = sorted(p[0] + (v - p[1]) * (q[0] - p[0]) / (q[1] - p[1]) for p, q in edges if (p[1] > v) != (q[1] > v))
    return [(a, b) for a, b in zip(cuts[::2], cuts[1::2]) if b - a > 8]


def _joined(pieces):
    joined = []
    for piece in pieces:
        if joined and piece[0] - joined[-1][1] < 1:
            joined[-1] = (joined[-1][0], piece[1])
        else:
            joined.append(piece)
    return joined


def tour(passes, gate, speed, rng):
    """The legs of a whole job. The driver lifts and drops the tool a little early or late, as drivers do."""
    legs, here, heading = [], gate, None
    for number, pieces in enumerate(passes):
        if number % 2:
            pieces = [(b, a) for a, b in reversed(pieces)]
        for index, (start, end) in enumerate(pieces):
            length = math.dist(start, end)
            unit = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
            drop, lift = rng.gauss(0.5, 0.8), rng.gauss(0.5, 0.8)
            start = (start[0] + unit[0] * drop, start[1] + unit[1] * drop)
            end = (end[0] - unit[0] * lift, end[1] - unit[1] * lift)
            if index == 0 and heading:
                legs.append(Leg(_turn(here, heading, start, unit), False, max(1.5, speed * 0.9)))
            else:
                legs.append(Leg([here, start], False, speed))
            legs.append(Leg([start, end], True, speed))
            here, heading = end, unit
    return legs


def _turn(a, leaving, b, arriving):
    reach = max(10.0, 0.9 * math.dist(a, b))
    c = (a[0] + leaving[0] * reach, a[1] + leaving[1] * reach)
    d = (b[0] - arriving[0] * reach, b[1] - arriving[1] * reach)
    return [
        tuple((1 - t) ** 3 * a[i] + 3 * (1 - t) ** 2 * t * c[i] + 3 * (1 - t) * t * t * d[i] + t**3 * b[i] for i in (0, 1))
        for t in (n / 14 for n in range(15))
    ]


class Driver:
    """Follows legs second by second; a trip can be put in between, after which the work goes on where it stopped."""

    def __init__(self, legs, rng):
        self._legs, self._rng, self._sway = deque(legs), rng, 0.0
        self.position, self.engaged, self.speed = legs[0].points[0], False, 0.0
        self._take_up(self._legs.popleft())

    def _take_up(self, leg):
        self._leg, self._ahead, self._left = leg, deque(leg.points[1:]), leg.seconds
        self.engaged = leg.engaged

    def detour(self, legs):
        rest = Leg([self.position, *self._ahead], self._leg.engaged, self._leg.speed)
        self._legs.extendleft(reversed([*legs, rest]))
        self._take_up(self._legs.popleft())

    def drive_a_second(self):
        """False when the work is done."""
        self._sway = 0.9 * self._sway + self._rng.gauss(0, 0.02)
        self.speed = 0.0 if self._left else self._leg.speed * max(0.75, min(1.25, 1 + self._sway))
        budget = 1.0
        while budget > 0:
            if self._left:
                self._left -= 1
                return True
            if not self._ahead:
                if not self._legs:
                    return False
                self._take_up(self._legs.popleft())
                continue
            reach, target = self.speed * budget if self.speed else self._leg.speed * budget, self._ahead[0]
            distance = math.dist(self.position, target)
            if distance <= reach:
                self.position = self._ahead.popleft()
                budget -= distance / (self.speed or self._leg.speed)
            else:
                share = reach / distance
                self.position = tuple(p + (q - p) * share for p, q in zip(self.position, target))
                budget = 0
        return True
