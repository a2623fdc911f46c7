# The counts that deal_test.go checks, by writing out every arrangement and
# taking the difference of the two means each time. Run: python3 deal.py
import itertools
import sys
from fractions import Fraction

print(sys.version.split()[0])


def count(strata):
    """strata: (condition, baseline) lists; two-sided about the mean of all arrangements."""
    strata = [([Fraction(str(v)) for v in a], [Fraction(str(v)) for v in b]) for a, b in strata]
    nc, nb = sum(len(a) for a, b in strata), sum(len(b) for a, b in strata)
    ways = []
    for a, b in strata:
        both = a + b
        ways.append([(sum(both[i] for i in c), sum(both) - sum(both[i] for i in c))
                     for c in itertools.combinations(range(len(both)), len(a))])
    all_d = [sum(x for x, _ in w) / nc - sum(y for _, y in w) / nb for w in itertools.product(*ways)]
    centre = sum(all_d) / len(all_d)
    seen = sum(sum(a) for a, b in strata) / nc - sum(sum(b) for a, b in strata) / nb
    return sum(abs(d - centre) >= abs(seen - centre) for d in all_d), len(all_d)


wet = [9.35, 9.41, 9.02, 9.44, 9.30, 9.52]
dry = [8.91, 9.12, 8.75, 9.03, 8.98, 9.20]
print("apart", count([([5, 6, 7], [1, 2, 3])]))
print("ties", count([([1, 2, 2], [2, 2, 3])]))
print("six and six", count([(wet, dry)]))
print("pairs", count([([w], [d]) for w, d in zip(wet, dry)]))
print("unequal", count([([4.1, 3.9, 4.4], [3.6, 3.8, 4.0, 3.5, 3.9])]))
print("unequal strata", count([([4.1, 3.9], [3.6, 3.8, 4.0]), ([4.4, 4.9, 4.3], [4.2, 4.1]), ([5.0], [4.7, 4.8])]))
print("a stratum of one condition", count([([4.1, 3.9], [3.6, 3.8, 4.0]), ([4.4, 4.9], [])]))
maize = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]
print("maize", count([([d], [0]) for d in maize]))
