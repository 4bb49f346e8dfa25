#!/usr/bin/env python3
"""Lays our figures beside a library's, on random inputs of a printed seed.

  compare.py GROUP FIGURES SEED     GROUP: gsw, scipy or statsmodels; FIGURES: the program wrackline_figures

Prints `ok NAME: ...` or `not ok NAME: ...` for each function, with how many values were compared, the greatest
relative difference and what is allowed. Ends with 3 when one is over.
"""
import random
import subprocess
import sys

import numpy as np

# Two programs that do the same sums in another order differ by this much, not by more.
ROUNDING = 1e-10


class Comparison:
    def __init__(self, group, program, seed):
        self.group = group
        self.program = program
        self.seed = seed
        self.failed = False

    def random_for(self, name):
        """A stream of the function's own, so that one more case of another does not move it."""
        return random.Random(f"{self.seed} {self.group} {name}")

    def ask(self, questions):
        text = "".join(name + " " + " ".join(repr(n) for n in numbers) + "\n" for name, numbers in questions)
        done = subprocess.run([self.program], input=text, capture_output=True, text=True, check=True)
        answers = done.stdout.splitlines()
        if len(answers) != len(questions):
            raise RuntimeError(f"{len(questions)} questions, {len(answers)} answers")
        for question, answer in zip(questions, answers):
            if answer.startswith("error"):
                raise RuntimeError(f"{question}: {answer}")
        return [[None if word == "-" else float(word) for word in answer.split()] for answer in answers]

    def check(self, name, ours, theirs, allowed=ROUNDING, floor=0.0):
        """Differences are per the library's figure, or per `floor` where that is nearer to 0 than it."""
        values, greatest, where = 0, 0.0, None
        for mine, other in zip(ours, theirs, strict=True):
            for a, b in zip(mine, other, strict=True):
                b = None if b is None else float(b)
                values += 1
                if a is None or b is None:
                    difference = 0.0 if a is b else float("inf")
                else:
                    scale = max(abs(b), floor)
                    difference = 0.0 if a == b else abs(a - b) / scale if scale > 0 else float("inf")
                if difference != difference or difference > greatest or where is None:
                    greatest, where = difference, (a, b)
        good = values > 0 and greatest <= allowed
        if not good:
            self.failed = True
        print(f"{'ok' if good else 'not ok'} {self.group}: {name}: {values} values, greatest relative difference "
              f"{greatest:.2g}, allowed {allowed:g}" + ("" if good else f"; ours {where[0]}, theirs {where[1]}"),
              flush=True)


def pairs(points):
    return [number for point in points for number in point]


def some_points(rng, count, ties):
    """A trend with noise; with ties, x and y are taken from a few values."""
    slope, spread = rng.uniform(-2, 2), rng.uniform(0.5, 20)
    if ties:
        points = [(float(rng.randint(0, count)), float(rng.randint(0, 6))) for _ in range(count)]
        points[0], points[1] = (0.0, 0.0), (1.0, 1.0)  # Not all x, not all y equal.
        return points
    return [(i + rng.uniform(-0.4, 0.4), 100 + slope * i + rng.gauss(0, spread)) for i in range(count)]


def some_values(rng):
    count = rng.randint(3, 80)
    offset = rng.choice([0.0, 50.0, 1e6])  # A large mean is where a careless variance loses its digits.
    return [offset + rng.gauss(0, rng.choice([1.0, 20.0])) for _ in range(count)]


# ---- The Gibbs SeaWater library of TEOS-10 --------------------------------------------------------------------


def gsw_group(c):
    import gsw

    # PSS-78 in both; above 2, below which gsw goes on with another formula. Ours is a whole number of millionths,
    # which of salinity 2 is a relative 2.5e-7.
    rng = c.random_for("salinity")
    asked, theirs = [], []
    while len(asked) < 2000:
        us_cm, mdegc = rng.randint(2000, 70000), rng.randint(-2000, 35000)
        mdbar = rng.choice([0, 0, rng.randint(0, 10**7)])
        salinity = float(gsw.SP_from_C(us_cm / 1000, mdegc / 1000, mdbar / 1000))
        if 2 <= salinity <= 42:
            asked.append(("salinity", [us_cm, mdegc, mdbar]))
            theirs.append([salinity])
    c.check("practical salinity from conductivity (PSS-78)", [a[:1] for a in c.ask(asked)], theirs, 2.6e-7)

    # Another equation of the same thing: TEOS-10 beside EOS-80, for water of the reference composition. They are
    # known to differ by hundredths of a kilogram; a wrong unit or scale shows, a wrong last digit does not.
    rng = c.random_for("density")
    asked, theirs = [], []
    for _ in range(2000):
        millionths, mdegc = rng.randint(0, 42 * 10**6), rng.randint(0, 35000)
        mdbar = rng.choice([0, rng.randint(0, 10**6)])
        absolute = gsw.SR_from_SP(millionths * 1e-6)
        density = gsw.rho_t_exact(absolute, mdegc / 1000, mdbar / 1000)
        asked.append(("density", [millionths, mdegc, mdbar]))
        theirs.append([density])
    c.check("density, EOS-80 beside TEOS-10", [a[:1] for a in c.ask(asked)], theirs, 2e-5)

    # Garcia & Gordon's fit to the data of Benson & Krause, in micromoles a kilogram, beside Benson & Krause's own.
    rng = c.random_for("oxygen")
    asked, theirs = [], []
    for _ in range(2000):
        mdegc, millionths = rng.randint(0, 40000), rng.randint(0, 40 * 10**6)
        asked.append((mdegc, millionths))
        theirs.append(float(gsw.O2sol_SP_pt(millionths * 1e-6, mdegc / 1000)))
    densities = c.ask([("density", [s, t, 0]) for t, s in asked])
    theirs = [[umol * 31.9988e-3 * d[0] / 1000] for umol, d in zip(theirs, densities)]
    ours = c.ask([("oxygen", [t, s, 101325]) for t, s in asked])
    c.check("oxygen saturation, Benson & Krause beside Garcia & Gordon", [a[:1] for a in ours], theirs, 5e-4)

    # The formula of Benson & Krause 1984 itself, with its pressure term, in numpy. Ours is whole ng/L
    # of 2.2 mg/L and more, so within 2.3e-7.
    rng = c.random_for("oxygen formula")
    asked, theirs = [], []
    for _ in range(2000):
        mdegc, millionths, pa = rng.randint(0, 40000), rng.randint(0, 40 * 10**6), rng.randint(51000, 111000)
        t, s, p = mdegc / 1000, millionths * 1e-6, pa / 101325
        k = t + 273.15
        fresh = np.polyval([-8.621949e11, 1.243800e10, -6.642308e7, 1.575701e5, -139.34411], 1 / k)
        at_one = np.exp(fresh - s * np.polyval([2140.7, -10.754, 0.017674], 1 / k))
        vapour = np.exp(np.polyval([-216961.0, -3840.70, 11.8571], 1 / k))
        theta = np.polyval([6.436e-8, -1.426e-5, 0.000975], t)
        theirs.append([at_one * (p - vapour) * (1 - theta * p) / ((1 - vapour) * (1 - theta))])
        asked.append(("oxygen", [mdegc, millionths, pa]))
    ours = [a[:1] for a in c.ask(asked)]
    c.check("oxygen saturation under any air pressure, the formula in numpy", ours, theirs, 2.5e-7)


# ---- scipy and numpy ------------------------------------------------------------------------------------------


def scipy_group(c):
    from scipy import signal, stats

    rng = c.random_for("descriptive")
    samples = [some_values(rng) for _ in range(400)]
    ours = c.ask([("descriptive", values) for values in samples])
    c.check("mean", [a[:1] for a in ours], [[np.mean(v)] for v in samples])
    c.check("standard deviation", [a[1:2] for a in ours], [[np.std(v, ddof=1)] for v in samples])
    c.check("median", [a[2:3] for a in ours], [[np.median(v)] for v in samples])
    c.check("median absolute deviation", [a[3:4] for a in ours], [[stats.median_abs_deviation(v)] for v in samples])

    rng = c.random_for("quantile")
    asked = [(rng.random(), some_values(rng)) for _ in range(400)]
    ours = c.ask([("quantile", [f] + v) for f, v in asked])
    c.check("quantile, type 7", ours, [[np.quantile(v, f)] for f, v in asked])

    rng = c.random_for("kendall")
    clouds = [some_points(rng, rng.randint(4, 49), ties=False) for _ in range(200)]
    tied = [some_points(rng, rng.randint(4, 60), ties=True) for _ in range(200)]
    ours = c.ask([("kendall", pairs(p)) for p in clouds + tied])
    theirs = [stats.kendalltau(*zip(*p)).statistic for p in clouds + tied]
    c.check("Kendall's tau-b, half of it with ties", [a[1:2] for a in ours], [[t] for t in theirs], floor=0.01)
    exact = [stats.kendalltau(*zip(*p), method="exact").pvalue for p in clouds]
    c.check("Kendall's exact p", [a[5:6] for a in ours[: len(clouds)]], [[p] for p in exact])

    rng = c.random_for("theil_sen")
    clouds = [some_points(rng, rng.randint(3, 80), ties=i % 2 == 0) for i in range(200)]
    theirs = [stats.theilslopes([y for _, y in p], [x for x, _ in p])[:2] for p in clouds]
    c.check("Theil-Sen slope and intercept", c.ask([("theil_sen", pairs(p)) for p in clouds]), theirs, floor=0.01)

    rng = c.random_for("line")
    clouds = [some_points(rng, rng.randint(3, 80), ties=i % 2 == 0) for i in range(200)]
    theirs = []
    for p in clouds:
        fit = stats.linregress(p)
        theirs.append([fit.slope, fit.intercept, fit.stderr, fit.intercept_stderr, fit.rvalue**2])
    ours = [[a[0], a[1], a[3], a[4], a[5]] for a in c.ask([("line", pairs(p)) for p in clouds])]
    c.check("line of least squares: slope, intercept, their sd, r2", ours, theirs, floor=0.01)

    rng = c.random_for("ewma")
    asked = []
    for _ in range(200):
        values = some_values(rng)
        asked.append((float(np.mean(values)) + rng.uniform(-1, 1), 1.0, rng.uniform(0.05, 1.0), values))
    theirs = [signal.lfilter([w], [1, w - 1], v, zi=[(1 - w) * target])[0] for target, _, w, v in asked]
    c.check("EWMA as a recursive filter", c.ask([("ewma", [t, s, w] + v) for t, s, w, v in asked]), theirs, floor=0.01)

    rng = c.random_for("shannon")
    communities = [[rng.randint(0, 40) for _ in range(rng.randint(1, 12))] + [rng.randint(1, 40)] for _ in range(300)]
    ours = c.ask([("shannon", n) for n in communities])
    c.check("Shannon's diversity", ours, [[stats.entropy(n)] for n in communities], floor=0.01)


# ---- statsmodels ----------------------------------------------------------------------------------------------


def statsmodels_group(c):
    import statsmodels.api as sm
    from statsmodels.robust import mad
    from statsmodels.stats.inter_rater import cohens_kappa
    from statsmodels.stats.proportion import proportion_confint
    from statsmodels.tsa.stattools import acf

    rng = c.random_for("wilson")
    shares = [(rng.randint(0, n), n) for n in (rng.randint(1, 500) for _ in range(500))]
    shares += [(0, 20), (20, 20), (0, 1), (1, 1)]
    theirs = [proportion_confint(k, n, method="wilson") for k, n in shares]
    c.check("Wilson's interval", c.ask([("wilson", s) for s in shares]), theirs, floor=0.001)

    rng = c.random_for("mad")
    samples = [some_values(rng) for _ in range(300)]
    ours = c.ask([("descriptive", values) for values in samples])
    c.check("median absolute deviation", [a[3:4] for a in ours], [[mad(v, c=1.0)] for v in samples])
    # It takes the mean off as it is rounded, which of a million with a spread of 1 leaves ten digits.
    theirs = [[acf(v, nlags=1, fft=False)[1]] for v in samples]
    c.check("lag-1 autocorrelation", [a[4:5] for a in ours], theirs, 1e-7, floor=0.01)

    rng = c.random_for("line")
    clouds = [some_points(rng, rng.randint(3, 80), ties=False) for _ in range(200)]
    theirs = []
    for p in clouds:
        fit = sm.OLS([y for _, y in p], sm.add_constant([x for x, _ in p], has_constant="add")).fit()
        theirs.append([fit.params[1], fit.params[0], fit.ssr, fit.bse[1], fit.bse[0], fit.rsquared])
    ours = c.ask([("line", pairs(p)) for p in clouds])
    c.check("line of least squares: slope, intercept, residual SS, their sd, r2", ours, theirs, floor=0.01)

    rng = c.random_for("kappa")
    asked, theirs = [], []
    for _ in range(200):
        side = rng.randint(2, 5)
        table = [[rng.randint(1, 30) for _ in range(side)] for _ in range(side)]
        squares = [[(i - j) ** 2 for j in range(side)] for i in range(side)]
        flat = [n for row in table for n in row]
        asked += [("kappa", [side] + flat), ("weighted_kappa", [side] + flat + [n for row in squares for n in row])]
        theirs += [[cohens_kappa(np.array(table), return_results=False)],
                   [cohens_kappa(np.array(table), wt="quadratic", return_results=False)]]
    c.check("Cohen's kappa, plain and with squared weights", c.ask(asked), theirs, floor=0.01)


def main():
    group, program, seed = sys.argv[1:]
    comparison = Comparison(group, program, int(seed))
    {"gsw": gsw_group, "scipy": scipy_group, "statsmodels": statsmodels_group}[group](comparison)
    return 3 if comparison.failed else 0


if __name__ == "__main__":
    sys.exit(main())
