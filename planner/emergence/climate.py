"""How daily mean temperatures depart from what is expected: constants, each with its source and status.

The departures are anomalies from the season's course. They persist: the anomaly of a day is correlated with
that of the day before. No figure here is of one place; a season's own readings overrule them (`weather`).
"""

from __future__ import annotations

import math

# Correlation of the anomalies of two days in a row. Computed: 0.705 for the mean of maximum and minimum, from
# the matrices of a daily weather generator fitted to 31 stations of the USA (Richardson and Wright, WGEN,
# USDA-ARS 8 (1984), read as printed in public programs; `tests/emergence/test_weather.py`). In daily records
# of seven towns (`docs/prediction.md`, *recorded weather*) 0.52 to 0.83 by months, computed.
PERSISTENCE = 0.7
# Values weighed by a season's readings, alike before there are any: an interval is to hold where weather
# persists more or less than on average, too, not only in the mean of all places. Guess.
PERSISTENCES = (0.4, 0.55, 0.7, 0.82, 0.9, 0.95)
# Standard deviation of the daily mean's anomalies in summer, °C: 1.5 on coasts to 4 inland. Guess; 1.1 to 2.8
# in July (Auckland: January) in the seven records, computed since.
OUTDOORS = 2.2
OUTDOORS_SPREAD = (
    0.45  # standard deviation of its logarithm between places: a factor of 1.6 either way. Guess
)
# By how much anomalies are wider in the middle of winter than in that of summer: hardly on coasts, by three
# quarters inland. Memory of monthly climatologies for the kind, a guess for the figure; 0.1 to 0.6 in five of
# the seven records, 1.3 and 1.5 in two from the east of North America, computed since. 0.8 and 1.2 held no
# better.
WIDER_IN_WINTER = 0.4
# Share of the variance that lasts for weeks (a cool July), and its time, days. Guess: anomalies of monthly
# means have about twice the variance that a first-order autoregression alone leaves them. In thirty years of
# one town the correlation after 10 days is 0.14, where 0.11 is taken (computed since).
SLOW_SHARE, SLOW_DAYS = 0.12, 25.0
# Half the difference between warmest and coldest time of the year, in standard deviations of the anomalies:
# 5 to 7 °C on coasts with 1.7, 12 to 14 inland with 3.5. Guess; in rooms both are small. In the seven records
# 3.9 ± 1.9, computed since.
COURSE, COURSE_SPREAD = 3.5, 1.75
PHASE_SPREAD = 0.8  # the same for its other component: the warmest day is uncertain by some 12 days. Guess
WARMEST = (
    205  # day of the year, 24 July; half a year later in the south. Common knowledge; 206 ± 10 in six records
)
YEAR = 365.25
# Where a constant temperature is stated: standard deviation of a day's mean about it, °C. Guess: a thermostat
# keeps within half a degree, a room without one does not; how far the thermometer is off is a part of the
# spread that all pupae of a season share.
INDOORS = 0.5
INDOORS_SPREAD = 0.8  # of its logarithm, where readings can tell
# A weather service's daily means: standard deviation of the error of the first day, °C, its growth per day
# and its limit; correlation of two days in a row; and the difference between its site and the rack. Memory
# of verification reports for the first two, guesses for the others.
FORECAST_FIRST, FORECAST_GROWS, FORECAST_MOST = 1.0, 0.25, 3.0
FORECAST_PERSISTENCE, FORECAST_SITE = 0.5, 0.7


def sum_sd(days: float, sd: float = INDOORS) -> float:
    """Standard deviation of the sum of anomalies over a time, °C × days; 0 for no time.

    The anomalies are a stationary first-order autoregression in continuous time (Ornstein and Uhlenbeck) with
    the correlation PERSISTENCE after a day. With τ = -1 / ln(PERSISTENCE) the variance of the sum over n days
    is 2 sd² τ² (n/τ - 1 + exp(-n/τ)).

    Parameters
    ----------
    days : float
        Length of the time, days.
    sd : float
        Standard deviation of an anomaly, °C.
    """
    if days <= 0:
        return 0.0
    scale = -1 / math.log(PERSISTENCE)
    return sd * scale * math.sqrt(2 * (days / scale + math.expm1(-days / scale)))
