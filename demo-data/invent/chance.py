"""A small seeded generator of its own, so that the bytes of the demo season never change with a Python version.

SplitMix64 (Steele, Lea and Flood 2014; public domain form by Vigna). Only integer arithmetic and + - * / on
doubles are used, never the C library's functions, so that every machine gives the same bytes.
"""

MASK = (1 << 64) - 1


class Chance:
    def __init__(self, seed):
        self.state = seed & MASK

    def _next(self):
        self.state = (self.state + 0x9E3779B97F4A7C15) & MASK
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        return z ^ (z >> 31)

    def uniform(self, low=0.0, high=1.0):
        return low + (high - low) * ((self._next() >> 11) / 9007199254740992.0)

    def whole(self, low, high):
        """An integer from low to high, both possible."""
        return low + self._next() % (high - low + 1)

    def normal(self, mean=0.0, sd=1.0, cut=2.2):
        """Nearly normal (sum of twelve uniforms), redrawn until within `cut` standard deviations."""
        while True:
            z = sum(self.uniform() for _ in range(12)) - 6.0
            if -cut <= z <= cut:
                return mean + sd * z

    def shuffle(self, items):
        for i in range(len(items) - 1, 0, -1):
            j = self.whole(0, i)
            items[i], items[j] = items[j], items[i]
        return items
