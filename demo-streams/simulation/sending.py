"""Readings to messages, and what the road does to messages: late, twice, cut into other batches, out of order, never."""

import gzip
import random
from dataclasses import dataclass

from .farm_time import clock_on

SHARE_RESENT, SHARE_DELAYED = 0.01, 0.02


@dataclass(slots=True)
class Message:
    """Consecutive readings sent together, and when."""

    send_at: int
    readings: list


def cut(readings, smallest, largest, rng):
    """Groups of consecutive readings; a new start, a clock set right or a pause begins a new one."""
    groups, size = [], 0
    for reading in readings:
        last = groups[-1][-1] if groups else None
        step = reading.stamped_ms - last.stamped_ms if last else 0
        if not last or len(groups[-1]) >= size or reading.boot != last.boot or not 0 < step <= 400_000:
            groups.append([])
            size = rng.randint(smallest, largest)
        groups[-1].append(reading)
    return groups


def send(day, readings, seed):
    """The messages of a working day in the order they are sent, and the numbers of the readings never sent."""
    rng = random.Random(f"{seed}/{day['date']}/{day['machine']}/sending")
    messages, never = [], set()
    windows = {t["kind"]: (*clock_on(day["date"], t["begins"], t["seconds"]), t) for t in day["troubles"]}
    gap, backlog, resent = (windows.get(kind) for kind in ("gap", "backlog", "resentInOtherCuts"))
    late = clock_on(day["date"], backlog[2]["sent"])[0] * 1000 if backlog else 0
    for group in cut(readings, 5, 10, rng):
        begins, send_at = group[0].true_ms / 1000, group[-1].true_ms + rng.randint(250, 900)
        if gap and gap[0] <= begins < gap[1]:
            never.update((r.boot, r.seq) for r in group)
            continue
        if backlog and backlog[0] <= begins < backlog[1]:
            late += rng.randint(90, 150)
            messages.append(Message(late, group))
            continue
        if rng.random() < SHARE_DELAYED:
            send_at += rng.randint(9_000, 25_000)
        messages.append(Message(send_at, group))
        if rng.random() < SHARE_RESENT:
            messages.append(Message(send_at + rng.randint(5_000, 40_000), group))
    if resent:
        again = [r for r in readings if resent[0] <= r.true_ms / 1000 < resent[1]]
        at = clock_on(day["date"], resent[2]["sent"])[0] * 1000
        messages += [Message(at + 180 * n, again[i : i + 7]) for n, i in enumerate(range(0, len(again), 7))]
    return sorted(messages, key=lambda m: m.send_at), never


def line_of(topic, message):
    first = message.readings[0]
    bt = first.stamped_ms
    records = [
        f'{{"bt":{bt // 1000}.{bt % 1000:03d},"n":"boot","u":"count","v":{first.boot}}}',
        f'{{"n":"seq","u":"count","v":{first.seq}}}',
    ]
    for reading in message.readings:
        after = reading.stamped_ms - bt
        at = "" if after == 0 else f',"t":{after // 1000}' if after % 1000 == 0 else f',"t":{after / 1000:.3f}'
        for name, unit, value in reading.values:
            kind = f'"vb":{value}' if unit is None else f'"u":"{unit}","v":{value}'
            records.append(f'{{"n":"{name}",{kind}{at}}}')
    return f'{{"sendAt":{message.send_at},"topic":"{topic}","payload":[{",".join(records)}]}}\n'


def write(path, topic, messages):
    text = "".join(line_of(topic, message) for message in messages)
    with open(path, "wb") as raw, gzip.GzipFile("", "wb", 9, raw, mtime=0) as packed:
        packed.write(text.encode("ascii"))
