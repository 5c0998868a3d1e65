"""Where the table of contact times goes in the kernel's flat tuple."""

from lanewater.kernel.water import contacttimeslots as slot
from lanewater.kernel.water.contacttimeslots import CT_CHLORINE_ROWS, CT_PH_COLUMNS

BLOCKS = ("0.5c", "5c", "10c", "15c", "20c", "25c")

SLOTS: dict[str, int] = {
    "giardia-temperatures": slot.CT_GIARDIA_TEMPERATURES,
    "giardia-ph": slot.CT_GIARDIA_PH,
    "giardia-chlorine": slot.CT_GIARDIA_CHLORINE,
    **{
        f"giardia-3-log-{block}": slot.CT_GIARDIA_TABLE + place * CT_CHLORINE_ROWS * CT_PH_COLUMNS
        for place, block in enumerate(BLOCKS)
    },
    "giardia-regression-cold": slot.CT_GIARDIA_COLD,
    "giardia-regression-warm": slot.CT_GIARDIA_WARM,
    "giardia-regression-warm-other": slot.CT_GIARDIA_WARM_OTHER,
    "giardia-regression-split": slot.CT_GIARDIA_SPLIT,
    "virus-temperatures": slot.CT_VIRUS_TEMPERATURES,
    "virus-ph": slot.CT_VIRUS_PH,
    "virus-4-log": slot.CT_VIRUS_4_LOG,
    "virus-4-log-ph-10": slot.CT_VIRUS_4_LOG_PH_10,
    "virus-3-log": slot.CT_VIRUS_3_LOG,
    "virus-2-log": slot.CT_VIRUS_2_LOG,
    "step-temperatures": slot.CT_STEP_TEMPERATURES,
    "giardia-chloramine": slot.CT_GIARDIA_CHLORAMINE,
    "virus-chloramine": slot.CT_VIRUS_CHLORAMINE,
    "giardia-chlorine-dioxide": slot.CT_GIARDIA_CHLORINE_DIOXIDE,
    "virus-chlorine-dioxide": slot.CT_VIRUS_CHLORINE_DIOXIDE,
    "cryptosporidium-2001": slot.CT_CRYPTOSPORIDIUM_2001,
    "cryptosporidium-iowa": slot.CT_CRYPTOSPORIDIUM_IOWA,
    "cryptosporidium-2008": slot.CT_CRYPTOSPORIDIUM_2008,
    "cryptosporidium-stabilised": slot.CT_CRYPTOSPORIDIUM_STABILISED,
    "cryptosporidium-limits": slot.CT_CRYPTOSPORIDIUM_LIMITS,
    "cryptosporidium-murphy": slot.CT_CRYPTOSPORIDIUM_MURPHY,
    "cryptosporidium-not-reached": slot.CT_CRYPTOSPORIDIUM_NOT_REACHED,
    "cryptosporidium-stabilised-older": slot.CT_CRYPTOSPORIDIUM_OLDER,
    "formed-stool": slot.CT_FORMED_STOOL,
}
