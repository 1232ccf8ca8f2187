"""Finds the constants of dsp-core/src/filter/warp.rs (degrees 2/2) and of quartic.rs (3/3).

Run: python minimax.py; needs mpmath.

For a bilinear-free digital filter, theta^2 = 4 u g(u) with u = sin^2(theta/2) and
g(u) = asin^2(sqrt u)/u. This finds the rational p(u)/q(u), degrees n/n, p(0) = q(0) = 1, whose largest
relative error against g on [0, sin^2(pi/2 * 20000/22050)] is smallest: a Remez exchange in 40 digits.
p(0) = q(0) pins the error to zero at DC, so 2n free coefficients give 2n + 1 alternating extrema.
"""

from mpmath import asin, findroot, mp, mpf, pi, polyroots, polyval, sin, sqrt

mp.dps = 40
EDGE = sin(pi / 2 * mpf(20000) / 22050) ** 2
GRID = 4000

# Where the search starts: p1 .. pn, q1 .. qn and the error, a few digits of each.
STARTS = {
    2: "-1.17 0.228 -1.495 0.521 8e-4",
    3: "-1.8743 0.982 -0.1017 -2.2069 1.5351 -0.3257 -4e-5",
}


def g(u):
    return asin(sqrt(u)) ** 2 / u if u else mpf(1)


def ascending(tail):
    """The polynomial 1 + tail[0] u + tail[1] u^2 + ... as mpmath wants it, highest power first."""
    return list(reversed(tail)) + [mpf(1)]


def error(c, u):
    n = len(c) // 2
    return polyval(ascending(c[:n]), u) / polyval(ascending(c[n:]), u) / g(u) - 1


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


def remez(n):
    """The coefficients p1 .. pn, q1 .. qn and the largest error."""
    count = 2 * n + 1
    points = [EDGE * sin(pi / 2 * mpf(k) / count) ** 2 for k in range(1, count + 1)]
    guess = [mpf(start) for start in STARTS[n].split()]
    for _ in range(30):
        def equations(*x, points=points):
            return [error(x[:-1], u) - (-1) ** k * x[-1] for k, u in enumerate(points)]

        guess = list(findroot(equations, guess, tol=mpf(10) ** -60, maxsteps=100, verify=False))
        points = extrema(guess[:-1])
        assert len(points) == count, points
        sizes = [abs(error(guess[:-1], u)) for u in points]
        if max(sizes) / min(sizes) - 1 < mpf(10) ** -20:
            break
    return guess[:-1], max(sizes)


def main():
    print(f"EDGE = {mp.nstr(EDGE, 20)}")
    for n in STARTS:
        c, largest = remez(n)
        print(f"degrees {n}/{n}")
        for letter, tail in (("P", c[:n]), ("Q", c[n:])):
            for power, value in enumerate(tail, 1):
                print(f"{letter}{power} = {mp.nstr(value, 20)}")
            roots = polyroots(ascending(tail), maxsteps=200, extraprec=100)
            print(f"roots of {letter.lower()}: " + ", ".join(mp.nstr(root, 20) for root in sorted(roots)))
        print(f"MAX_RELATIVE_ERROR = {mp.nstr(largest, 10)}")


main()
