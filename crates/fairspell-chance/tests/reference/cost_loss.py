"""The cost of waiting for a sharper forecast, integrated numerically; prints the table of the test.

Run once with Python 3.11, NumPy and SciPy from PyPI: python cost_loss.py
"""

import scipy
from scipy.integrate import quad
from scipy.stats import beta

CASES = [
    (0.4, 195.0, 590.0, 0.2, 0.2),
    (0.4, 20.0, 590.0, 0.2, 0.2),
    (0.1, 270.0, 590.0, 0.2, 0.05),
    (0.7, 100.0, 300.0, 0.25, 0.5),
    (0.5, 50.0, 1000.0, 0.0, 0.9),
    (0.02, 10.0, 100.0, 0.0, 0.1),
]

print("SciPy", scipy.__version__)
for p, cost, loss, q, sharpening in CASES:
    n = 1 / sharpening - 1
    then = beta(p * n, (1 - p) * n)
    ceiling = cost + q * loss
    # E[min(P L, K)] = L * integral of P(P > x) from 0 to K/L.
    mean = loss * quad(then.sf, 0.0, min(1.0, ceiling / loss), limit=500)[0]
    print(f"    ({p}, {cost}, {loss}, {q}, {sharpening}, {mean:.4f}),")
