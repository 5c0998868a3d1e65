"""Activity: the Davies form for ions, a salting-out term for neutral species."""

import math

from lanewater.kernel.water.slots import C_ACTIVITY


def molality_per_activity(
    c: tuple[tuple[float, ...], ...], ionic: float
) -> tuple[float, float, float, float]:
    """Give 1/gamma of species with charge 0, 1, 2 and 3.

    log gamma = -A z^2 (sqrt I / (1 + sqrt I) - 0.3 I) for ions and 0.1 I for neutral species.
    The linear term is held from I = 0.5 on, the nominal end of the Davies form.

    Parameters
    ----------
    c : tuple
        Constants at the water's temperature.
    ionic : float
        Ionic strength. [mol/L]

    Returns
    -------
    tuple of float
        For neutral, single, double and triple charge.
    """
    slope, davies, limit, neutral, _osmotic = c[C_ACTIVITY]
    root = math.sqrt(ionic)
    linear = davies * ionic
    if ionic > limit:
        linear = davies * limit
    single = math.exp(slope * (root / (1 + root) - linear))
    double = single * single
    double = double * double
    return (math.exp(-neutral * ionic), single, double, double * double * single)
