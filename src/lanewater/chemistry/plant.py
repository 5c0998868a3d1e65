"""What happens in a plant: where each entry of `plant.toml` stands in the kernel's flat tuple."""

from __future__ import annotations

from lanewater.kernel.water import plantslots

SLOTS: dict[str, int] = {
    "open-water": plantslots.PLANT_OPEN_WATER,
    "schmidt": plantslots.PLANT_SCHMIDT,
    "schmidt-reference": plantslots.PLANT_SCHMIDT_REFERENCE,
    "ageing-ionic": plantslots.PLANT_AGEING_IONIC,
    "ageing-eyring": plantslots.PLANT_AGEING_EYRING,
    "ageing-loss": plantslots.PLANT_AGEING_LOSS,
    "vapour": plantslots.PLANT_VAPOUR,
    "moist-air": plantslots.PLANT_MOIST_AIR,
    "quiet-pool": plantslots.PLANT_QUIET_POOL,
    "used-pool": plantslots.PLANT_USED_POOL,
    "still-air": plantslots.PLANT_STILL_AIR,
    "transfer-quiet": plantslots.PLANT_TRANSFER,
    "transfer": plantslots.PLANT_TRANSFER + 1,
}
