"""Fits the weights of the two logistic formulas again: prints them, and how they score.

    FAIRSPELL_RADAR_DATA=radar FAIRSPELL_PREDICTORS_CSV=predictors.csv \\
        cargo test --release -p fairspell-nowcast --test radar -- predictors
    python refit.py predictors.csv

Needs numpy. The published weights are read from `src/logistic.rs`, the reference's answers from
`steps_members.csv`. Ridge regression on standardised predictors, each cut to the range of all but
0.4 % of its values; every radar system and window has the weight of 2000 cases, however many there
are. "Without" is fitted without the radar system that is scored.
"""

import csv
import pathlib
import re
import sys

import numpy as np

RIDGE = 15.0
CASES = 2000.0
QUANTILES = (0.002, 0.998)
HERE = pathlib.Path(__file__).parent


class Formula:
    def __init__(self, constant, weights, low, high):
        self.constant, self.weights, self.low, self.high = constant, weights, low, high

    def chance(self, x):
        return 1 / (1 + np.exp(-self.constant - np.clip(x, self.low, self.high) @ self.weights))


def published(name):
    text = (HERE / "../../src/logistic.rs").read_text()
    constant = re.search(rf"const {name}_CONSTANT: f64 = (.+?);", text)[1]
    table = re.search(rf"const {name}: \[Term; \d+\] = \[(.*?)\];", text, re.DOTALL)[1]
    terms = re.findall(r"term\((.+?), (.+?), (.+?)\)", table)
    return Formula(float(constant), *np.array(terms, float).T)


def fitted(x, came, blocks):
    """`blocks`: a number for each radar system and window, a case each."""
    _, of_block, counts = np.unique(blocks, return_inverse=True, return_counts=True)
    weight = CASES / counts[of_block]
    low, high = np.quantile(x, QUANTILES, axis=0)
    x = np.clip(x, low, high)
    mean = np.average(x, axis=0, weights=weight)
    # What never varies, as the step of a single system, gets no weight.
    spread = np.sqrt(np.average((x - mean) ** 2, axis=0, weights=weight)) + 1e-9
    x = np.column_stack([np.ones(len(x)), (x - mean) / spread])
    penalty = np.diag([0.0] + [RIDGE] * (x.shape[1] - 1))
    solution = np.zeros(x.shape[1])
    for _ in range(50):
        chance = 1 / (1 + np.exp(-x @ solution))
        slope = x.T @ (weight * (came - chance)) - penalty @ solution
        curvature = (x * (weight * chance * (1 - chance))[:, None]).T @ x + penalty
        change = np.linalg.solve(curvature, slope)
        solution += change
        if np.abs(change).max() < 1e-8:
            break
    weights = solution[1:] / spread
    return Formula(solution[0] - weights @ mean, weights, low, high)


def main(path):
    with open(path) as file:
        header = next(csv.reader(file))
    with open(HERE / "steps_members.csv") as file:
        members = {tuple(row[:5]): np.frombuffer(row[5].encode(), np.uint8) - ord("A")
                   for row in csv.reader(file)}
    rows = np.loadtxt(path, delimiter=",", skiprows=1, dtype=str)
    for question in ("rain", "gap"):
        names = [name for name in header if name.startswith(question + "_")]
        columns = [header.index(name) for name in names]
        cases = rows[rows[:, columns[0]] != ""]
        x, came = cases[:, columns[:-1]].astype(float), cases[:, columns[-1]].astype(float)
        event, start, point = cases[:, 0], cases[:, 1], cases[:, 4].astype(int)
        window = np.array([f"{begin} to {end}" for begin, end in cases[:, 2:4]])
        blocks = np.char.add(np.char.add(event, " "), window)
        ours, refitted = published(question.upper()), fitted(x, came, blocks)

        print(f"const {question.upper()}_CONSTANT: f64 = {refitted.constant:.3f};")
        for name, weight, low, high in zip(
                names, refitted.weights, refitted.low, refitted.high):
            print(f"    term({weight:.3f}, {low:.2f}, {high:.2f}), // {name.split('_', 1)[1]}")
        print(f"\n| {question} | cases | came | members | published | refitted | without |")
        print("|---|---|---|---|---|---|---|")
        ratios = {}
        for system in np.unique(event):
            without = fitted(x[event != system], came[event != system], blocks[event != system])
            windows = {tuple(pair) for pair in cases[event == system, 2:4]}
            for begin, end in sorted(windows, key=lambda pair: tuple(map(int, pair))):
                here = (event == system) & (window == f"{begin} to {end}")
                reference = np.full(here.sum(), np.nan)
                for moment in np.unique(start[here]):
                    key = (system, moment, question, begin, end)
                    if key in members:
                        at = start[here] == moment
                        reference[at] = members[key][point[here][at]] / 24
                chances = [reference] + [
                    formula.chance(x[here]) for formula in (ours, refitted, without)]
                scores = [np.mean((chance - came[here]) ** 2) for chance in chances]
                told = " | ".join("" if np.isnan(score) else f"{score:.4f}" for score in scores)
                print(f"| {system} {begin} to {end} | {here.sum()} | {came[here].mean():.3f} "
                      f"| {told} |")
                if not np.isnan(scores[0]):
                    ratios.setdefault((begin, end), []).append(np.divide(scores, scores[0]))
        for (begin, end), of_window in ratios.items():
            told = " | ".join(f"{ratio:.3f}" for ratio in np.mean(of_window, axis=0))
            print(f"| mean ratio {begin} to {end} | | | {told} |")
        print()


if __name__ == "__main__":
    main(sys.argv[1])
