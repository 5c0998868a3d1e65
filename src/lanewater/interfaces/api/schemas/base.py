"""The forms that fields share, each with its bound."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from lanewater.records.kinds import (
    HOUSE_STOPS,
    KIT_KINDS,
    METHODS,
    PORTION_UNITS,
    PRICE_UNITS,
    STRENGTH_UNITS,
    VOLUME_KNOWN,
)
from lanewater.service.set_up_items import CONTACT_KINDS
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import ROLES

ID_FORM = r"^[a-z0-9][a-z0-9._:-]{0,63}$"

Identity = Annotated[str, StringConstraints(pattern=ID_FORM, max_length=64)]
FactId = Annotated[
    str,
    StringConstraints(pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$", max_length=36),
    Field(description="UUID, version 7, made by the sender: a resend is harmless."),
]
Name = Annotated[str, StringConstraints(min_length=1, max_length=120)]
Words = Annotated[str, StringConstraints(min_length=1, max_length=600)]
Short = Annotated[str, StringConstraints(max_length=60)]
Unit = Annotated[str, StringConstraints(max_length=20)]
Decimal = Annotated[
    str,
    StringConstraints(pattern=r"^-?[0-9]{1,9}(\.[0-9]{1,6})?$", max_length=17),
    Field(description="A decimal number as text, such as 1.52."),
]
Value = Annotated[
    str,
    StringConstraints(min_length=1, max_length=20),
    Field(description="As typed: 1.52, >5.00, <6.8, or a word such as visible."),
]
Date = Annotated[str, StringConstraints(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$", max_length=10)]
Instant = Annotated[
    str,
    StringConstraints(
        pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]{5,16}(Z|[+-][0-9]{2}:[0-9]{2})$",
        max_length=40,
    ),
    Field(description="RFC 3339 with its offset: 2026-07-01T05:51:00+02:00."),
]
TimeOfDay = Annotated[str, StringConstraints(pattern=r"^[0-9]{2}:[0-9]{2}$", max_length=5)]
Pin = Annotated[
    str,
    StringConstraints(min_length=1, max_length=64),
    Field(description="Digits, as text.", json_schema_extra={"format": "password"}),
]

if TYPE_CHECKING:  # closed lists made from data are more than a type checker can follow
    Parameter: TypeAlias = str
    HouseStop: TypeAlias = str
    Role: TypeAlias = str
    KitKind: TypeAlias = str
    Method: TypeAlias = str
    VolumeKnown: TypeAlias = str
    StrengthUnit: TypeAlias = str
    PortionUnit: TypeAlias = str
    PriceUnit: TypeAlias = str
    ContactKind: TypeAlias = str
else:
    Parameter = Literal[tuple(PARAMETERS)]
    HouseStop = Literal[HOUSE_STOPS]
    Role = Literal[ROLES]
    KitKind = Literal[KIT_KINDS]
    Method = Literal[METHODS]
    VolumeKnown = Literal[VOLUME_KNOWN]
    StrengthUnit = Literal[STRENGTH_UNITS]
    PortionUnit = Literal[PORTION_UNITS]
    PriceUnit = Literal[PRICE_UNITS]
    ContactKind = Literal[CONTACT_KINDS]


class Sent(BaseModel):
    """Something that comes in: unknown fields and other types are refused, null is left out."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    def given(self) -> dict[str, Any]:
        """Give the fields that were sent, as the service takes them."""
        return self.model_dump(exclude_none=True, by_alias=True)


class Told(BaseModel):
    """Something that goes out."""

    model_config = ConfigDict(extra="forbid")


class Nothing(Sent):
    """An empty object."""


class Done(Told):
    """It is done."""
