#!/usr/bin/python3
"""The model of the rehearsal as a scientist would write it down in numpy: a yardstick from outside, of speed and
of result. Run by hand; nothing here is a test.

    plain_seasons.py --program build/owllight [--plan examples/marten.plan] [--seasons 300] [--seed 1]
    plain_seasons.py --figures SAVED.json ...      `owllight plan FILE --json`, saved; the program is not run

Shared with the program: the plan's text, the figures of `plan --json` (light, pulse and recharge of each flash, stores
of cells and card, focus, limits, sunrise and sunset), the tables below of bodies, activity, cells and what is usual,
the laws, the rules of the ledger and the order in which chance enters. Written with the program's source at hand. Not
shared: code, random numbers, and the working of sun and light, geometry, heat sensor, pauses and pictures. Agreement
therefore speaks for the working, not for the values or the laws: a wrong store of cells would be wrong in both.

Left out or simplified:
- The sun by the low-precision formula of almanacs (0.01 deg, from memory). No moon: under this wood it gives 0.007 lx
  at most, of the 3200 lx that an exposure without flash would ask for. So `darkest` of a night is not recomputed.
- Heat sensors, a shutter time that is fixed, flashes that never switch themselves off, no armed hours by the clock,
  bodies and paces by the kind of animal. What the table and checks below do not know is refused, not guessed.
- A pass that fails before a frame is taken (away, spent, unseen, blanked) is booked by that link at once. The program
  also works out the frames it would have had: it does more for such a pass, and has a second column for it.
- A firing that fills the card takes the frames that fit; the program judges the others as imagined.
- Cells are looked at when something passes. The program notes the second at which they run out.
- Only keepers and the first causes are counted: no odds by night, gaps between flashes or spreads.
A season is one pass through numpy over all its arrivals, and a plain loop where the rig remembers. Many seasons
at once would be quicker still, but no longer the model written down plainly.
"""
import argparse
import datetime
import json
import re
import resource
import subprocess
import time
from types import SimpleNamespace

import numpy as np

DAY_S, ROW_S, ROWS = 86400.0, 600.0, 144
MONTH_S = 30.4375 * DAY_S
LINKS = ["keeper", "away", "spent", "unseen", "blanked", "late", "cut", "soft", "smeared", "doubled", "dim", "burnt"]
AWAY, SPENT, UNSEEN, BLANKED, LATE, CUT, SOFT, SMEARED, DOUBLED, DIM, BURNT = range(1, 12)

# length, width, height in m, walk in m/s: typical, from handbooks; all three are about by night
ANIMALS = {"pine marten": (0.48, 0.12, 0.24, 1.0), "red fox": (0.70, 0.18, 0.49, 1.3),
           "wood mouse": (0.09, 0.03, 0.04, 0.3)}
NIGHT_HUMPS = [(0.45, 20.5, 4.0), (0.20, 0.0, 2.0), (0.35, 3.5, 4.0)]  # share, hour, concentration
# mean voltage of a cell, share lost in a month at 20 C
CELLS = {"lead-acid 12 V": (12.0, 0.03), "lithium AA": (1.4, 0.0006), "NiMH AA": (1.2, 0.02), "Li-ion": (3.6, 0.02)}
USUAL = {"site": {"cloud": "thin"},
         "stage": {"path angle": "0 deg", "travel": "both ways", "path scatter": "10 cm", "mark height": "0 m"},
         "subject": {"speed spread": "0.3"},
         "camera": {"sensor width": "23.5 mm", "sensor height": "15.6 mm", "wake": "400 ms", "awake time": "8 s",
                    "frame energy": "4 J", "standby": "1 mA", "cells": "2", "cell kind": "Li-ion", "sleeps": "yes"},
         "sensor": {"range": "12 m", "fan height": "10 deg", "pulses": "1", "false triggers": "1 per night",
                    "cells": "4", "cell kind": "lithium AA", "standby": "0.3 mA"},
         "flash": {"coverage": "60 deg", "stored energy": "60 J", "cells": "4", "cell kind": "NiMH AA",
                   "standby": "0.4 mA"},
         "limits": {"inside": "100 %", "exposure": "1 stop", "ghost": "5 stops"}}
UNITS = {"m": 1, "cm": 1e-2, "mm": 1e-3, "s": 1, "ms": 1e-3, "min": 60, "h": 3600, "deg": np.pi / 180, "%": 1e-2,
         "mA": 1e-3, "A": 1, "J": 1, "lx": 1, "per night": 1, "m/s": 1, "stop": 1, "stops": 1, "N": 1, "S": -1,
         "E": 1, "W": -1, "": 1}


# ---- the plan ----

def read_plan(path):
    """Sections of a plan by heading, each a dictionary of texts, completed by what is usual."""
    sections, section = {}, None
    for line in open(path, encoding="utf-8"):
        line = line.split("#")[0].strip()
        if line.startswith("["):
            heading = line.strip("[]")
            section = sections.setdefault(heading, dict(USUAL.get(heading.split()[0], {})))
        elif line:
            key, value = line.split("=", 1)
            section[key.strip()] = value.strip()
    sections.setdefault("limits", dict(USUAL["limits"]))
    return sections


def number(text):
    """'2.4 m', '1/160 s', 'f/8', '-4 C' in SI."""
    value, unit = re.fullmatch(r"(?:f/)?([-+.\d/]+) ?(.*)", text).groups()
    above, _, below = value.partition("/")
    value = float(above) / float(below or 1)
    return value + 273.15 if unit == "C" else value * UNITS[unit]


def place(text):
    """'2.4 m before, 95 cm up': x to the right as the camera sees it, y away from it, z up."""
    axis = {"left": (0, -1), "right": (0, 1), "before": (1, -1), "behind": (1, 1), "up": (2, 1)}
    point = np.zeros(3)
    for part in text.split(","):
        length, way = part.strip().rsplit(" ", 1)
        point[axis[way][0]] = axis[way][1] * number(length)
    return point


def supply(section, figures, name, standby_a, frame_j, night_k):
    """A set of cells: what is in it, what stands by, what a frame takes; checked against the plan's own draw."""
    volts, lost = CELLS[section["cell kind"]]
    volts *= number(section["cells"])
    drawn_j = volts * standby_a * DAY_S + figures["watch.frames"] * frame_j
    assert abs(drawn_j / figures[f"cells.{name}.draw"] - 1) < 1e-3, f"draw of {name}"
    left = 1 - lost * 2 ** ((night_k - 293.15) / 10)
    return SimpleNamespace(store_j=figures[f"cells.{name}.store"], left_per_s=left ** (1 / MONTH_S),
                           standby_w=volts * standby_a, frame_j=frame_j)


def body(section):
    length, width, height, speed = ANIMALS[section["kind"]]
    return SimpleNamespace(length=length, width=width, height=height, speed=speed)


def unit(vector):
    return vector / np.linalg.norm(vector)


def camera_axes(camera, aim):
    forward = unit(aim - camera)
    right = unit(np.cross(forward, [0, 0, 1]))
    return right, np.cross(right, forward), forward


def model_of(plan, answer):
    """Everything a season reads, from the plan's texts and the program's figures."""
    figures = {key: result["value"] for key, result in answer["results"].items()}
    camera, sensor, stage, limits = plan["camera"], plan["sensor"], plan["stage"], plan["limits"]
    refused = [camera.get("shutter") == "bulb", camera.get("exposure", "fixed") != "fixed",
               sensor.get("kind") != "heat", sensor.get("light gate") != "night", "from" in plan["watch"],
               "orientation" in camera, "aim" in camera,
               any({"aim", "sleeps after"} & s.keys() for name, s in plan.items() if name.startswith("flash ")),
               {"length", "width", "height", "speed", "active"} & plan["subject"].keys()]
    assert not any(refused), "this yardstick does not know all of that plan"
    m = SimpleNamespace(plan=plan, figures=figures, told=answer["nights"], nights=int(plan["watch"]["nights"]))
    m.subject = body(plan["subject"])
    m.passers = [(body(s), number(s["passes"])) for name, s in plan.items() if name.startswith("passer ")]
    m.scouted = (number(plan["subject"]["scouted passes"]), number(plan["subject"]["scouted nights"]))
    m.spread = number(plan["subject"]["speed spread"])
    m.mark_m, m.angle = number(stage["mark height"]), number(stage["path angle"])
    m.travel = stage["travel"]
    m.offset_sd = 0.5 * number(stage["path scatter"])  # it strays so far: two standard deviations
    m.turn_sd = min(np.arctan(m.offset_sd / 1.0), np.radians(15))
    middle = np.array([0, 0, m.mark_m + m.subject.height / 2])

    m.camera = place(camera["place"])
    m.right, m.up, m.forward = camera_axes(m.camera, middle)
    m.f, m.n = number(plan["lens"]["focal length"]), number(camera["aperture"])
    m.focus = figures["picture.focus"]
    m.frame = np.array([number(camera["sensor width"]), number(camera["sensor height"])])
    m.lag, m.wake = number(camera["shutter lag"]), number(camera["wake"]) * (camera["sleeps"] == "yes")
    m.awake_s, m.shutter = number(camera["awake time"]), number(camera["shutter"])
    m.frames, m.step = int(camera["frames"]), max(number(camera["interval"]), m.shutter)
    m.ambient_needed = 250 * m.n ** 2 / number(camera["iso"])
    m.flash_needed = figures["light.needed"]
    m.blur, m.inside = figures["picture.blur limit"], number(limits["inside"])
    m.exposure, m.ghost = 2 ** number(limits["exposure"]), 2 ** number(limits["ghost"])

    m.sensor, m.sensor_aim = place(sensor["place"]), place(sensor["aim"])
    m.zones, m.pitch = int(sensor["zones"]), number(sensor["zone pitch"])
    m.fan, m.range, m.pulses = number(sensor["fan height"]), number(sensor["range"]), int(sensor["pulses"])
    m.delay, m.pause = figures["sensor.latency"], number(sensor["pause"])
    m.gate, m.false_rate = number(sensor["gate level"]), number(sensor["false triggers"])
    m.lamps = [(name[6:], section) for name, section in plan.items() if name.startswith("flash ")]
    m.lamp_place = np.array([place(s["place"]) for _, s in m.lamps])
    m.lamp_axis = np.array([unit(middle - p) for p in m.lamp_place])
    m.lamp_cds, m.pulse, m.recycle = (np.array([figures[f"flash.{name}.{what}"] for name, _ in m.lamps])
                                      for what in ("light", "tenth peak", "recycle"))
    m.half_coverage = np.array([number(s["coverage"]) / 2 for _, s in m.lamps])
    m.power = [number(s["power"]) for _, s in m.lamps]
    m.card = figures["card.frames"]

    air = [number(plan["climate"]["night"]), number(plan["climate"]["day"])]
    m.contrast = np.array([coat_contrast(k) for k in air])
    awake_a = number(camera["awake current"])
    sleeps = camera["sleeps"] == "yes"
    volts = CELLS[camera["cell kind"]][0] * number(camera["cells"])
    awake_j = volts * awake_a * (m.awake_s + (m.frames - 1) * number(camera["interval"])) / m.frames if sleeps else 0
    m.supplies = [supply(camera, figures, "camera", number(camera["standby"]) if sleeps else awake_a,
                         number(camera["frame energy"]) + awake_j, air[0]),
                  supply(sensor, figures, "sensor", number(sensor["standby"]), 0, air[0])]
    m.supplies += [supply(s, figures, name, number(s["standby"]), number(s["stored energy"]) * number(s["power"]) / 0.6,
                          air[0]) for name, s in m.lamps]
    make_nights(m)
    return m


# ---- sky, light and activity, row by row ----

def sun_altitude_deg(unix_s, latitude, longitude):
    n = unix_s / DAY_S + 2440587.5 - 2451545.0
    g = np.radians(357.528 + 0.9856003 * n)
    ecliptic = np.radians(280.460 + 0.9856474 * n + 1.915 * np.sin(g) + 0.020 * np.sin(2 * g))
    tilt = np.radians(23.439 - 4e-7 * n)
    ascension = np.arctan2(np.cos(tilt) * np.sin(ecliptic), np.cos(ecliptic))
    declination = np.arcsin(np.sin(tilt) * np.sin(ecliptic))
    hour = np.radians(280.46062 + 360.98564737 * n) + longitude - ascension
    return np.degrees(np.arcsin(np.sin(latitude) * np.sin(declination) +
                                np.cos(latitude) * np.cos(declination) * np.cos(hour)))


def sun_lx(true_deg):
    """Polynomials in lg lx over the apparent altitude [seidelmann1992]; refraction [saemundsson1986], faded below."""
    h = np.maximum(true_deg, -0.575)
    refraction = 1.02 / np.tan(np.radians(h + 10.3 / (h + 5.11))) / 60
    x = np.maximum(true_deg + refraction * np.exp((true_deg - h) / 2), -18.0) / 90
    parts = [(20, 3.74, 3.97, -4.07, 1.47), (5, 3.05, 13.28, -45.98, 64.33), (-0.8, 2.88, 22.26, -207.64, 1034.30),
             (-5, 2.88, 21.81, -258.11, -858.36), (-12, 2.70, 12.17, -431.69, -1899.83),
             (-18, 13.84, 262.72, 1447.42, 2797.93)]
    lg = np.select([90 * x >= p[0] for p in parts], [np.polyval(p[:0:-1], x) for p in parts], default=-9)
    return 10 ** lg


def make_nights(m):
    """Rows of ten minutes: light, day or night, and how many nights' worth of activity lie before each."""
    site = m.plan["site"]
    latitude, longitude = (np.radians(number(site[what])) for what in ("latitude", "longitude"))
    noon = datetime.datetime.fromisoformat(m.plan["watch"]["start"] + "T12:00+00:00").timestamp()
    noon -= np.degrees(longitude) / 15 * 3600
    m.row_s = ROW_S * np.arange(m.nights * ROWS + 1)
    cloud = {"clear": 0, "thin": 1, "average": 2, "dark": 3}[site["cloud"]]
    night_sky = 8e-4 * (1e-4 / 8e-4) ** (cloud / 3)
    lx = sun_lx(sun_altitude_deg(noon + m.row_s, latitude, longitude)) / [1, 2, 3, 10][cloud]
    m.log_lx = np.log(number(site["open sky"]) * np.maximum(lx, night_sky))

    hour, activity = np.empty((m.nights, ROWS)), np.zeros((m.nights, ROWS))
    for night, told in enumerate(m.told):  # day and night stretched so that the sun rises at 6 and sets at 18
        events = [told["sunrise"] - DAY_S, told["sunset"], told["sunrise"], told["sunset"] + DAY_S]
        at = noon + night * DAY_S + m.row_s[:ROWS]
        hour[night] = np.interp(at, events, [6, 18, 30, 42])
    for share, peak, kappa in NIGHT_HUMPS:
        activity += share * np.exp(kappa * np.cos((hour - peak) * np.pi / 12)) / np.i0(kappa)
    m.by_day = (hour % 24 >= 6) & (hour % 24 < 18)
    share = activity / activity.sum(axis=1, keepdims=True)
    m.worth = np.concatenate([[0], np.cumsum(share.ravel())])
    compare_nights(m, share)


def compare_nights(m, share):
    """Armed time and armed activity of each night against the program's own: within 1 %."""
    over = m.log_lx - np.log(m.gate)
    here, after = over[:-1], over[1:]
    crossed = np.abs(here) / np.where(here == after, 1, np.abs(here - after))
    dark = np.where(here < 0, np.where(after < 0, 1, crossed), np.where(after < 0, 1 - crossed, 0))
    dark = dark.reshape(m.nights, ROWS)
    armed = dark.sum(axis=1) * ROW_S / [night["armed"] for night in m.told] - 1
    active = (dark * share).sum(axis=1) / [night["share"] for night in m.told] - 1
    m.off = np.abs(armed).max(), np.abs(active).max()
    assert max(m.off) < 0.01, f"nights differ from the program's by {m.off}"


# ---- what passes ----

def coat_contrast(air_k):
    """W/m2 between coat and background from 8 to 14 um [planck]."""
    coat_k = air_k + np.clip(4 * (310.15 - air_k) / 27, 0, 10)
    return band_w_m2(coat_k) - band_w_m2(air_k)


def band_w_m2(kelvin):
    h, c, k = 6.62607015e-34, 299792458.0, 1.380649e-23
    um = np.linspace(8e-6, 14e-6, 2001)
    return np.trapz(2 * np.pi * h * c ** 2 / um ** 5 / np.expm1(h * c / (um * k * kelvin)), um)


WALK_TEST_W_M2 = band_w_m2(296.65) - band_w_m2(293.15)


def response(hz):
    w = 2 * np.pi * hz
    return w * 1.15 / np.hypot(1, 0.15 * w) / np.hypot(1, w)


def along_path(p, along):
    """Points of the paths, on the mark's height."""
    c, s = np.cos(p.angle), np.sin(p.angle)
    return np.stack([along * c - p.aside * s, along * s + p.aside * c, np.full(np.shape(along), p.mark)], axis=-1)


def reach_m(m, p):
    sight = along_path(p, np.zeros(p.at.size)) + [0, 0, 1] * p.height[:, None] / 2 - m.sensor
    distance = np.linalg.norm(sight, axis=1)
    turn = np.arctan2(sight[:, 1], sight[:, 0]) - p.angle
    across = p.length * np.abs(np.sin(turn)) + p.width * np.abs(np.cos(turn))
    area = np.minimum(across, m.pitch * distance) * np.minimum(p.height, m.fan * distance)
    hz = p.speed * np.abs(np.sin(turn)) / (m.pitch * distance)
    signal = area * np.abs(m.contrast[p.day]) / (0.7 * WALK_TEST_W_M2)  # of the man of the walk test
    answer = response(hz) / response(1 / (np.radians(6) * 12))
    return m.range * np.minimum(np.sqrt(signal * answer), 1.5)


def notice(m, p):
    """Where the nose is when the sensor decides, past the mark in the sense of the walk; infinite: unseen."""
    towards = m.sensor_aim - m.sensor
    edges = np.arctan2(towards[1], towards[0]) + (np.arange(m.zones + 1) - m.zones / 2) * m.pitch
    dx, dy = np.cos(edges), np.sin(edges)
    c, s = np.cos(p.angle)[:, None], np.sin(p.angle)[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        distance = (m.sensor[1] * c - m.sensor[0] * s - p.aside[:, None]) / (dx * s - dy * c)
        front = p.sense[:, None] * ((m.sensor[0] + distance * dx) * c + (m.sensor[1] + distance * dy) * s)
    front[~((distance > 0) & (distance <= reach_m(m, p)[:, None]))] = np.inf
    front.sort(axis=1)
    return front[:, m.pulses - 1] if m.pulses <= m.zones + 1 else np.full(p.at.size, np.inf)


def arrivals(m, rng):
    """All that comes in a season, in order of time: who 0 the subject, 1.. passers, -1 a false trigger."""
    a = SimpleNamespace()
    scouted, nights = m.scouted
    rates = [rng.gamma(scouted + 0.5) / nights] + [rate for _, rate in m.passers]
    counts = rng.poisson(np.array(rates + [m.false_rate]) * m.nights)
    worth = rng.uniform(0, m.nights, counts[:-1].sum())
    false_s = rng.uniform(0, m.nights * DAY_S, counts[-1])
    who = np.concatenate([np.repeat(np.arange(counts.size - 1), counts[:-1]), np.full(counts[-1], -1)])
    at = np.concatenate([np.interp(worth, m.worth, m.row_s), false_s])
    order = np.argsort(at)
    a.who, a.at = who[order], at[order]
    a.lx = np.exp(np.interp(a.at, m.row_s, m.log_lx))
    a.noticed_s, a.seen = a.at.copy(), np.ones(a.at.size, bool)
    p = passes(m, rng, a)
    front = notice(m, p)
    a.noticed_s[p.index] += (front - p.length / 2) / p.speed
    a.seen[p.index] = np.isfinite(front)
    return a, p


def passes(m, rng, a):
    """How the animals go by: way, offset, turn, speed."""
    p = SimpleNamespace(index=np.flatnonzero(a.who >= 0), mark=m.mark_m)
    p.who, p.at = a.who[p.index], a.at[p.index]
    bodies = [m.subject] + [walker for walker, _ in m.passers]
    p.length, p.width, p.height, walk = (np.array([getattr(b, what) for b in bodies])[p.who]
                                         for what in ("length", "width", "height", "speed"))
    n = p.at.size
    way = {"left to right": 1, "right to left": -1}.get(m.travel)
    p.sense = np.full(n, way) if way else rng.choice([-1, 1], n)
    p.aside = rng.normal(0, m.offset_sd, n)
    p.angle = m.angle + rng.normal(0, m.turn_sd, n)
    p.speed = walk * np.exp(rng.normal(0, m.spread, n))
    p.day = m.by_day.ravel()[(p.at / ROW_S).astype(int)].astype(int)
    return p


# ---- what the rig remembers ----

def works(m, used_j, at):
    """Which sets of cells still hold something."""
    return [c.store_j * c.left_per_s ** at - c.standby_w * at - used > 0 for c, used in zip(m.supplies, used_j)]


def run_rig(m, a):
    """Goes through the arrivals in order. Returns for each the link that failed before any frame (0: it fired), when
    the shutter opened, and what share of its light each flash had for each frame, and whether its cells were dead."""
    n, lamps = a.at.size, len(m.lamps)
    failed, opened = np.zeros(n, int), np.zeros(n)
    share, dead = np.zeros((n, m.frames, lamps)), np.zeros((n, lamps), bool)
    used, alive, card = [0.0] * len(m.supplies), [True] * len(m.supplies), m.card
    deaf_until = busy_until = awake_until = -np.inf
    charge, fired_at = [1.0] * lamps, [0.0] * lamps
    signals = a.noticed_s + m.delay
    for i, (at, noticed_s, signal, lx, seen) in enumerate(zip(a.at.tolist(), a.noticed_s.tolist(), signals.tolist(),
                                                              a.lx.tolist(), a.seen.tolist())):
        alive = [was and still for was, still in zip(alive, works(m, used, at))]
        deaf, busy = noticed_s < deaf_until, signal < busy_until
        if not lx < m.gate:
            failed[i] = AWAY
        elif not (alive[0] and alive[1] and card >= 1):
            failed[i] = SPENT
        elif not seen:
            failed[i] = UNSEEN
        elif deaf or busy:
            failed[i] = BLANKED
            if not deaf:
                deaf_until = signal + m.pause  # the camera is busy, the sensor fires all the same
        if failed[i]:
            continue
        opens = opened[i] = signal + m.lag + (m.wake if signal >= awake_until else 0)
        dead[i] = [not cells for cells in alive[2:]]
        for frame in range(int(min(m.frames, card))):
            now = opens + frame * m.step
            for lamp in range(lamps):
                full = min(charge[lamp] + (now - fired_at[lamp]) / m.recycle[lamp], 1.0)
                taken = min(full, m.power[lamp])
                share[i, frame, lamp] = taken / m.power[lamp]
                charge[lamp], fired_at[lamp] = full - taken, now
                used[2 + lamp] += m.supplies[2 + lamp].frame_j * (alive[2 + lamp] and taken > 0)
            used[0] += m.supplies[0].frame_j
            used[1] += m.supplies[1].frame_j
            card -= 1
        busy_until = opens + (m.frames - 1) * m.step + m.shutter
        awake_until, deaf_until = busy_until + m.awake_s, signal + m.pause
    return failed, opened, share, dead


# ---- the pictures ----

def share_inside(m, p, past):
    """Share of the upright box around the body, as the frame sees it, that lies in the frame."""
    corners = []
    for along, aside, up in np.ndindex(2, 2, 2):
        q = SimpleNamespace(angle=p.angle, aside=p.aside + (aside - 0.5) * m.subject.width, mark=p.mark)
        corner = along_path(q, p.sense * past + (along - 0.5) * m.subject.length) + [0, 0, up * m.subject.height]
        corners.append(corner - m.camera)
    corners = np.array(corners)
    depth = corners @ m.forward
    image = m.f * (1 + m.f / (m.focus - m.f)) / np.where(depth > 1e-9, depth, np.nan)
    part = 1
    for axis, extent in zip((m.right, m.up), m.frame):
        low, high = (image * (corners @ axis)).min(axis=0), (image * (corners @ axis)).max(axis=0)
        part = part * np.maximum(np.minimum(high, extent / 2) - np.maximum(low, -extent / 2), 0) / (high - low)
    return np.nan_to_num(part)


def worst_defocus(m, p, middle):
    c, s = np.cos(p.angle), np.sin(p.angle)
    half = 0.5 * (m.subject.length * np.abs(c * m.forward[0] + s * m.forward[1]) +
                  m.subject.width * np.abs(c * m.forward[1] - s * m.forward[0]) +
                  m.subject.height * np.abs(m.forward[2]))
    ends = np.maximum((middle - m.camera) @ m.forward + np.array([[-1.0], [1.0]]) * half, m.f)
    return (m.f ** 2 / m.n * np.abs(1 / m.focus - 1 / ends) / (1 - m.f / m.focus)).max(axis=0)


def lamp_lxs(m, middle):
    """From each flash at full share, on the side turned to the camera."""
    to_body = middle[:, None] - m.lamp_place
    distance = np.linalg.norm(to_body, axis=2)
    to_camera = m.camera - middle
    facing = -np.einsum("plx,px->pl", to_body, to_camera) / distance / np.linalg.norm(to_camera, axis=1)[:, None]
    off = np.arccos(np.clip(np.einsum("plx,lx->pl", to_body, m.lamp_axis) / distance, -1, 1))
    return m.lamp_cds * np.maximum(facing, 0) / distance ** 2 * 2 ** -(off / m.half_coverage) ** 2


def light_faults(m, lxs, ambient, per_second):
    """Smeared, doubled, dim, burnt, for the light of each flash and the ambient exposure."""
    flash, pulse = lxs.sum(axis=1), np.where(lxs > 0, m.pulse, 0).max(axis=1)
    total = flash / m.flash_needed + ambient / m.ambient_needed
    long_shutter = per_second * m.shutter > m.blur
    by_flash, by_ambient = flash > ambient * m.ghost, ambient >= flash * m.ghost
    return np.stack([np.where(by_ambient, long_shutter, per_second * pulse > m.blur),
                     ~by_flash & ~by_ambient & long_shutter, total * m.exposure < 1, total > m.exposure], axis=1)


def judge(m, p, opens, lx, share, dead):
    """One frame of every pass of the subject: how much of it is inside, and which links failed."""
    past = p.speed * (opens - p.at)
    inside = share_inside(m, p, past)
    failed = np.zeros((past.size, len(LINKS)), bool)
    failed[:, LATE] = inside == 0
    past = np.where(inside > 0, past, 0)  # one that missed it is judged further as though it stood on the mark
    failed[:, CUT] = np.where(inside > 0, inside, share_inside(m, p, past)) < m.inside
    middle = along_path(p, p.sense * past) + [0, 0, m.subject.height / 2]
    failed[:, SOFT] = worst_defocus(m, p, middle) > m.blur
    distance = np.linalg.norm(middle - m.camera, axis=1)
    per_second = m.f / (distance - m.f) * p.speed * np.abs(np.cos(p.angle))
    lxs = share * lamp_lxs(m, middle)
    failed[:, SMEARED:] = light_faults(m, lxs, lx * m.shutter, per_second)
    failed[:, SPENT] = (light_faults(m, lxs * ~dead, lx * m.shutter, per_second) & ~failed[:, SMEARED:]).any(axis=1)
    return inside, failed


def season(m, rng):
    """Passes of the subject in one season by their first cause, keepers first."""
    a, p = arrivals(m, rng)
    failed, opened, share, dead = run_rig(m, a)
    ledger = np.bincount(failed[(a.who == 0) & (failed > 0)], minlength=len(LINKS))
    fired = (p.who == 0) & (failed[p.index] == 0)
    if not fired.any():
        return ledger
    i = p.index[fired]
    q = SimpleNamespace(at=p.at[fired], speed=p.speed[fired], angle=p.angle[fired], aside=p.aside[fired],
                        sense=p.sense[fired], mark=p.mark)
    best = np.zeros((i.size, len(LINKS)), bool)
    seen, gone = np.zeros(i.size, bool), np.zeros(i.size, bool)
    for frame in range(m.frames):
        inside, now = judge(m, q, opened[i] + frame * m.step, a.lx[i], share[i, frame], dead[i])
        gone |= seen & (inside == 0)  # a straight walk does not come back
        seen |= inside > 0
        better = ~gone & (now.sum(axis=1) < best.sum(axis=1)) if frame else np.ones(i.size, bool)
        best[better] = now[better]
    return ledger + np.bincount(best.argmax(axis=1), minlength=len(LINKS))


# ---- the comparison ----

def run_program(program, *words):
    """Its answer, and the processor time it took: a busy machine then favours neither side."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([program, *words], check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return json.loads(done.stdout), after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def compare(program, plan, mean, error, per_season):
    words = ["rehearse", plan, "--json", "--threads", "1", "--seasons"]
    started = min(run_program(program, *words, "1")[1] for _ in range(5))
    told, took = min((run_program(program, *words, "20000") for _ in range(3)), key=lambda run: run[1])
    each = (took - started) / (20000 - 1)
    apart = (mean[0] - told["keepers"]["mean"]) / np.hypot(error[0], told["keepers error"])
    print(f"\nprogram: {told['keepers']['mean']:.3f} +- {told['keepers error']:.3f} keepers per watch in 20000 seasons")
    print(f"difference {mean[0] - told['keepers']['mean']:+.3f} keepers: {apart:+.2f} standard errors")
    for row, here, off in zip(told["ledger"], mean, error):
        print(f"  {row['row']:8} {row['first']['mean']:8.4f}   here {here:8.4f} +- {off:.4f}")
    print(f"program {each * 1e6:.1f} us per season on one core: {per_season / each:.0f} times as fast")


def main():
    ask = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    ask.add_argument("--program")
    ask.add_argument("--figures")
    ask.add_argument("--plan", default="examples/marten.plan")
    ask.add_argument("--seasons", type=int, default=300)
    ask.add_argument("--seed", type=int, default=1)
    asked = ask.parse_args()
    if not (asked.program or asked.figures):
        ask.error("give --program or --figures")
    if asked.figures:
        answer = json.load(open(asked.figures, encoding="utf-8"))
    else:
        answer = run_program(asked.program, "plan", asked.plan, "--json")[0]
    m = model_of(read_plan(asked.plan), answer)
    print(f"nights against the program's: armed time within {m.off[0]:.2%}, active share within {m.off[1]:.2%}")
    rng = np.random.default_rng(asked.seed)
    began = time.process_time()
    ledgers = np.array([season(m, rng) for _ in range(asked.seasons)])
    per_season = (time.process_time() - began) / asked.seasons
    mean, error = ledgers.mean(axis=0), ledgers.std(axis=0, ddof=1) / np.sqrt(asked.seasons)
    for word, value, off in zip(LINKS, mean, error):
        print(f"  {word:8} {value:8.4f} +- {off:.4f}")
    print(f"{asked.seasons} seasons, {per_season * 1e3:.3f} ms of one core each")
    if asked.program:
        compare(asked.program, asked.plan, mean, error, per_season)


if __name__ == "__main__":
    main()
