"""The budgets of a search: every limit of size, work and time, with its unit and its reason.

Deterministic seconds are the solver's own measure of work (``max_deterministic_time``): the same whatever the
machine and its load, and near a second of one core.
"""

from __future__ import annotations

# One model
CLIQUES_EACH = 2  # maximal cliques for each node; where there are more the cover is grown greedily
CLIQUE_LOOKS = 50  # looks at candidates for each edge, to grow them large; boards take up to 35
ALONE = 3.0  # deterministic seconds of one worker before all cores are used: what it answers is repeatable
STOPPING = 5.0  # seconds for the solver to end once a search is given up; as a rule it takes a tenth of one

# The size of a model: a term is a Boolean, or a literal in a constraint
TERMS_EACH_SECOND = 180_000  # terms for each second of a search: made in about a seventh of it
COUNTED_TERM = 2  # times as long one takes where clashes are counted, in sums instead of "at most one"
TERMS_ROUND = 2000  # terms between two looks at the clock while a model is made
TERMS_LEAST = 300_000  # terms that are made however short the search is: a quarter of a second
CROWDED_TERMS = 100_000  # terms for what is known of crowded cliques beyond one row each: a tenth of a second
BYTES_EACH_TERM = 100  # bytes of memory: 20 to 45 were seen in making and solving, at times twice that
MEMORY_SHARE = 1 / 4  # of the memory of the machine, or of what the process is allowed

# `arrange`, for any graph and any dues
EXACT_SHARE = 0.85  # of all seconds, for questions about the true dues: what was begun may take the rest
ROUNDED_SHARE = (
    0.65  # of all seconds, for questions about rounded dues; local search on the exact ones follows
)
ROUNDED_BOUND_SHARE = 0.5  # of what is left then, for a bound on the clashes
ROUNDED_BOUND_LEFT = 0.3  # of all seconds that must be left for it
ROUNDED_CLASSES = 8  # classes; of fewer a model says too little to be worth its time
CONSTRUCTED_NODE, CONSTRUCTED_CLASS = (
    25e-6,
    1.3e-6,
)  # seconds for each node, and more for each class; measured
STEP_SHARE = 0.04  # of all seconds, for a step that is taken again and again and cannot be ended early
STEP_LEFT = 1 / 4  # of the time left, for one that is taken once: on a busy machine it takes twice as long
STEP_LEAST = 0.2  # seconds, for any such step, however short the search is
SLOWNESS_SEEN = 0.05  # seconds of a core, to tell how busy the machine is
COARSE_SHARE = 0.1  # of all seconds, for the construction of a start with rounded dues
STABILITY_SHARE = 0.25  # of the time left, for the bounds by formula where models are too large
CONSTRUCTED_CLASSES = 300  # classes in a rounded start; of more the local search has no better beginning
COVERED_NODE = 1e-4  # seconds to find the cliques at one node, and the bounds from them; twice what was seen
COVERED_EDGE = 1e-5  # seconds for each edge, where that is more: cliques grown greedily
COVERED_SQUARE = 1e-8  # and for each square of a node's number of neighbours: maximal cliques
ORDERED_EDGE = 2e-5  # seconds for each edge and node to try all orders of one walk
REPAIRED_NODE = 3e-5  # seconds for each node before a local search begins
WIDENING_STEP = 1 / 4  # of what is left between gap and bound, for the first gap asked for; halved in vain
WIDENING_LEAST = 1e-3  # days; gaps that are wider by less are not asked for

# First levels, in lexicographic order
WHO_STAYS = 0.3  # deterministic seconds for the most who can stay at home: a thousandth of one, as a rule
CLASH_FREE_SHARE = 0.6  # of the time left, for a plan without clashes; the rest is for counting them

# Local search on a start with clashes
REPAIR_EACH = 400  # proposals for each spot: with more of them hardly any other start was repaired
REPAIR_LEAST, REPAIR_MOST = 20_000, 3_000_000  # proposals; a second has about a million
REPAIR_ROUND = 5000  # proposals between two looks at temperature and clock
REPAIR_LOOKS = 500_000  # neighbours looked at in such a round, about: a tenth of a second
REPAIR_CLASSES = 2000  # due classes: which of them clash is a table of that many squared

# The widest smallest gap
GAPS = 1500  # distinct dues: of more, not all of their differences are listed
GAP_SHARE = 0.1  # of the time left, for the first try at one gap; each further try has twice as much
GAP_LONG_STEP = 1 / 4  # of that, where a step skips gaps: it may well fail
STABILITY = 5.0  # seconds for a bound on how many spots are pairwise no neighbours; any bound is true
COMPLEMENT = 500  # spots: all pairs that are no neighbours are listed

# Full racks on which every date occurs once
ORDERINGS = 2_000_000  # edges looked at to find the first arrangement, about a second
ANNEALING_FIRST = 300  # proposals for each item before the first question
ANNEALING_EACH = 5000  # proposals for each item at the first try of a gap; each further try has twice as many
ANNEALING_MOST = 2000  # items: the penalties of all pairs of ranks are kept
ANNEALING_ROUND = 1000  # proposals between two looks at temperature and clock
HALF_GAPS = 1.0  # deterministic seconds for halves of a gap at the first try; then twice as many as well
PERMUTATION = 2.0  # seconds at least for the permutation model at the first try; then twice as many as well

# Unsatisfiable cores
COUNTED_CLASSES = 300  # due classes: of more only runs are counted, and no longer spans of dates
CORE_SHARE = 0.5  # of the time left, to find out which due classes suffice
CORE_QUESTION = 4.0  # seconds for one question while a core is shrunk
CORE_RUNS = 12  # runs of clashing classes looked at, the largest first

# Secondary objectives: worth little of a keeper's time, and repeatable, so in deterministic seconds
SECONDARY_SHARE = 0.02  # of all seconds, for each level
SECONDARY_SOLVED = 8_000  # Booleans: from a larger model so little work gains too little
SECONDARY_MADE = 3 * SECONDARY_SOLVED  # Booleans beyond which not even the model is made

# Local search for risk, elbow room and carrying, by ruin and recreate
RECREATED_EACH = 150  # steps for each item that moves: on seasons of two yarns more found hardly better plans
RECREATED_LEAST, RECREATED_MOST = 600, 12_000  # steps; a second has about four thousand
RECREATED_CALM = 20  # steps for each that is moved, where nothing but carrying is left to be gained
RECREATED_CALM_MOST = 600
RECREATED_WORK = 40_000_000  # nodes looked at in all steps together: with thousands of items one pass must do
RECREATED_MADE = 80_000_000  # items times nodes beyond which nothing is searched
RECREATED_BEGUN = 1.5e-6  # seconds for each due and node before a search begins; cannot be ended early
RECREATED_ROUND = 50  # steps between two looks at the clock
LEAST_RISK = 0.2  # deterministic seconds for a bound on the risk of those who stay
RISK_SOLVED = 3_000  # pairs of neighbouring nodes, each with each kind: what the exact model may have
RISK_WORK = 0.3  # deterministic seconds for it
PAIR_KINDS = 120  # kinds of which each two are looked up, for a table of them: about a second
PAIRED_KINDS = 300  # kinds beyond which no model tells each two apart: they take two seconds

# Carrying along lines with sliding clips
STRETCH = 4  # positions side by side taken for one: of fewer the bound is hardly better
CARRYING_TOLD = 10  # tenths of a cm: less than that may be gained without its being sought, or told
CARRYING_SOLVED = 1_300  # pairs of who is carried and a position, where each is told apart: half a second

# Stability: moves of the plan before that keep their nodes
STABILITY_SOLVED = 60_000  # Booleans; beyond that all keep their node, or whoever does by chance
STABILITY_SHARE = 0.3  # of the time left

# Reservations for those to come
RESERVATION_SHARE = 0.3  # of the time left
RESERVATION_SOLVED = 60_000  # Booleans; beyond that only what is found without the solver is reserved

# A season's plan
DEFERRAL_SHARE = 0.3  # of the time left, for the fewest that must be deferred
EVENING_SHARE = 0.7  # of the time left, for this evening, where some may yet be left for a later one
EVENINGS_AHEAD = 8  # on which those of tonight may be hung by a plan that may choose: this one and a week
EVENINGS_MOST = 30  # that may be asked for: no pupa hangs on its lid for longer than that
DEFERRAL_LATEST = 0.5  # deterministic seconds for the set of them that is due last
PARKING_SETS = 200  # sets of one more than is needed that are tried
PARKING_WORK = 20_000  # nodes tried for all deadlocks together, times the number moved
PARKING_RINGS = 60.0  # seconds for one ring, however many models it takes
PARKING_FEWEST = 0.5  # deterministic seconds for the fewest of one ring: far more than any rack has needed
INCUMBENT_FIRST = 1.0  # seconds within which a small search that ends loses nothing
INCUMBENT_AT_ONCE = 200  # pupae from which on the start is told at once: the first search may take all memory
INCUMBENT_SHARE = 0.05  # of the time, at most, for plans that are only told
UNSEARCHED = 0.001  # seconds in which nothing is searched: the plan is the one that any search begins with

# Why there is no plan without clashes, and the ways out
EXPLAINING_SHARE, EXPLAINING_MOST = 0.3, 20.0  # of the seconds for the plan, and seconds at most
REASONS_SHARE = 0.4  # of what is left, for the reasons; the rest is for the ways out
REHANG_SHARE = 0.4  # of what is left, for whom to re-hang
WAY_OUT_QUESTION = 6.0  # seconds for one question: is there a plan without clashes?
LONGER = 3  # times as long as it is: rather than a longer line or board another one is hung up beside it
ALIKE = 2  # more boards of the size of the first; rather than three a larger one is hung up
MORE_PLACES = 1000  # such places: what needs more of them is beyond any keeper
LONGEST_WAIT = 14  # days
