"""Three evenings as products of matrices.

One session is sold on the first evening; the other two are in reserve, any notice. The state is
(session made or still waiting) x (last evening fine or lost); each evening is one 4 x 4 matrix. The
weather's 2 x 2 matrices are powers of one day's matrix, not the formula with r^d that the program
uses: for a constant chance the two must agree.

Prints p, r, days from the first to the second and to the third evening, P(made), expected moves.
"""

import numpy as np

CASES = [
    (0.2, 0.25, 1, 2),
    (0.2, 0.25, 1, 7),
    (0.2, 0.25, 4, 7),
    (0.35, 0.5, 2, 3),
    (0.05, 0.8, 1, 9),
    (0.6, 0.0, 3, 10),
]


def one_day(p, r):
    """Rows: today fine, lost; columns: tomorrow. The chain with stationary chance p whose second
    eigenvalue is r."""
    stationary = np.array([[1 - p, p], [1 - p, p]])
    return r * np.eye(2) + (1 - r) * stationary


def evening(weather):
    """From (status, weather before) to (status, weather): a waiting session is made when fine."""
    made, waiting = 0, 1
    step = np.zeros((4, 4))
    for before in (0, 1):
        for now in (0, 1):
            chance = weather[before, now]
            step[2 * made + before, 2 * made + now] += chance
            after = made if now == 0 else waiting
            step[2 * waiting + before, 2 * after + now] += chance
    return step


for p, r, second, third in CASES:
    day = one_day(p, r)
    start = np.array([0.0, 0.0, 1 - p, p])  # waiting, weather of the day before at random
    state, lost, before = start, 0.0, -1
    for at in (0, second, third):
        waiting_before = state[2:]
        weather = np.linalg.matrix_power(day, at - before)
        lost += waiting_before @ weather[:, 1]
        state = state @ evening(weather)
        before = at
    print(f"{p},{r},{second},{third},{state[:2].sum():.15f},{lost:.15f}")
