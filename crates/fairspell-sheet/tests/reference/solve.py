"""Small evenings with what a general-purpose library for Markov decision processes makes of them.

    python -m venv venv && venv/bin/pip install pymdptoolbox==4.0b3 numpy==2.4.6 scipy==1.17.1
    venv/bin/python solve.py            # writes evenings.json beside this file

Every evening is drawn from a seed. All states that can be reached from arrival are listed with their
transitions, straight from the problem as `fairspell sheet --problem` reads it, and handed to the
library as sparse matrices: time stands in the state, so that its finite-horizon solver goes back from
the last decision to the first. Only the value is kept.
"""

import json
import math
import random
from importlib.metadata import version
from itertools import product
from pathlib import Path

import mdptoolbox.mdp
import numpy
from scipy.sparse import csr_matrix

SLOT_MIN = 5
CLASSES = range(4)
EXPOSURE = {"open": 1.0, "umbrella": 0.1, "cover": 0.0}


def evening(seed):
    draw = random.Random(seed)
    slots = draw.randint(4, 6)
    looks = [
        {
            "name": f"look {k}",
            "change_min": draw.randint(1, 6),
            "damp_at_g_m2": draw.randint(8, 14),
            "wet_at_g_m2": draw.randint(20, 40),
            "damp_factor": draw.choice([0.5, 0.8]),
            "wet_factor": draw.choice([0.0, 0.25]),
            "may_return": draw.random() < 0.3,
            "missed_penalty": draw.choice([0, 0, 2.5]),
        }
        for k in range(2)
    ]

    def form(minutes, factor):
        return {"minutes": minutes, "factor": factor, "exposed_s": draw.choice([20, 45, 90]), "pictures": draw.randint(2, 6)}

    sets = [
        {
            "name": f"set {k}",
            "look": f"look {draw.randrange(2)}",
            "spot": f"spot {draw.randrange(2)}",
            "setting": draw.choice(["open", "open", "umbrella", "cover"]),
            "worth": draw.randint(4, 40) / 4,
            "setup_min": draw.randint(0, 2),
            "full": form(draw.randint(3, 8), 1),
            "short": form(2, 0.5),
            "light": [draw.randint(2, 8) / 8 for _ in range(slots)],
            "rain": [1, draw.choice([0.75, 1.25]), 0.5, draw.choice([0, 0.25])],
            "hair_dry": draw.random() < 0.6,
            "needed": draw.choice([None, {"as": "must_have", "missed_penalty": 3.5}]),
        }
        for k in range(3)
    ]
    looks[0]["promise"] = {"pictures": 9, "penalty_each": 0.25}

    def row(stays):
        cuts = [draw.choice([0, 0, 1, 2]) for _ in CLASSES]
        cuts[stays] += 2
        whole = sum(cuts)
        return [cut / whole for cut in cuts]

    return {
        "slots": slots,
        "start": {"spot": "spot 0", "look": draw.choice([None, "look 0"])},
        "spots": [{"name": "spot 0"}, {"name": "spot 1"}],
        "walks": [{"from": "spot 0", "to": "spot 1", "minutes": draw.randint(1, 6)}],
        "looks": looks,
        "sets": sets,
        "rain": {
            "rates_mm_h": [0, 0.5, 2, 6],
            "start": row(draw.randrange(2)),
            "steps": [[row(c) for c in CLASSES] for _ in range(slots - 1)],
        },
        "hair": {"level_g_m2": 5, "levels": 7, "damp_at_g_m2": 15, "wet_at_g_m2": 30, "damp_factor": 0.5, "wet_factor": 0},
    }


def spread(levels, dose):
    """Levels around a dose, with their shares."""
    if dose >= levels[-1]:
        return [(len(levels) - 1, 1.0)]
    high = next(k for k, level in enumerate(levels) if level > dose)
    up = (dose - levels[high - 1]) / (levels[high] - levels[high - 1])
    return [(high - 1, 1 - up)] + ([(high, up)] if up > 0 else [])


class Evening:
    """Decision states are tuples: slot, forms made by set, last set, class, hair, wetness by look."""

    def __init__(self, problem):
        self.p = problem
        self.looks = {look["name"]: k for k, look in enumerate(problem["looks"])}
        self.hair = [5.0 * k for k in range(7)]

    def ended(self, state):
        made = state[1]
        value = 0.0
        for spec, form in zip(self.p["sets"], made):
            if form == "-" and spec["needed"]:
                value -= spec["needed"]["missed_penalty"]
        for look in self.p["looks"]:
            pictures = [
                spec["full" if form == "f" else "short"]["pictures"]
                for spec, form in zip(self.p["sets"], made)
                if spec["look"] == look["name"] and form != "-"
            ]
            if not pictures:
                value -= look["missed_penalty"]
            if "promise" in look:
                value -= look["promise"]["penalty_each"] * max(0, look["promise"]["pictures"] - sum(pictures))
        return value

    def quality(self, spec, rain, hair, wet):
        look = self.p["looks"][self.looks[spec["look"]]]
        dry = 1 - hair / 6 if spec["hair_dry"] else 1  # 0.5 at 15 g/m2, 0 at 30, even between
        return spec["rain"][rain] * dry * [1, look["damp_factor"], look["wet_factor"]][wet]

    def chances(self, slot):
        return self.p["rain"]["steps"][min(slot, self.p["slots"] - 2)]

    def wait(self, state):
        slot, made, last, rain, hair, wets = state
        return 0.0, {(slot + 1, made, last, c, hair, wets): p for c, p in enumerate(self.chances(slot)[rain]) if p}

    def make(self, state, index, form):
        """Expected reward and chances of the states after it; None where it cannot begin."""
        slot, made, last, rain, hair, wets = state
        spec = self.p["sets"][index]
        shape = spec["full" if form == "f" else "short"]
        look = self.looks[spec["look"]]
        was = self.p["sets"][last] if last is not None else self.p["start"]
        worn = self.looks.get(was["look"])
        used = {self.looks[s["look"]] for s, f in zip(self.p["sets"], made) if f != "-"}
        used |= {self.looks[self.p["start"]["look"]]} if self.p["start"]["look"] else set()
        may_return = self.p["looks"][look]["may_return"]
        if made[index] != "-" or (worn != look and look in used and not may_return):
            return None
        before = spec["setup_min"]
        before += self.p["looks"][look]["change_min"] if worn != look else 0
        before += self.p["walks"][0]["minutes"] if was["spot"] != spec["spot"] else 0
        until = before + shape["minutes"]
        steps = math.ceil(until / SLOT_MIN)
        if slot + steps > self.p["slots"] or self.quality(spec, rain, hair, wets[look]) == 0:
            return None
        cloth = [0.0, self.p["looks"][look]["damp_at_g_m2"], self.p["looks"][look]["wet_at_g_m2"]]
        reward, now = 0.0, {(rain, hair, wets[look]): 1.0}
        for k in range(steps):
            inside = max(0, min(until, SLOT_MIN * (k + 1)) - max(before, SLOT_MIN * k)) / shape["minutes"]
            then = {}
            for (c, h, w), p in now.items():
                reward += p * spec["worth"] * shape["factor"] * inside * spec["light"][slot + k] * self.quality(spec, c, h, w)
                dose = self.p["rain"]["rates_mm_h"][c] / 3.6 * shape["exposed_s"] * inside * EXPOSURE[spec["setting"]]
                ends = product(spread(self.hair, self.hair[h] + dose), spread(cloth, cloth[w] + dose), enumerate(self.chances(slot + k)[c]))
                for (h2, ph), (w2, pw), (c2, pc) in ends:
                    if pc:
                        then[c2, h2, w2] = then.get((c2, h2, w2), 0.0) + p * ph * pw * pc
            now = then
        made = made[:index] + form + made[index + 1 :]
        after = {}
        for (c, h, w), p in now.items():
            after[slot + steps, made, index, c, h, wets[:look] + (w,) + wets[look + 1 :]] = p
        return reward, after


def library_value(problem):
    it = Evening(problem)
    sets = len(problem["sets"])
    start = {}
    for rain, p in enumerate(problem["rain"]["start"]):
        if p:
            start[0, "-" * sets, None, rain, 0, (0,) * len(problem["looks"])] = p
    actions = ["finish", "wait"] + [(s, f) for s in range(sets) for f in "fs"]
    number, waiting, moves = {}, list(start), {}
    while waiting:
        state = waiting.pop()
        if state in number:
            continue
        number[state] = len(number)
        options = {}
        if state[0] < problem["slots"]:
            options["wait"] = it.wait(state)
            for action in actions[2:]:
                made = it.make(state, *action)
                if made:
                    options[action] = made
        options["finish"] = (it.ended(state), None)
        moves[state] = options
        waiting += [then for _, after in options.values() if after for then in after]
    end = len(number)
    rewards = numpy.full((end + 1, len(actions)), -1e6)
    rewards[end] = 0
    matrices = []
    for a, action in enumerate(actions):
        rows, columns, chances = [end], [end], [1.0]
        for state, index in number.items():
            reward, after = moves[state].get(action, (None, None))
            if reward is not None:
                rewards[index, a] = reward
            for then, p in after.items() if after else [(None, 1.0)]:
                rows.append(index)
                columns.append(number[then] if then else end)
                chances.append(p)
        matrices.append(csr_matrix((chances, (rows, columns)), shape=(end + 1, end + 1)))
    solver = mdptoolbox.mdp.FiniteHorizon(matrices, rewards, 1.0, problem["slots"] + 1)
    solver.run()
    return sum(p * solver.V[number[state], 0] for state, p in start.items()), end


def main():
    evenings = []
    for seed in range(1, 25):
        problem = evening(seed)
        value, states = library_value(problem)
        evenings.append({"problem": problem, "value": round(float(value), 9), "states": states})
        print(seed, value, states)
    made_with = {name: version(name) for name in ("pymdptoolbox", "numpy", "scipy")}
    text = json.dumps({"made_with": made_with, "evenings": evenings}, separators=(",", ":"))
    Path(__file__).with_name("evenings.json").write_text(text + "\n")


main()
