"""The simulator of a fit as a function of a draw, for whoever wants to fit in another way.

    simulate = Simulator("mild-with-hot", "watch.csv")
    drawn = [simulate.draw(k) for k in range(1000)]
    figures = [simulate(one, trial=k) for k, one in enumerate(drawn)]

What comes out is to be held against ``simulate.observed``; any package for inference that wants draws and
figures can take the place of ``rockshy fit``.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace

from ....sim.run.trials import model_of_trial
from ....sim.scenario.given import GivenDraws
from ...statistics.intervals import Floats
from ...study.asking import Asked, scenario_of
from ..watching.reading import load_tally
from ..watching.tally import Tally
from ..watching.windows import watch
from .draws import inputs_of, named, values_of
from .figures import figures_of


class Simulator:
    """simulate(draw) -> figures: one tank run with given values, watched as the keeper watched.

    Parameters
    ----------
    scenario : a scenario, the path of a file, or the name of a ready one.
    tally : a tally of its tank, or the path of one.

    Attributes
    ----------
    inputs : of each value that is drawn, by name: lowest, highest, "uniform" or "log".
    names : of the figures, [p].
    observed : what the tally says, [p], on the scale of :mod:`.figures`.

    Raises
    ------
    ValueError
        When scenario or tally have problems, or the tally says nothing.

    Source
    ------
    The model and what each rule and number of it rests on: sim/MODEL.md and ``rockshy sources``.
    """

    def __init__(self, scenario: Asked, tally: Tally | str | os.PathLike[str]) -> None:
        asked = scenario_of(scenario)
        told = tally if isinstance(tally, Tally) else load_tally(tally, asked)
        self._scenario = replace(asked, alternatives=())
        self._inputs = inputs_of(asked)
        self._figures = figures_of(asked, told)
        self.inputs = {named(one): (one.low, one.high, one.how) for one in self._inputs}
        self.names, self.observed = self._figures.names, self._figures.counted

    def draw(self, number: int) -> dict[str, float]:
        """The values of one draw, as a run would take them, by name."""
        values = values_of(self._scenario, self._inputs, [number])[0]
        return dict(zip(self.inputs, map(float, values), strict=True))

    def __call__(self, values: Mapping[str, float], *, trial: int = 0) -> Floats:
        """The figures of one simulated tank, [p].

        Parameters
        ----------
        values : by name as in ``inputs``, in their units; what is not named is drawn.
        trial : number of the tank, which decides its luck: rock, fish, and when it is watched.
        """
        given = GivenDraws(tuple(values), (tuple(values.values()),))
        with model_of_trial(replace(self._scenario, given=given), trial, keep=True) as model:
            return self._figures.watched(watch(model, trial))
