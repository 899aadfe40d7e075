"""The tables of insulation coordination as they were read: the unit of the rows, then the columns.

Distances in mm, voltages in V, altitudes in m, pressures in Pa.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """One printed table; a column called "-" has no part in the ids of its cells."""

    prefix: str
    source: str
    text: str

    def column(self, name: str) -> dict[float, float]:
        """One column, by its rows."""
        heads, *lines = (line.split() for line in self.text.strip().splitlines())
        return {float(line[0]): float(line[heads.index(name)]) for line in lines}

    def cells(self) -> Iterator[tuple[str, float]]:
        """The id of each cell in our tables, and its number."""
        heads, *lines = (line.split() for line in self.text.strip().splitlines())
        for line in lines:
            for head, cell in zip(heads[1:], line[1:], strict=True):
                column = () if head == "-" else (head,)
                yield ".".join((self.prefix, *column, line[0] + heads[0])), float(cell)


TWO = "two public copies, compared cell by cell without a difference; standing: read"
ONE = "one public data file of the standard's tables; standing: read"

PRINTED = (
    Printed(
        prefix="rated-impulse",
        source=f"IEC 60664-1 table F.1, {TWO}",
        text="""
   V  ovc-I  ovc-II  ovc-III  ovc-IV
  50    330     500      800    1500
 100    500     800     1500    2500
 150    800    1500     2500    4000
 300   1500    2500     4000    6000
 600   2500    4000     6000    8000
1000   4000    6000     8000   12000
""",
    ),
    Printed(
        prefix="rated-impulse-dc",
        source=f"IEC 60664-1:2020 table F.1, direct current only, {TWO}",
        text="""
   V  ovc-I  ovc-II  ovc-III  ovc-IV
1500   6000    8000    10000   15000
""",
    ),
    Printed(
        prefix="clearance-impulse",
        source=f"IEC 60664-1 table F.2, {TWO}",
        text="""
    V  a.pd1  a.pd2  a.pd3  b.pd1  b.pd2  b.pd3
  330   0.01    0.2    0.8   0.01    0.2    0.8
  400   0.02    0.2    0.8   0.02    0.2    0.8
  500   0.04    0.2    0.8   0.04    0.2    0.8
  600   0.06    0.2    0.8   0.06    0.2    0.8
  800    0.1    0.2    0.8    0.1    0.2    0.8
 1000   0.15    0.2    0.8   0.15    0.2    0.8
 1200   0.25   0.25    0.8    0.2    0.2    0.8
 1500    0.5    0.5    0.8    0.3    0.3    0.8
 2000      1      1      1   0.45   0.45    0.8
 2500    1.5    1.5    1.5    0.6    0.6    0.8
 3000      2      2      2    0.8    0.8    0.8
 4000      3      3      3    1.2    1.2    1.2
 5000      4      4      4    1.5    1.5    1.5
 6000    5.5    5.5    5.5      2      2      2
 8000      8      8      8      3      3      3
10000     11     11     11    3.5    3.5    3.5
12000     14     14     14    4.5    4.5    4.5
""",
    ),
    Printed(
        prefix="clearance-peak",
        source=f"IEC 60664-1 table F.7a or F.8, {TWO}",
        text="""
    V      a      b
   40  0.001  0.001
   60  0.002  0.002
  100  0.003  0.003
  120  0.004  0.004
  150  0.005  0.005
  200  0.006  0.006
  250  0.008  0.008
  330   0.01   0.01
  400   0.02   0.02
  500   0.04   0.04
  600   0.06   0.06
  800   0.13    0.1
 1000   0.26   0.15
 1200   0.42    0.2
 1500   0.76    0.3
 2000   1.27   0.45
 2500    1.8    0.6
 3000    2.4    0.8
 4000    3.8    1.2
 5000    5.7    1.5
 6000    7.9      2
 8000     11      3
10000   15.2    3.5
12000     19    4.5
""",
    ),
    Printed(
        prefix="creepage",
        source=f"IEC 60664-1 table F.4 or F.5, {TWO}",
        text="""
   V  printed-pd1  printed-pd2    pd1  pd2.I  pd2.II  pd2.IIIa  pd2.IIIb  pd3.I  pd3.II  pd3.IIIa  pd3.IIIb
  10        0.025         0.04   0.08    0.4     0.4       0.4       0.4      1       1         1         1
12.5        0.025         0.04   0.09   0.42    0.42      0.42      0.42   1.05    1.05      1.05      1.05
  16        0.025         0.04    0.1   0.45    0.45      0.45      0.45    1.1     1.1       1.1       1.1
  20        0.025         0.04   0.11   0.48    0.48      0.48      0.48    1.2     1.2       1.2       1.2
  25        0.025         0.04  0.125    0.5     0.5       0.5       0.5   1.25    1.25      1.25      1.25
  32        0.025         0.04   0.14   0.53    0.53      0.53      0.53    1.3     1.3       1.3       1.3
  40        0.025         0.04   0.16   0.56     0.8       1.1       1.1    1.4     1.6       1.8       1.8
  50        0.025         0.04   0.18    0.6    0.85       1.2       1.2    1.5     1.7       1.9       1.9
  63         0.04        0.063    0.2   0.63     0.9      1.25      1.25    1.6     1.8         2         2
  80        0.063          0.1   0.22   0.67    0.95       1.3       1.3    1.7     1.9       2.1       2.1
 100          0.1         0.16   0.25   0.71       1       1.4       1.4    1.8       2       2.2       2.2
 125         0.16         0.25   0.28   0.75    1.05       1.5       1.5    1.9     2.1       2.4       2.4
 160         0.25          0.4   0.32    0.8     1.1       1.6       1.6      2     2.2       2.5       2.5
 200          0.4         0.63   0.42      1     1.4         2         2    2.5     2.8       3.2       3.2
 250         0.56            1   0.56   1.25     1.8       2.5       2.5    3.2     3.6         4         4
 320         0.75          1.6   0.75    1.6     2.2       3.2       3.2      4     4.5         5         5
 400            1            2      1      2     2.8         4         4      5     5.6       6.3       6.3
 500          1.3          2.5    1.3    2.5     3.6         5         5    6.3     7.1         8         8
 630          1.8          3.2    1.8    3.2     4.5       6.3       6.3      8       9        10        10
 800          2.4            4    2.4      4     5.6         8         8     10      11      12.5      12.5
1000          3.2            5    3.2      5     7.1        10        10   12.5      14        16        16
""",
    ),
    Printed(
        prefix="altitude-factor",
        source=f"IEC 60664-1 table A.2, {TWO}",
        text="""
    m     -
 2000     1
 3000  1.14
 4000  1.29
 5000  1.48
 6000   1.7
 7000  1.95
 8000  2.25
 9000  2.62
10000  3.02
15000  6.67
20000  14.5
""",
    ),
    Printed(
        prefix="altitude-pressure",
        source="IEC 60664-1 table A.2; standing: memory",
        text="""
    m      -
 2000  80000
 3000  70000
 4000  62000
 5000  54000
 6000  47000
 7000  41000
 8000  35500
 9000  30500
10000  26500
15000  12000
20000   5500
""",
    ),
    Printed(
        prefix="sea-level-impulse",
        source=f"IEC 62368-1 table 15, {ONE}",
        text="""
    V      -
  330    360
  500    540
  800    930
 1500   1750
 2500   2920
 4000   4920
 6000   7390
 8000   9850
12000  14770
""",
    ),
    Printed(
        prefix="rationalised-voltage",
        source=f"IEC 60664-1 table F.3a or F.3, {ONE}",
        text="""
   V     -
12.5  12.5
  25    25
  30    32
  42    50
  48    50
  50    50
  60    63
 100   100
 110   125
 120   125
 150   160
 200   200
 220   250
 300   320
 600   630
1000  1000
""",
    ),
    Printed(
        prefix="clearance-withstand",
        source="IEC 60664-1:2020 table A.1 case A, one public copy; standing: read",
        text="""
 mm     a
0.5   840
0.8   980
  1  1060
1.2  1200
1.5  1390
  2  1680
2.5  1960
  3  2210
  4  2680
  5  3110
  6  3510
  8  4260
 10  4950
""",
    ),
    Printed(
        prefix="impulse-series",
        source="IEC 60664-1:2020, preferred series; standing: read",
        text="""
    V      -
  330    330
  500    500
  800    800
 1500   1500
 2500   2500
 4000   4000
 6000   6000
 8000   8000
12000  12000
""",
    ),
    Printed(
        prefix="iec-62368.clearance",
        source=f"IEC 62368-1 table 14, {ONE}",
        text="""
   V  basic.pd2  reinforced.pd2  basic.pd3  reinforced.pd3
 330        0.2             0.4        0.8             1.5
 500        0.2             0.4        0.8             1.5
 800        0.2             0.4        0.8             1.5
1500        0.5               1        0.8             1.5
2500        1.5               3        1.5               3
4000          3             5.5          3             5.5
6000        5.5               8        5.5               8
8000          8              14          8              14
""",
    ),
    Printed(
        prefix="iec-62368.peak",
        source=f"IEC 62368-1 table 10, {ONE}",
        text="""
   V  basic.pd2  reinforced.pd2
 330        0.2             0.4
 500        0.2             0.4
 800        0.2             0.4
1000       0.26            0.52
1200       0.42            0.84
1500       0.76            1.52
2000       1.27            2.54
2500        1.8             3.6
3000        2.4             4.8
4000        3.8             7.6
""",
    ),
    Printed(
        prefix="iec-62368.strength-transient",
        source=f"IEC 62368-1 table 25, {ONE}",
        text="""
   V  basic  reinforced
 330    330         500
 500    500         800
 800    800        1500
1500   1500        2500
2500   2500        4000
4000   4000        6000
6000   6000        8000
8000   8000       12000
""",
    ),
    Printed(
        prefix="iec-62368.strength-peak",
        source=f"IEC 62368-1 table 26, {ONE}",
        text="""
   V  basic  reinforced
 330    430         530
 500    650         800
 800   1040        1280
1500   1950        2400
2500   3250        4000
4000   5200        6400
""",
    ),
    Printed(
        prefix="iec-62368.strength-mains",
        source=f"IEC 62368-1 table 27, {ONE}",
        text="""
  V  basic  reinforced
250   2000        4000
600   2500        5000
""",
    ),
    Printed(
        prefix="iec-60335.creepage",
        source=f"IEC 60335-1 table 17, group IIIa, {ONE}",
        text="""
  V  pd2  pd3
 50  1.2  1.9
125  1.5  2.4
250  2.5    4
400    4  6.3
""",
    ),
    Printed(
        prefix="iec-60335.clearance",
        source=f"IEC 60335-1 tables 15 and 16, {ONE}",
        text="""
   V    -
 330  0.5
 500  0.5
 800  0.5
1500  0.5
2500  1.5
4000    3
6000  5.5
""",
    ),
    Printed(
        prefix="iec-60335.strength",
        source=f"IEC 60335-1 table 7, {ONE}",
        text="""
  V  basic  supplementary  reinforced
150   1250           1250        2500
250   1250           1750        3000
""",
    ),
    Printed(
        prefix="iec-60950.supplement",
        source="IEC 60950-1 table 2L; standing: memory, two test reports agree at 428 V and 530 V",
        text="""
  V  basic  reinforced
420      0           0
493    0.1         0.2
567    0.2         0.4
640    0.3         0.6
""",
    ),
)
"""Every table of insulation coordination that is a grid."""

BY_PREFIX = {printed.prefix: printed for printed in PRINTED}
