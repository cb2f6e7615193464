"""Seeded mutations of texts and of JSON-like data."""

import copy
import random

ODD_TEXTS = (
    *("", " ", "\0", "\n", "\x1b[2J", "\ud800", "\u202e", "é" * 200, "9" * 5000, "1 mm", "1/0 in"),
    *("18 gauge", "99 ga", "-1 mm", "1e99 in", "nan", "inf", "١٢ mm", "1 mm^2", "mm", "1 1/2 in"),
    *("1 mm*3^3^33333", "2 °C", "1 delta_degC", "../../x", "=1+1", "<b>", "x" * 3000, '"', "1,5"),
)
ODD_VALUES = (
    *(None, True, False, 0, -1, 1, 0.5, -0.0, 1e308, -1e308, 1e-320, float("nan"), float("inf")),
    *(10**30, 10**400, [], {}, [[]], [None], {"": ""}, [[0, 0]] * 3, [[0, 0], [9, 0], [9, 9]]),
)


def odd(rng: random.Random):
    kind = rng.random()
    if kind < 0.4:
        return rng.choice(ODD_TEXTS)
    if kind < 0.8:
        return copy.deepcopy(rng.choice(ODD_VALUES))
    return rng.uniform(-1, 1) * 10 ** rng.randint(-9, 9)


def text(rng: random.Random, seed: str) -> str:
    """Return `seed` with a few places cut, doubled, exchanged or made odd."""
    for _ in range(rng.randint(1, 4)):
        a = rng.randint(0, len(seed))
        b = min(len(seed), a + rng.choice((0, 1, 1, 2, 8, 60)))
        middle = rng.choice(
            (
                "",
                seed[a:b] * 2,
                rng.choice('{}[]",:0123456789.eE-+\\/ \n\r\t;µ°^*()'),
                chr(rng.choice((rng.randrange(128), rng.randrange(0xD800), 0xFEFF, 0x1F600))),
                rng.choice(ODD_TEXTS),
            )
        )
        seed = seed[:a] + middle + seed[b:]
    return seed


def raw(rng: random.Random, seed: bytes) -> bytes:
    """Return bytes: wild ones, or `seed` cut off or with bytes exchanged."""
    kind = rng.random()
    if kind < 0.15:
        return rng.randbytes(rng.randint(0, 300))
    if kind < 0.3:
        return seed[: rng.randint(0, len(seed))]
    out = bytearray(seed)
    for _ in range(rng.randint(1, 6)):
        if out:
            out[rng.randrange(len(out))] = rng.randrange(256)
    return bytes(out)


def places(data, most: int = 400) -> list[tuple]:
    """Return (container, key) of every part of JSON-like data, parts of parts too."""
    found, ahead = [], [data]
    while ahead and len(found) < most:
        part = ahead.pop()
        keys = list(part) if isinstance(part, dict) else range(len(part))
        for key in keys:
            found.append((part, key))
            if isinstance(part[key], dict | list):
                ahead.append(part[key])
    return found


def data(rng: random.Random, seed):
    """Return `seed` with a few parts replaced, taken away, moved or renamed."""
    seed = copy.deepcopy(seed)
    for _ in range(rng.randint(1, 4)):
        every = places(seed)
        if not every:
            break
        (part, key), kind = rng.choice(every), rng.random()
        if kind < 0.55:
            part[key] = odd(rng)
        elif kind < 0.7:
            del part[key]
        elif kind < 0.85:
            other, name = rng.choice(every)
            if isinstance(other, dict) or name < len(other):
                part[key] = copy.deepcopy(
                    other.get(name) if isinstance(other, dict) else other[name]
                )
        elif isinstance(part, dict):
            part[rng.choice(ODD_TEXTS) or "x"] = part.pop(key)
        else:
            part.insert(key, odd(rng))
    return seed
