"""Climates of simulated years: those by which the method was made, those looked at since, and fresh ones.

None is a place's record; the program is told nothing of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

DAYS = 640


@dataclass(frozen=True)
class Climate:
    """A place: yearly mean and half range of its course (°C), and its anomalies.

    Attributes
    ----------
    sd : float
        Of the daily mean's anomalies in July, °C.
    winter : float
        How many times as wide they are in January.
    lags : tuple of float
        Coefficients of the autoregression.
    tails : float or None
        Degrees of freedom of Student's t, of which the innovations are; None: normal.
    skew : float
        Share of squares in the innovations: below 0 cold spells come suddenly.
    slow : float
        Standard deviation of what lasts for a month, °C.
    waves : float
        Heat waves a summer: of three to nine days, 3 to 8 °C above.
    half : float
        Half the difference of a day's extremes, °C.
    known : int
        Days measured before the pupation.
    warmest : int
        Day of the year.
    off : tuple of float
        By how much the thermometer reads the day's minimum and maximum wrong, °C.
    pointed : float
        How much of the day's wave is a peak in the afternoon; 0: a sine wave; below 0 most hours are warm.
    """

    name: str
    species: str
    mean: float
    course: float
    sd: float
    lags: tuple[float, ...] = (0.7,)
    tails: float | None = None
    skew: float = 0.0
    slow: float = 0.8
    winter: float = 1.5
    waves: float = 0.0
    half: float = 5.0
    known: int = 30
    warmest: int = 203
    zone: str = "Europe/Lisbon"
    off: tuple[float, float] = (0.0, 0.0)
    pointed: float = 0.0


MADE_BY = (
    Climate("coast", "large-white", 10.8, 6.8, 1.7, (0.75,), half=4.0),
    Climate("inland", "monarch", 11.0, 12.5, 3.0, (0.7,), half=6.0),
    Climate("mediterranean", "monarch", 17.0, 8.0, 1.9, (0.7,), half=5.5, warmest=213),
    Climate("warm and damp", "monarch", 19.5, 9.0, 1.8, (0.6,), half=5.0),
    Climate("little persistence", "cabbage-white", 12.0, 9.0, 2.6, (0.45,), half=5.0),
    Climate("much persistence", "cabbage-white", 12.0, 9.0, 2.6, (0.85,), half=5.0),
    Climate("second order", "cabbage-white", 12.0, 9.0, 2.4, (0.85, -0.2), half=5.0),
    Climate("heavy tails", "monarch", 13.0, 10.5, 2.6, (0.7,), tails=4.0, half=6.0),
    Climate("long spells", "monarch", 13.0, 10.5, 2.2, (0.6,), slow=2.0, half=6.0),
    Climate("readings of a week", "monarch", 13.0, 10.5, 2.6, (0.7,), half=6.0, known=7),
    Climate("readings of four months", "monarch", 13.0, 10.5, 2.6, (0.7,), half=6.0, known=120),
)
# Written down before the method was changed to weigh the anomalies' values instead of taking their mean; they
# have been looked at since, and showed what was changed next.
LOOKED_AT = (
    Climate("northern coast", "large-white", 8.5, 6.5, 2.0, (0.7,), half=3.5, winter=1.3),
    Climate("continental", "cabbage-white", 7.0, 15.0, 3.4, (0.75,), half=6.5, winter=1.7, slow=1.2),
    Climate("subtropical", "monarch", 20.5, 7.0, 1.5, (0.65,), half=4.5, winter=2.0, slow=0.5),
    Climate("south", "monarch", 15.5, 6.0, 2.4, (0.55,), warmest=20, zone="Australia/Sydney", winter=1.0),
    Climate("persistence 0.5", "painted-lady", 13.0, 9.5, 2.5, (0.5,), winter=1.2),
    Climate("persistence 0.8", "painted-lady", 13.0, 9.5, 2.5, (0.8,), winter=1.2),
    Climate("persistence 0.9", "painted-lady", 13.0, 9.5, 2.5, (0.9,), winter=1.2),
    Climate("heat waves", "monarch", 14.5, 9.0, 2.2, (0.7,), waves=4.0, half=6.0),
    Climate("cold fronts", "cabbage-white", 12.5, 9.0, 2.5, (0.65,), skew=-0.35, half=5.5),
    Climate("pointed days", "monarch", 14.0, 10.0, 2.4, (0.7,), half=7.0, pointed=0.5),
    Climate("sun on the thermometer", "monarch", 14.0, 10.0, 2.4, (0.7,), off=(-0.2, 1.5)),
    Climate("readings of a fortnight", "large-white", 12.0, 9.0, 2.4, (0.7,), known=14),
)
# Written down after all persistences were weighed alike and the error of daily extremes was counted in, and
# before any of them was run; nothing was changed by them.
FRESH = (
    Climate("lake shore", "painted-lady", 11.0, 9.5, 1.9, (0.78,), slow=0.6, half=4.0, winter=1.3),
    Climate("upland", "cabbage-white", 8.0, 8.5, 2.8, (0.66,), slow=0.9, half=6.5),
    Climate("steppe", "monarch", 10.0, 14.5, 3.2, (0.72,), slow=1.0, half=7.5, winter=1.6, pointed=0.2),
    Climate("island", "large-white", 14.5, 5.0, 1.3, (0.82,), slow=0.5, half=3.0, winter=1.1),
    Climate("near the tropics", "monarch", 23.0, 5.5, 1.4, (0.6,), slow=0.6, half=4.5, winter=1.8),
    Climate("persistence 0.48", "cabbage-white", 12.5, 9.5, 2.3, (0.48,), winter=1.2),
    Climate("persistence 0.75", "monarch", 14.0, 9.5, 2.3, (0.75,), winter=1.2),
    Climate("persistence 0.87", "painted-lady", 12.5, 9.5, 2.3, (0.87,), winter=1.2),
    Climate("second order, slow", "monarch", 13.5, 10.0, 2.4, (1.05, -0.25)),
    Climate("heavy tails and fronts", "cabbage-white", 12.0, 9.0, 2.5, (0.68,), tails=5.0, skew=-0.3),
    Climate("few warm hours", "monarch", 14.0, 9.5, 2.3, (0.7,), half=6.0, pointed=0.35),
    Climate("few cold hours", "painted-lady", 12.5, 9.0, 2.3, (0.7,), half=6.0, pointed=-0.35),
    Climate("morning sun", "large-white", 12.0, 9.0, 2.3, (0.7,), off=(0.0, 1.0)),
    Climate("readings of three weeks", "monarch", 14.0, 9.5, 2.4, (0.7,), known=21),
)


@dataclass(frozen=True)
class Lot:
    """Ranges from which a place is drawn by lot: nothing of it is fixed. The attributes are those of Climate.

    Attributes
    ----------
    course, slow : (float, float)
        As multiples of ``sd``.
    south : float
        Chance that it is in the south.
    """

    name: str
    mean: tuple[float, float]
    course: tuple[float, float]
    sd: tuple[float, float]
    persistence: tuple[float, float]
    tails: tuple[float, float]
    skew: tuple[float, float]
    slow: tuple[float, float]
    winter: tuple[float, float]
    waves: tuple[float, float]
    half: tuple[float, float]
    known: tuple[int, int]
    pointed: tuple[float, float]
    south: float = 0.0

    def draw(self, rng: np.random.Generator) -> Climate:
        sd = float(rng.uniform(*self.sd))
        south = bool(rng.random() < self.south)
        return Climate(
            self.name,
            str(rng.choice(["monarch", "large-white", "cabbage-white", "painted-lady"])),
            mean=float(rng.uniform(*self.mean)),
            course=sd * float(rng.uniform(*self.course)),
            sd=sd,
            lags=(float(rng.uniform(*self.persistence)),),
            tails=float(rng.uniform(*self.tails)),
            skew=float(rng.uniform(*self.skew)),
            slow=sd * float(rng.uniform(*self.slow)),
            winter=float(rng.uniform(*self.winter)),
            waves=float(rng.uniform(*self.waves)),
            half=float(rng.uniform(*self.half)),
            known=int(rng.integers(*self.known)),
            warmest=int(rng.integers(12, 32)) if south else int(rng.integers(195, 215)),
            zone="Australia/Sydney" if south else "Europe/Lisbon",
            off=(float(rng.normal(0, 0.3)), float(rng.normal(0.2, 0.5))),
            pointed=float(rng.uniform(*self.pointed)),
        )


# Towns were looked at, as LOOKED_AT; villages are as FRESH.
TOWN = Lot(
    "a town by lot", mean=(9, 19), course=(2.2, 5.2), sd=(1.4, 3.4), persistence=(0.55, 0.85), tails=(5, 30),
    skew=(-0.2, 0.2), slow=(0.1, 0.6), winter=(1, 1.8), waves=(0, 2), half=(3.5, 7), known=(5, 90),
    pointed=(0, 0.5), south=0.2,
)  # fmt: skip
VILLAGE = Lot(
    "a village by lot", mean=(10, 18), course=(2.5, 5.0), sd=(1.2, 3.2), persistence=(0.5, 0.88),
    tails=(6, 30), skew=(-0.2, 0.1), slow=(0.1, 0.5), winter=(1, 1.7), waves=(0, 1.5), half=(3, 7.5),
    known=(10, 90), pointed=(-0.2, 0.4),
)  # fmt: skip


def course(climate: Climate) -> np.ndarray:
    """The time of the year of each day: 1 on the warmest, -1 half a year later."""
    return np.asarray(np.cos(2 * np.pi * (np.arange(DAYS) - climate.warmest) / 365.25))


def extremes(climate: Climate, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """True minimum and maximum of each day, °C."""
    spin = 60
    noise = rng.normal(size=DAYS + spin)
    if climate.tails:
        noise = rng.standard_t(climate.tails, DAYS + spin) / np.sqrt(climate.tails / (climate.tails - 2))
    noise = (noise + climate.skew * (noise**2 - 1)) / np.sqrt(1 + 2 * climate.skew**2)
    anomaly = np.zeros(DAYS + spin)
    for i in range(2, DAYS + spin):
        anomaly[i] = sum(c * anomaly[i - 1 - k] for k, c in enumerate(climate.lags)) + noise[i]
    c = (*climate.lags, 0.0)[:2]
    r1 = c[0] / (1 - c[1])
    unit = np.sqrt(1 / (1 - c[0] * r1 - c[1] * (c[1] + c[0] * r1)))  # its standard deviation
    slow = np.zeros(DAYS + spin)
    slow[0] = rng.normal()
    keep = np.exp(-1 / 30)
    for i in range(1, DAYS + spin):
        slow[i] = keep * slow[i - 1] + np.sqrt(1 - keep**2) * rng.normal()
    season = course(climate)
    wider = 1 + (climate.winter - 1) * (1 - season) / 2
    mean = climate.mean + rng.normal(0, 0.5) + climate.course * season
    mean += climate.sd * wider * anomaly[spin:] / unit + climate.slow * slow[spin:]
    for begin in np.flatnonzero(rng.random(DAYS) < climate.waves / 100 * (season > 0.5)):
        mean[begin : begin + rng.integers(3, 10)] += rng.uniform(3, 8)
    half = climate.half * np.exp(rng.normal(0, 0.3, DAYS))
    return mean - half, mean + half


def hourly(climate: Climate, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Temperatures of 24 hours of each day, °C: what the pupae live through; shape (days, 24)."""
    wave = np.sin(2 * np.pi * (np.arange(24) + 0.5 - 9) / 24)
    peak = 2 * np.exp(-(((np.arange(24) + 0.5 - 15) / 3.5) ** 2)) - 1
    wave = (1 - climate.pointed) * wave + climate.pointed * peak
    wave = 2 * (wave - wave.min()) / (wave.max() - wave.min()) - 1
    return np.asarray((low + high)[:, None] / 2 + (high - low)[:, None] / 2 * wave)
