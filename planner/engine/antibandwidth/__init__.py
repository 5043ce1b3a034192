"""Full racks on which every date occurs once: orderings, annealing and the permutation model."""
