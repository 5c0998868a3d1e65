"""Why pH rises, chlorine does not hold, combined creeps, or probe and photometer part.

Each answer ranks causes by what this pool's own history says for and against them, and names what
the record does not hold. It points to what to look at; it never says what to add.
"""

from typing import Any

from lanewater.kernel.deciding.causesofchlorine import why_chlorine_goes
from lanewater.kernel.deciding.causesofcombined import why_combined_creeps
from lanewater.kernel.deciding.causesofph import why_ph_rises
from lanewater.kernel.deciding.causesofprobe import why_probe_parts


def causes_of(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Answer the four questions for a pool.

    Parameters
    ----------
    case : dict
        {"pool": facts, "feeder": substance or "", "rounds": oldest first, each {"at": UTC s,
        "readings": normal form, "doubtful": [], "bathers": int or None, "shut": True where nobody
        was let in since the round before}, "events": [{"kind": "addition", "product", "at"}],
        "ceiling": the pH that air leads to in thousandths or None, "verified": {kit: UTC s},
        "strength_at": UTC s or None, "limit_combined": thousandths or None, "at": now}.

    Returns
    -------
    list of dict
        As `finding_of` writes them: ph-rises, chlorine-goes, combined-creeps, probe-parts.
    """
    return [
        why_ph_rises(case),
        why_chlorine_goes(case),
        why_combined_creeps(case),
        why_probe_parts(case),
    ]
