#!/usr/bin/env python3
"""Makes tests/reference/statistics.json: what scipy and lifelines, general libraries, say of samples and times.

    pip install scipy==1.17.1 lifelines==0.30.3
    python3 tests/reference/statistics.py            write the file
    python3 tests/reference/statistics.py --check    work everything out anew and compare with the file

Counts of ways are also worked out in whole numbers, without any rounding; where scipy would lose digits, in lots above 10,000
heads and in ties, these stand in the file.
"""

import json
import math
import pathlib
import random
import sys
import warnings
from fractions import Fraction

PINNED = {"scipy": "1.17.1", "lifelines": "0.30.3"}
FILE = pathlib.Path(__file__).with_name("statistics.json")
CLOSE = 1e-10  # libraries' own figures may differ by less than this from machine to machine
SCIPY_UP_TO = 10_000

WANTED = " ".join(f"{name}=={version}" for name, version in PINNED.items())
try:
    import lifelines
    import lifelines.datasets
    import lifelines.statistics
    import numpy
    import scipy
    from scipy import stats
except ModuleNotFoundError as missing:
    sys.exit(f"'{missing.name}' is not installed: pip install {WANTED}")

warnings.filterwarnings("ignore")


def close(a, b, within=CLOSE):
    return a == b or abs(a - b) <= within * max(abs(a), abs(b))


# --- draws without putting back -----------------------------------------------------------------------------------------------


def ways(heads, bad, sample, found):
    if found < 0 or found > bad or sample - found > heads - bad or sample < found:
        return 0
    return math.comb(bad, found) * math.comb(heads - bad, sample - found)


def exact_draw(heads, bad, sample, found):
    """P(= found), P(<= found), P(> found) in whole numbers."""
    every = math.comb(heads, sample)
    least = max(0, sample + bad - heads)
    below = sum(ways(heads, bad, sample, x) for x in range(least, found + 1))
    return tuple(float(Fraction(n, every)) for n in (ways(heads, bad, sample, found), below, every - below))


def draws(dice):
    cases = [
        # A made-up building and the task's own example.
        (20, 5, 4, 0), (20, 5, 4, 1), (20, 5, 4, 4), (400, 20, 4, 0), (400, 1, 4, 0), (401, 20, 5, 0),
        (1000, 50, 10, 0), (5000, 250, 50, 2), (40_000, 400, 100, 0), (40_000, 4000, 100, 3),
        (1_000_000, 1, 10_000, 0), (1_000_000, 500, 10_000, 0), (1_000_000, 2_000, 4, 0),
        (1_000_000, 100, 10_000, 4), (999_999, 333_333, 30, 12), (10, 10, 10, 10), (10, 0, 3, 0), (1, 1, 1, 0),
    ]
    for _ in range(150):
        heads = dice.choice([dice.randint(1, 60), dice.randint(1, 800), dice.randint(1, SCIPY_UP_TO)])
        bad, sample = dice.randint(0, heads), dice.randint(1, min(heads, 200))
        middle = round(sample * bad / heads)
        cases.append((heads, bad, sample, max(0, min(sample, middle + dice.randint(-4, 4)))))
    out = []
    for heads, bad, sample, found in cases:
        exact = exact_draw(heads, bad, sample, found)
        told = exact
        if heads <= SCIPY_UP_TO:
            of = (found, heads, bad, sample)
            scipys = tuple(float(f(*of)) for f in (stats.hypergeom.pmf, stats.hypergeom.cdf, stats.hypergeom.sf))
            # A chance of 0 or 1 may be missed by its last digits, and a tail by what 1 - cdf leaves of it.
            assert all(close(a, b, 1e-9) or abs(a - b) < 1e-13 for a, b in zip(scipys, exact)), (of, scipys, exact)
            told = tuple(a if close(a, b, 1e-11) else b for a, b in zip(scipys, exact))
        out.append(dict(heads=heads, bad=bad, sample=sample, found=found, pmf=told[0], at_most=told[1], more=told[2]))
    return out


# --- bounds -------------------------------------------------------------------------------------------------------------------


def clopper_pearson(sample, failed, confidence):
    left = 1 - confidence
    upper = 1.0 if failed == sample else float(stats.beta.ppf(confidence, failed + 1, sample - failed))
    both = stats.binomtest(failed, sample).proportion_ci(confidence_level=confidence, method="exact")
    # binomtest seeks its ends with a tolerance of its own; the quantile of the beta distribution is what the method says.
    low = 0.0 if failed == 0 else float(stats.beta.ppf(left / 2, failed, sample - failed + 1))
    high = 1.0 if failed == sample else float(stats.beta.isf(left / 2, failed + 1, sample - failed))
    assert close(low, both.low, 1e-6) and close(high, both.high, 1e-6), (sample, failed, both)
    return upper, low, high


def bounds(dice):
    cases = [(n, x, 0.95) for x, n in [
        (0, 4), (1, 4), (0, 5), (0, 10), (1, 10), (2, 10), (0, 20), (1, 20), (0, 40), (0, 50), (1, 50), (0, 60), (0, 80),
        (0, 100), (1, 100), (3, 100), (0, 300), (4, 400), (4, 4), (999, 1000), (1, 1_000_000), (40, 1_000_000),
    ]]
    for _ in range(120):
        n = dice.choice([dice.randint(1, 30), dice.randint(1, 5_000)])
        cases.append((n, dice.randint(0, n), dice.choice([0.5, 0.8, 0.9, 0.95, 0.99, 0.999])))
    out = []
    for sample, failed, confidence in cases:
        upper, low, high = clopper_pearson(sample, failed, confidence)
        out.append(dict(sample=sample, failed=failed, confidence=confidence, upper=upper, low=low, high=high))
    return out


def share(confidence):
    """The confidence as it is written, not as it is rounded."""
    return Fraction(str(confidence))


def allowed(heads, sample, failed, bad, left):
    every = math.comb(heads, sample)
    return sum(ways(heads, bad, sample, x) for x in range(failed + 1)) >= left * every


def lots(dice):
    """The most bad heads that a result allows, in whole numbers throughout."""
    cases = [(n, s, 0, 0.95) for n, s in [(50, 4), (100, 4), (400, 4), (1000, 10), (2000, 20), (5000, 50), (20, 1)]]
    for _ in range(60):
        heads = dice.choice([dice.randint(1, 40), dice.randint(1, 900)])
        sample = dice.randint(1, min(heads, 40))
        cases.append((heads, sample, dice.randint(0, min(sample, 3)), dice.choice([0.8, 0.9, 0.95, 0.99])))
    out = []
    for heads, sample, failed, confidence in cases:
        left = 1 - share(confidence)
        low, high = failed, heads - (sample - failed)
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if allowed(heads, sample, failed, middle, left) else (low, middle - 1)
        out.append(dict(heads=heads, sample=sample, failed=failed, confidence=confidence, upper_heads=low))
    return out


def smallest(dice):
    cases = [(n, d, 0.95) for n, d in [
        (100, 1), (100, 5), (100, 10), (400, 4), (400, 20), (400, 40), (1000, 10), (1000, 50), (1000, 100)]]
    for _ in range(60):
        heads = dice.randint(1, 900)
        cases.append((heads, dice.randint(1, heads), dice.choice([0.5, 0.9, 0.95, 0.99])))
    out = []
    for heads, bad, confidence in cases:
        left = 1 - share(confidence)
        low, high = 1, heads
        while low < high:
            middle = (low + high) // 2
            met = ways(heads, bad, middle, 0) <= left * math.comb(heads, middle)
            low, high = (low, middle) if met else (middle + 1, high)
        out.append(dict(heads=heads, bad=bad, confidence=confidence, sample=low))
    return out


def fisher(dice):
    cases = [
        (3, 1, 1, 3), (4, 0, 0, 4), (8, 2, 1, 5), (0, 9, 7, 0), (1, 9, 11, 3), (100, 300, 140, 260), (2000, 1, 1990, 12),
        (5, 5, 5, 5), (12, 38, 12, 38),
    ]
    cases += [tuple(dice.randint(0, dice.choice([6, 40, 300])) for _ in range(4)) for _ in range(120)]
    out = []
    for a, b, c, d in cases:
        if a + b + c + d == 0:
            continue
        group, bad, heads = a + b, a + c, a + b + c + d
        this = ways(heads, bad, group, a)
        tables = (ways(heads, bad, group, x) for x in range(min(group, bad) + 1))
        exact = float(Fraction(sum(w for w in tables if w <= this), math.comb(heads, group)))
        p = float(stats.fisher_exact([[a, b], [c, d]]).pvalue)
        # Where two tables tie and scipy's rounding leaves one out, the count of ways decides.
        out.append(dict(table=[a, b, c, d], p=p if close(p, exact, 1e-11) else exact))
        assert close(p, exact, 1e-9) or p < exact, (a, b, c, d, p, exact)
    return out


# --- times --------------------------------------------------------------------------------------------------------------------

# Freireich et al., Blood 21 (1963) 699-716: weeks of remission.
SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"


def typed(text):
    return [[float(word.rstrip("+")), not word.endswith("+")] for word in text.split()]


def published():
    """Data sets with their groups."""
    weeks = [typed(SIX_MP), typed(PLACEBO)]
    frame = lifelines.datasets.load_leukemia()
    theirs = [sorted(zip(map(float, part.t), map(bool, part.status))) for part in (frame[frame.Rx == 0], frame[frame.Rx == 1])]
    assert theirs == [sorted(map(tuple, group)) for group in weeks], "the remission times are not those of the library"

    def groups(frame, time, event, by):
        parts = [frame[frame[by] == value] for value in sorted(frame[by].unique())]
        return [[[float(t), bool(e)] for t, e in zip(part[time], part[event])] for part in parts]

    larynx = lifelines.datasets.load_larynx()
    larynx["stage"] = 1 + larynx.Stage_II + 2 * larynx.Stage_III + 3 * larynx.Stage_IV
    return {
        "remission in weeks, Freireich and others, Blood 21 (1963) 699-716": weeks,
        "cancer of the larynx by stage, Kardaun, Stat. Neerl. 37 (1983) 103-126": groups(larynx, "time", "death", "stage"),
        "fruit flies of two strains, the waltons data of lifelines": groups(
            lifelines.datasets.load_waltons(), "T", "E", "group"),
    }


def made_up(dice):
    """Heads in an oven: most open, some never do; times to a tenth of a second, so that some are equal."""
    out = {}
    for number in range(16):
        groups = []
        for _ in range(dice.choice([2, 2, 3, 5])):
            middle, end = dice.uniform(8, 60), dice.choice([60.0, 139.0, 150.0])
            times = []
            for _ in range(dice.randint(3, 40)):
                t = round(dice.lognormvariate(math.log(middle), 0.5), dice.choice([0, 1]))
                t = max(t, 0.1)
                gone = dice.random() < 0.15
                times.append([min(t, end) if not gone else min(max(round(t * 0.7), 1.0), end), t <= end and not gone])
            groups.append(times)
        out[f"made up {number + 1}"] = groups
    return out


def curve(times):
    fitter = lifelines.KaplanMeierFitter()
    fitter.fit([t for t, _ in times], event_observed=[o for _, o in times])
    table, share = fitter.event_table, fitter.survival_function_.iloc[:, 0]
    band = fitter.confidence_interval_
    steps = []
    for t in table.index:
        row = table.loc[t]
        if row.entrance > 0 and row.removed == 0:
            continue
        s = float(share.loc[t])
        within = 0.0 < s < 1.0 - 1e-15
        steps.append(dict(
            t=float(t), at_risk=int(row.at_risk), opened=int(row.observed), censored=int(row.censored), survival=s,
            low=float(band.loc[t].iloc[0]) if within else None, high=float(band.loc[t].iloc[1]) if within else None))
    # The library meets a share of exactly one half or misses it by its last digit; whole numbers say which it is.
    exact, median = Fraction(1), None
    for step in steps:
        exact *= Fraction(step["at_risk"] - step["opened"], step["at_risk"])
        if median is None and exact <= Fraction(1, 2):
            median = step["t"]
    theirs = fitter.median_survival_time_
    assert (median or math.inf) <= theirs, (median, theirs)
    return dict(steps=steps, median=median)


def compared(groups):
    times = [t for group in groups for t, _ in group]
    opened = [o for group in groups for _, o in group]
    names = [number for number, group in enumerate(groups) for _ in group]
    it = lifelines.statistics.multivariate_logrank_test(times, names, opened)
    if len(groups) == 2:
        two = lifelines.statistics.logrank_test(
            [t for t, _ in groups[0]], [t for t, _ in groups[1]], [o for _, o in groups[0]], [o for _, o in groups[1]])
        assert close(two.test_statistic, it.test_statistic, 1e-9)
    return dict(chi2=float(it.test_statistic), p=float(it.p_value), df=int(it.degrees_of_freedom))


def survival(dice):
    out = []
    for name, groups in (published() | made_up(dice)).items():
        out.append(dict(name=name, groups=groups, curves=[curve(g) for g in groups], log_rank=compared(groups)))
    return out


# --- two benches --------------------------------------------------------------------------------------------------------------


def agreement(dice):
    out = []
    for number in range(20):
        pairs, shift = [], dice.uniform(-4, 4)
        for _ in range(dice.choice([3, 4, 5, 12, 40, 200])):
            t = dice.uniform(8, 60)
            pairs.append([round(t, 2), round(t + shift + dice.gauss(0, 1.5), 2)])
        confidence = dice.choice([0.9, 0.95, 0.99])
        a, b = (numpy.array(side) for side in zip(*pairs))
        n, gap = len(pairs), a - b
        bias, spread = gap.mean(), gap.std(ddof=1)
        mean = stats.t.interval(confidence, n - 1, loc=bias, scale=stats.sem(gap))
        z = stats.norm.isf((1 - confidence) / 2)
        half = stats.t.isf((1 - confidence) / 2, n - 1) * spread * math.sqrt(1 / n + z * z / (2 * (n - 1)))
        together = numpy.cov(a, b, ddof=0)
        concordance = 2 * together[0, 1] / (together[0, 0] + together[1, 1] + (a.mean() - b.mean()) ** 2)
        out.append(dict(
            pairs=pairs, confidence=confidence, bias=[bias, *mean], spread=spread,
            low=[bias - z * spread, bias - z * spread - half, bias - z * spread + half],
            high=[bias + z * spread, bias + z * spread - half, bias + z * spread + half],
            concordance=concordance, correlation=stats.pearsonr(a, b).statistic))
    return out


def quantiles():
    return dict(
        normal=[[c, float(stats.norm.isf((1 - c) / 2))] for c in (0.5, 0.8, 0.95, 0.99, 0.9999)],
        student=[[c, df, float(stats.t.isf((1 - c) / 2, df))]
                 for c in (0.5, 0.9, 0.95, 0.999) for df in (1, 2, 3, 4, 5, 16, 31, 100, 1001, 20_000)],
        chi_squared=[[x, df, float(stats.chi2.sf(x, df))]
                     for x in (0.0, 1e-6, 0.3, 4.0, 16.79, 60.0, 400.0) for df in (1, 2, 3, 4, 5, 8, 13, 40)])


def everything():
    dice = random.Random(20_261_125)
    whole = dict(
        made_with=PINNED, draws=draws(dice), bounds=bounds(dice), lots=lots(dice), smallest=smallest(dice), fisher=fisher(dice),
        survival=survival(dice), agreement=agreement(dice), quantiles=quantiles())
    return json.loads(json.dumps(whole, default=float))


def differences(here, there, at=""):
    if isinstance(here, dict) and isinstance(there, dict) and here.keys() == there.keys():
        for key in here:
            yield from differences(here[key], there[key], f"{at}/{key}")
    elif isinstance(here, list) and isinstance(there, list) and len(here) == len(there):
        for number, (a, b) in enumerate(zip(here, there)):
            yield from differences(a, b, f"{at}/{number}")
    elif isinstance(here, float) and isinstance(there, float):
        # Differences of readings lose digits that no library can give back.
        if not close(here, there) and abs(here - there) > 1e-13:
            yield f"{at}: {here} is {there} in the file"
    elif here != there:
        yield f"{at}: {here} is {there} in the file"


def text_of(whole):
    """One line a case."""
    parts = []
    for key, value in whole.items():
        if isinstance(value, list):
            rows = ",\n".join("  " + json.dumps(row) for row in value)
            parts.append(f"{json.dumps(key)}: [\n{rows}\n]")
        else:
            parts.append(f"{json.dumps(key)}: {json.dumps(value)}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def main():
    installed = {"scipy": scipy.__version__, "lifelines": lifelines.__version__}
    if installed != PINNED:
        sys.exit(f"the values are made with other versions: pip install {WANTED} (here: {installed})")
    whole = everything()
    if sys.argv[1:] == ["--check"]:
        wrong = list(differences(whole, json.loads(FILE.read_text())))
        if wrong:
            sys.exit("\n".join(wrong[:20] + [f"{len(wrong)} values differ from {FILE.name}"]))
        print(f"{FILE.name} holds what scipy and lifelines say")
    elif not sys.argv[1:]:
        FILE.write_text(text_of(whole))
    else:
        sys.exit("nothing or '--check'")


if __name__ == "__main__":
    main()
