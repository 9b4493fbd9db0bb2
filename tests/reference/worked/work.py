#!/usr/bin/env python3
"""Works the cards and the order of the little bench beside this file, apart from any other program.

Route: every number is read as an exact fraction, carried as an mpmath figure of 50 digits, and every length along a curve, every
volume and every ellipse arc is found by quadrature (never by a closed form). `--check` works the same integrals twice more:
Simpson's rule in double precision, and a plain walk along the curve in space, adding up chords.
Needs Python 3.11, PyYAML, mpmath.
"""
import json
import math
import re
import sys
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path

import yaml
from mpmath import mp, mpf, nstr, pi, quad, sqrt

mp.dps = 50
HERE = Path(__file__).parent
TINY = mpf(10) ** -35          # two places nearer than this are the same place
STEEL = mpf("7.85")            # g/cm3
CALLS = []                     # every integral, kept so that --check can work it again


# ---------------------------------------------------------------- reading figures

def num(text):
    """`2/3`, `1 1/2`, `1½`, `0.25`, `40` -> exact, then 50 digits."""
    text = str(text).strip().replace(",", "")
    text = re.sub("½", " 1/2", text)
    total = sum((Fraction(word) for word in text.split()), Fraction(0))
    return mpf(total.numerator) / total.denominator


def quantity(text):
    """`0.10 mm` -> (0.1, 'mm'); a bare figure has the unit ''."""
    m = re.match(r"^\s*([0-9./½ ]*[0-9½])\s*(.*)$", str(text))
    return num(m[1]), m[2].strip()


def mm(text):
    value, unit = quantity(text)
    return value * {"mm": mpf(1), "in": mpf("25.4"), "m": mpf(1000)}[unit]


def share(text, default=0):
    """`4 %` -> 0.04"""
    if text is None:
        return mpf(default)
    value, unit = quantity(text)
    return value / 100 if unit == "%" else value


def rank(size):
    """Number sizes rank by number; 1/0 = 0, 2/0 = -1 ..."""
    size = str(size).strip()
    return 1 - int(size[:-2]) if size.endswith("/0") else int(size)


def fits(rule, size):
    """`14 and smaller` (a larger number is a smaller hook), `10 and larger`, `14-16`, `16`."""
    rule, r = str(rule), rank(size)
    if rule.endswith("and smaller"):
        return r >= rank(rule[:-11])
    if rule.endswith("and larger"):
        return r <= rank(rule[:-10])
    if "-" in rule:
        a, b = rule.split("-")
        return rank(a) <= r <= rank(b)
    return rank(rule) == r


def whole_down(x):
    """Whole number not over x; a whole number that fifty digits left a hair short is that number."""
    return mp.floor(x + TINY)


def whole_up(x):
    return mp.ceil(x - TINY)


# ---------------------------------------------------------------- integrals

def integral(f, a, b):
    """Quadrature of a smooth f; noted, so that it can be worked again another way."""
    if abs(b - a) < TINY:
        return mpf(0)
    value = quad(f, [a, (a + b) / 2, b])
    CALLS.append(("integral", f, a, b, value))
    return value


def half_ellipse(a, b):
    """Arc of half an ellipse, twice the quarter from the top to the rearmost point."""
    return 2 * integral(lambda u: sqrt((a * mp.cos(u)) ** 2 + (b * mp.sin(u)) ** 2), mpf(0), pi / 2)


def helix(pieces, turns, t):
    """A strand wound `turns` times at an even axial pitch over straight-sided pieces (length, core radius, core radius).

    Rule "Wound length over a profile": arc = integral of sqrt(dL^2 + dr^2 + (2 pi n R)^2), n = N dL / L, R = r + t/2.
    """
    span = sum(p[0] for p in pieces)
    total = mpf(0)
    for length, r0, r1 in pieces:
        n = turns * length / span

        def speed(u, length=length, r0=r0, r1=r1, n=n):
            radius = r0 + (r1 - r0) * u + t / 2
            return sqrt(length ** 2 + (r1 - r0) ** 2 + (2 * pi * n * radius) ** 2)

        arc = integral(speed, mpf(0), mpf(1))
        CALLS.append(("walk", length, r0 + t / 2, r1 + t / 2, n, arc))
        total += arc
    return total


def slope(pieces):
    return sum(sqrt(length ** 2 + (r1 - r0) ** 2) for length, r0, r1 in pieces)


# ---------------------------------------------------------------- the hook

def hook_figures(chart, size):
    """Given figures, between two sizes linear in the rank; what is not given by the rule of thumb."""
    def given(row):
        return {k: mm(v["is"] if isinstance(v, dict) else v) for k, v in row.items()}

    rows = {rank(s): given(row) for s, row in chart["sizes"].items()}
    r = rank(size)
    if r in rows:
        h = dict(rows[r])
    else:
        low, high = max(k for k in rows if k < r), min(k for k in rows if k > r)
        u = mpf(r - low) / (high - low)
        h = {k: rows[low][k] + (rows[high][k] - rows[low][k]) * u for k in rows[low]}
    gap, shank, wire = h["gap"], h["shank"], h["hook-wire"]
    h.setdefault("eye", mpf("2.5") * wire)
    h.setdefault("overall", h["eye"] + shank + mpf("0.45") * gap + wire)
    h.setdefault("barb", shank - mpf("0.2") * gap)
    h.setdefault("point", shank - mpf("0.5") * gap)
    # bend: half ellipse of the wire's centre line
    a = h["overall"] - h["eye"] - shank - wire / 2
    b = (gap + wire) / 2
    arc = half_ellipse(a, b)
    h["bend x"] = h["overall"] - h["eye"]            # rearmost outside, straight from the rear of the eye
    h["bend"] = shank + arc / 2                      # along the wire
    # wire: eye ring of mean diameter, shank, bend, lower limb forward to the point
    h["wire length"] = pi * (h["eye"] - wire) + shank + arc + (shank - h["point"])
    h["mass"] = h["wire length"] * pi / 4 * wire ** 2 * STEEL / 1000   # mm3 x g/cm3 / 1000 = g
    return h


# ---------------------------------------------------------------- the thickness profile

class Profile:
    """Diameter along s: pieces [s0, s1, d0, d1], straight between; may step where two pieces meet."""

    def __init__(self, wire, far):
        self.rows = [[mpf(0), far, wire, wire]]

    def cut(self, s):
        for i, (s0, s1, d0, d1) in enumerate(self.rows):
            if s0 + TINY < s < s1 - TINY:
                d = d0 + (d1 - d0) * (s - s0) / (s1 - s0)
                self.rows[i:i + 1] = [[s0, s, d0, d], [s, s1, d, d1]]
                return

    def within(self, a, b):
        low, high = min(a, b), max(a, b)
        self.cut(low)
        self.cut(high)
        return [r for r in self.rows if r[0] > low - TINY and r[1] < high + TINY]

    def pieces(self, a, b):
        return [(s1 - s0, d0 / 2, d1 / 2) for s0, s1, d0, d1 in self.within(a, b)]

    def at(self, s):
        """Where two pieces meet: the one that ends at s, from the eye side."""
        for s0, s1, d0, d1 in self.rows:
            if s <= s1 + TINY:
                return d0 + (d1 - d0) * (s - s0) / (s1 - s0)

    def add(self, a, b, more):
        for row in self.within(a, b):
            row[2] += more
            row[3] += more

    def dub(self, a, b, da, db):
        """Sets the diameter, da at a to db at b; gives the volume laid (integral of pi/4 (outer^2 - beneath^2))."""
        volume = mpf(0)
        for row in self.within(a, b):
            s0, s1, d0, d1 = row
            o0, o1 = (da + (db - da) * (s - a) / (b - a) for s in (s0, s1))
            assert o0 >= d0 and o1 >= d1, "a body thinner than what lies beneath it"

            def ring(s, s0=s0, s1=s1, d0=d0, d1=d1, o0=o0, o1=o1):
                u = (s - s0) / (s1 - s0)
                return pi / 4 * ((o0 + (o1 - o0) * u) ** 2 - (d0 + (d1 - d0) * u) ** 2)

            volume += integral(ring, s0, s1)
            row[2], row[3] = o0, o1
        return volume


# ---------------------------------------------------------------- one card

class Card:
    def __init__(self, bench, dressing, size, variant=None):
        self.bench, self.d, self.size, self.variant = bench, dressing, str(size), variant
        self.materials = bench["materials"]
        self.chart = bench["charts"][dressing["hook"]]
        self.parts = {p["part"]: dict(p) for p in dressing["parts"]}
        # which change wins: the dressing, then the variant, then at-size
        if variant:
            self.change(dressing["variants"][variant])
        for rule, changes in (dressing.get("at-size") or {}).items():
            if fits(rule, size):
                self.change(changes)
        self.fig, self.uses, self.known = {}, [], {}
        self.hook = hook_figures(self.chart, size)
        d = bench["bench"].get("defaults", {})
        self.bind = num(str(d.get("bind", "5 turns")).split()[0])
        self.start = mm(d.get("start", "40 mm"))
        self.open_pitch = mm(d["travel"]) if "travel" in d else None
        self.work()

    def change(self, changes):
        for part, keys in changes.items():
            self.parts[part].update(keys)

    def stuff(self, part):
        return self.materials[self.parts[part]["of"]]

    # -- lengths and places

    def bead_length(self):
        """Seat of the bead: sqrt(D^2 - hole^2), else D; 0 without a bead."""
        for name, part in self.parts.items():
            if part["as"] == "whole" and self.stuff(name).get("kind") == "bead":
                bead = self.stuff(name)
                d = mm(bead["width"])
                return sqrt(d ** 2 - mm(bead["hole"]) ** 2) if "hole" in bead else d
        return mpf(0)

    def name_value(self, name):
        h = self.hook
        if name == "free shank":                     # shank - bead - head, head = 1 eye
            return h["shank"] - self.bead_length() - h["eye"]
        if name == "eyes":
            return h["eye"]
        if name in ("gap", "shank", "hook-wire", "overall", "eye"):
            return h[name]
        return self.part_length(name)

    def part_length(self, name):
        part = self.parts[name]
        if "length" in part or "reach" in part:
            return self.stated_length(name)[0]
        a, b = self.span(name)
        return abs(b - a)

    def length(self, text):
        """A sum of terms: `1.5 gap`, `body + 1 mm`, `1/4 shank`."""
        total, sign = mpf(0), 1
        for word in re.split(r" ([+-]) ", str(text).strip()):
            if word in "+-":
                sign = 1 if word == "+" else -1
                continue
            m = re.match(r"^((?:[0-9]+ )?[0-9./½]+)?\s*(.*)$", word)
            n, name = num(m[1]) if m[1] else mpf(1), m[2]
            total += sign * (mm(word) if name in ("mm", "in") else n * self.name_value(name))
        return total

    def place(self, text):
        """Along the wire from the rear of the eye."""
        text = str(text).strip()
        m = re.match(r"^(.*) ([+-]) (.*?)$", text)
        if m:                                        # `X + 1 mm`: further toward the bend
            return self.place(m[1]) + self.length(m[3]) * (1 if m[2] == "+" else -1)
        m = re.match(r"^(.*) before (?:the )?(.*)$", text)
        if m:                                        # `1 mm before the barb`
            return self.place(m[2]) - self.length(m[1])
        if text == "behind the bead":
            return self.bead_length()
        m = re.match(r"^(.*) behind the eye$", text)
        if m:                                        # `1/3 shank behind the eye`
            return self.length(m[1])
        m = re.match(r"^(start|end|middle) of (.*)$", text)
        if m:
            a, b = self.span(m[2])
            return {"start": a, "end": b, "middle": (a + b) / 2}[m[1]]
        return {"eye": mpf(0), "barb": self.hook["barb"], "point": self.hook["point"], "bend": self.hook["bend"]}[text]

    def straight(self, text):
        """For `reach`: the place measured straight, so `bend` is the rearmost outside."""
        m = re.match(r"^bend(?: ([+-]) (.*))?$", text)
        if m:
            more = self.length(m[2]) * (1 if m[1] == "+" else -1) if m[1] else 0
            return self.hook["bend x"] + more
        return self.place(text)

    def span(self, name):
        """(from, to) of a part; `over: X` without its own takes X's; weight without `to`: turns x width toward the eye."""
        if name not in self.known:
            part = self.parts[name]
            if "from" in part:
                a = self.place(part["from"])
                if "to" in part:
                    b = self.place(part["to"])
                else:
                    assert part["as"] == "weight"
                    b = a - num(part["turns"]) * mm(self.stuff(name)["width"])
            elif "over" in part:
                a, b = self.span(part["over"])
            else:
                a = b = self.place(part["at"])
            self.known[name] = (a, b)
        return self.known[name]

    def tied_at(self, name):
        part = self.parts[name]
        return self.place(part["at"]) if "at" in part else self.span(name)[0]

    def tolerance(self, value):
        """The dressing's `within`; else 5 % of the length, not under 0.3 mm."""
        within = self.d.get("within")
        return mm(within.lstrip("±")) if within else max(value / 20, mpf("0.3"))

    def with_ends(self, text):
        """(value, low, high); `a to b`: the middle, a, b."""
        if " to " in text:
            low, high = text.split(" to ")
            if not re.search("[a-z]", low):          # `1.25 to 1.5 gap`
                low = low + " " + re.sub(r"^[0-9./½ ]+", "", high)
            low, high = self.length(low), self.length(high)
            return (low + high) / 2, low, high
        value = self.length(text)
        t = self.tolerance(value)
        return value, value - t, value + t

    def stated_length(self, name):
        part = self.parts[name]
        if "length" in part:
            return self.with_ends(part["length"])
        value = abs(self.straight(part["reach"]) - self.tied_at(name))
        t = self.tolerance(value)
        return value, value - t, value + t

    # -- figures

    def put(self, key, value):
        assert key not in self.fig, key
        self.fig[key] = value

    def use(self, material, amount, unit, size=None, widths=None):
        self.uses.append({"material": material, "amount": amount, "unit": unit, "gauge": size, "widths": widths})

    def turns(self, name):
        """Number of turns, or None for touching ones. `4 behind, 3 before the wing` is 7."""
        text = str(self.parts[name].get("turns", "touching"))
        if text in ("touching", "to fill"):
            return None
        return sum(num(t) for t in re.findall(r"[0-9½./]+", text))

    # -- silk

    def silk_thick(self):
        m = self.materials[self.d["silk"]]
        if "denier" in m:
            # g per 9000 m over density gives the solid section; the share of it that is fibre is `packing`
            section = num(m["denier"]) / 9000 / 1000 / (quantity(m["density"])[0] / 1000)   # g/mm / (g/mm3) = mm2
            d = sqrt(4 * section / (pi * share(m.get("packing"), 1)))
            return d, d
        width = mm(m["width"])
        return width, mm(m["thick"]) if "thick" in m else width

    def silk_to(self, s):
        """Open travel: the plain distance (turns of `travel:` where the bench says that pitch); it starts where it is first wanted."""
        if self.silk_at is not None and abs(s - self.silk_at) > TINY:
            if self.open_pitch is None:
                self.travel += abs(s - self.silk_at)
            else:
                pieces = self.profile.pieces(self.silk_at, s)
                self.travel += helix(pieces, abs(s - self.silk_at) / self.open_pitch, self.silk_t)
        self.silk_at = s

    def silk_bed(self, a, b):
        self.silk_to(a)
        pieces = self.profile.pieces(a, b)
        self.beds += helix(pieces, slope(pieces) / self.silk_w, self.silk_t)
        self.profile.add(a, b, 2 * self.silk_t)
        self.silk_at = b

    def tie_in(self, name):
        """Five turns at its place, over the profile as it then is. Beads and coats are not tied in."""
        if self.parts[name]["as"] in ("whole", "coat"):
            return
        s = self.tied_at(name)
        self.silk_to(s)
        self.binds += self.bind * pi * (self.profile.at(s) + self.silk_t)

    def finish(self, turns):
        """At half an eye behind the eye, or behind the bead."""
        s = self.bead_length() + self.hook["eye"] / 2
        self.silk_to(s)
        self.put("finish.at", s)
        self.finishing += turns * pi * (self.profile.at(s) + self.silk_t)

    # -- winding

    def wind(self, name):
        part = self.parts[name]
        way = part["as"]
        if way not in ("wound", "weight", "hackle", "dubbed"):
            return
        a, b = self.span(name)
        self.silk_to(b)                              # the silk waits where the part will be tied down
        if way == "dubbed":
            da, _, db = part["thick"].partition(" rising to ")
            da = self.length(da)
            self.put(f"{name}.volume", self.profile.dub(a, b, da, self.length(db) if db else da))
            return
        m = self.stuff(name)
        if way == "hackle":                          # the stem lies on the hook; 0 when its width is not stated
            w, t = None, mm(m["width"]) if "width" in m else mpf(0)
        else:
            w = mm(m["width"])
            t = mm(m["thick"]) if "thick" in m else w
        n = self.turns(name)
        if abs(b - a) < TINY:                        # a collar
            wound = n * pi * (self.profile.at(a) + t)
        else:
            pieces = self.profile.pieces(a, b)
            run = slope(pieces)
            if n is None or (way == "weight" and "to" not in part):
                cover = mpf(1)                       # touching turns
                n = run / w if n is None else n
            else:
                cover = n * w / run if w else mpf(0)
            wound = helix(pieces, n, t)
            if way != "hackle":
                self.put(f"{name}.coverage", cover)
                if cover >= 1:
                    self.profile.add(a, b, 2 * t * cover)
        self.put(f"{name}.turns", n)
        self.put(f"{name}.wound", wound)

    # -- the order of the work

    def usual_order(self):
        """No steps given: bed to the rearmost start; parts in order, each tied in after all that lies behind it is wound;
        `over: X` right after X."""
        front = self.bead_length() or self.hook["eye"]
        rear = max(self.tied_at(n) for n, p in self.parts.items() if "at" in p or "from" in p or "over" in p)
        self.silk_bed(front, rear)
        groups, on = [], set()
        for name, part in self.parts.items():
            if part["as"] in ("wound", "weight", "hackle", "dubbed") and "over" not in part:
                over = [n for n, p in self.parts.items() if p.get("over") == name
                        and p["as"] in ("wound", "weight", "hackle", "dubbed")]
                over.sort(key=lambda n: self.parts[n]["as"] != "hackle")   # palmer before the rib that ties it down
                groups.append([name] + over)
        for name, part in self.parts.items():
            if part["as"] in ("whole", "coat"):
                continue
            here = self.tied_at(name)
            for group in list(groups):
                if set(group) <= on and all(min(self.span(n)) >= here - mpf("1e-6") for n in group):
                    groups.remove(group)
                    for n in group:
                        self.wind(n)
            self.tie_in(name)
            on.add(name)
        for group in groups:
            for n in group:
                self.wind(n)
        self.finish(mpf(5))

    def stated_order(self):
        for step in self.d["steps"]:
            if "silk" in step:
                a, b = re.match(r"touching, (.*) to (.*)$", step["silk"]).groups()
                self.silk_bed(self.place(a), self.place(b))
            for name in step.get("tie-in", []):
                self.tie_in(name)
            for name in step.get("wind", []):
                self.wind(name)
            if "finish" in step:
                self.finish(quantity(step["finish"])[0])
            if "coat" in step:                       # one drop, one coat
                self.coat(step["coat"], step["coat"], mpf(1), mpf(1))

    def work(self):
        h = self.hook
        for key, name in [("gap", "gap"), ("shank", "shank"), ("hook-wire", "hook-wire"), ("eye", "eye"), ("overall", "overall"),
                          ("barb", "barb"), ("point", "point"), ("bend", "bend"), ("bend-straight", "bend x"),
                          ("wire-length", "wire length"), ("mass", "mass")]:
            self.put(f"hook.{key}", h[name])
        self.put("hook.amount", mpf(1))
        self.use(f"hook {self.d['hook']}", mpf(1), "each", self.size)
        self.put("free shank", self.name_value("free shank"))
        self.profile = Profile(h["hook-wire"], h["shank"] + 2 * h["gap"])
        self.silk_w, self.silk_t = self.silk_thick()
        self.silk_at, self.beds, self.binds, self.travel, self.finishing = None, mpf(0), mpf(0), mpf(0), mpf(0)
        for name, part in self.parts.items():
            if "at" in part:
                self.put(f"{name}.at", self.tied_at(name))
            elif "from" in part or "over" in part:
                a, b = self.span(name)
                self.put(f"{name}.from", a)
                self.put(f"{name}.to", b)
        (self.stated_order if "steps" in self.d else self.usual_order)()
        self.amounts()
        self.put("profile", [[float(x) for x in row] for row in self.profile.rows])

    # -- amounts

    def amounts(self):
        # silk, off the spool: (start + beds + binds + travel + finish + 2q) x (1+p)
        m = self.materials[self.d["silk"]]
        wound = self.beds + self.binds + self.travel + self.finishing
        for key, value in [("width", self.silk_w), ("thick", self.silk_t), ("start", self.start), ("beds", self.beds),
                           ("binds", self.binds), ("travel", self.travel), ("finish", self.finishing), ("wound", wound)]:
            self.put(f"silk.{key}", value)
        q = mm(m["lost-at-tie"]) if "lost-at-tie" in m else mpf(0)
        amount = (self.start + wound + 2 * q) * (1 + share(m.get("loss"))) / 1000
        self.put("silk.amount", amount)
        self.use(self.d["silk"], amount, "m")
        for name in self.parts:
            getattr(self, {"weight": "wound"}.get(self.parts[name]["as"], self.parts[name]["as"]))(name)

    def wastes(self, m):
        """(loss, lost-at-tie, grip)"""
        return share(m.get("loss")), mm(m.get("lost-at-tie", "0 mm")), mm(m.get("grip", "0 mm"))

    def wound(self, name):
        m, part = self.stuff(name), self.parts[name]
        p, q, g = self.wastes(m)
        need = self.fig[f"{name}.wound"] + 2 * q
        cut = m.get("cut", "off the spool")
        if cut == "off the spool":
            each = need
        elif cut == "a length a fly":
            each = need + g
        else:                                        # a length for several flies
            piece = mm(m.get("piece", m.get("usable", "300 mm")))
            n = whole_down((piece - g) / need)
            assert n > 0, "a piece too short for one fly"
            self.put(f"{name}.flies-a-piece", n)
            each = piece / n
        amount = each * (1 + p) * num(part.get("strands", 1)) / 1000
        self.put(f"{name}.amount", amount)
        self.use(part["of"], amount, "m")

    def hackle(self, name):
        m, part = self.stuff(name), self.parts[name]
        for key, value in zip(("fibre", "fibre.low", "fibre.high"), self.with_ends(part["fibre"])):
            self.put(f"{name}.{key}", value)
        gauge = self.bench["bench"]["hackle-gauge"]
        size = min(gauge, key=lambda s: abs(mm(gauge[s]) - self.fig[f"{name}.fibre"]))
        self.put(f"{name}.gauge", str(size))
        p, q, g = self.wastes(m)
        wound, usable = self.fig[f"{name}.wound"], mm(m["usable"])
        n = whole_down((usable - g) / (wound + 2 * q))
        if n >= 1:
            self.put(f"{name}.flies-a-feather", n)
            amount = (1 + p) / n
        else:
            k = whole_up(wound / (usable - g - 2 * q))
            self.put(f"{name}.feathers-a-fly", k)
            amount = k * (1 + p)
        self.put(f"{name}.amount", amount)
        self.use(part["of"], amount, "feather", size)

    def ends(self, name):
        for key, value in zip(("length", "length.low", "length.high"), self.stated_length(name)):
            self.put(f"{name}.{key}", value)

    def bunch(self, name):
        m, part = self.stuff(name), self.parts[name]
        self.ends(name)
        if "thick" in part:                          # count = T^2 x packing / fibre^2, not rounded
            t = self.length(part["thick"])
            self.put(f"{name}.thick", t)
            count = t ** 2 * share(m.get("packing"), mpf("0.75")) / mm(m["width"]) ** 2
        else:
            count = num(part["count"])
        self.put(f"{name}.count", count)
        amount = count * (1 + share(m.get("cleaned-out"))) * (1 + share(m.get("loss")))
        self.put(f"{name}.amount", amount)
        self.use(part["of"], amount, "fibre")

    def dubbed(self, name):
        m, part = self.stuff(name), self.parts[name]
        volume = self.fig[f"{name}.volume"]
        by_density = volume * (quantity(m["density"])[0] if "density" in m else mpf("0.15")) / 1000 * (1 + share(m.get("loss")))
        gives = re.match(r"^(\S+) dozen of (\S+)$", str(m.get("gives", "")))
        if gives:                                    # wins over density; scaled by the volume at the size it names
            there = volume if gives[2] == self.size else Card(self.bench, self.d, gives[2], self.variant).fig[f"{name}.volume"]
            pack, unit = quantity(m["packs"][0]["holds"])
            assert unit == "g"
            amount = pack / (num(gives[1]) * 12) * volume / there
        else:
            amount = by_density
        self.put(f"{name}.amount", amount)
        self.use(part["of"], amount, "g")

    def slip(self, name):
        m, part = self.stuff(name), self.parts[name]
        self.ends(name)
        width, count, p = self.length(part["width"]), num(part.get("count", 1)), share(m.get("loss"))
        self.put(f"{name}.width", width)
        amount = count * width * self.fig[f"{name}.length"] * (1 + p)
        self.put(f"{name}.amount", amount)
        self.use(part["of"], amount, "mm2", widths=count * width * (1 + p))

    def whole(self, name):
        part = self.parts[name]
        self.put("bead.length", self.bead_length())
        amount = num(part.get("count", 1)) * (1 + share(self.stuff(name).get("loss")))
        self.put(f"{name}.amount", amount)
        self.use(part["of"], amount, "each")

    def coat(self, name, material=None, drops=None, coats=None):
        if material is None:
            part = self.parts[name]
            material, drops, coats = part["of"], num(part.get("drops", 1)), num(part.get("coats", 1))
        m = self.materials[material]
        n = drops * coats * (1 + share(m.get("loss")))
        self.put(f"{name}.drops", n)
        amount = n * quantity(m.get("drop", "0.05 ml"))[0]
        self.put(f"{name}.amount", amount)
        self.use(material, amount, "ml")


# ---------------------------------------------------------------- shares, time and money

def cheapest(packs):
    """(holds in the booked unit, price) of the pack that is cheapest a unit."""
    def held(pack):
        value, unit = quantity(pack["holds"])
        return value * {"yd": mpf("0.9144")}.get(unit, mpf(1))
    best = min(packs, key=lambda p: num(p["price"]) / held(p))
    return held(best), num(best["price"])


def share_of(bench, use, flies):
    """Share of a pack that so many flies take, and what it costs."""
    if use["material"].startswith("hook "):
        m = bench["charts"][use["material"][5:]]
    else:
        m = bench["materials"][use["material"]]
    holds, price = cheapest(m["packs"])
    amount = use["amount"] * flies
    if use["unit"] == "feather":                     # / gives of the gauge size, the nearest given
        gives = m["gives"]
        part = amount / num(gives[min(gives, key=lambda s: abs(rank(s) - rank(use["gauge"])))])
    elif use["unit"] == "fibre":                     # / fibres of one feather, patch or tail; from a cape / all its feathers
        part = amount / num(m["fibres"])
        if isinstance(m.get("gives"), dict):
            part /= sum(num(n) for n in m["gives"].values())
    elif use["unit"] == "mm2":                       # quills: widths / the vane of one quill
        part = use["widths"] * flies / mm(m["usable"])
    else:
        part = amount
    return amount, part / holds, part / holds * price


def exact(x):
    """Thirty significant digits; what ends before that is exact."""
    text = nstr(x, 30, strip_zeros=True, min_fixed=-mp.inf, max_fixed=mp.inf)
    return text[:-2] if text.endswith(".0") else text


def minor(x):
    """Half up to the minor unit; far enough from a half that no precision could turn it."""
    assert abs((x * 100) % 1 - mpf("0.5")) > mpf("1e-6"), x
    return str(Decimal(exact(x)).quantize(Decimal("0.01"), ROUND_HALF_UP))


def seconds(text):
    """(a fly, a run)"""
    value, unit = quantity(text)
    unit, _, per = unit.partition(" a ")
    value *= {"s": 1, "min": 60, "h": 3600}[unit]
    return {"": (value, 0), "fly": (value, 0), "dozen": (value / 12, 0), "run": (0, value)}[per]


def work_line(bench, dressing, line):
    (size, dozens), = line["sizes"].items()
    flies = int(quantity(dozens)[0]) * 12
    card = Card(bench, dressing, size, line.get("variant"))
    rows = {}
    for use in card.uses:                            # one row a material and unit
        amount, part, cost = share_of(bench, use, flies)
        row = rows.setdefault((use["material"], use["unit"]), {"amount": mpf(0), "share": mpf(0), "cost": mpf(0)})
        row["amount"] += amount
        row["share"] += part
        row["cost"] += cost
    materials = sum(r["cost"] for r in rows.values())
    b = bench["bench"]
    times = [dressing["time"]] if "time" in dressing else [s["time"] for s in dressing["steps"] if "time" in s]
    a_fly = sum(seconds(t)[0] for t in times) + seconds(b["defaults"]["mount"])[0]
    a_run = sum(seconds(t)[1] for t in times)
    job = a_fly * flies + a_run
    m = re.match(r"^(.*%) of (job time|the day)$", b["allowance"])
    hours = job / 3600 * (1 + share(m[1])) if m[2] == "job time" else job / 3600 / (1 - share(m[1]))
    labour = hours * num(b["rate"])
    overhead = (materials + labour) * share(b["overhead"])
    cost = materials + labour + overhead
    listed = [r for r in b["prices"] if r["kind"] == dressing["kind"] and fits(r["sizes"], size)]
    if "price" in line:                              # stated > list > cost / (1 - margin)
        price, spoke = num(line["price"].split()[0]) / 12 * flies, "stated"
    elif listed:
        price, spoke = num(listed[0]["a dozen"]) / 12 * flies, "list"
    else:
        price, spoke = cost / (1 - share(b["margin"])), "margin"
    values = {"materials": materials, "labour": labour, "overhead": overhead, "cost": cost, "price": price,
              "earns an hour": (price - materials - overhead) / hours}
    return {
        "dressing": dressing["dressing"], "size": str(size), "variant": line.get("variant"), "flies": flies,
        "uses": [{"material": k[0], "unit": k[1], **{n: exact(v) for n, v in r.items()}} for k, r in rows.items()],
        "time a fly": exact(a_fly), "hours": exact(hours),
        **{k: exact(v) for k, v in values.items()}, "price from": spoke,
        "rounded": {k: minor(v) for k, v in values.items()},
    }, values, hours


# ---------------------------------------------------------------- the same integrals by other routes

def simpson(f, a, b, n=400):
    a, b = float(a), float(b)
    h = (b - a) / n
    return h / 3 * math.fsum((1 if i in (0, n) else 4 if i % 2 else 2) * float(f(mpf(a + i * h))) for i in range(n + 1))


def walk(length, r0, r1, n):
    """Chords along a conical helix, halved twice and drawn out to the limit (Richardson)."""
    def chords(k):
        xs = [u / k for u in range(k + 1)]
        pts = [(float(length) * u, (r := float(r0 + (r1 - r0) * u)) * math.cos(2 * math.pi * float(n) * u),
                r * math.sin(2 * math.pi * float(n) * u)) for u in xs]
        return math.fsum(math.dist(p, q) for p, q in zip(pts, pts[1:]))
    k = 400 * max(1, math.ceil(n))
    a, b = chords(k), chords(2 * k)
    return b + (b - a) / 3


def check():
    worst = {"Simpson": 0.0, "walk": 0.0}
    for call in CALLS:
        if call[0] == "integral":
            _, f, a, b, value = call
            worst["Simpson"] = max(worst["Simpson"], abs(simpson(f, a, b) / float(value) - 1))
        else:
            _, length, r0, r1, n, value = call
            worst["walk"] = max(worst["walk"], abs(walk(length, r0, r1, n) / float(value) - 1))
    # the published case: a piece of 14 in, 2 in a fly, grip 2 in -> six flies
    assert whole_down((mm("14 in") - mm("2 in")) / mm("2 in")) == 6
    print(f"{len(CALLS)} integrals; largest relative difference:", worst, file=sys.stderr)
    assert worst["Simpson"] < 1e-12 and worst["walk"] < 1e-9


def main():
    read = lambda path: yaml.safe_load((HERE / "bench" / path).read_text(encoding="utf-8"))
    bench = {"bench": read("bench.yaml"), "charts": read("hooks.yaml")["charts"], "materials": read("materials.yaml")["materials"]}
    dressings = [read(p.relative_to(HERE / "bench")) for p in sorted((HERE / "bench/dressings").glob("*.yaml"))]
    cards = []
    for d in dressings:
        for variant in [None, *(d.get("variants") or {})]:
            for size in str(d["sizes"]).split(","):
                card = Card(bench, d, size.strip(), variant)
                figures = {k: float(v) if isinstance(v, mpf) else v for k, v in card.fig.items()}
                cards.append({"dressing": d["dressing"], "size": card.size, "variant": variant, "figures": figures})
    by_name = {d["dressing"]: d for d in dressings}
    order = read("orders/brack-ferry.yaml")
    lines, sums, hours = [], {}, mpf(0)
    for line in order["flies"]:
        row, values, h = work_line(bench, by_name[line["dressing"]], line)
        lines.append(row)
        hours += h
        for k, v in values.items():
            sums[k] = sums.get(k, mpf(0)) + v
    sums["earns an hour"] = (sums["price"] - sums["materials"] - sums["overhead"]) / hours
    out = {
        "about": {
            "units": {
                "lengths, places, wound": "mm (places: along the wire from the rear of the eye)",
                "amount": "strands and silk m; hackle feathers; bunch fibres; dubbed g; slip mm2; whole and hook each; coat ml",
                "volume": "mm3", "mass": "g", "turns, count, coverage": "a number", "gauge": "a hackle size",
                "profile": "list of [s0, s1, d0, d1] in mm, the diameter after the last layer",
                "order": "amount for all the flies of the line, in the unit named; share in packs; money in the bench's currency; "
                         "time a fly in seconds before the allowance; hours with the allowance",
            },
            "precision": "figures: double precision, from 50 digits; order: decimal strings of 30 significant digits",
        },
        "cards": cards,
        "order": {"order": order["order"], "lines": lines, "hours": exact(hours),
                  "total": {k: exact(v) for k, v in sums.items()}, "total rounded": {k: minor(v) for k, v in sums.items()}},
    }
    (HERE / "expected.json").write_text(json.dumps(out, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    if "--check" in sys.argv:
        check()


if __name__ == "__main__":
    main()
