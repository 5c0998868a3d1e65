"""Where the rates of chloramines stand for the kernel."""

from __future__ import annotations

from lanewater.kernel.water import chloramineslots as slots

SLOTS: dict[str, int] = {
    "mono-forms": slots.Q_MONO_FORMS,
    "mono-parts": slots.Q_MONO_PARTS,
    "di-forms": slots.Q_DI_FORMS,
    "di-parts": slots.Q_DI_PARTS,
    "mono-to-di-proton": slots.Q_MONO_TO_DI_PROTON,
    "mono-to-di-bicarbonate": slots.Q_MONO_TO_DI_BICARBONATE,
    "mono-to-di-carbonic": slots.Q_MONO_TO_DI_CARBONIC,
    "di-to-mono": slots.Q_DI_TO_MONO,
    "di-decays": slots.Q_DI_DECAYS,
    "middle-and-di": slots.Q_MIDDLE_AND_DI,
    "middle-and-mono": slots.Q_MIDDLE_AND_MONO,
    "mono-and-di": slots.Q_MONO_AND_DI,
    "tri-forms-hydroxide": slots.Q_TRI_FORMS_HYDROXIDE,
    "tri-forms-carbonate": slots.Q_TRI_FORMS_CARBONATE,
    "tri-forms-hypochlorite": slots.Q_TRI_FORMS_HYPOCHLORITE,
    "di-and-tri": slots.Q_DI_AND_TRI,
    "mono-and-tri": slots.Q_MONO_AND_TRI,
    "nitrate-forms": slots.Q_NITRATE_FORMS,
    "urea": slots.Q_UREA,
    "urea-chlorine": slots.Q_UREA_CHLORINE,
    "hypochlorous": slots.Q_HYPOCHLOROUS,
    "ammonium": slots.Q_AMMONIUM,
    "carbonic-1": slots.Q_CARBONIC_1,
    "carbonic-2": slots.Q_CARBONIC_2,
    "water": slots.Q_WATER,
    "stages": slots.Q_STAGES,
    "couplings": slots.Q_COUPLINGS,
    "gamma": slots.Q_GAMMA,
    "tolerances": slots.Q_TOLERANCES,
    "steps": slots.Q_STEPS,
}
