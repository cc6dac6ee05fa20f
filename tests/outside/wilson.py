"""Wilson's 95 % intervals by statsmodels of counts small and large, to compare with the program's own.

Rows: count, of how many, lower and upper end with 9 decimals. The statsmodels that made the kept table is named in its
first line; it is not among the packages of the other checks because of its size.
"""

import sys

from statsmodels.stats.proportion import proportion_confint

from table import main

OF = (1, 2, 7, 20, 29, 100, 148, 263, 600, 1000, 25000)

if __name__ == "__main__":
    rows = []
    for of in OF:
        for count in sorted({0, 1, of // 20, of // 3, of // 2, of - 1, of}):
            low, high = proportion_confint(count, of, alpha=0.05, method="wilson")
            rows.append((str(count), str(of), f"{low:.9f}", f"{high:.9f}"))
    sys.exit(main(__file__, "statsmodels", rows))
