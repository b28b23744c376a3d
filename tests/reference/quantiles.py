"""Quantiles of the normal distribution, Student's t, chi squared and F, to 20 figures.

    python3 tests/reference/quantiles.py > tests/reference/quantiles.json

Computed with mpmath (BSD) from the definitions: the distribution functions are its regularised
incomplete gamma and beta functions with 60 digits, turned round by bisection on their logarithms.
"""

import json

import mpmath as mp

mp.mp.dps = 60

SHARES = ["1e-6", "0.0005", "0.005", "0.025", "0.1", "0.4", "0.6", "0.95", "0.975", "0.995", "0.99999", "0.999999"]


def turned(function, p):
    """Where a rising function of positive numbers is p."""
    low, high = mp.mpf("1e-60"), mp.mpf(1)
    while function(high) < p:
        high *= 2
    for _ in range(400):
        middle = (low + high) / 2 if high / low < 4 else mp.sqrt(low * high)
        if function(middle) < p:
            low = middle
        else:
            high = middle
        if high - low < high * mp.mpf(10) ** -25:
            break
    return (low + high) / 2


def normal(p):
    return mp.sqrt(2) * mp.erfinv(2 * p - 1)


def student_t(p, nu):
    if p < 0.5:
        return -student_t(1 - p, nu)
    return turned(lambda t: 1 - mp.betainc(nu / 2, mp.mpf(1) / 2, 0, nu / (nu + t * t), regularized=True) / 2, p)


def chi_squared(p, nu):
    return turned(lambda x: mp.gammainc(nu / 2, 0, x / 2, regularized=True), p)


def fisher(p, n, m):
    if n == mp.inf:
        return m / chi_squared(1 - p, m)
    if m == mp.inf:
        return chi_squared(p, n) / n
    return turned(lambda x: mp.betainc(n / 2, m / 2, 0, n * x / (n * x + m), regularized=True), p)


def case(of, quantile, **of_what):
    return {"of": of, **of_what, "quantile": mp.nstr(quantile, 20)}


cases = []
for p in ["1e-30", "1e-12"]:
    cases.append(case("normal", normal(mp.mpf(float(p))), p=p))
for p in SHARES:
    exact = mp.mpf(float(p))
    cases.append(case("normal", normal(exact), p=p))
    for nu in ["1", "2", "3.7", "5", "16", "50", "300", "1999", "2000", "1e4", "1e5", "1e6"]:
        quantile = student_t(exact, mp.mpf(nu))
        cases.append(case("student_t", quantile, p=p, nu=nu))
    for nu in ["1", "2", "4.5", "16", "151", "2000"]:
        cases.append(case("chi_squared", chi_squared(exact, mp.mpf(nu)), p=p, nu=nu))
    for n, m in [("1", "1"), ("1", "5"), ("3", "8.5"), ("10", "4"), ("40", "200"), ("inf", "7"), ("6", "inf")]:
        quantile = fisher(exact, mp.mpf(n), mp.mpf(m))
        cases.append(case("fisher", quantile, p=p, n=n, m=m))
print(json.dumps(cases, indent=0))
