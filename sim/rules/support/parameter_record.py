"""The parameters as rules and mypy see them; made of parameters.toml, in its order.

``python -m rockshy.analysis.questions.sources.description`` in a checkout makes it anew.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any


class Parameters:
    """One value for each parameter, as drawn for a draw: what rules get as ``p``.

    Attributes
    ----------
    attack_rate_s, ... : one a parameter, by its name in parameters.toml; unit, range and meaning stand there.
    tick_s : length of a tick, s.

    Source
    ------
    Each names its own in parameters.toml; ``rockshy sources`` counts them.
    """

    if TYPE_CHECKING:
        dtype: Any

        def __getitem__(self, name: str) -> float: ...

    notice_s: float  # s
    sight_cm: float  # cm
    claim_s: float  # s
    claim_fade_h: float  # lit h
    claim_beaten: float  # 1
    claim_pull: float  # log per unit of claim
    tolerance: float  # 0..1
    individual_distance: float  # radii
    attack_rate_s: float  # 1/s
    provocation_half: float  # rivals at its side
    let_be_odds: float  # log-odds
    look_alike: float  # 1
    attack_odds: float  # log-odds
    holding_weight: float  # 1
    juvenile_weight: float  # 1
    size_odds: float  # log-odds per ln(length ratio)
    temper_odds: float  # log-odds per ln(temper ratio)
    residence_odds: float  # log-odds
    stand_odds: float  # log-odds
    contest_s: float  # s
    experience_half_life_d: float  # d
    winner_effect: float  # log-odds
    loser_effect: float  # log-odds
    chase_teaches: float  # contests
    pair_step: float  # log-odds
    pair_half_life_d: float  # d
    known_experience: float  # 1
    chase_s: float  # s
    reach_lengths: float  # total lengths
    bite_rate_s: float  # 1/s
    margin_s: float  # s
    corner_cm: float  # cm
    held_cm: float  # cm
    exposed_cm: float  # cm
    memory_cm: float  # cm
    memory_step: float  # 1
    fright_gain: float  # 1
    fright_half_life_s: float  # s
    slow_gain: float  # 1
    slow_half_life_d: float  # d
    out_rate_s: float  # 1/s
    out_fright: float  # log per unit of fright
    out_hunger: float  # log per unit of hunger
    out_dominants: float  # log per dominant in view
    hide_rate_s: float  # 1/s
    activity: float  # 1
    persistence_cm: float  # cm
    fear_leash_cm: float  # 1/cm
    cover_pull: float  # log per unit of cover
    graze_pull: float  # log per unit of surface
    company_pull: float  # log per step
    meals_a_day: float  # 1/d
    meal_s: float  # s
    portions: float  # 1
    eat_s: float  # s
    food_pull_cm: float  # 1/cm
    hunger_h: float  # h
    graze_h: float  # h
    q10: float  # 1
    crevices_a_piece: float  # 1
    tick_s: float  # s
