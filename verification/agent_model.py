"""The special case of `process_model` as agents of Mesa: every colony is an agent that acts once a day."""

from __future__ import annotations

import mesa
import numpy as np
from verification.process_model import Case


class Colony(mesa.Agent):
    """One colony. Days of infection, signs and removal, infinite if never."""

    def __init__(self, model: Apiaries, place: int) -> None:
        super().__init__(model)
        self.place, self.time, self.onset, self.gone, self.found = place, np.inf, np.inf, np.inf, False

    def infect(self) -> None:
        case, chance = self.model.case, self.model.random.random()
        k = chance * (len(case.quantile) - 1)
        low, high = case.quantile[int(k)], case.quantile[int(k) + 1]
        self.time, self.onset = self.model.day, self.model.day + low + (k - int(k)) * (high - low)

    def sick(self) -> bool:
        return self.time < self.model.day < self.gone

    def step(self) -> None:
        """Falls ill by the sum of the pressures of the day before; is found on the days of a round."""
        model, case = self.model, self.model.case
        if self.time == np.inf:
            load = case.within * model.load[self.place] + case.between * (
                model.load[self.place - 1] + model.load[self.place + 1])  # fmt: skip
            if load > 0 and model.random.random() < -np.expm1(-load):
                self.infect()
        elif model.looks and self.onset <= model.day < self.gone == np.inf and model.random.random() < case.notice:
            self.gone, self.found = model.day + case.wait, True


class Apiaries(mesa.Model):
    """All colonies. load: infectious colonies at each apiary; one more place, always empty, lies beyond both ends."""

    def __init__(self, case: Case, seed: int) -> None:
        super().__init__(seed=seed)
        self.case, self.day, self.load = case, 0, np.zeros(case.apiaries + 1)
        colonies = [Colony(self, j // case.each) for j in range(case.size)]
        for j in case.first:
            colonies[j].infect()
        for _ in range(case.days):
            self.step()

    def step(self) -> None:
        self.day += 1
        self.looks = self.case.every > 0 and self.day % self.case.every == 0
        self.load[:] = 0.0
        for colony in self.agents:
            if colony.sick():
                self.load[colony.place] += self.case.latent if self.day < colony.onset else 1.0
        self.agents.shuffle_do("step")


def infected(case: Case, seed: int) -> int:
    """How many were ever infected in one run."""
    return sum(colony.time < np.inf for colony in Apiaries(case, seed).agents)
