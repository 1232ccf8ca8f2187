"""Finds the constants of dsp-core/src/filter/warp.rs (run: python minimax.py; needs mpmath).

For a bilinear-free digital filter, theta^2 = 4 u g(u) with u = sin^2(theta/2) and
g(u) = asin^2(sqrt u)/u. This finds the rational p(u)/q(u), degrees 2/2, p(0) = q(0) = 1, whose largest
relative error against g on [0, sin^2(pi/2 * 20000/22050)] is smallest: a Remez exchange in 40 digits.
p(0) = q(0) pins the error to zero at DC, so four free coefficients give five alternating extrema.
"""

from mpmath import asin, findroot, mp, mpf, pi, sin, sqrt

mp.dps = 40
EDGE = sin(pi / 2 * mpf(20000) / 22050) ** 2
GRID = 4000


def g(u):
    return asin(sqrt(u)) ** 2 / u if u else mpf(1)


def ratio(c, u):
    p1, p2, q1, q2 = c
    return (1 + p1 * u + p2 * u * u) / (1 + q1 * u + q2 * u * u)


def error(c, u):
    return ratio(c, u) / g(u) - 1


def extrema(c):
    """The largest-magnitude point of every run of equal sign, refined by a parabola-free ternary search."""
    grid = [EDGE * (1 - (1 - mpf(i) / GRID) ** 2) for i in range(1, GRID + 1)]
    values = [error(c, u) for u in grid]
    peaks = []
    for i, v in enumerate(values):
        if not peaks or v * values[peaks[-1]] < 0:
            peaks.append(i)
        elif abs(v) > abs(values[peaks[-1]]):
            peaks[-1] = i
    refined = []
    for i in peaks:
        lo, hi = grid[max(i - 1, 0)], grid[min(i + 1, len(grid) - 1)]
        for _ in range(120):
            a, b = lo + (hi - lo) / 3, hi - (hi - lo) / 3
            lo, hi = (lo, b) if abs(error(c, a)) > abs(error(c, b)) else (a, hi)
        refined.append((lo + hi) / 2)
    return refined


def main():
    points = [EDGE * sin(pi / 2 * mpf(k) / 5) ** 2 for k in range(1, 6)]
    guess = [mpf("-1.17"), mpf("0.228"), mpf("-1.495"), mpf("0.521"), mpf("8e-4")]
    for _ in range(30):
        def equations(*x, points=points):
            return [error(x[:4], u) - (-1) ** k * x[4] for k, u in enumerate(points)]

        solution = findroot(equations, guess, tol=mpf(10) ** -60, maxsteps=100, verify=False)
        guess = list(solution)
        c = guess[:4]
        points = extrema(c)
        assert len(points) == 5, points
        sizes = [abs(error(c, u)) for u in points]
        if max(sizes) / min(sizes) - 1 < mpf(10) ** -20:
            break
    for name, value in zip(("P1", "P2", "Q1", "Q2"), c):
        print(f"{name} = {mp.nstr(value, 20)}")
    print(f"EDGE = {mp.nstr(EDGE, 20)}")
    print(f"MAX_RELATIVE_ERROR = {mp.nstr(max(sizes), 10)}")


main()
