"""Problems of moves with what two outside solvers make of them.

    python -m venv venv && venv/bin/pip install highspy==1.16.0 scipy==1.17.1
    venv/bin/python solve.py            # writes problems.json beside this file

Every problem is drawn from a seed. HiGHS solves it as an integer programme with all its limits, then
again without its best plan (some session must have another evening), then once for each session
without what that session got. Where there are no limits and nobody may stay, SciPy's assignment has to
agree with HiGHS before anything is written.
"""

import json
import random
from pathlib import Path

import highspy
import numpy
import scipy
from scipy.optimize import linear_sum_assignment


def problem(seed, sessions, evenings, kinds, may_stay=False):
    draw = random.Random(seed)
    quarter = lambda e, s: (5 * e // (s % 7 + 1) + draw.randrange(200)) / 4 - 10
    costs = [
        [quarter(e, s) if draw.random() > 0.3 else None for e in range(evenings)]
        for s in range(sessions)
    ]
    spans = lambda days: [list(range(a, min(a + days, evenings))) for a in range(0, evenings, days)]
    every = lambda step: list(range(0, sessions, step))
    limits = []
    for kind in kinds:
        if kind == "weeks":
            limits += [("week", span, None, 3) for span in spans(5)]
        if kind == "months":
            limits += [("month", span, None, 8) for span in spans(20)]
        if kind == "drives":
            limits += [("drives", span, every(3), 1) for span in spans(5)]
        if kind == "artist":
            limits += [("artist", span, every(4), 2) for span in spans(6)]
        if kind == "rolling":
            limits += [
                ("rolling", list(range(a, a + 4)), None, 2) for a in range(0, evenings - 3, 2)
            ]
        if kind == "drawn":
            for _ in range(8):
                some = sorted(draw.sample(range(evenings), evenings // 4))
                who = sorted(draw.sample(range(sessions), sessions // 2))
                limits.append(("drawn", some, who, draw.randint(1, 3)))
    return {
        "costs": costs,
        "stay": [draw.randrange(40, 120) / 4 if may_stay and s % 2 else None for s in range(sessions)],
        "limits": [
            {"name": f"{name} {k}", "evenings": e, "sessions": s, "at_most": at_most}
            for k, (name, e, s, at_most) in enumerate(limits)
        ],
    }


def solved(it, without=(), not_all_of=()):
    """The least cost and a plan; pairs left out, and a plan that must not come again."""
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.0)
    x = {}
    for s, row in enumerate(it["costs"]):
        for e, cost in list(enumerate(row)) + [(None, it["stay"][s])]:
            if cost is not None and (s, e) not in without:
                x[s, e] = highs.addBinary(obj=cost)
    total = lambda pairs: sum((x[pair] for pair in pairs), start=highspy.highs_linear_expression(0))
    sessions, evenings = len(it["costs"]), len(it["costs"][0])
    for s in range(sessions):
        highs.addConstr(total([pair for pair in x if pair[0] == s]) == 1)
    for e in range(evenings):
        highs.addConstr(total([pair for pair in x if pair[1] == e]) <= 1)
    for limit in it["limits"]:
        counts = range(sessions) if limit["sessions"] is None else limit["sessions"]
        within = [(s, e) for (s, e) in x if s in counts and e in limit["evenings"]]
        highs.addConstr(total(within) <= limit["at_most"])
    if not_all_of:
        highs.addConstr(total([pair for pair in not_all_of if pair in x]) <= sessions - 1)
    highs.run()
    if highs.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None, None
    assert highs.getModelStatus() == highspy.HighsModelStatus.kOptimal, highs.getModelStatus()
    plan = [pair for pair in x if highs.val(x[pair]) > 0.5]
    cost = lambda s, e: it["stay"][s] if e is None else it["costs"][s][e]
    return sum(cost(*pair) for pair in plan), plan


def by_scipy(it):
    table = numpy.array([[numpy.inf if c is None else c for c in row] for row in it["costs"]])
    rows, columns = linear_sum_assignment(table)
    return float(table[rows, columns].sum())


ASKED = [
    (1, 12, 30, [], False),
    (2, 20, 25, [], False),
    (3, 20, 60, [], False),
    (4, 20, 60, ["weeks", "months"], False),
    (5, 20, 60, ["weeks", "drives"], False),
    (6, 20, 60, ["weeks", "drives", "artist"], False),
    (7, 20, 40, ["weeks", "drives", "rolling"], False),
    (8, 20, 40, ["weeks", "artist", "drawn"], True),
    (9, 15, 30, ["rolling", "drives"], True),
    (10, 15, 30, ["rolling", "drawn"], False),
    (11, 24, 30, ["weeks", "drives"], True),
    (12, 24, 30, ["weeks", "drives"], False),
]

written = []
for seed, sessions, evenings, kinds, may_stay in ASKED:
    it = problem(seed, sessions, evenings, kinds, may_stay)
    best, plan = solved(it)
    assert kinds or best == by_scipy(it), "the two solvers disagree"
    second = None if best is None else solved(it, not_all_of=plan)[0]
    # The best plan need not be the only one: what others agree on is the least cost without a pair.
    without = [] if best is None else [[s, e, solved(it, without={(s, e)})[0]] for s, e in plan]
    written.append({**it, "least": best, "second": second, "without": without})
    print(seed, kinds, best, second)

versions = {"highspy": highspy.Highs().version(), "scipy": scipy.__version__}
print(versions)
lines = ",\n".join(json.dumps(it, separators=(",", ":")) for it in written)
(Path(__file__).parent / "problems.json").write_text(f"[\n{lines}\n]\n")
